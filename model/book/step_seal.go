package book

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"maps"
	"math/bits"
	"slices"
	"strings"
)

// sum adds up digests, modulo 2^256, the low word first. What was added can be taken off again, in any order: so the sum of all rows of
// the shop is kept up to date by the rows that a step changes.
type sum [4]uint64

func (s sum) plus(o sum) (r sum) {
	var carry uint64
	for i := range s {
		r[i], carry = bits.Add64(s[i], o[i], carry)
	}
	return r
}

func (s sum) minus(o sum) (r sum) {
	var borrow uint64
	for i := range s {
		r[i], borrow = bits.Sub64(s[i], o[i], borrow)
	}
	return r
}

// String gives the sum in hex.
func (s sum) String() string {
	var b [sha256.Size]byte
	for i, word := range s {
		binary.LittleEndian.PutUint64(b[8*i:], word)
	}
	return hex.EncodeToString(b[:])
}

// parseSum reads what String wrote.
func parseSum(text string) (s sum, ok bool) {
	b, err := hex.DecodeString(text)
	if err != nil || len(b) != sha256.Size {
		return s, false
	}
	for i := range s {
		s[i] = binary.LittleEndian.Uint64(b[8*i:])
	}
	return s, true
}

// rowSum is the digest of a row as triggers write it down.
func rowSum(tab string, row int64, image string) (s sum) {
	h := sha256.New()
	put(h, tab, fmt.Sprint(row), image)
	s, _ = parseSum(hex.EncodeToString(h.Sum(nil)))
	return s
}

// put writes texts so that no two lists of them are the same bytes.
func put(h hash.Hash, texts ...string) {
	for _, text := range texts {
		var n [8]byte
		binary.BigEndian.PutUint64(n[:], uint64(len(text)))
		h.Write(n[:])
		h.Write([]byte(text))
	}
}

// seal is what closes a step.
type seal struct {
	step        int64
	link, state string
}

// linked gives the link of a seal: content is that of its step.
func (s seal) linked(before, content string) string {
	h := sha256.New()
	put(h, before, fmt.Sprint(s.step), content, s.state)
	return hex.EncodeToString(h.Sum(nil))
}

// image is the SQL for a row as triggers write it down, from is "OLD." or nothing.
func (t table) image(from string) string {
	var pairs []string
	for _, c := range t.columns {
		value := from + c.name
		if c.kind == blob {
			value = "hex(" + value + ")"
		}
		pairs = append(pairs, "'"+c.name+"', "+value)
	}
	return "json_object(" + strings.Join(pairs, ", ") + ")"
}

// seal closes the transaction's step.
func (t *transaction) seal() error {
	last, err := t.lastSeal()
	if err != nil {
		return err
	}
	state, ok := parseSum(last.state)
	if last.step != t.step-1 || !ok && last.step != 0 {
		return t.notAsWritten(last.step)
	}
	if state, err = t.moved(state); err != nil {
		return err
	}
	return t.keepSeal(seal{step: t.step, state: state.String()}, last.link)
}

// keepSeal writes a seal, after the link before it.
func (t *transaction) keepSeal(s seal, before string) error {
	return t.contents(s.step, s.step, func(step int64, content string) error {
		_, err := t.exec("INSERT INTO seal (step, link, state) VALUES (?, ?, ?) ON CONFLICT (step) DO UPDATE SET link = excluded.link, state = excluded.state",
			s.step, s.linked(before, content), s.state)
		return err
	})
}

// lastSeal gives the last seal; one of step 0 where there is none.
func (t *transaction) lastSeal() (s seal, err error) {
	_, err = t.one("SELECT step, link, state FROM seal ORDER BY step DESC LIMIT 1", nil, &s.step, &s.link, &s.state)
	return s, err
}

// moved gives the sum of the shop's rows after the transaction's step from what it was before.
func (t *transaction) moved(state sum) (sum, error) {
	type place struct {
		tab string
		row int64
	}
	seen := map[place]bool{}
	tabs := map[string]bool{}
	err := t.each("SELECT tab, row, before FROM change WHERE step = ? ORDER BY id", []any{t.step}, func(scan func(...any) error) error {
		var at place
		var before *string
		if err := scan(&at.tab, &at.row, &before); err != nil {
			return err
		}
		if !seen[at] && before != nil {
			state = state.minus(rowSum(at.tab, at.row, *before))
		}
		seen[at], tabs[at.tab] = true, true
		return nil
	})
	if err != nil {
		return state, err
	}
	for tab := range tabs {
		columns, err := columnsOf(t.ctx, t.tx, tab)
		if err != nil {
			return state, err
		}
		rows, err := t.added(table{tab, columns}, "WHERE id IN (SELECT row FROM change WHERE step = ? AND tab = ?)", t.step, tab)
		if err != nil {
			return state, err
		}
		state = state.plus(rows)
	}
	return state, nil
}

// added gives the sum of a table's rows.
func (t *transaction) added(tb table, where string, args ...any) (s sum, err error) {
	err = t.each("SELECT id, "+tb.image("")+" FROM "+tb.name+" "+where, args, func(scan func(...any) error) error {
		var row int64
		var image string
		if err := scan(&row, &image); err != nil {
			return err
		}
		s = s.plus(rowSum(tb.name, row, image))
		return nil
	})
	return s, err
}

// state gives the sum of all rows of the shop.
func (t *transaction) state() (s sum, err error) {
	tables, err := tablesIn(t.ctx, t.tx)
	if err != nil {
		return s, err
	}
	for _, tb := range tables {
		rows, err := t.added(tb, "")
		if err != nil {
			return s, err
		}
		s = s.plus(rows)
	}
	return s, nil
}

// contents gives the digests of steps, in order: what each says of itself, and the rows that it changed.
func (t *transaction) contents(from, to int64, f func(step int64, content string) error) error {
	h := sha256.New()
	var at int64
	flush := func() error {
		if at == 0 {
			return nil
		}
		return f(at, hex.EncodeToString(h.Sum(nil)))
	}
	err := t.each(`SELECT s.id, s.at, s.who, s.kind, s.why, coalesce(s.undoes, 0), s.what, coalesce(c.id, 0), coalesce(c.tab, ''), coalesce(c.row, 0), c.before
		FROM step AS s LEFT JOIN change AS c ON c.step = s.id WHERE s.id BETWEEN ? AND ? ORDER BY s.id, c.id`, []any{from, to}, func(scan func(...any) error) error {
		var s Step
		var change, row int64
		var tab string
		var before *string
		if err := scan(&s.ID, &s.At, &s.Who, &s.Kind, &s.Why, &s.Undoes, &s.What, &change, &tab, &row, &before); err != nil {
			return err
		}
		if s.ID != at {
			if err := flush(); err != nil {
				return err
			}
			at = s.ID
			h.Reset()
			put(h, s.At, s.Who, s.Kind, s.Why, fmt.Sprint(s.Undoes), s.What)
		}
		put(h, fmt.Sprint(change), tab, fmt.Sprint(row))
		if before != nil {
			put(h, *before)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return flush()
}

// allSteps is a step's number behind every other.
const allSteps = int64(1) << 62

// sealAll seals a history that has no seals.
func (t *transaction) sealAll() error {
	if _, err := t.exec("DELETE FROM seal"); err != nil {
		return err
	}
	state, err := t.state()
	if err != nil {
		return err
	}
	var seals []seal
	var link string
	if err := t.contents(1, allSteps, func(step int64, content string) error {
		s := seal{step: step}
		s.link = s.linked(link, content)
		link = s.link
		seals = append(seals, s)
		return nil
	}); err != nil {
		return err
	}
	for _, s := range seals {
		if _, err := t.exec("INSERT INTO seal (step, link, state) VALUES (?, ?, ?)", s.step, s.link, s.state); err != nil {
			return err
		}
	}
	if len(seals) == 0 {
		return nil
	}
	return t.sealAnew(state)
}

// sealAnew seals the last step anew, where the shop's rows were changed and not by a step.
func (t *transaction) sealAnew(state sum) error {
	last, err := t.lastSeal()
	if err != nil || last.step == 0 {
		return err
	}
	var before string
	if _, err := t.one("SELECT link FROM seal WHERE step = ?", []any{last.step - 1}, &before); err != nil {
		return err
	}
	return t.keepSeal(seal{step: last.step, state: state.String()}, before)
}

// sealed tells whether a book has seals, and whether the last of them is that of the shop's rows.
func sealed(ctx context.Context, tx *sql.Tx) (has, right bool, err error) {
	t := &transaction{tx: tx, ctx: ctx}
	if has, err = t.has("seal.link"); err != nil || !has {
		return has, false, err
	}
	last, err := t.lastSeal()
	if err != nil {
		return true, false, err
	}
	state, err := t.state()
	return true, last.step == 0 || state.String() == last.state, err
}

// sealedStep makes sure that one step is as it was written: a cheap check, of the last step when a book is opened, and of one before it is taken back.
func (t *transaction) sealedStep(step int64) error {
	var s seal
	var before string
	if _, err := t.one("SELECT step, link, state FROM seal WHERE step = ?", []any{step}, &s.step, &s.link, &s.state); err != nil {
		return err
	}
	if _, err := t.one("SELECT link FROM seal WHERE step = ?", []any{step - 1}, &before); err != nil {
		return err
	}
	right := false
	err := t.contents(step, step, func(_ int64, content string) error {
		right = s.link == s.linked(before, content)
		return nil
	})
	if err == nil && !right {
		return t.notAsWritten(step)
	}
	return err
}

// notAsWritten is the error of a step that somebody or something has changed.
func (t *transaction) notAsWritten(step int64) error {
	return inputError(t.book.path, fmt.Sprintf("step %d in the book is not as it was written", step), checkIt(t.book.path))
}

// trust looks at what costs little: whether the tables, indexes and triggers are those of this program, and whether the last step is closed and as
// it was written.
func (b *Book) trust(ctx context.Context) error {
	return b.read(ctx, func(t *transaction) error {
		there, err := t.schema()
		if err != nil {
			return err
		}
		if schemaSum(there) != newestSchema {
			return inputError(b.path, "the book's tables or triggers are not those that this program makes",
				checkIt(b.path))
		}
		var last int64
		if err := t.row("SELECT coalesce(max(id), 0) FROM step").Scan(&last); err != nil {
			return err
		}
		s, err := t.lastSeal()
		if err != nil {
			return err
		}
		if s.step != last {
			return t.notAsWritten(max(s.step, last))
		}
		if left, err := t.checkOpen(); err != nil || len(left) > 0 {
			if err != nil {
				return err
			}
			return inputError(b.path, left[0].String(), checkIt(b.path))
		}
		if last == 0 {
			return nil
		}
		return t.sealedStep(last)
	})
}

// checkSeals holds every step against its seal, and the shop's rows against the last one.
func (t *transaction) checkSeals() (found []Finding, err error) {
	if known, err := t.has("seal.link"); err != nil || !known {
		return nil, err
	}
	seals := map[int64]seal{}
	if err := t.each("SELECT step, link, state FROM seal", nil, func(scan func(...any) error) error {
		var s seal
		err := scan(&s.step, &s.link, &s.state)
		seals[s.step] = s
		return err
	}); err != nil {
		return nil, err
	}
	last, link := int64(0), ""
	bad := func(step int64, what string) {
		if len(found) < MaxFindings {
			found = append(found, Finding{fmt.Sprintf("step %d", step), what})
		}
	}
	err = t.contents(-allSteps, allSteps, func(step int64, content string) error {
		if step != last+1 {
			bad(last+1, "it is missing from the history")
			link = seals[step-1].link
		}
		s, sealed := seals[step]
		if !sealed || s.link != s.linked(link, content) {
			bad(step, "it is not as it was written, or one before it is not")
		}
		last, link = step, s.link
		return nil
	})
	if err != nil {
		return nil, err
	}
	state, err := t.state()
	if err != nil {
		return nil, err
	}
	if now := seals[last].state; last != 0 && now != state.String() || last == 0 && state != (sum{}) {
		bad(last, "the rows of the shop are not as the last step left them")
	}
	if n := len(seals); int64(n) > last {
		bad(last+1, "there is a seal and no step")
	}
	return found, nil
}

// schema gives the text of every table, index, trigger and view of the book, by what it is called. What SQLite and the keeper of the book's version make for
// themselves is not among them.
func (t *transaction) schema() (map[string]string, error) {
	there := map[string]string{}
	err := t.each(`SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema WHERE name NOT GLOB 'sqlite_*' AND name <> 'version'`, nil, func(scan func(...any) error) error {
		var kind, name, of, text string
		if err := scan(&kind, &name, &of, &text); err != nil {
			return err
		}
		there[kind+" "+name] = of + ": " + strings.Join(strings.Fields(strings.ReplaceAll(text, `"`, "")), " ")
		return nil
	})
	return there, err
}

// schemaSum is the digest of a schema.
func schemaSum(schema map[string]string) string {
	h := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(schema)) {
		put(h, name, schema[name])
	}
	return hex.EncodeToString(h.Sum(nil))
}

// newestSchema is the digest of the schema that the migrations make, so that opening a book need not make them to compare. A test says what it must be.
const newestSchema = "886f7e7d2adc42846386eee8743f112b9f75ec7aa3f404276726045960c34734"

// checkSchema compares what is in the book with what the migrations make.
func (t *transaction) checkSchema() (found []Finding, err error) {
	var version int
	if err := t.row("PRAGMA user_version").Scan(&version); err != nil || version != len(migrations()) {
		return nil, err // a copy from before it is brought up to date
	}
	there, err := t.schema()
	if err != nil || schemaSum(there) == newestSchema {
		return nil, err
	}
	want, err := madeSchema(t.ctx)
	if err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(want)) {
		switch text, known := there[name]; {
		case !known:
			found = append(found, Finding{"the " + name, "it is not there"})
		case text != want[name]:
			found = append(found, Finding{"the " + name, "it is not the one that this program makes"})
		}
	}
	for _, name := range slices.Sorted(maps.Keys(there)) {
		if _, known := want[name]; !known {
			found = append(found, Finding{"the " + name, "no program of ours has made it"})
		}
	}
	return found[:min(len(found), MaxFindings)], nil
}

// madeSchema gives the schema that the migrations make.
func madeSchema(ctx context.Context) (map[string]string, error) {
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if err := migrate(ctx, db); err != nil {
		return nil, err
	}
	return look(ctx, &Book{path: "the book", db: db}, (*transaction).schema)
}
