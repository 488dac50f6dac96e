package book

import (
	"context"
	"database/sql"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/folder"
	tabular "longpoint/model/table"
)

var rivalry = flag.Duration("rivalry", 3*time.Second, "how long TestRivals lets processes compete")

func init() {
	workers["writer"] = workAsWriter
	workers["reader"] = workAsReader
}

// refused tells an error that is an answer to the user from one that is a fault.
func refused(err error) bool {
	if e, ok := errors.AsType[*model.Error](err); ok {
		return e.Kind != model.Fault
	}
	_, ok := errors.AsType[model.Errors](err)
	return ok
}

// rivals is how many processes write, and as many read.
const rivals = 8

// TestRivals lets eight processes write in one book and eight read from it, all the time. Every writer counts in a note of its own
// and in one that all share, reading it and writing it back in one step: no count may be lost. Nobody may get any error but that the
// book is busy, and a reader not even that.
func TestRivals(t *testing.T) {
	b := newShop(t)
	type result struct{ done, busy int }
	results := make(chan string)
	until := time.Now().Add(*rivalry)
	for i := range 2 * rivals {
		work := "writer"
		if i >= rivals {
			work = "reader"
		}
		c, out := again(t, work, b.path, fmt.Sprint(i), fmt.Sprint(until.UnixNano()))
		go func() {
			text := make([]byte, 4096)
			n := 0
			for {
				m, err := out.Read(text[n:])
				n += m
				if err != nil {
					break
				}
			}
			if err := c.Wait(); err != nil {
				results <- fmt.Sprintf("%s failed: %v", work, err)
				return
			}
			results <- work + " " + string(text[:n])
		}()
	}
	sums := map[string]result{}
	for range 2 * rivals {
		text := <-results
		var work string
		var r result
		if _, err := fmt.Sscan(text, &work, &r.done, &r.busy); err != nil {
			t.Errorf("%s", text)
			continue
		}
		if r.done == 0 {
			t.Errorf("a %s did nothing", work)
		}
		sums[work] = result{sums[work].done + r.done, sums[work].busy + r.busy}
	}
	t.Logf("in %v: %+v", *rivalry, sums)
	if sums["reader"].busy > 0 {
		t.Errorf("readers were kept waiting %d times", sums["reader"].busy)
	}
	var shared string
	must(t, b.db.QueryRow("SELECT note FROM job WHERE name = '103'").Scan(&shared))
	if shared != fmt.Sprint(sums["writer"].done) {
		t.Errorf("the shared count is %s after %d steps", shared, sums["writer"].done)
	}
	var steps int
	must(t, b.db.QueryRow("SELECT count(*) FROM step WHERE kind = 'count'").Scan(&steps))
	if steps != sums["writer"].done {
		t.Errorf("%d steps are in the book, %d were made", steps, sums["writer"].done)
	}
	sound(t, b)
}

// workAsWriter counts until the time is up: args are the book, its number, and the time.
func workAsWriter() int {
	return compete(func(ctx context.Context, b *Book) error {
		_, err := b.write(ctx, "count", By{Who: os.Args[2]}, func(t *transaction) error {
			var note string
			if err := t.row("SELECT note FROM job WHERE name = '103'").Scan(&note); err != nil {
				return err
			}
			n, _ := strconv.Atoi(note) // nothing counts as nought
			_, err := t.exec("UPDATE job SET note = ? WHERE name = '103'", fmt.Sprint(n+1))
			return err
		})
		return err
	})
}

// workAsReader reads the whole shop until the time is up.
func workAsReader() int {
	return compete(func(ctx context.Context, b *Book) error {
		_, err := b.Workshop(ctx)
		return err
	})
}

// compete does something again and again until the time is up, and prints how often it was done and how often the book was busy.
func compete(do func(context.Context, *Book) error) int {
	until, err := strconv.ParseInt(os.Args[3], 10, 64)
	if err != nil {
		return complain(err)
	}
	ctx := context.Background()
	done, busy := 0, 0
	for time.Now().UnixNano() < until || done == 0 {
		b, err := Open(ctx, os.Args[1]) // as a command does
		if err == nil {
			err = do(ctx, b)
			err = errors.Join(err, b.Close())
		}
		switch {
		case err == nil:
			done++
		case strings.Contains(err.Error(), "the book is busy"):
			busy++
		default:
			return complain(err)
		}
	}
	fmt.Println(done, busy)
	return 0
}

// TestReaderDoesNotBlockWriter holds a view of the book open while another writes, and sees neither wait nor change.
func TestReaderDoesNotBlockWriter(t *testing.T) {
	b := newShop(t)
	other, err := OpenToRead(t.Context(), b.path)
	must(t, err)
	defer other.Close()
	must(t, other.read(t.Context(), func(tx *transaction) error {
		count := func() (n int) {
			must(t, tx.row("SELECT count(*) FROM stick WHERE state = 'rack'").Scan(&n))
			return n
		}
		before := count()
		start := time.Now()
		_, err := b.Do(t.Context(), tester, Discard("S1"))
		must(t, err)
		if waited := time.Since(start); waited > BusyTime/2 {
			t.Errorf("the writer waited %v", waited)
		}
		if after := count(); after != before {
			t.Errorf("the reader's view changed from %d to %d sticks", before, after)
		}
		return nil
	}))
}

// TestBusy makes sure that a writer that waits in vain says so, and that nothing of its step is there.
func TestBusy(t *testing.T) {
	b := newShop(t)
	_, err := b.write(t.Context(), "long", tester, func(tx *transaction) error {
		other := openBook(t, b.path)
		_, err := other.db.Exec("PRAGMA busy_timeout = 50")
		must(t, err)
		other.db.SetMaxOpenConns(1)
		_, err = other.Do(t.Context(), tester, Discard("S1"))
		wantError(t, err, model.BadInput, "busy")
		return nil
	})
	must(t, err)
	rack, err := b.Rack(t.Context())
	must(t, err)
	if len(rack) != 4 {
		t.Errorf("%d sticks", len(rack))
	}
}

// TestReadOnlyPlace reads a book where nothing may be written, and says clearly that it cannot be written.
func TestReadOnlyPlace(t *testing.T) {
	b := newShop(t)
	path := filepath.Join(t.TempDir(), "copy.book")
	_, err := b.Backup(t.Context(), path)
	must(t, err)
	f, err := connect(path, frozen) // as on a file system that is read-only
	must(t, err)
	defer f.db.Close()
	if _, err := f.Workshop(t.Context()); err != nil {
		t.Errorf("it cannot be read: %v", err)
	}
	_, err = f.Do(t.Context(), tester, Discard("S1"))
	wantError(t, err, model.BadUsage, "cannot be written")
	sound(t, b)
}

// TestDiskFull fills the file up in the middle of steps: a clear error, and nothing of the step is there.
func TestDiskFull(t *testing.T) {
	b := newShop(t)
	before := state(t, b)
	b.db.SetMaxOpenConns(1)
	var pages int
	must(t, b.db.QueryRow("PRAGMA page_count").Scan(&pages))
	_, err := b.db.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages+1))
	must(t, err)
	file := filepath.Join(t.TempDir(), "offers.csv")
	must(t, os.WriteFile(file, []byte(offersTable()), 0o644))
	_, err = importFrom(t.Context(), b, file, Importing{})
	wantError(t, err, model.BadUsage, "no room left on the disk")
	if state(t, b) != before {
		t.Error("something of the step is there")
	}
	sound(t, b)
	_, err = b.db.Exec("PRAGMA max_page_count = 1000000")
	must(t, err)
	_, err = importFrom(t.Context(), b, file, Importing{})
	must(t, err)
}

// TestMigratingTogether lets several open an old book at the same time: one brings it forward, and all can use it.
func TestMigratingTogether(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.book")
	oldBook(t, path)
	results := make(chan error)
	for range rivals {
		go func() {
			b, err := Open(context.Background(), path)
			if err == nil {
				_, err = b.Workshop(context.Background())
				err = errors.Join(err, b.Close())
			}
			results <- err
		}()
	}
	for range rivals {
		if err := <-results; err != nil {
			t.Error(err)
		}
	}
	sound(t, openBook(t, path))
}

func init() { workers["cramped"] = workCramped }

// TestNoRoom runs a process that the system lets write no file beyond a size, which is a disk that is full: a clear error, and the book
// is as it was.
func TestNoRoom(t *testing.T) {
	b := newShop(t)
	before := state(t, b)
	table := filepath.Join(t.TempDir(), "offers.csv")
	must(t, os.WriteFile(table, []byte(offersTable()), 0o644))
	c, out := again(t, "cramped", b.path, table, filepath.Join(t.TempDir(), "copy.book"), filepath.Join(t.TempDir(), "tables.xlsx"))
	text, err := io.ReadAll(out)
	must(t, err)
	must(t, c.Wait())
	if strings.TrimSpace(string(text)) != "refused refused refused" {
		t.Errorf("%s", text)
	}
	if state(t, b) != before {
		t.Error("something of the step is there")
	}
	sound(t, b)
	file := filepath.Join(t.TempDir(), "copy.book")
	_, err = b.Backup(t.Context(), file)
	must(t, err)
}

// workCramped imports, copies and exports where nothing fits: args are the book, a table, and where to copy and export to.
func workCramped() int {
	signal.Ignore(syscall.SIGXFSZ)
	const room = 8 << 10 // bytes
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: room, Max: room}); err != nil {
		return complain(err)
	}
	ctx := context.Background()
	b, err := Open(ctx, os.Args[1])
	if err != nil {
		return complain(err)
	}
	defer b.Close()
	_, importing := importFrom(ctx, b, os.Args[2], Importing{})
	_, copying := b.Backup(ctx, os.Args[3])
	for _, err := range []error{importing, copying, b.Export(ctx, os.Args[4], func(w *model.Workshop, past []tabular.Written) error { return folder.Export(os.Args[4], w, past) })} {
		if e, ok := errors.AsType[*model.Error](err); ok && e.Kind == model.BadUsage && (strings.Contains(e.What, "no room") || strings.Contains(e.What, "full")) {
			fmt.Print("refused ")
		} else {
			fmt.Printf("error %v ", err)
		}
	}
	for _, path := range os.Args[3:] {
		if _, err := os.Stat(path); err == nil {
			fmt.Printf("%s is there ", path)
		}
	}
	return 0
}

func init() { workers["tight"] = workTight }

// TestCreateInLittleRoom makes new books with more and more room: each is there whole and sound, or not at all. A book once came out
// without what was still in its log.
func TestCreateInLittleRoom(t *testing.T) {
	dir := t.TempDir()
	c, out := again(t, "tight", dir)
	text, err := io.ReadAll(out)
	must(t, err)
	must(t, c.Wait())
	if strings.Contains(string(text), "failed") {
		t.Fatalf("%s", text)
	}
	made, refused := strings.Count(string(text), "made"), strings.Count(string(text), "refused")
	if made == 0 || refused == 0 {
		t.Errorf("%d made, %d refused: there was too little room, or too much", made, refused)
	}
	books, err := filepath.Glob(filepath.Join(dir, "*.book"))
	must(t, err)
	if len(books) != made {
		t.Errorf("%d were made and %d are there", made, len(books))
	}
	for _, path := range books {
		b := openBook(t, path)
		sound(t, b)
		w, err := b.Workshop(t.Context())
		must(t, err)
		if len(w.Jobs) != 3 {
			t.Errorf("%s has %d jobs", path, len(w.Jobs))
		}
	}
}

// workTight makes books in a folder while the system lets it write files of so many bytes only.
func workTight() int {
	signal.Ignore(syscall.SIGXFSZ)
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return complain(err)
	}
	const most, step = 1600 << 10, 50 << 10
	for room := uint64(step); room <= most; room += step {
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: room, Max: limit.Max}); err != nil {
			return complain(err)
		}
		path := filepath.Join(os.Args[1], fmt.Sprintf("room-%d.book", room))
		err := Create(context.Background(), path, func(b *Book) error { return b.Fill(context.Background(), smallShop(), tester) })
		switch {
		case err == nil:
			fmt.Println("made")
		case refused(err):
			fmt.Println("refused")
		default:
			return complain(err)
		}
	}
	return 0
}

// TestCreateWithoutItsLog keeps the log from being taken into a new book's file: then there is no new book.
func TestCreateWithoutItsLog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.book")
	err := Create(t.Context(), path, func(b *Book) error {
		must(t, b.Fill(t.Context(), smallShop(), tester))
		held, err := b.db.BeginTx(t.Context(), &sql.TxOptions{ReadOnly: true}) // ends with the test
		must(t, err)
		must(t, held.QueryRow("SELECT id FROM step").Scan(new(int64)))
		_, err = b.db.Exec("PRAGMA busy_timeout = 50") // of the other connection
		must(t, err)
		_, err = b.Do(t.Context(), tester, Discard("S1"))
		return err
	})
	if err == nil {
		t.Error("the book was made without what was in its log")
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("there is a book")
	}
}
