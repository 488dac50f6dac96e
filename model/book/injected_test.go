package book

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"flag"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/folder"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/runs"
	tabular "longpoint/model/table"
)

var everyCall = flag.Bool("everycall", false, "TestEveryCallFails fails each call of the database in turn, not just the first and the last of each statement")

// errInjected is the error of a call that fails on purpose.
var errInjected = errors.New("the disk fails, in a test")

// failing counts the calls of a database and fails one of them. A call is a statement, the first row of a query, or a commit.
type failing struct {
	at    int // which call fails, from 1 on; 0: none
	calls []string
}

func (f *failing) call(what string) error {
	f.calls = append(f.calls, what)
	if len(f.calls) == f.at {
		return errInjected
	}
	return nil
}

// failingConnector opens connections of the real driver whose calls can fail.
type failingConnector struct {
	real driver.Driver
	at   string
	*failing
}

func (c failingConnector) Connect(context.Context) (driver.Conn, error) {
	conn, err := c.real.Open(c.at)
	return failingConn{conn, c.failing}, err
}

func (c failingConnector) Driver() driver.Driver { return c.real }

// failingConn is what database/sql sees of a connection; the driver's own has all of this.
type failingConn struct {
	driver.Conn
	*failing
}

func (c failingConn) BeginTx(ctx context.Context, o driver.TxOptions) (driver.Tx, error) {
	if err := c.call("BEGIN"); err != nil {
		return nil, err
	}
	tx, err := c.Conn.(driver.ConnBeginTx).BeginTx(ctx, o)
	return failingTx{tx, c.failing}, err
}

func (c failingConn) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	if err := c.call(query); err != nil {
		return nil, err
	}
	return c.Conn.(driver.ExecerContext).ExecContext(ctx, query, args)
}

func (c failingConn) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	if err := c.call(query); err != nil {
		return nil, err
	}
	rows, err := c.Conn.(driver.QueryerContext).QueryContext(ctx, query, args)
	if err != nil {
		return nil, err
	}
	return &failingRows{rows, c.failing, query, false}, nil
}

type failingTx struct {
	driver.Tx
	*failing
}

func (t failingTx) Commit() error {
	if err := t.call("COMMIT"); err != nil {
		return errors.Join(err, t.Rollback())
	}
	return t.Tx.Commit()
}

type failingRows struct {
	driver.Rows
	*failing
	query string
	begun bool
}

func (r *failingRows) Next(row []driver.Value) error {
	if !r.begun {
		r.begun = true
		if err := r.call("first row of " + r.query); err != nil {
			return err
		}
	}
	return r.Rows.Next(row)
}

// openFailing opens a book that is up to date with calls that can fail.
func openFailing(t *testing.T, path string) (*Book, *failing) {
	t.Helper()
	plain := openBook(t, path)
	f := &failing{}
	at := url.URL{Scheme: "file", Path: path, RawQuery: url.Values{"_txlock": {"immediate"}, "_pragma": {"foreign_keys(1)", "journal_mode(wal)", "busy_timeout(10000)"}}.Encode()}
	b := &Book{path: path, db: sql.OpenDB(failingConnector{plain.db.Driver(), at.String(), f}), Now: func() time.Time { return time.Date(2027, 3, 2, 9, 0, 0, 0, time.UTC) }}
	t.Cleanup(func() { must(t, b.Close()) })
	return b, f
}

// chosen are the calls to fail: all, or the first and the last of each that reads the same.
func chosen(calls []string) (at []int) {
	first, last := map[string]int{}, map[string]int{}
	for i, c := range calls {
		if _, known := first[c]; !known {
			first[c] = i
		}
		last[c] = i
	}
	for i, c := range calls {
		if *everyCall || first[c] == i || last[c] == i {
			at = append(at, i+1)
		}
	}
	return at
}

// operation is something that a book is asked for or told, and that it does where nothing fails.
type operation struct {
	name string
	do   func(context.Context, *Book) error
}

// change is an operation that makes a step.
func change(name string, changes ...Change) operation {
	return operation{name, func(ctx context.Context, b *Book) error {
		fresh, err := b.Do(ctx, tester, changes...)
		if err == nil && !fresh {
			return errors.New("it changed nothing")
		}
		return err
	}}
}

// asked is an operation that only reads.
func asked[T any](name string, f func(*Book, context.Context) (T, error)) operation {
	return operation{name, func(ctx context.Context, b *Book) error {
		_, err := f(b, ctx)
		return err
	}}
}

// TestEveryCallFails has every operation on a book fail at its calls of the database, in turn. Each time it must say so, and its transaction must
// leave the book as it was, and then it must work. What is read is never given in part.
func TestEveryCallFails(t *testing.T) {
	used := closed(t, usedShop(t))
	for _, s := range []struct {
		name, path string
		operations []operation
	}{
		{"after a week", used, afterWeek(t, used)},
		{"in the middle of a run", closed(t, runningShop(t)), inRun()},
		{"half cut", closed(t, begunShop(t)), changesOfJobs()},
		{"empty", closed(t, emptyBook(t)), []operation{{"fill", fillOnce}}},
	} {
		for _, o := range s.operations {
			t.Run(s.name+"/"+o.name, func(t *testing.T) { failEveryCall(t, s.path, o) })
		}
	}
}

// emptyBook makes a book with nothing in it and opens it.
func emptyBook(t *testing.T) *Book {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.book")
	must(t, Create(t.Context(), path, nil))
	return openBook(t, path)
}

func fillOnce(ctx context.Context, b *Book) error { return b.Fill(ctx, smallShop(), tester) }

// stateOf closes a book, so that all of it is in its file, and gives the file.
func closed(t *testing.T, b *Book) string {
	t.Helper()
	must(t, b.settle(t.Context()))
	return b.path
}

func failEveryCall(t *testing.T, state string, o operation) {
	ctx := t.Context()
	data, err := os.ReadFile(state)
	must(t, err)
	try := func() (*Book, *failing, string) {
		path := filepath.Join(t.TempDir(), "shop.book")
		must(t, os.WriteFile(path, data, 0o666))
		b, f := openFailing(t, path)
		return b, f, tables(t, b)
	}
	do := func(b *Book, f *failing, at int) error {
		b.lastPlan.Store(nil) // which it would not read again
		f.at, f.calls = at, nil
		defer func() { f.at = 0 }()
		return o.do(ctx, b)
	}
	b, f, before := try()
	if err := do(b, f, 0); err != nil {
		t.Fatalf("where nothing fails: %v", err)
	}
	calls := f.calls
	if before != tables(t, b) {
		b, f, before = try()
	}
	failed := 0
	for _, at := range chosen(calls) {
		err := do(b, f, at)
		if len(f.calls) < at {
			continue // the calls do not come in the same order every time
		}
		failed++
		if err == nil {
			t.Errorf("call %d of %d fails and nobody says so: %s", at, len(calls), strings.Join(strings.Fields(f.calls[at-1]), " "))
		}
		if after := tables(t, b); after != before && slices.Contains(f.calls[:at-1], "COMMIT") {
			if !slices.Contains(calls[at-1:], "COMMIT") && o.name != "back up" && o.name != "plan and order" { // whose last transaction changes nothing
				t.Errorf("call %d of %d fails, and all is done before it: %s", at, len(calls), calls[at-1])
			}
			b, f, before = try() // it was the next transaction of several that failed
		} else if after != before {
			t.Fatalf("call %d of %d fails, and the book has changed: %s", at, len(calls), calls[at-1])
		}
	}
	if failed < 3 {
		t.Errorf("only %d calls failed", failed)
	}
	if err := do(b, f, 0); err != nil {
		t.Errorf("in the end: %v", err)
	}
	sound(t, b)
}

// runningShop is a shop with an order sent and partly here, one that is open, a run that waits for sticks, and a side of it that is cut.
func runningShop(t *testing.T) *Book {
	t.Helper()
	b := newShop(t)
	ctx := t.Context()
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	orders := placeOrders(t, b, id, true)
	receive(t, b, orders[0].ID, Receipt{Arrivals: []Arrival{{Line: 1, Sticks: 1}}})
	_, err := b.Do(ctx, tester, AddToOrder("Invented Timber", "oak-40", 3*model.Metre, 1, model.OptionalMoney{Amount: 1, Given: true}),
		AddBlade(Blade{Name: "set A", Height: 30 * model.Millimetre, Edges: make([]Edge, 2)}), AddBlade(Blade{Name: "set B"}), MountBlade("set A"))
	must(t, err)
	for _, profile := range []string{"oak-40", "black-22"} {
		r := startRun(t, b, profile, id)
		cut(t, b, r.ID, r.Sticks[0].Number, []int{1}, runs.Done)
	}
	sound(t, b)
	return b
}

// begunShop is a shop that has cut a side of two jobs and has finished that run.
func begunShop(t *testing.T) *Book {
	t.Helper()
	b := newShop(t)
	id := keepPlan(t, b, planOf(t, b))
	orders := placeOrders(t, b, id, true)
	receive(t, b, orders[0].ID, Receipt{})
	for _, profile := range []string{"oak-40", "black-22"} {
		r := startRun(t, b, profile, id)
		cut(t, b, r.ID, r.Sticks[0].Number, nil, runs.Done)
		finish(t, b, r.ID, nil)
	}
	keepPlan(t, b, planOf(t, b))
	sound(t, b)
	return b
}

// changesOfJobs are operations that no open run may want other sides for.
func changesOfJobs() []operation {
	day, err := model.ParseDate("2027-05-02")
	if err != nil {
		panic(err)
	}
	return []operation{
		{"start run", func(ctx context.Context, b *Book) error {
			_, _, err := b.StartRun(ctx, "black-22", 0, tester)
			return err
		}},
		asked("standing", func(b *Book, ctx context.Context) (*plan.Document, error) {
			_, d, err := b.Standing(ctx)
			return d, err
		}),
		change("split job", SplitJob("102", "poster", 1, "102b", day)),
		change("change job", ChangeJob("101", func(j *model.Job) error {
			j.Frames[0].Quantity, j.Frames[0].Rings[0].Size.Width, j.Customer = 2, 260*model.Millimetre, "somebody"
			j.Frames = append(j.Frames, model.JobFrame{ID: "more", Quantity: 1, Rings: j.Frames[0].Rings})
			return nil
		})),
		change("drop and take up frame", ChangeJob("102", func(j *model.Job) error { j.Frames = j.Frames[1:]; return nil }), TakeUpFrame("102", "poster")),
		change("dropped", MarkJobs(JobDropped, "103")),
	}
}

// afterWeek are operations on a shop that has cut all it had to.
func afterWeek(t *testing.T, path string) []operation {
	b := openBook(t, path)
	exported := filepath.Join(t.TempDir(), "tables")
	must(t, b.Export(t.Context(), exported, func(w *model.Workshop, past []tabular.Written) error {
		w.Profiles[0].Title, w.Name = "Oak, changed", "Changed"
		w.Jobs = append(w.Jobs, model.Job{ID: "900", Frames: smallShop().Jobs[0].Frames})
		w.Rack = append(w.Rack, model.Stick{ID: "X1", Profile: "oak-40", Length: model.Metre})
		w.Offers[0].Price++
		w.Suppliers[0].Delivery++
		return folder.Export(exported, w, nil)
	}))
	rack, err := b.Rack(t.Context())
	must(t, err)
	stick := rack[0].Name
	day, err := model.ParseDate("2027-05-01")
	must(t, err)
	return []operation{
		asked("workshop", (*Book).Workshop),
		asked("jobs", func(b *Book, ctx context.Context) ([]JobState, error) { return b.Jobs(ctx, true) }),
		asked("job", func(b *Book, ctx context.Context) (JobDetails, error) { return b.Job(ctx, "102") }),
		asked("rack", (*Book).Rack),
		asked("gone", (*Book).Gone),
		asked("steps", func(b *Book, ctx context.Context) ([]Step, error) { return b.Steps(ctx, 100) }),
		asked("stick's life", func(b *Book, ctx context.Context) ([]Event, error) { return b.StickLife(ctx, "S1") }),
		asked("job's life", func(b *Book, ctx context.Context) ([]Event, error) { return b.JobLife(ctx, "102") }),
		asked("plan", func(b *Book, ctx context.Context) (*plan.Document, error) {
			d, _, err := b.Plan(ctx, 0)
			return d, err
		}),
		asked("purchases", func(b *Book, ctx context.Context) ([]Purchase, error) { return b.Purchases(ctx, false) }),
		asked("purchase", func(b *Book, ctx context.Context) (Purchase, error) { return b.Purchase(ctx, 1) }),
		asked("blades", (*Book).Blades),
		asked("yields by profile", func(b *Book, ctx context.Context) ([]Yield, error) { return b.Yields(ctx, ByProfile) }),
		asked("yields by week", func(b *Book, ctx context.Context) ([]Yield, error) { return b.Yields(ctx, ByWeek) }),
		asked("yields by supplier", func(b *Book, ctx context.Context) ([]Yield, error) { return b.Yields(ctx, BySupplier) }),
		asked("offers of a day", func(b *Book, ctx context.Context) ([]model.Offer, error) { return b.OffersOn(ctx, day) }),
		asked("price form", func(b *Book, ctx context.Context) (model.PriceForm, error) {
			return b.PriceForm(ctx, "Invented Timber")
		}),
		asked("undoable", func(b *Book, ctx context.Context) (Step, error) {
			s, _, err := b.Undoable(ctx)
			return s, err
		}),
		asked("rest", func(b *Book, ctx context.Context) (*model.Workshop, error) {
			w, _, err := b.Rest(ctx)
			return w, err
		}),
		asked("sent", func(b *Book, ctx context.Context) (bool, error) { return b.Sent(ctx, "key") }),
		asked("run document", func(b *Book, ctx context.Context) (*runs.Document, error) { return b.RunDocument(ctx, 1) }),
		asked("expected", func(b *Book, ctx context.Context) ([]RackStick, error) {
			all, _, err := b.Expected(ctx, "oak-40")
			return all, err
		}),
		asked("open runs", (*Book).OpenRuns),
		asked("check", func(b *Book, ctx context.Context) ([]Finding, error) {
			found, err := b.Check(ctx)
			if err == nil && len(found) > 0 {
				err = errors.New(found[0].String())
			}
			return found, err
		}),
		{"back up", func(ctx context.Context, b *Book) error {
			if err := b.SetBackups(ctx, Backups{Folder: filepath.Dir(b.path), Every: 1, Keep: 1}); err != nil {
				return err
			}
			_, err := b.BackUp(ctx)
			return err
		}},
		{"export", func(ctx context.Context, b *Book) error {
			return b.Export(ctx, "", func(*model.Workshop, []tabular.Written) error { return nil })
		}},
		{"undo", func(ctx context.Context, b *Book) error { _, err := b.Undo(ctx, 0, tester); return err }},
		{"take in", func(ctx context.Context, b *Book) error {
			jobs := smallShop().Jobs
			for i := range jobs {
				jobs[i].ID = "new " + jobs[i].ID
			}
			_, err := b.TakeIn(ctx, jobs, tester)
			return err
		}},
		{"import", func(ctx context.Context, b *Book) error {
			_, err := importFrom(ctx, b, exported, Importing{})
			return err
		}},
		{"import in place", func(ctx context.Context, b *Book) error {
			_, err := importFrom(ctx, b, exported, Importing{Replace: true})
			return err
		}},
		{"keyed", func(ctx context.Context, b *Book) error {
			_, err := b.Do(ctx, By{Who: "tester", Key: "k"}, Discard(stick))
			if errors.Is(err, ErrSent) {
				err = nil
			}
			return err
		}},
		change("collected", MarkJobs(JobCollected, "103")),
		change("add blade", AddBlade(Blade{Name: "set C", Height: 20 * model.Millimetre})),
		change("change blade", ChangeBlade("set A", 10*model.Millimetre, 0, 2), TurnBlade("set A", 2)),
		change("retire blade", RetireBlade("set A")),
		change("remind", Remind("set A", 3, 4)),
		change("sharpen", Sharpen("set A", 25*model.Millimetre)),
		change("discard and put back", Discard(stick), PutBack(stick), MoveSticks("elsewhere", stick)),
		change("measure", MeasureStick(stick, 200*model.Millimetre, []model.Span{{From: 0, To: model.Millimetre}})),
		change("add sticks", AddSticks(model.Stick{Profile: "oak-40", Length: model.Metre}, 3, nil)),
		change("count", Count("oak-40", Counted{}, nil), Discard(stick)),
		change("price form kept", KeepPriceForm(model.PriceForm{Supplier: "Invented Timber", Article: "Art"})),
		change("add to order", AddToOrder("Invented Timber", "oak-40", model.Metre, 2, model.OptionalMoney{Amount: 900, Given: true})),
	}
}

// inRun are operations on a shop in the middle of its runs.
func inRun() []operation {
	day, err := model.ParseDate("2027-05-02")
	if err != nil {
		panic(err)
	}
	rest := func(ctx context.Context, b *Book) (*runs.Rest, error) {
		return b.RunRest(ctx, 1, FlawStick(1, 1, model.Span{From: 2 * model.Metre, To: 2*model.Metre + 1}, "a knot"))
	}
	return []operation{
		asked("short orders", (*Book).ShortOrders),
		asked("run", func(b *Book, ctx context.Context) (runs.Run, error) { return b.Run(ctx, 1) }),
		asked("open runs", (*Book).OpenRuns),
		asked("rest of a run", func(b *Book, ctx context.Context) (*runs.Rest, error) { return rest(ctx, b) }),
		asked("run document", func(b *Book, ctx context.Context) (*runs.Document, error) { return b.RunDocument(ctx, 1, 2) }),
		asked("standing", func(b *Book, ctx context.Context) (*plan.Document, error) {
			_, d, err := b.Standing(ctx)
			return d, err
		}),
		asked("jobs", func(b *Book, ctx context.Context) ([]JobState, error) { return b.Jobs(ctx, false) }),
		asked("job", func(b *Book, ctx context.Context) (JobDetails, error) { return b.Job(ctx, "101") }),
		asked("workshop", (*Book).Workshop),
		change("send orders", SendOrders(2)),
		change("expect orders", ExpectOrders(day)),
		change("change order", ChangeOrder(2, 1, 4, 2*model.Metre, model.OptionalMoney{Amount: 7, Given: true})),
		change("cancel order", CancelOrder(2)),
		{"receive", func(ctx context.Context, b *Book) error {
			_, err := b.Receive(ctx, 1, Receipt{Arrivals: []Arrival{{Line: 2, Sticks: 2, Length: 2990 * model.Millimetre}}, Complete: true, More: true, Paid: model.OptionalMoney{Amount: 5, Given: true}}, tester)
			return err
		}},
		{"cut", func(ctx context.Context, b *Book) error {
			_, _, err := b.Cut(ctx, 1, 1, nil, runs.Done, tester)
			return err
		}},
		{"torn", func(ctx context.Context, b *Book) error {
			_, _, err := b.Cut(ctx, 1, 1, []int{2}, runs.Torn, tester)
			return err
		}},
		{"flaw", func(ctx context.Context, b *Book) error { _, err := b.Flaw(ctx, 1, 1, "a knot", tester); return err }},
		change("shorten stick", ShortenStick(1, 1, 2*model.Metre)),
		{"finish", func(ctx context.Context, b *Book) error { _, _, err := b.Finish(ctx, 1, nil, tester); return err }},
		change("cut the rest and finish", CutRest(1), FinishRun(1, nil, func(Finished) {})),
		{"plan and order", func(ctx context.Context, b *Book) error {
			w, _, err := b.Rest(ctx)
			if err != nil {
				return err
			}
			d, err := planner.Make(ctx, w, planner.Options{MadeWith: "test"})
			if err != nil {
				return err
			}
			id, err := b.KeepPlan(ctx, d, tester)
			if err != nil {
				return err
			}
			_, _, err = b.PlaceOrders(ctx, id, false, tester)
			return err
		}},
		{"go over", func(ctx context.Context, b *Book) error {
			r, err := rest(ctx, b)
			if err != nil {
				return err
			}
			again, err := planner.Remake(ctx, r.Workshop, r.Plan, r.Events, planner.Options{MadeWith: "test"})
			if err != nil {
				return err
			}
			_, err = b.Do(ctx, tester, FlawStick(1, 1, model.Span{From: 2 * model.Metre, To: 2*model.Metre + 1}, "a knot"), GoOver(r, again.Plan, func(Remade) {}))
			return err
		}},
	}
}

// TestMigrationFails has a call of each kind fail while an old book is brought up to date. It says so, is then of some version, and the next try brings it
// the rest of the way.
func TestMigrationFails(t *testing.T) {
	old := filepath.Join(t.TempDir(), "old.book")
	oldBook(t, old)
	try := func(at int) (f *failing, b *Book, err error) {
		path := filepath.Join(t.TempDir(), "shop.book")
		must(t, copyFile(old, path))
		if b, err = connect(path, readWrite); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { must(t, b.Close()) })
		f = &failing{at: at}
		db := sql.OpenDB(failingConnector{b.db.Driver(), "file:" + path + "?_txlock=immediate&_pragma=foreign_keys(1)", f})
		defer db.Close()
		return f, b, migrate(t.Context(), db)
	}
	f, _, err := try(0)
	must(t, err)
	kinds := map[string]bool{}
	for i, call := range f.calls {
		words := strings.Fields(call)
		kind := strings.Join(words[:min(2, len(words))], " ")
		if kinds[kind] || strings.Contains(call, " version ") { // the keeper of the version asks again
			continue
		}
		kinds[kind] = true
		_, b, err := try(i + 1)
		if err == nil {
			t.Errorf("%q fails and nobody says so", call)
		}
		if left, err := b.version(t.Context()); err != nil || left < oldVersion {
			t.Errorf("after %q it is of version %d, error %v", call, left, err)
		}
		must(t, migrate(t.Context(), b.db))
		sound(t, b)
	}
	if len(kinds) < 8 {
		t.Errorf("only %d kinds of calls", len(kinds))
	}
}

// TestTakeRowsFails has every kind of call fail while a book is written anew: then it has no rows, and else it has all of them.
func TestTakeRowsFails(t *testing.T) {
	used := closed(t, usedShop(t))
	steps := lastStep(t, used)
	b, f := openFailing(t, emptyBook(t).path)
	b.db.SetMaxOpenConns(1)
	_, err := b.db.Exec("PRAGMA foreign_keys = OFF; ATTACH DATABASE '" + used + "' AS damaged")
	must(t, err)
	count := func() (n int) {
		must(t, b.db.QueryRow("SELECT count(*) FROM step").Scan(&n))
		return n
	}
	for at := 1; ; at++ {
		f.at, f.calls = at, nil
		err := b.takeRows(t.Context())
		f.at = 0
		switch n := count(); {
		case len(f.calls) < at:
			t.Fatal("it did everything and no call failed")
		case err != nil && n != 0:
			t.Fatalf("call %d fails and %d steps are there", at, n)
		case err == nil && n != steps:
			t.Fatalf("%d steps, want %d", n, steps)
		case err == nil && !strings.HasPrefix(f.calls[at-1], "INSERT INTO main."):
			t.Fatalf("%q fails and nobody says so", f.calls[at-1])
		case err == nil:
			if at < 20 {
				t.Errorf("only %d calls failed", at)
			}
			return
		}
	}
}
