package book

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/runs"
)

// tester is who makes the steps of tests.
var tester = By{Who: "tester", Why: "a test"}

// smallShop is an invented workshop of two profiles with something in every field that a book keeps.
func smallShop() *model.Workshop {
	due, err := model.ParseDate("2027-04-06")
	if err != nil {
		panic(err)
	}
	size := func(width, height model.Length) model.Size {
		return model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: width * model.Millimetre, Height: height * model.Millimetre}
	}
	return &model.Workshop{
		Name: "Invented shop, \"Corner\"", Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Machine: model.Machine{Name: "Invented guillotine", Type: model.Guillotine, Overrun: model.Millimetre / 2, Shave: 2 * model.Millimetre,
			Bite: 15 * model.Millimetre, FinishingBite: 2 * model.Millimetre, Unit: model.Millimetres,
			Limits: model.Limits{ShortestSide: model.OptionalLength{Length: 120 * model.Millimetre, Given: true}, Stops: 2,
				LeastAngle: model.OptionalAngle{Angle: 22_500_000, Given: true}}},
		Defaults: model.Defaults{Allowance: 3 * model.Millimetre, RackShare: 50, OffcutShare: 10, Keep: model.OptionalLength{Length: 300 * model.Millimetre, Given: true}},
		Profiles: []model.Profile{
			{Name: "oak-40", Title: "Plain oak; \"waxed\"", Width: 40 * model.Millimetre, Rebate: 8 * model.Millimetre, Keep: 300 * model.Millimetre,
				Metre: model.OptionalMoney{Amount: 712, Given: true}, OffcutShare: model.OptionalShare{Percent: 20, Given: true},
				Match: model.MatchPair, Repeat: 12 * model.Millimetre, SetUp: "rest at 4\nnotch at 2"},
			{Name: "black-22", Title: "Black, flat", Width: model.Inch, Rebate: model.Inch / 4, Finish: "matt", HeadTrim: 5 * model.Millimetre, Keep: 400 * model.Millimetre},
		},
		Suppliers: []model.Supplier{{Name: "Invented Timber", FreeFrom: model.OptionalMoney{Amount: 90000, Given: true}, LeastMoney: model.OptionalMoney{Amount: 2500, Given: true}, LeastSticks: 2, Delivery: 790}},
		Offers: []model.Offer{
			{Supplier: "Invented Timber", Profile: "oak-40", Length: 3 * model.Metre, Bundle: 1, From: 1, Price: 2100},
			{Supplier: "Invented Timber", Profile: "oak-40", Length: 2400 * model.Millimetre, Bundle: 1, From: 1, Price: 1750, Until: due},
			{Supplier: "Invented Timber", Profile: "black-22", Length: 3 * model.Metre, Bundle: 1, From: 1, Price: 960},
			{Supplier: "Invented Timber", Profile: "black-22", Length: 3 * model.Metre, Bundle: 1, From: 1, Price: 961},
		},
		Rack: []model.Stick{
			{ID: "S1", Profile: "oak-40", Length: 2290 * model.Millimetre, Place: "left"},
			{ID: "S2", Profile: "oak-40", Length: 770*model.Millimetre + 1, Place: "left", Offcut: true, Lot: "L7"},
			{ID: "S3", Profile: "black-22", Length: 3 * model.Metre, Value: model.OptionalMoney{Amount: 333, Given: true}},
			{ID: "S4", Profile: "black-22", Length: 1250 * model.Millimetre,
				Damage: []model.Span{{From: 0, To: 5 * model.Millimetre}, {From: 1200 * model.Millimetre, To: 1250 * model.Millimetre}}},
		},
		Jobs: []model.Job{
			{ID: "101", Customer: "walk-in", Due: due, Note: "glass: \"museum\"\nring first", Frames: []model.JobFrame{
				{ID: "print", Quantity: 1, Rings: []model.Ring{{Profile: "oak-40", Allowance: 3 * model.Millimetre, Size: size(250, 420)}}}}},
			{ID: "102", Customer: "library", Due: due, Match: model.MatchLot, Frames: []model.JobFrame{
				{ID: "poster", Quantity: 2, Rings: []model.Ring{{Profile: "black-22", Allowance: 3 * model.Millimetre, Size: size(500, 700)}}},
				{ID: "nested", Quantity: 1, Rings: []model.Ring{{Profile: "black-22", Allowance: 3 * model.Millimetre, Size: size(200, 300)},
					{Profile: "oak-40", Allowance: model.Millimetre}}}}},
			{ID: "103", Customer: "school", Frames: []model.JobFrame{
				{ID: "mirror", Quantity: 1, Rings: []model.Ring{{Profile: "black-22", Allowance: 3 * model.Millimetre,
					Size: model.Size{Shape: model.Shape{Sides: 6}, By: model.ByRebate, Width: 400 * model.Millimetre, Across: true}}}}}},
		},
	}
}

// newShop makes a book of the small shop and opens it.
func newShop(t *testing.T) *Book {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.book")
	must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
	return openBook(t, path)
}

// openBook opens a book and closes it when the test is over.
func openBook(t *testing.T, path string) *Book {
	t.Helper()
	b, err := Open(t.Context(), path)
	must(t, err)
	t.Cleanup(func() { must(t, b.Close()) })
	return b
}

// do makes changes.
func do(t *testing.T, b *Book, changes ...Change) (fresh bool) {
	t.Helper()
	fresh, err := b.Do(t.Context(), tester, changes...)
	must(t, err)
	return fresh
}

// keepPlan, placeOrders, receive, startRun, cut and finish do what the book's methods of these names do, as the tester, and fail the test where these fail.
func keepPlan(t *testing.T, b *Book, d *plan.Document) int64 {
	t.Helper()
	id, err := b.KeepPlan(t.Context(), d, tester)
	must(t, err)
	return id
}

func placeOrders(t *testing.T, b *Book, planID int64, sent bool) []Purchase {
	t.Helper()
	orders, _, err := b.PlaceOrders(t.Context(), planID, sent, tester)
	must(t, err)
	return orders
}

func receive(t *testing.T, b *Book, purchase int64, r Receipt) []string {
	t.Helper()
	names, err := b.Receive(t.Context(), purchase, r, tester)
	must(t, err)
	return names
}

func startRun(t *testing.T, b *Book, profile string, planID int64) runs.Run {
	t.Helper()
	r, _, err := b.StartRun(t.Context(), profile, planID, tester)
	must(t, err)
	return r
}

func cut(t *testing.T, b *Book, run int64, stick int, places []int, became string) runs.Run {
	t.Helper()
	r, _, err := b.Cut(t.Context(), run, stick, places, became, tester)
	must(t, err)
	return r
}

func finish(t *testing.T, b *Book, run int64, keep map[int]model.Length) Finished {
	t.Helper()
	f, _, err := b.Finish(t.Context(), run, keep, tester)
	must(t, err)
	return f
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// sound demands that nothing is wrong with a book.
func sound(t *testing.T, b *Book) {
	t.Helper()
	found, err := b.Check(context.Background())
	must(t, err)
	for _, f := range found {
		t.Error(f)
	}
}

// wantError demands an error of a kind that says something.
func wantError(t *testing.T, err error, kind model.ErrorKind, words ...string) {
	t.Helper()
	e, ok := errors.AsType[*model.Error](err)
	if !ok {
		if es, several := errors.AsType[model.Errors](err); several && len(es) > 0 {
			e, ok = es[0], true
		}
	}
	if !ok {
		t.Fatalf("the error is %v, and no *model.Error", err)
	}
	if e.Kind != kind {
		t.Errorf("%v: kind %d, want %d", err, e.Kind, kind)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%v: it does not say %q", err, w)
		}
	}
	if strings.Contains(err.Error(), "\n") && kind != model.Fault && len(words) > 0 {
		if _, several := errors.AsType[model.Errors](err); !several {
			t.Errorf("more than one line: %q", err.Error())
		}
	}
}

// withoutPlaces leaves out where something stands, which differs from store to store.
var withoutPlaces = cmpopts.IgnoreTypes(model.Place{})

// TestRoundTrip puts a workshop in and demands it back.
func TestRoundTrip(t *testing.T) {
	b := newShop(t)
	got, err := b.Workshop(t.Context())
	must(t, err)
	if diff := cmp.Diff(smallShop(), got, withoutPlaces, cmpopts.EquateComparable(model.Date{}), cmp.AllowUnexported(time.Time{})); diff != "" {
		t.Error(diff)
	}
	sound(t, b)
}

// TestPlansAlike demands the same plan of a book as of the workshop in memory.
func TestPlansAlike(t *testing.T) {
	b := newShop(t)
	w, err := b.Workshop(t.Context())
	must(t, err)
	from, err := planner.Make(t.Context(), smallShop(), planner.Options{MadeWith: "test"})
	must(t, err)
	to, err := planner.Make(t.Context(), w, planner.Options{MadeWith: "test"})
	must(t, err)
	if diff := cmp.Diff(from, to); diff != "" {
		t.Error(diff)
	}
}

// TestNotABook gives one clear sentence for each thing that is no book.
func TestNotABook(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		must(t, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	other := filepath.Join(dir, "other.db")
	o, err := connect(other, readWrite)
	must(t, err)
	_, err = o.db.Exec("CREATE TABLE x (y)")
	must(t, err)
	must(t, o.db.Close())
	newer := filepath.Join(dir, "newer.book")
	must(t, Create(t.Context(), newer, nil))
	n, err := connect(newer, readWrite)
	must(t, err)
	_, err = n.db.Exec("PRAGMA user_version = 99")
	must(t, err)
	must(t, n.db.Close())
	for _, c := range []struct{ name, path, says string }{
		{"nothing", filepath.Join(dir, "none"), "there is no such file"},
		{"a folder", dir, "this is a folder"},
		{"an empty file", file("empty", ""), "not a book"},
		{"a text", file("text", strings.Repeat("a book of words\n", 100)), "not a book"},
		{"a database of another program", other, "another program"},
		{"a newer book", newer, "version 99"},
		{"a device", "/dev/null", "not a file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Open(t.Context(), c.path)
			wantError(t, err, model.BadInput, c.says)
			_, err = OpenToRead(t.Context(), c.path)
			wantError(t, err, model.BadInput, c.says)
		})
	}
	damaged := filepath.Join(dir, "damaged.book")
	must(t, Create(t.Context(), damaged, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
	data, err := os.ReadFile(damaged)
	must(t, err)
	for i := 4096; i < len(data); i++ {
		data[i] ^= 0x55
	}
	must(t, os.WriteFile(damaged, data, 0o644))
	if b, failed := Open(t.Context(), damaged); failed == nil {
		defer b.Close()
		_, err = b.Workshop(t.Context())
	} else {
		err = failed
	}
	wantError(t, err, model.BadInput, "damaged")
}

// TestCreateReplacesNothing makes sure that a new book takes the place of nothing and leaves nothing behind.
func TestCreateReplacesNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "shop.book")
	must(t, os.WriteFile(path, []byte("mine"), 0o644))
	wantError(t, Create(t.Context(), path, nil), model.BadUsage, "something of this name")
	wantError(t, Create(t.Context(), filepath.Join(dir, "none", "shop.book"), nil), model.BadUsage, "no such file or folder")
	failed := errors.New("no")
	if err := Create(t.Context(), filepath.Join(dir, "other.book"), func(*Book) error { return failed }); !errors.Is(err, failed) {
		t.Errorf("error %v", err)
	}
	left, err := os.ReadDir(dir)
	must(t, err)
	if len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
}

// TestNoChangeOutsideAStep makes sure that nobody can change a row and not say so.
func TestNoChangeOutsideAStep(t *testing.T) {
	b := newShop(t)
	for _, query := range []string{"UPDATE job SET note = 'x'", "DELETE FROM ring", "INSERT INTO supplier (name) VALUES ('x')"} {
		if _, err := b.db.Exec(query); err == nil || !strings.Contains(err.Error(), "outside a step") {
			t.Errorf("%s: error %v", query, err)
		}
	}
	tables, err := tablesIn(t.Context(), b.db)
	must(t, err)
	if len(tables) != len(keys) {
		t.Errorf("%d tables, want %d", len(tables), len(keys))
	}
	for _, table := range tables {
		for _, event := range []string{"insert", "update", "delete"} {
			var n int
			must(t, b.db.QueryRow("SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND name = ?", "log_"+table.name+"_"+event).Scan(&n))
			if n != 1 {
				t.Errorf("table %s has no trigger for %s", table.name, event)
			}
		}
	}
	var all int
	must(t, b.db.QueryRow("SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name NOT IN ('step', 'change', 'open_step', 'seal', 'press', 'backup', 'version', 'sqlite_sequence')").Scan(&all))
	if all != len(keys) {
		t.Errorf("the file has %d tables and the program knows %d", all, len(keys))
	}
}

// oldBook makes a book of the oldest version that is still met, as its program left it.
func oldBook(t *testing.T, path string) {
	t.Helper()
	text, err := os.ReadFile("testdata/version-2.sql")
	must(t, err)
	b, err := connect(path, readWrite)
	must(t, err)
	b.db.SetMaxOpenConns(1)
	_, err = b.db.Exec("PRAGMA foreign_keys = OFF; BEGIN; " + string(text) + "COMMIT")
	must(t, err)
	must(t, b.db.Close())
}

// oldVersion is the version of oldBook.
const oldVersion = 2

// TestMigration brings an old book forward, after a backup, and refuses to read it before. Everything that was done in it can still be
// taken back: the rows that a step wrote down are from before a column was.
func TestMigration(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.book")
	oldBook(t, path)
	_, err := OpenToRead(t.Context(), path)
	wantError(t, err, model.BadInput, "older version 2")
	b := openBook(t, path)
	sound(t, b)
	jobs, err := b.Jobs(t.Context(), true)
	must(t, err)
	if len(jobs) != 3 {
		t.Errorf("%d jobs", len(jobs))
	}
	copied, err := connect(BackupName(path, oldVersion), frozen)
	must(t, err)
	defer copied.db.Close()
	if v, err := copied.version(t.Context()); err != nil || v != oldVersion {
		t.Errorf("the backup has version %d, error %v", v, err)
	}
	sound(t, copied)
	undoAll(t, b)
}
