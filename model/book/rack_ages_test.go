package book

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"longpoint/model"

	"github.com/google/go-cmp/cmp"
)

// TestAges makes a step a day and asks how old things are, and which files of the folder are copies of the book.
func TestAges(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	on := func(b *Book, day int) {
		b.Now = func() time.Time { return time.Date(2027, 3, day, 12, 0, 0, 0, time.Local) }
	}
	path := filepath.Join(dir, "shop.book")
	for n, path := range []string{path, filepath.Join(dir, "another.book"), filepath.Join(dir, "empty.book")} {
		must(t, Create(ctx, path, func(b *Book) error {
			if on(b, n+1); n == 2 {
				return nil
			}
			return b.Fill(ctx, smallShop(), tester)
		}))
	}
	must(t, os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("no book"), 0o666))
	b := openBook(t, path)
	if b.Path() != path {
		t.Errorf("the book is %s, not %s", b.Path(), path)
	}
	on(b, 2)
	do(t, b, MoveSticks("elsewhere", "S1"))
	on(b, 3)
	do(t, b, MeasureStick("S2", 700*model.Millimetre, nil))
	on(b, 4)
	do(t, b, AddToOrder("Invented Timber", "oak-40", 3*model.Metre, 2, model.OptionalMoney{Amount: 900, Given: true}))
	do(t, b, SendOrders(1))
	came := receive(t, b, 1, Receipt{Arrivals: []Arrival{{Line: 1, Sticks: 1}, {Line: 1, Sticks: 1, Length: 2990 * model.Millimetre}}})
	on(b, 5)
	do(t, b, Count("black-22", Counted{}, nil))
	monday := filepath.Join(dir, "monday.book")
	_, err := b.Backup(ctx, monday)
	must(t, err)
	day := func(n int) string { return fmt.Sprintf("2027-03-%02d", n) }
	steps := int64(7)
	want := Ages{
		Sticks: map[string]StickAge{"S1": {Since: day(2)}, "S2": {Since: day(3), Measured: true}, "S3": {Since: day(1), Measured: true}, "S4": {Since: day(1), Measured: true},
			came[0]: {Since: day(4), AsBought: true}, came[1]: {Since: day(4)}},
		Prices: map[string]string{"Invented Timber": day(1)},
		Copies: []Copy{{monday, day(5), steps}},
		Steps:  steps,
	}
	ages := func() {
		t.Helper()
		got, err := b.Ages(ctx)
		must(t, err)
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("want -, got +:\n%s", d)
		}
	}
	ages()

	on(b, 6)
	must(t, b.SetBackups(ctx, Backups{Folder: t.TempDir(), Every: 1, Keep: 1}))
	do(t, b, Discard("S1"))
	file, err := b.BackUp(ctx)
	must(t, err)
	delete(want.Sticks, "S1")
	want.Steps++
	want.Copies = append(want.Copies, Copy{file, day(6), want.Steps})
	ages()

	empty, err := openBook(t, filepath.Join(dir, "empty.book")).Ages(ctx)
	must(t, err)
	if empty.Steps != 0 || len(empty.Sticks)+len(empty.Copies) > 0 {
		t.Errorf("of an empty book: %+v", empty)
	}
	stopped, stop := context.WithCancel(ctx)
	stop()
	_, err = b.Ages(stopped)
	wantError(t, err, model.BadUsage, "this was stopped")
}

// TestLocalDay: a time that is none is given as it stands.
func TestLocalDay(t *testing.T) {
	noon := time.Date(2027, 3, 2, 12, 0, 0, 0, time.Local).UTC().Format(time.RFC3339)
	for at, want := range map[string]string{noon: "2027-03-02", "yesterday": "yesterday"} {
		if got := localDay(at); got != want {
			t.Errorf("%s is on %s, want %s", at, got, want)
		}
	}
}

// TestCopiesNotFound asks for the copies of a book whose file or folder cannot be looked at, or where the asking is ended: an error each time, never a
// shorter list.
func TestCopiesNotFound(t *testing.T) {
	path := closed(t, newShop(t))
	ask := func(ctx context.Context, at string) error {
		b := openBook(t, path)
		b.path = at
		all, err := b.copies(ctx, "")
		if len(all) > 0 {
			t.Errorf("%s: copies %v", at, all)
		}
		return err
	}
	wantError(t, ask(t.Context(), filepath.Join(filepath.Dir(path), "gone.book")), model.BadUsage, "there is no such file")
	ended, stop := context.WithCancel(t.Context())
	stop()
	if err := ask(ended, path); err == nil {
		t.Error("no error when it is ended")
	}
}
