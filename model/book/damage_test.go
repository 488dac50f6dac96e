package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"longpoint/model"
)

var (
	damaged    = flag.Int("damaged", 60, "how many books TestDamage damages")
	damageSeed = flag.Uint64("damage-seed", 1, "the seed of TestDamage")
)

// damages are ways in which a book is damaged; each gives what it did.
var damages = []func(t *testing.T, r *rand.Rand, path string) string{
	flipBytes, cutOff, movePages,
	dropSomething, addSomething, changeRow, changeRow, loseStep, swapSteps, changeHistory, leaveOpen,
}

// TestDamage damages copies of a used book at random, and demands that none is called sound whose answers are others than before, that nothing of it is
// called a fault of ours, and that what is refused says what to do.
func TestDamage(t *testing.T) {
	b := usedShop(t)
	whole := filepath.Join(t.TempDir(), "whole.book")
	_, err := b.Backup(t.Context(), whole)
	must(t, err)
	want := answers(t, whole)
	if strings.Contains(want, "error:") {
		t.Fatalf("the whole book has errors: %s", want)
	}
	r := rand.New(rand.NewPCG(*damageSeed, 1))
	outcomes := map[string]int{}
	for n := range *damaged {
		path := filepath.Join(t.TempDir(), "damaged.book")
		must(t, copyFile(whole, path))
		how := damages[n%len(damages)](t, r, path)
		got, called := answers(t, path), checked(t, path)
		switch {
		case called == "sound" && got != want:
			t.Errorf("damage %d, %s: called sound, and answers otherwise:\n%s", n, how, firstDifference(want, got))
		case called == "sound":
			outcomes["sound, same answers"]++
		default:
			outcomes[called]++
		}
		must(t, os.Remove(path))
	}
	t.Logf("%d damaged: %v", *damaged, outcomes)
}

// checked says what a check makes of a book.
func checked(t *testing.T, path string) string {
	b, err := OpenToCheck(t.Context(), path)
	if err != nil {
		explained(t, err)
		return "not opened"
	}
	defer b.Close()
	found, err := b.Check(t.Context())
	switch {
	case err != nil:
		explained(t, explain(path, err))
		return "not checked"
	case len(found) > 0:
		return "not sound"
	}
	return "sound"
}

// answers gives what a book answers to all sorts of questions. What is no error of the user's material is a fault.
func answers(t *testing.T, path string) string {
	var all strings.Builder
	note := func(value any, err error) {
		if err != nil {
			explained(t, err)
			fmt.Fprintln(&all, "error:", err)
			return
		}
		text, err := json.Marshal(value)
		must(t, err)
		all.Write(append(text, '\n'))
	}
	b, err := OpenToRead(t.Context(), path)
	if err != nil {
		note(nil, err)
		return all.String()
	}
	defer b.Close()
	ctx := context.Background()
	w, err := b.Workshop(ctx)
	note(w, err)
	w, sides, err := b.Rest(ctx)
	note(w, err)
	note(sides, nil)
	jobs, err := b.Jobs(ctx, true)
	note(jobs, err)
	steps, err := b.Steps(ctx, 1000)
	note(steps, err)
	d, _, err := b.Plan(ctx, 0)
	note(d, err)
	for _, stick := range []string{"S1", "P1-1"} {
		life, err := b.StickLife(ctx, stick)
		note(life, err)
	}
	orders, err := b.Purchases(ctx, true)
	note(orders, err)
	for id := range int64(4) {
		run, err := b.Run(ctx, id+1)
		if id < 2 {
			note(run, err)
		}
	}
	state, err := stateOf(ctx, b)
	note(state, explain(path, err))
	return strings.ReplaceAll(all.String(), path, "the book")
}

// explained demands an error that a person can act on.
func explained(t *testing.T, err error) {
	t.Helper()
	e, ok := errors.AsType[*model.Error](err)
	if all, several := errors.AsType[model.Errors](err); several {
		e, ok = all[0], true
	}
	if !ok || e.Kind == model.Fault || e.Do == "" {
		t.Errorf("not for people: %v", err)
	}
}

func firstDifference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range a {
		if i >= len(b) || a[i] != b[i] {
			return fmt.Sprintf("%.300s\n%.300s", a[i], strings.Join(b[min(i, len(b)):], "\n"))
		}
	}
	return ""
}

// inFile changes the bytes of a file.
func inFile(t *testing.T, path string, change func(data []byte) []byte) {
	data, err := os.ReadFile(path)
	must(t, err)
	must(t, os.WriteFile(path, change(data), 0o666))
}

func flipBytes(t *testing.T, r *rand.Rand, path string) string {
	var at []int
	inFile(t, path, func(data []byte) []byte {
		for range 1 + r.IntN(8) {
			i := r.IntN(len(data))
			at = append(at, i)
			data[i] ^= byte(1 + r.IntN(255))
		}
		return data
	})
	return fmt.Sprintf("flipped bytes at %v", at)
}

func cutOff(t *testing.T, r *rand.Rand, path string) string {
	var at int
	inFile(t, path, func(data []byte) []byte {
		at = r.IntN(len(data))
		return data[:at]
	})
	return fmt.Sprintf("cut off at %d", at)
}

// movePages puts a page where another was, or nothing.
func movePages(t *testing.T, r *rand.Rand, path string) string {
	const size = 4096
	var from, to int
	inFile(t, path, func(data []byte) []byte {
		from, to = r.IntN(len(data)/size), r.IntN(len(data)/size)
		if r.IntN(3) == 0 {
			clear(data[to*size : (to+1)*size])
		} else {
			copy(data[to*size:(to+1)*size], slices.Clone(data[from*size:(from+1)*size]))
		}
		return data
	})
	return fmt.Sprintf("page %d over page %d", from, to)
}

// withoutGuard does statements on a book that nothing guards.
func withoutGuard(t *testing.T, path string, f func(db *sql.DB)) {
	b, err := connect(path, readWrite)
	must(t, err)
	b.db.SetMaxOpenConns(1)
	_, err = b.db.Exec("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON; PRAGMA recursive_triggers = OFF")
	must(t, err)
	f(b.db)
	must(t, b.db.Close())
}

// unguarded does a statement in a book without its triggers, and puts them back. What the book refuses all the same is not done.
func unguarded(t *testing.T, path, statement string) string {
	withoutGuard(t, path, func(db *sql.DB) {
		rows, err := db.Query("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
		must(t, err)
		var names []string
		for rows.Next() {
			var name string
			must(t, rows.Scan(&name))
			names = append(names, name)
		}
		must(t, rows.Err())
		for _, name := range names {
			_, err := db.Exec("DROP TRIGGER " + name)
			must(t, err)
		}
		if _, err := db.Exec(statement); err != nil {
			statement += ", which was refused: " + err.Error()
		}
		tx, err := db.Begin()
		must(t, err)
		must(t, writeTriggers(t.Context(), tx))
		must(t, tx.Commit())
	})
	return statement
}

func dropSomething(t *testing.T, r *rand.Rand, path string) (did string) {
	withoutGuard(t, path, func(db *sql.DB) {
		var kind, name string
		must(t, db.QueryRow("SELECT type, name FROM sqlite_schema WHERE type IN ('trigger', 'index', 'table') AND sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY name LIMIT 1 OFFSET ?", r.IntN(110)).Scan(&kind, &name))
		did = "DROP " + kind + " " + name
		_, err := db.Exec(did)
		must(t, err)
	})
	return did
}

func addSomething(t *testing.T, r *rand.Rand, path string) string {
	all := []string{
		"CREATE TRIGGER helper AFTER INSERT ON job BEGIN DELETE FROM job WHERE id = NEW.id; END",
		"CREATE TRIGGER helper AFTER INSERT ON step BEGIN DELETE FROM change; END",
		"ALTER TABLE offer RENAME TO offer_2; CREATE VIEW offer AS SELECT * FROM offer_2",
		"ALTER TABLE job ADD COLUMN colour TEXT",
		"CREATE INDEX mine ON job(note)",
		"CREATE TABLE mine (x TEXT)",
	}
	did := all[r.IntN(len(all))]
	withoutGuard(t, path, func(db *sql.DB) {
		_, err := db.Exec(did)
		must(t, err)
	})
	return did
}

// changeRow changes a cell of the shop, or takes a row away.
func changeRow(t *testing.T, r *rand.Rand, path string) string {
	tab := keys[r.IntN(len(keys))]
	b, err := connect(path, frozen)
	must(t, err)
	columns, err := columnsOf(t.Context(), b.db, tab)
	must(t, err)
	must(t, b.db.Close())
	if r.IntN(4) == 0 {
		return unguarded(t, path, fmt.Sprintf("DELETE FROM %s WHERE id = (SELECT max(id) FROM %s)", tab, tab))
	}
	c := columns[1+r.IntN(len(columns)-1)]
	value := c.name + " + 1"
	if c.kind == words || c.kind == spans {
		value = c.name + " || 'x'"
	} else if r.IntN(3) == 0 {
		value = "9200000000000000000"
	}
	if r.IntN(6) == 0 {
		value = "NULL"
	}
	return unguarded(t, path, fmt.Sprintf("UPDATE %s SET %s = %s WHERE id = (SELECT min(id) FROM %s)", tab, c.name, value, tab))
}

// lastStep is the last step of a book.
func lastStep(t *testing.T, path string) (last int) {
	withoutGuard(t, path, func(db *sql.DB) { must(t, db.QueryRow("SELECT max(id) FROM step").Scan(&last)) })
	return last
}

func loseStep(t *testing.T, r *rand.Rand, path string) string {
	n := 1 + r.IntN(lastStep(t, path))
	return unguarded(t, path, fmt.Sprintf("DELETE FROM change WHERE step = %[1]d; DELETE FROM seal WHERE step = %[1]d; DELETE FROM step WHERE id = %[1]d", n))
}

func swapSteps(t *testing.T, r *rand.Rand, path string) string {
	a := 1 + r.IntN(lastStep(t, path)-1)
	return unguarded(t, path, fmt.Sprintf(`UPDATE step SET id = 9999 WHERE id = %[1]d; UPDATE step SET id = %[1]d WHERE id = %[2]d; UPDATE step SET id = %[2]d WHERE id = 9999;
		UPDATE change SET step = 9999 WHERE step = %[1]d; UPDATE change SET step = %[1]d WHERE step = %[2]d; UPDATE change SET step = %[2]d WHERE step = 9999`, a, a+1))
}

func changeHistory(t *testing.T, r *rand.Rand, path string) string {
	n := 1 + r.IntN(40)
	return unguarded(t, path, []string{
		fmt.Sprintf("UPDATE change SET before = substr(before, 1, 20) WHERE id = (SELECT id FROM change WHERE before IS NOT NULL LIMIT 1 OFFSET %d)", n),
		fmt.Sprintf("UPDATE change SET before = NULL WHERE id = (SELECT id FROM change WHERE before IS NOT NULL LIMIT 1 OFFSET %d)", n),
		fmt.Sprintf("UPDATE change SET row = row + 1 WHERE id = %d", n),
		fmt.Sprintf("DELETE FROM change WHERE id = %d", n),
		"UPDATE step SET what = what || '!' WHERE id = 2",
		"UPDATE seal SET state = ''",
		"UPDATE seal SET link = 'x' WHERE step = 3",
		"DELETE FROM seal",
	}[r.IntN(8)])
}

func leaveOpen(t *testing.T, r *rand.Rand, path string) string {
	return unguarded(t, path, []string{
		"INSERT INTO open_step (id, step) SELECT 1, max(id) FROM step",
		"INSERT INTO open_step (id, step) VALUES (1, 1)",
		"INSERT INTO step (at, who, kind) VALUES ('2027-01-01T00:00:00Z', 'x', 'x')",
	}[r.IntN(3)])
}
