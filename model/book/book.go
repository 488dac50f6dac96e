package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"longpoint/model/whole"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// Book is an open book. Its methods may be called from several goroutines.
type Book struct {
	path string
	db   *sql.DB
	// Now gives the time that steps are marked with; it is not to be changed while methods run.
	Now func() time.Time
	// Committed, where it is not nil, is told of every step that is in the book for good, and what it did.
	Committed func(step int64, what string)
	// BackedUp, where it is not nil, has the backups made that are due after a step (SetBackups), and is told of each. One that fails does not undo
	// the step.
	BackedUp func(file string, err error)

	lastPlan atomic.Pointer[unpacked]
	closed   func()    // what is done when the book has been closed; nil: nothing
	off      []Finding // what was found to be off when it was opened
}

// BusyTime is how long a writer waits for another before it gives up: far longer than any step takes but an import of
// years.
const BusyTime = 10 * time.Second

// access says what a connection may do.
type access uint8

const (
	readWrite access = iota
	reading          // as one who may write, and who takes away what lies beside the book
	readOnly         // as one who may not; other processes may write
	frozen           // nobody writes: the file lies where nobody can
)

// Create makes a new, empty book at a path where nothing is yet, and fills it with fill where that is not nil. The file
// appears whole, or not at all. The caller opens it.
func Create(ctx context.Context, path string, fill func(*Book) error) (err error) {
	if _, err := os.Lstat(path); err == nil {
		return usageError(path, "there is something of this name already", "name a file that is not there yet")
	} else if !errors.Is(err, os.ErrNotExist) {
		return explain(path, err)
	}
	if err := noLogAt(path); err != nil {
		return err
	}
	dir, remove, err := whole.Apart(filepath.Dir(path))
	if err != nil {
		return explain(path, err)
	}
	defer remove()
	young := filepath.Join(dir, "book")
	b, err := connect(young, readWrite)
	if err != nil {
		return explain(path, err)
	}
	b.path = path // for messages
	defer b.db.Close()
	if err := migrate(ctx, b.db); err != nil {
		return explain(path, err)
	}
	if fill != nil {
		if err := fill(b); err != nil {
			return err
		}
	}
	if err := b.settle(ctx); err != nil {
		return explain(path, err)
	}
	if err := b.db.Close(); err != nil {
		return explain(path, err)
	}
	return explain(path, whole.Name(young, path))
}

// settle takes the log into the file, so that the file is the whole book. Closing would do so too, but would not say where it
// could not, such as on a disk that is full.
func (b *Book) settle(ctx context.Context) error {
	var busy, pages, taken int
	if err := b.db.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &pages, &taken); err != nil {
		return err
	}
	if busy != 0 || pages != taken {
		return fmt.Errorf("%w: busy %d, %d pages of %d", errNotTaken, busy, taken, pages)
	}
	return nil
}

// errNotTaken is the error of a log that could not be taken into the file, such as where somebody is at work in the book.
var errNotTaken = errors.New("the log was not taken into the file")

// trusting is what is looked at when a book is opened, beyond its version.
type trusting func(*Book, context.Context) error

// anyhow opens a book whatever is off in it.
func anyhow(*Book, context.Context) error { return nil }

// Open opens a book to read and write. A book of an older version is copied first (BackupName says where to) and then
// brought up to date.
func Open(ctx context.Context, path string) (*Book, error) {
	return openToWrite(ctx, path, (*Book).trust)
}

// OpenToRead opens a book to read, and leaves nothing beside it that was not there before. It needs no right to write, and an older
// version is read only after Open has brought it up to date.
func OpenToRead(ctx context.Context, path string) (*Book, error) {
	return openToRead(ctx, path, (*Book).trust)
}

// OpenToCheck opens a book that may be damaged, to check and to copy it. It brings one of an older version up to date where it may. The book is
// not to be written in.
func OpenToCheck(ctx context.Context, path string) (*Book, error) {
	if err := identify(path); err != nil {
		return nil, err
	}
	if !mayWriteBook(path) {
		return openToRead(ctx, path, anyhow)
	}
	b, err := openToWrite(ctx, path, anyhow)
	if e, ok := errors.AsType[*foreignLog](err); ok {
		if b, err = openApart(ctx, path); err == nil {
			b.off = []Finding{e.finding()}
			return b.ready(ctx, reading, anyhow)
		}
	}
	return b, err
}

func openToWrite(ctx context.Context, path string, trust trusting) (*Book, error) {
	if err := identify(path); err != nil {
		return nil, err
	}
	if !mayWriteBook(path) {
		what := "this book can only be read: you may not write in it, or in the folder that it is in"
		if owner := ownerOf(path); owner != "" {
			what += ", and it belongs to " + owner
		}
		return nil, usageError(path, what, "see to the rights of the file and its folder; nothing was changed")
	}
	whole.Sweep(filepath.Dir(path))
	if err := settleBeside(ctx, path); err != nil {
		return nil, err
	}
	b, err := connect(path, readWrite)
	if err != nil {
		return nil, explain(path, err)
	}
	b.closed = nowOpen(path)
	return b.ready(ctx, readWrite, trust)
}

// openToRead decides how a book is read. Who may write reads as one who does, and takes away in the end what lies beside the book. Who may not would leave
// files of his own there: he reads what others at work in it share, or else a copy.
func openToRead(ctx context.Context, path string, trust trusting) (*Book, error) {
	if err := identify(path); err != nil {
		return nil, err
	}
	how := reading
	if !mayWriteBook(path) {
		there, err := lookBeside(path)
		if err != nil {
			return nil, explain(path, err)
		}
		if !there.live {
			if err := tryLogIn(ctx, path, there); err != nil {
				return nil, err
			}
			b, err := openApart(ctx, path)
			if err != nil {
				return nil, err
			}
			return b.ready(ctx, readOnly, trust)
		}
		how = readOnly
	} else if err := settleBeside(ctx, path); err != nil {
		return nil, err
	}
	b, err := connect(path, how)
	if err != nil {
		return nil, explain(path, err)
	}
	b.closed = nowOpen(path)
	return b.ready(ctx, how, trust)
}

// mayWriteBook tells whether this user may write in a book: in its file, and beside it.
func mayWriteBook(path string) bool { return mayWrite(path) && mayWrite(filepath.Dir(path)) }

// ready gives a book that was opened, where it is of this program's version and to be trusted.
func (b *Book) ready(ctx context.Context, a access, trust trusting) (*Book, error) {
	err := b.upToDate(ctx, a)
	if err == nil {
		err = trust(b, ctx)
	}
	if err != nil {
		b.Close()
		return nil, explain(b.path, err)
	}
	return b, nil
}

// Close closes the book.
func (b *Book) Close() error {
	err := b.db.Close()
	if b.closed != nil {
		b.closed()
	}
	return explain(b.path, err)
}

// Path is the book's file as it was named.
func (b *Book) Path() string { return b.path }

// connect opens a database file without a look at what is in it.
func connect(path string, a access) (*Book, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	q := url.Values{"_txlock": {"immediate"}}
	pragmas := []string{fmt.Sprintf("busy_timeout(%d)", BusyTime.Milliseconds()), "foreign_keys(1)"}
	switch a {
	case readWrite:
		pragmas = append(pragmas, "journal_mode(wal)", "synchronous(full)")
		q.Set("mode", "rwc")
	case reading:
		pragmas = append(pragmas, "query_only(1)")
		q.Set("mode", "rw")
	case readOnly:
		q.Set("mode", "ro")
	case frozen:
		q.Set("mode", "ro")
		q.Set("immutable", "1")
	}
	q["_pragma"] = pragmas
	full = filepath.ToSlash(full)
	if filepath.VolumeName(full) != "" { // C:/shop.book is the path /C:/shop.book of an address
		full = "/" + full
	}
	at := url.URL{Scheme: "file", Path: full, RawQuery: q.Encode()}
	db, err := sql.Open("sqlite", at.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxIdleConns(idleConnections)
	return &Book{path: path, db: db, Now: time.Now}, nil
}

// idleConnections are kept open for those who come next: a connection costs more than most of what is asked on it.
const idleConnections = 16

// read runs a function on one unchanging view of the book.
func (b *Book) read(ctx context.Context, f func(*transaction) error) error {
	tx, err := b.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return explain(b.path, err)
	}
	defer tx.Rollback()
	t := &transaction{tx: tx, ctx: ctx, book: b}
	return explain(b.path, t.do(f))
}

// look is read for what gives one thing.
func look[T any](ctx context.Context, b *Book, f func(*transaction) (T, error)) (found T, err error) {
	err = b.read(ctx, func(t *transaction) error {
		found, err = f(t)
		return err
	})
	return found, err
}
