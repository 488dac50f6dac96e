package book

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"longpoint/model"
)

// Importing says how an import is done.
type Importing struct {
	DryRun  bool // only say what would change
	Replace bool // rows of an imported table that the file does not have are taken out
}

// Report says what an import changed, or would change.
type Report struct {
	Lines    []ReportLine `json:"lines"`
	New      int          `json:"new"`
	Changed  int          `json:"changed"`
	Gone     int          `json:"gone"`
	Same     int          `json:"same"`
	Restored bool         `json:"restored"`          // a whole book with its history, of which rows are counted only
	Skipped  []string     `json:"skipped,omitempty"` // tables of history, which only an empty book takes
}

// ReportLine is one row that changed.
type ReportLine struct {
	Table string   `json:"table"`
	Row   string   `json:"row"`  // as people tell it apart
	What  string   `json:"what"` // new, changed or gone
	Cells []string `json:"cells,omitempty"`
}

// String gives the line as it is printed.
func (l ReportLine) String() string {
	sign := map[string]string{"new": "+", "changed": "~", "gone": "-"}[l.What]
	s := fmt.Sprintf("%s %s %s", sign, l.Table, l.Row)
	if len(l.Cells) > 0 {
		s += ": " + strings.Join(l.Cells, ", ")
	}
	return s
}

// Import takes tables in from a folder of CSV files, a CSV file or a workbook, all in one step or not at all. A row that the
// book has already, by what people tell rows of its table apart, is changed; another is new. The book must be sound
// afterwards. A book that nothing was ever done in takes history in as well, and is then what was exported.
func (b *Book) Import(ctx context.Context, path string, how Importing, by By) (r Report, err error) {
	src, err := openSource(path)
	if err != nil {
		return r, err
	}
	defer src.close()
	r.Lines = []ReportLine{}
	_, err = b.write(ctx, "import", by, func(t *transaction) error {
		im := &importer{t: t, src: src, how: how, report: &r, rows: map[string]map[int64]model.Place{}}
		if err := im.run(); err != nil {
			return err
		}
		t.tell("took in tables from %s: %s new, %d changed, %d gone", filepath.Base(path), count(r.New, "row"), r.Changed, r.Gone)
		if how.DryRun {
			return errDry
		}
		return nil
	})
	if errors.Is(err, errDry) {
		err = nil
	}
	if err != nil {
		return Report{}, err
	}
	return r, nil
}

// importer is one import.
type importer struct {
	t       *transaction
	src     *source
	how     Importing
	report  *Report
	format  format
	restore bool
	rows    map[string]map[int64]model.Place // where each row that was written stands in the files
	// valueless are new sticks of which it is not said what they cost.
	valueless []int64
}

func (im *importer) run() error {
	t := im.t
	if _, err := t.exec("PRAGMA defer_foreign_keys = ON"); err != nil {
		return err
	}
	tables, err := tablesIn(t.ctx, t.tx)
	if err != nil {
		return err
	}
	if im.format, err = t.format(); err != nil {
		return err
	}
	var fresh bool
	if err := t.row("SELECT NOT EXISTS (SELECT 1 FROM step WHERE id <> ?)", t.step).Scan(&fresh); err != nil {
		return err
	}
	_, hasSteps := im.src.tables["step"]
	_, hasChanges := im.src.tables["change"]
	im.restore = fresh && hasSteps && hasChanges
	gone := map[string][]int64{}
	for _, table := range tables {
		open, given := im.src.tables[table.name]
		if !given {
			continue
		}
		if gone[table.name], err = im.table(table, open); err != nil {
			return err
		}
		if table.name == "workshop" {
			if im.format, err = t.format(); err != nil {
				return err
			}
		}
	}
	if err := im.takeOut(tables, gone); err != nil {
		return err
	}
	if err := im.valueSticks(); err != nil {
		return err
	}
	if err := im.history(); err != nil {
		return err
	}
	if err := im.references(); err != nil {
		return err
	}
	return t.sound("nothing was imported; put it right in the files")
}

// valueSticks puts into new sticks the money that planning reckons they are worth, where the files do not say what they cost.
func (im *importer) valueSticks() error {
	if len(im.valueless) == 0 {
		return nil
	}
	w, err := im.t.workshop()
	if err != nil {
		return err
	}
	for _, id := range im.valueless {
		all, err := im.t.sticks(w, "s.id = ?", id)
		if err != nil {
			return err
		}
		for _, s := range all { // none where its profile is missing, which is said below
			if _, err := im.t.exec("UPDATE stick SET cost_minor = ? WHERE id = ?", s.Worth, id); err != nil {
				return err
			}
		}
	}
	return nil
}

// table takes one table in and gives the ids of the rows that the file does not have.
func (im *importer) table(tb table, open func() (rowReader, error)) (gone []int64, err error) {
	r, err := open()
	if err != nil {
		return nil, err
	}
	defer r.close()
	at, err := heading(tb, r)
	if err != nil || at == nil {
		return nil, err
	}
	var there map[string][]existing
	if !im.restore {
		if there, err = im.existing(tb); err != nil {
			return nil, err
		}
	}
	im.rows[tb.name] = map[int64]model.Place{}
	for {
		line, cells, err := r.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		values, err := im.values(tb, at, r, line, cells)
		if err != nil {
			return nil, err
		}
		if err := im.row(tb, at, r, line, values, there); err != nil {
			return nil, err
		}
	}
	if im.how.Replace {
		for _, rest := range there {
			for _, e := range rest {
				gone = append(gone, e.id)
			}
		}
		slices.Sort(gone)
	}
	return gone, nil
}

// heading finds the table's columns in the first row: for each column its cell, -1 for none. An empty file has no columns (nil).
func heading(tb table, r rowReader) (at []int, err error) {
	line, cells, err := r.next()
	if errors.Is(err, io.EOF) {
		return nil, &model.Error{Kind: model.BadInput, What: "the table has no heading", Where: r.place(0, ""), Do: "its columns are " + fileColumns(tb)}
	}
	if err != nil {
		return nil, err
	}
	at = slices.Repeat([]int{-1}, len(tb.columns))
	for i, cell := range cells {
		name := strings.ToLower(strings.TrimSpace(cell))
		if name == "" {
			continue
		}
		c, found := tb.column(name)
		if !found || tb.columns[c].file() != name {
			return nil, &model.Error{Kind: model.BadInput, What: fmt.Sprintf("table %s has no column %q", tb.name, name), Where: r.place(line, name),
				Do: "its columns are " + fileColumns(tb)}
		}
		if at[c] >= 0 {
			return nil, &model.Error{Kind: model.BadInput, What: "the column stands in the heading twice", Where: r.place(line, name), Do: "take one away"}
		}
		at[c] = i
	}
	for i, c := range tb.columns {
		needed := !c.optional && c.preset == "" && (c.name != "id" || slices.Contains(tb.key, "id"))
		if at[i] < 0 && needed {
			return nil, &model.Error{Kind: model.BadInput, What: "the column is missing", Where: r.place(line, c.file()), Do: "add it to the heading"}
		}
	}
	return at, nil
}

func fileColumns(tb table) string {
	names := make([]string, len(tb.columns))
	for i, c := range tb.columns {
		names[i] = c.file()
	}
	return strings.Join(names, ", ")
}

// existing is a row of the book.
type existing struct {
	id     int64
	values []any
}

// existing reads a table's rows by their keys.
func (im *importer) existing(tb table) (map[string][]existing, error) {
	there := map[string][]existing{}
	err := im.t.each("SELECT "+tb.names()+" FROM "+tb.name+" ORDER BY id", nil, func(scan func(...any) error) error {
		values := make([]any, len(tb.columns))
		into := make([]any, len(tb.columns))
		for i := range values {
			into[i] = &values[i]
		}
		if err := scan(into...); err != nil {
			return err
		}
		k := tb.keyOf(values)
		there[k] = append(there[k], existing{values[0].(int64), values})
		return nil
	})
	return there, err
}

// keyOf joins the values that people tell rows apart by.
func (tb table) keyOf(values []any) string {
	parts := make([]string, len(tb.key))
	for i, name := range tb.key {
		c, _ := tb.column(name)
		parts[i] = fmt.Sprint(values[c])
	}
	return strings.Join(parts, "\x1f")
}

// values reads the cells of a row: one value a column, in the table's order; unset for what is not given.
func (im *importer) values(tb table, at []int, r rowReader, line int, cells []string) ([]any, error) {
	known := map[int]bool{}
	values := make([]any, len(tb.columns))
	for i, c := range tb.columns {
		text := ""
		if at[i] >= 0 {
			known[at[i]] = true
			if at[i] < len(cells) {
				text = cells[at[i]]
			}
		}
		v, err := im.format.value(c, text)
		if err != nil {
			return nil, placed(err, r.place(line, c.file()))
		}
		values[i] = v
	}
	for i, cell := range cells {
		if !known[i] && strings.TrimSpace(cell) != "" {
			return nil, &model.Error{Kind: model.BadInput, What: "the row has a cell too many: " + strconv.Quote(cell), Where: r.place(line, ""),
				Do: "put a cell with a separator in it in quotation marks"}
		}
	}
	return values, nil
}

// placed puts a place to an error of a value.
func placed(err error, where model.Place) error {
	if e, ok := errors.AsType[*model.Error](err); ok {
		own := *e
		own.Where = where
		return &own
	}
	return &model.Error{Kind: model.BadInput, What: err.Error(), Where: where, Do: "correct the cell"}
}

// unset is the value of a blank cell that the book fills in: a new row gets the column's preset, one that is there keeps its own.
type unset struct{}

// dates are the columns that hold a day, which a spreadsheet may have made a number of.
var dates = []string{"due", "until", "placed", "arrived", "started", "finished", "came", "day"}

var serialDigits = 5 // of a day between 1927 and 2173 as spreadsheets number it

// value reads a cell.
func (f format) value(c column, text string) (any, error) {
	plain := strings.TrimSpace(text)
	if plain == "" && c.kind != words && c.kind != spans || plain == "" && c.optional {
		if c.optional {
			return nil, nil
		}
		if c.preset != "" || c.name == "id" {
			return unset{}, nil
		}
		return nil, &model.Error{What: "nothing is given here", Kind: model.BadInput, Do: "fill it in"}
	}
	switch c.kind {
	case words:
		return wordsValue(c, text, plain)
	case length:
		l, err := model.ParseLength(plainNumber(plain), model.Millimetres)
		return int64(l), err
	case money:
		m, err := model.ParseMoney(plainNumber(plain), f.currency)
		return int64(m), err
	case degrees:
		a, err := model.ParseAngle(plainNumber(plain))
		return int64(a), err
	case spans:
		return parseSpansCell(plain)
	case blob:
		data, err := base64.StdEncoding.DecodeString(plain)
		if err != nil {
			return nil, &model.Error{Kind: model.BadInput, What: "this is not base64", Do: "leave the cell as it was exported"}
		}
		return data, nil
	}
	n, err := strconv.ParseInt(plain, 10, 64)
	if err != nil {
		return nil, &model.Error{Kind: model.BadInput, What: strconv.Quote(plain) + " is not a whole number", Do: "write one, such as 3"}
	}
	return n, nil
}

// wordsValue reads a text. A blank one where the column has a preset other than a blank is that preset.
func wordsValue(c column, text, plain string) (any, error) {
	if slices.Contains(dates, c.name) && plain != "" {
		if n, err := strconv.Atoi(plain); err == nil && len(plain) == serialDigits {
			if day, err := excelize.ExcelDateToTime(float64(n), false); err == nil {
				return day.Format(time.DateOnly), nil
			}
		}
		d, err := model.ParseDate(plain)
		return d.String(), err
	}
	if plain == "" && c.preset != "" && c.preset != "''" {
		return unset{}, nil
	}
	return clean(text), nil
}

// plainNumber takes back what a spreadsheet does to a number that it keeps in binary: 17 digits instead of the 15 that are
// meant (IEEE 754-2019: a double holds every decimal number of 15 digits).
func plainNumber(text string) string {
	const meant = 15
	if len(text) <= meant+1 || !strings.Contains(text, ".") {
		return text
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	return strconv.FormatFloat(mustParse(strconv.FormatFloat(v, 'g', meant, 64)), 'f', -1, 64)
}

// mustParse reads a number that was just written.
func mustParse(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err)
	}
	return v
}

// parseSpansCell reads damaged parts in millimetres: "0 to 45; 1200 to 1260".
func parseSpansCell(text string) (any, error) {
	if text == "" {
		return "", nil
	}
	all, err := model.ParseSpans(text, model.Millimetres)
	if err != nil {
		return nil, err
	}
	for i, s := range all {
		if s.To <= s.From || i > 0 && all[i-1].To > s.From {
			return nil, &model.Error{Kind: model.BadInput, What: strconv.Quote(text) + " are no parts of a stick that lie apart",
				Do: "write where each begins and ends, from the head on, like 0 to 45; 1200 to 1260"}
		}
	}
	return spansText(all), nil
}

// row writes one row: a new one, or over the one that people would call the same.
func (im *importer) row(tb table, at []int, r rowReader, line int, values []any, there map[string][]existing) error {
	if im.restore {
		im.report.New++
		return im.insertRow(tb, r, line, values, true)
	}
	k := tb.keyOf(im.filled(tb, values))
	if same := there[k]; len(same) > 0 {
		there[k] = same[1:]
		return im.update(tb, at, r, line, same[0], values)
	}
	im.report.New++
	im.report.Lines = append(im.report.Lines, ReportLine{Table: tb.name, Row: im.shown(tb, im.filled(tb, values)), What: "new"})
	return im.insertRow(tb, r, line, values, slices.Contains(tb.key, "id"))
}

// filled gives the values with the presets in place of what is not given.
func (im *importer) filled(tb table, values []any) []any {
	out := slices.Clone(values)
	for i, v := range out {
		if v != (any)(unset{}) {
			continue
		}
		preset := tb.columns[i].preset
		if text, quoted := strings.CutPrefix(preset, "'"); quoted {
			out[i] = strings.TrimSuffix(text, "'")
		} else if n, err := strconv.ParseInt(preset, 10, 64); err == nil {
			out[i] = n
		}
	}
	return out
}

// shown gives the values that people tell a row apart by.
func (im *importer) shown(tb table, values []any) string {
	parts := make([]string, len(tb.key))
	for i, name := range tb.key {
		c, _ := tb.column(name)
		parts[i] = im.format.cell(tb.columns[c], values[c])
		if parts[i] == "" {
			parts[i] = "–"
		}
	}
	return strings.Join(parts, " / ")
}

func (im *importer) insertRow(tb table, r rowReader, line int, values []any, withID bool) error {
	var pairs []any
	valued := true
	for i, c := range tb.columns {
		if values[i] == (any)(unset{}) || c.name == "id" && !withID {
			valued = valued && !(tb.name == "stick" && c.name == "cost_minor")
			continue
		}
		pairs = append(pairs, c.name, values[i])
	}
	id, err := im.t.insert(tb.name, pairs...)
	if err != nil {
		return im.refused(tb, r, line, err)
	}
	if !valued {
		im.valueless = append(im.valueless, id)
	}
	im.rows[tb.name][id] = r.place(line, "")
	return nil
}

// update writes what differs.
func (im *importer) update(tb table, at []int, r rowReader, line int, old existing, values []any) error {
	var set, cells []string
	var args []any
	for i, c := range tb.columns {
		if at[i] < 0 || c.name == "id" || values[i] == (any)(unset{}) || reflect.DeepEqual(values[i], old.values[i]) {
			continue
		}
		set, args = append(set, c.name+" = ?"), append(args, values[i])
		cells = append(cells, fmt.Sprintf("%s %s → %s", c.file(), orBlank(im.format.cell(c, old.values[i])), orBlank(im.format.cell(c, values[i]))))
	}
	im.rows[tb.name][old.id] = r.place(line, "")
	if len(set) == 0 {
		im.report.Same++
		return nil
	}
	im.report.Changed++
	im.report.Lines = append(im.report.Lines, ReportLine{Table: tb.name, Row: im.shown(tb, old.values), What: "changed", Cells: cells})
	if _, err := im.t.exec("UPDATE "+tb.name+" SET "+strings.Join(set, ", ")+" WHERE id = ?", append(args, old.id)...); err != nil {
		return im.refused(tb, r, line, err)
	}
	return nil
}

func orBlank(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}

// codeBehind is the number of its error that SQLite's driver puts behind the text.
var codeBehind = regexp.MustCompile(` \(\d+\)$`)

// oneWord finds the names in such a text.
var oneWord = regexp.MustCompile(`\w+`)

// refused makes an error with row and column of what the book's own rules do not take.
func (im *importer) refused(tb table, r rowReader, line int, err error) error {
	e, ok := errors.AsType[*sqlite.Error](err)
	if !ok || e.Code()&primary != sqlite3.SQLITE_CONSTRAINT {
		return err
	}
	column := ""
	for _, word := range oneWord.FindAllString(e.Error(), -1) {
		if i, found := tb.column(word); found && word != "id" {
			column = tb.columns[i].file()
			break
		}
	}
	what := "the book's rules do not take this: " + e.Error()
	switch e.Code() {
	case sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY:
		what = "there is such a row already, in the book or further up"
	case sqlite3.SQLITE_CONSTRAINT_CHECK:
		what = "what is given here cannot be: " + strings.TrimPrefix(codeBehind.ReplaceAllString(e.Error(), ""), "constraint failed: CHECK constraint failed: ")
	}
	return &model.Error{Kind: model.BadInput, What: what, Where: r.place(line, column), Do: "correct the row; nothing was imported"}
}

// takeOut deletes rows that the files do not have, from the tables that refer to others first.
func (im *importer) takeOut(tables []table, gone map[string][]int64) error {
	for _, tb := range slices.Backward(tables) {
		for _, id := range gone[tb.name] {
			values := make([]any, len(tb.columns))
			into := make([]any, len(tb.columns))
			for i := range values {
				into[i] = &values[i]
			}
			if err := im.t.row("SELECT "+tb.names()+" FROM "+tb.name+" WHERE id = ?", id).Scan(into...); err != nil {
				return err
			}
			im.report.Gone++
			im.report.Lines = append(im.report.Lines, ReportLine{Table: tb.name, Row: im.shown(tb, values), What: "gone"})
			if _, err := im.t.exec("DELETE FROM "+tb.name+" WHERE id = ?", id); err != nil {
				return err
			}
		}
	}
	return nil
}

// references finds rows that refer to what is not there, and says where they stand.
func (im *importer) references() error {
	var errs model.Errors
	err := im.t.each(`SELECT k."table", k.rowid, k.parent, (SELECT l."from" FROM pragma_foreign_key_list(k."table") AS l WHERE l.id = k.fkid LIMIT 1)
		FROM pragma_foreign_key_check AS k LIMIT ?`, []any{MaxFindings}, func(scan func(...any) error) error {
		var name, parent, column string
		var id int64
		if err := scan(&name, &id, &parent, &column); err != nil {
			return err
		}
		where, known := im.rows[name][id]
		if !known {
			where = model.Place{File: im.t.book.path + ", table " + name, Line: int(id)}
		}
		where.Column = column
		errs = append(errs, &model.Error{Kind: model.BadInput, What: "there is no such " + parent, Where: where,
			Do: "import the table " + parent + " with it, or correct the name"})
		return nil
	})
	if err != nil {
		return err
	}
	return errs.AsError()
}

// history takes steps and changes in where the book has none of its own.
func (im *importer) history() error {
	t := im.t
	past, err := historyIn(t.ctx, t.tx)
	if err != nil {
		return err
	}
	if !im.restore {
		for _, tb := range past {
			if _, given := im.src.tables[tb.name]; given {
				im.report.Skipped = append(im.report.Skipped, tb.name)
			}
		}
		return nil
	}
	im.report.Restored = true
	for _, query := range []string{"DELETE FROM open_step", "DELETE FROM change", "DELETE FROM step"} {
		if _, err := t.exec(query); err != nil {
			return err
		}
	}
	t.restored = true
	for _, tb := range past {
		if _, err := im.table(tb, im.src.tables[tb.name]); err != nil {
			return err
		}
	}
	return nil
}
