package book

import (
	"bufio"
	"context"
	"crypto/sha256"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/planner"
	"longpoint/model/runs"
)

var (
	kills    = flag.Int("kills", 40, "how many times TestKills kills a process at work")
	killSeed = flag.Uint64("kill-seed", 42, "the seed of TestKills")
)

func init() {
	workers["shop"] = workInShop
	workers["migrate"] = workAtMigration
	workers["create"] = workAtCreation
}

// TestKills starts processes that work on a book, kills each at a random moment, and demands that the book opens, is sound, and is
// what it was before the step that the kill hit or after it, never between: a process notes the state of the book before it
// begins a step and after it has ended one, and a state that it noted neither of must be one undo away from the last it noted.
func TestKills(t *testing.T) {
	r := rand.New(rand.NewPCG(*killSeed, 42))
	dir := t.TempDir()
	path := filepath.Join(dir, "shop.book")
	must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
	table := filepath.Join(dir, "offers.csv")
	must(t, os.WriteFile(table, []byte(offersTable()), 0o644))
	young := filepath.Join(dir, "young.book")
	oldBook(t, young)
	outcomes := map[string]int{}
	if testing.Short() {
		*kills = 8
	}
	for n := range *kills {
		switch {
		case n%8 == 6:
			outcomes[killMigration(t, r, young, n)]++
		case n%8 == 7:
			outcomes[killCreation(t, r, n)]++
		default:
			outcomes[killShop(t, r, path, table, n)]++
		}
		if t.Failed() {
			t.Fatalf("kill %d", n)
		}
	}
	t.Logf("%d kills: %v", *kills, outcomes)
	if *kills >= 40 && (outcomes["in a step, not done"]+outcomes["in a step, done"] == 0 || len(outcomes) < 4) {
		t.Errorf("the kills hit nothing: %v", outcomes)
	}
}

// offersTable is a table of offers that takes a while to import.
func offersTable() string {
	var b strings.Builder
	b.WriteString("supplier,profile,stick_length,price\nInvented Timber,oak-40,3000,21.50\nInvented Timber,black-22,3000,9.90\n")
	for i := range 400 {
		fmt.Fprintf(&b, "Store %d,oak-40,%d,9.%02d\n", i, 2000+i, i%100)
	}
	return b.String()
}

// again starts the test program as a worker and gives what it prints.
func again(t *testing.T, work string, args ...string) (*exec.Cmd, io.Reader) {
	t.Helper()
	c := exec.Command(os.Args[0], args...)
	c.Args = append([]string{os.Args[0]}, args...)
	c.Env = append(os.Environ(), workVariable+"="+work)
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	must(t, err)
	must(t, c.Start())
	return c, out
}

// killAfter waits for the worker's first word, then for a random time, and kills it. It gives all that the worker printed.
func killAfter(t *testing.T, r *rand.Rand, most time.Duration, c *exec.Cmd, out io.Reader) string {
	t.Helper()
	in := bufio.NewReader(out)
	first, err := in.ReadString('\n')
	if err != nil {
		t.Fatalf("the worker said nothing: %v", err)
	}
	rest := make(chan string)
	go func() {
		text, _ := io.ReadAll(in)
		rest <- string(text)
	}()
	time.Sleep(time.Duration(r.Int64N(int64(most))))
	must(t, c.Process.Kill())
	text := <-rest
	c.Wait() // says only that it was killed
	if strings.Contains(first+text, "failed:") {
		t.Errorf("the worker failed by itself: %s", first+text)
	}
	return first + text
}

// killShop kills a process that goes round the week.
func killShop(t *testing.T, r *rand.Rand, path, table string, n int) string {
	c, out := again(t, "shop", path, table, fmt.Sprint(n))
	const most = 250 * time.Millisecond
	lines := strings.Split(strings.TrimSpace(killAfter(t, r, most, c, out)), "\n")
	last := lines[len(lines)-1]
	b := openBook(t, path)
	defer b.db.Close()
	sound(t, b)
	word, noted, _ := strings.Cut(last, " ")
	if state(t, b) == noted {
		if word == "before" {
			return "in a step, not done"
		}
		return "between steps"
	}
	if word == "after" {
		t.Errorf("kill %d: the book is not what it was after its last step", n)
	}
	steps, err := b.Steps(t.Context(), 1)
	must(t, err)
	if steps[0].Kind == undoKind { // which cannot be undone itself
		return "in an undo, done"
	}
	_, err = b.Undo(t.Context(), 0, tester)
	must(t, err)
	if state(t, b) != noted {
		t.Errorf("kill %d: the book is neither before its step nor after it", n)
	}
	return "in a step, done"
}

// state is a digest of everything in the book but its history.
func state(t *testing.T, b *Book) string {
	t.Helper()
	s, err := stateOf(context.Background(), b)
	must(t, err)
	return s
}

func stateOf(ctx context.Context, b *Book) (string, error) {
	h := sha256.New()
	err := b.read(ctx, func(tx *transaction) error {
		tables, err := tablesIn(ctx, tx.tx)
		if err != nil {
			return err
		}
		for _, tb := range tables {
			for cells, err := range tx.rows(tb, formatOf(nil)) {
				if err != nil {
					return err
				}
				fmt.Fprintf(h, "%q\n", cells)
			}
		}
		return nil
	})
	return fmt.Sprintf("%x", h.Sum(nil)), err
}

// workInShop goes round the week until it is killed: args are the book, a table to import, and a seed.
func workInShop() int {
	args := os.Args[1:]
	seed, err := strconv.ParseUint(args[2], 10, 64)
	if err != nil {
		return complain(err)
	}
	ctx := context.Background()
	b, err := Open(ctx, args[0])
	if err != nil {
		return complain(err)
	}
	r := rand.New(rand.NewPCG(seed, 1))
	for round := 0; ; round++ {
		s, err := stateOf(ctx, b)
		if err != nil {
			return complain(err)
		}
		fmt.Println("before", s)
		if err := doSomething(ctx, b, r, args[1]); err != nil {
			return complain(err)
		}
		if s, err = stateOf(ctx, b); err != nil {
			return complain(err)
		}
		fmt.Println("after", s)
	}
}

func complain(err error) int {
	fmt.Println("failed:", err)
	return 1
}

// doSomething does one step of the week's round, whichever can be done now. What the book refuses is no error.
func doSomething(ctx context.Context, b *Book, r *rand.Rand, table string) error {
	open, err := b.OpenRuns(ctx)
	if err != nil {
		return err
	}
	switch move := r.IntN(10); {
	case move == 0:
		_, err = importFrom(ctx, b, table, Importing{Replace: r.IntN(2) == 0})
	case move == 1:
		var standing int64
		if readErr := b.db.QueryRowContext(ctx, "SELECT max(id) FROM step AS s WHERE undoes IS NULL AND NOT EXISTS (SELECT 1 FROM step WHERE undoes = s.id)").Scan(&standing); readErr != nil || standing == 1 {
			return readErr // the shop itself is not to be undone
		}
		_, err = b.Undo(ctx, 0, tester)
	case move == 2:
		w, _, readErr := b.Rest(ctx)
		if readErr != nil {
			return readErr
		}
		d, planErr := planner.Make(ctx, w, planner.Options{MadeWith: fmt.Sprint(r.IntN(1000)), Workers: 1})
		if planErr != nil {
			return nil // the rack has become too small: that is the shop's business
		}
		_, err = b.KeepPlan(ctx, d, tester)
	case move == 3:
		_, _, err = b.PlaceOrders(ctx, 0, false, tester)
	case move == 4:
		orders, readErr := b.Purchases(ctx, true)
		if readErr != nil || len(orders) == 0 {
			return readErr
		}
		_, err = b.Receive(ctx, orders[0].ID, Receipt{}, tester)
	case move == 5:
		_, _, err = b.StartRun(ctx, []string{"oak-40", "black-22"}[r.IntN(2)], 0, tester)
	case move == 6:
		_, err = b.TakeIn(ctx, []model.Job{{ID: fmt.Sprintf("K%d", r.IntN(1e6)), Frames: []model.JobFrame{{ID: "f", Quantity: 1,
			Rings: []model.Ring{{Profile: "oak-40", Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByOutside, Width: 300 * model.Millimetre, Height: 400 * model.Millimetre}}}}}}}, tester)
	case move == 7 && len(open) > 0:
		_, _, err = b.Finish(ctx, open[0].ID, nil, tester)
	case len(open) > 0:
		run, readErr := b.Run(ctx, open[0].ID)
		if readErr != nil {
			return readErr
		}
		_, _, err = b.Cut(ctx, run.ID, run.Sticks[r.IntN(len(run.Sticks))].Number, nil, runs.Done, tester)
	}
	if refused(err) {
		return nil
	}
	return err
}

// killMigration kills a process that brings a copy of an old book forward.
func killMigration(t *testing.T, r *rand.Rand, young string, n int) string {
	path := filepath.Join(t.TempDir(), fmt.Sprintf("old-%d.book", n))
	data, err := os.ReadFile(young)
	must(t, err)
	must(t, os.WriteFile(path, data, 0o644))
	c, out := again(t, "migrate", path)
	const most = 150 * time.Millisecond
	text := killAfter(t, r, most, c, out)
	b, err := connect(path, readWrite)
	must(t, err)
	version, err := b.version(t.Context())
	must(t, err)
	sound(t, b)
	must(t, b.db.Close())
	again := openBook(t, path)
	defer again.db.Close()
	sound(t, again)
	jobs, err := again.Jobs(t.Context(), true)
	must(t, err)
	if len(jobs) != 3 {
		t.Errorf("%d jobs are left", len(jobs))
	}
	if _, err := os.Stat(BackupName(path, oldVersion)); err != nil {
		t.Errorf("no backup: %v", err)
	}
	if strings.Contains(text, "done") {
		return "after a migration"
	}
	return fmt.Sprintf("in a migration, version %d", version)
}

func workAtMigration() int {
	fmt.Println("start")
	b, err := Open(context.Background(), os.Args[1])
	if err != nil {
		return complain(err)
	}
	fmt.Println("done")
	b.Close()
	time.Sleep(time.Minute)
	return 0
}

// killCreation kills a process that makes a new book: it is there whole, or not at all.
func killCreation(t *testing.T, r *rand.Rand, n int) string {
	path := filepath.Join(t.TempDir(), fmt.Sprintf("new-%d.book", n))
	c, out := again(t, "create", path)
	const most = 60 * time.Millisecond
	killAfter(t, r, most, c, out)
	if _, err := os.Stat(path); err != nil {
		return "no new book yet"
	}
	b := openBook(t, path)
	defer b.db.Close()
	sound(t, b)
	w, err := b.Workshop(t.Context())
	must(t, err)
	if len(w.Jobs) != 3 {
		t.Errorf("%d jobs are in the new book", len(w.Jobs))
	}
	return "a new book"
}

func workAtCreation() int {
	fmt.Println("start")
	err := Create(context.Background(), os.Args[1], func(b *Book) error { return b.Fill(context.Background(), smallShop(), tester) })
	if err != nil {
		return complain(err)
	}
	time.Sleep(time.Minute)
	return 0
}
