package book

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
	"longpoint/model/stock"
)

// readers are all that is read of a book at work, each as JSON.
var readers = map[string]func(context.Context, *Book) (any, error){
	"workshop":  func(ctx context.Context, b *Book) (any, error) { return b.Workshop(ctx) },
	"jobs":      func(ctx context.Context, b *Book) (any, error) { return b.Jobs(ctx, true) },
	"job":       func(ctx context.Context, b *Book) (any, error) { return b.Job(ctx, "102") },
	"job life":  func(ctx context.Context, b *Book) (any, error) { return b.JobLife(ctx, "102") },
	"rack":      func(ctx context.Context, b *Book) (any, error) { return b.Rack(ctx) },
	"stick":     func(ctx context.Context, b *Book) (any, error) { return b.StickLife(ctx, "S1") },
	"steps":     func(ctx context.Context, b *Book) (any, error) { return b.Steps(ctx, 100) },
	"purchases": func(ctx context.Context, b *Book) (any, error) { return b.Purchases(ctx, false) },
	"blades":    func(ctx context.Context, b *Book) (any, error) { return b.Blades(ctx) },
	"runs":      func(ctx context.Context, b *Book) (any, error) { return b.OpenRuns(ctx) },
	"run":       func(ctx context.Context, b *Book) (any, error) { return b.Run(ctx, 1) },
	"document":  func(ctx context.Context, b *Book) (any, error) { return b.RunDocument(ctx) },
	"mixed":     func(ctx context.Context, b *Book) (any, error) { return b.MixedLots(ctx) },
	"cut from":  func(ctx context.Context, b *Book) (any, error) { return plain(b.CutFrom(ctx)) },
	"short":     func(ctx context.Context, b *Book) (any, error) { return b.ShortOrders(ctx) },
	"since":     func(ctx context.Context, b *Book) (any, error) { return b.Since(ctx, 1) },
	"rest": func(ctx context.Context, b *Book) (any, error) {
		w, done, err := b.Rest(ctx)
		return []any{w, done}, err
	},
	"plan": func(ctx context.Context, b *Book) (any, error) {
		d, _, err := b.Plan(ctx, 1)
		return d, err
	},
}

// plain gives a map by sides as one that JSON has.
func plain(from map[model.SideID][]string, err error) (any, error) {
	out := map[string][]string{}
	for id, sticks := range from {
		out[fmt.Sprint(id)] = sticks
	}
	return out, err
}

// TestTornTables takes the tables of a book away, one at a time. Whatever is read then is what it was before, or an error: never less.
func TestTornTables(t *testing.T) {
	b := runningShop(t)
	read := func(name string) (string, error) {
		b.lastPlan.Store(nil) // which it would not read again
		v, err := readers[name](t.Context(), b)
		if err != nil {
			return "", err
		}
		data, err := json.Marshal(v)
		must(t, err)
		return string(data), nil
	}
	whole := map[string]string{}
	for name := range readers {
		text, err := read(name)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		whole[name] = text
	}
	failed := 0
	var tables []string
	rows, err := b.db.QueryContext(t.Context(), "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
	must(t, err)
	for rows.Next() {
		var name string
		must(t, rows.Scan(&name))
		tables = append(tables, name)
	}
	must(t, rows.Err())
	other := openBook(t, b.path)
	exec := func(statement string) {
		_, err := other.db.ExecContext(t.Context(), statement)
		must(t, err)
	}
	for _, table := range tables {
		exec(fmt.Sprintf("PRAGMA legacy_alter_table = ON; ALTER TABLE %q RENAME TO torn", table))
		for name := range readers {
			text, err := read(name)
			if err != nil {
				failed++
			} else if d := cmp.Diff(whole[name], text); d != "" {
				t.Errorf("without %s, %s is something else, and nobody says so: %s", table, name, d)
			}
		}
		exec(fmt.Sprintf("ALTER TABLE torn RENAME TO %q", table))
	}
	if failed < 100 {
		t.Errorf("only %d answers failed of %d tables", failed, len(tables))
	}
}

// TestLotsTriedAgain gives two groups lots, of which the first takes the only stick that the second can be cut from, and gives it up again.
func TestLotsTriedAgain(t *testing.T) {
	came := func(lot string, length model.Length) RackStick {
		return RackStick{Name: lot, order: 1, plan: 1, Supplier: "Hill", Length: length, match: "lot " + lot}
	}
	p := plan.ProfilePlan{Sticks: []plan.Stick{{From: plan.Bought, Supplier: "Hill", Length: 1000}, {From: plan.Bought, Supplier: "Hill", Length: 2000}}}
	for _, row := range []struct {
		sticks []RackStick
		want   []int
	}{
		{[]RackStick{came("a", 2000), came("b", 1000)}, []int{1, 0}},
		{[]RackStick{came("b", 1000), came("a", 2000)}, []int{0, 1}},
		{[]RackStick{came("a", 2000), came("b", 500)}, []int{0, -1}},
	} {
		if got := assign(p, 1, []int{0, 1}, row.sticks, []lotGroup{{places: []int{0}}, {places: []int{1}}}); !slices.Equal(got, row.want) {
			t.Errorf("%v get %v, want %v", row.sticks, got, row.want)
		}
	}
}

// TestRunOfOneSide shows the job of a run of which a single side is cut.
func TestRunOfOneSide(t *testing.T) {
	b := squareShop(t)
	_, _, err := b.StartRun(t.Context(), "oak-40", byHand(t, b, "A"), tester)
	must(t, err)
	d, err := b.RunDocument(t.Context())
	must(t, err)
	if len(d.Workshop.Jobs) != 1 || len(d.Plan.Jobs) != 1 || d.Plan.Jobs[0].Job != "101" || d.Plan.Jobs[0].Sides != 1 {
		t.Errorf("the run is for %+v", d.Plan.Jobs)
	}
}

// TestUnevenCopies has three copies of a frame of which the last is cut most and the first a little: both come before the one that is not cut.
func TestUnevenCopies(t *testing.T) {
	b := squareShop(t)
	r, _, err := b.StartRun(t.Context(), "oak-40", byHand(t, b, "A", "B", "C"), tester)
	must(t, err)
	_, _, err = b.Cut(t.Context(), r.ID, 1, nil, runs.Done, tester)
	must(t, err)
	_, _, err = b.Finish(t.Context(), r.ID, nil, tester)
	must(t, err)
	do(t, b, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Quantity = 3; return nil }))
	_, err = b.write(t.Context(), "look", tester, func(tx *transaction) error {
		_, err := tx.exec("UPDATE cut SET copy = 3 WHERE job = '101' AND letter <> 'C'")
		return err
	})
	must(t, err)
	do(t, b, ChangeJob("101", func(j *model.Job) error { j.Frames[0].Quantity = 2; return nil }))
	if j := jobOf(t, b, "101"); j.Sides != 8 || j.Cut != 3 || j.Spoilt != 0 {
		t.Errorf("%+v", j)
	}
	undoAll(t, b)
}

// TestPutBackWhatIsThere tells only of the stick that was gone.
func TestPutBackWhatIsThere(t *testing.T) {
	b := newShop(t)
	do(t, b, Discard("S1"))
	do(t, b, PutBack("S2", "S1"))
	_, last, err := b.Undoable(t.Context())
	must(t, err)
	if !strings.Contains(last.What, "S1 is on the rack after all") || strings.Contains(last.What, "S2") {
		t.Errorf("it says %q", last.What)
	}
}

// TestCopyIsClosed leaves nothing open of a copy that is checked.
func TestCopyIsClosed(t *testing.T) {
	path := closed(t, newShop(t))
	copied := filepath.Join(t.TempDir(), "copy.book")
	must(t, copyFile(path, copied))
	_, err := checkCopy(t.Context(), copied)
	must(t, err)
	open, err := filepath.Glob("/proc/self/fd/*")
	must(t, err)
	for _, fd := range open {
		if to, err := os.Readlink(fd); err == nil && strings.HasPrefix(to, copied) {
			t.Errorf("%s is open still", to)
		}
	}
}

// lateContext ends after it has been asked so often whether it has.
type lateContext struct {
	context.Context
	left *int
}

func (c lateContext) Err() error {
	if *c.left--; *c.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestStoppedWhileTrying is stopped at every moment of trying a log that is of another book: it is never taken for the book's own.
func TestStoppedWhileTrying(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.book")
	_, err := usedShop(t).Backup(t.Context(), path)
	must(t, err)
	anotherLog(t, path)
	for n := 0; n < 60; n += 1 + n/3 {
		left := n
		if err := tryLog(lateContext{t.Context(), &left}, path); err == nil {
			t.Errorf("stopped when it asks for the %d. time, it takes the log", n+1)
		}
	}
}

// TestBusyWhileCopied has somebody write in a book all the time while it is read as a copy: the copies that were made in vain are taken away.
func TestBusyWhileCopied(t *testing.T) {
	path := closed(t, newShop(t))
	apart := t.TempDir()
	t.Setenv("TMPDIR", apart)
	over, quiet := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(quiet)
		for n := int64(0); ; n++ {
			select {
			case <-over:
				return
			default:
				_ = os.Chtimes(path, time.Unix(n, 0), time.Unix(n, 0))
			}
		}
	}()
	for tries, failed := 0, false; tries < 100 && !failed; tries++ {
		b, err := openApart(t.Context(), path)
		if err == nil {
			must(t, b.Close())
			continue
		}
		var busy *model.Error
		if !errors.As(err, &busy) || !strings.Contains(busy.What, "the book is busy") {
			t.Errorf("%v", err)
		}
		failed = true
	}
	close(over)
	<-quiet
	left, err := os.ReadDir(apart)
	must(t, err)
	if len(left) > 0 {
		t.Errorf("%d copies are left", len(left))
	}
}

// TestUnwantedInRest tells the planner that what is cut and not wanted any more is done: nothing of the run is to be made in its place.
func TestUnwantedInRest(t *testing.T) {
	b := squareShop(t)
	ctx := t.Context()
	w, err := b.Workshop(ctx)
	must(t, err)
	more := w.Jobs[slices.IndexFunc(w.Jobs, func(j model.Job) bool { return j.ID == "101" })]
	more.ID = "109"
	_, err = b.TakeIn(ctx, []model.Job{more}, tester)
	must(t, err)
	byHand(t, b, "A", "B", "C", "D")
	d, _, err := b.Plan(ctx, 0)
	must(t, err)
	for n := range 2 { // C and D are those of the other job
		side := &d.Profiles[0].Sticks[0].Sides[2+n]
		side.Job, side.Letter = "109", []string{"A", "B"}[n]
	}
	id, err := b.KeepPlan(ctx, d, tester)
	must(t, err)
	r, _, err := b.StartRun(ctx, "oak-40", id, tester)
	must(t, err)
	_, _, err = b.Cut(ctx, r.ID, 1, []int{1, 2}, runs.Done, tester)
	must(t, err)
	do(t, b, ChangeJob("101", func(j *model.Job) error {
		j.Frames[0].Rings[0].Size.Width += 10 * model.Millimetre
		j.Frames[0].Rings[0].Size.Height += 10 * model.Millimetre
		return nil
	}))
	rest, err := b.RunRest(ctx, r.ID, FlawStick(r.ID, 1, model.Span{From: 2100 * model.Millimetre, To: 2101 * model.Millimetre}, "a knot"))
	must(t, err)
	done := 0
	for _, e := range rest.Events {
		if e.Became != stock.Done && e.Side > 0 {
			t.Errorf("%+v", e)
		}
		if e.Became == stock.Done {
			done++
		}
	}
	if done != 2 {
		t.Errorf("%d sides are done: %+v", done, rest.Events)
	}
}
