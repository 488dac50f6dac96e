package book

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"longpoint/model"
	"longpoint/model/whole"
)

// What SQLite keeps beside a book: its log, and what those who have it open share.
const (
	logEnding    = "-wal"
	sharedEnding = "-shm"
)

// ownBooks are the files of the books that this process has open.
var ownBooks struct {
	sync.Mutex
	files []os.FileInfo
}

// openHere tells whether this process has a book open.
func openHere(path string) bool {
	info, err := os.Stat(path)
	if err != nil {
		return false
	}
	ownBooks.Lock()
	defer ownBooks.Unlock()
	return slices.ContainsFunc(ownBooks.files, func(own os.FileInfo) bool { return os.SameFile(own, info) })
}

// nowOpen notes that this process has a book open, until what it gives is called.
func nowOpen(path string) (closed func()) {
	info, err := os.Stat(path)
	if err != nil {
		return func() {}
	}
	ownBooks.Lock()
	defer ownBooks.Unlock()
	ownBooks.files = append(ownBooks.files, info)
	return func() {
		ownBooks.Lock()
		defer ownBooks.Unlock()
		if i := slices.Index(ownBooks.files, info); i >= 0 {
			ownBooks.files = slices.Delete(ownBooks.files, i, i+1)
		}
	}
}

// beside says what lies beside a book.
type beside struct {
	live bool // somebody has the book open, in this process or another
	log  bool // there are changes in the log that are not in the file
}

// lookBeside looks at what lies beside a book.
func lookBeside(path string) (b beside, err error) {
	b.log = logBeside(path)
	if b.live = openHere(path); b.live {
		return b, nil
	}
	b.live, err = inUse(path)
	return b, err
}

// logBeside tells whether there are changes that are not in the book's file yet, but in the log beside it.
func logBeside(path string) bool {
	info, err := os.Stat(path + logEnding)
	return err == nil && info.Size() > 0
}

// settleBeside makes what lies beside a book such that it may be opened to write. Where nobody has it open, a log there is what a power cut or a
// kill has left, or it is that of another state of the file, which a copy was put over. SQLite would take in either: so the two are tried together first,
// in a copy.
func settleBeside(ctx context.Context, path string) error {
	b, err := lookBeside(path)
	if err != nil {
		return explain(path, err)
	}
	if err := tryLogIn(ctx, path, b); err != nil {
		return err
	}
	for _, ending := range []string{logEnding, sharedEnding} {
		name := path + ending
		if _, err := os.Stat(name); err != nil || mayWrite(name) {
			continue
		}
		if b.live {
			return foreign(name, "stop every other Longpoint that has the book open, and try again")
		}
		if err := makeOwn(name, b.log && ending == logEnding); err != nil {
			return foreign(name, "have that user delete this file, once nobody has the book open; the book itself is not to be deleted")
		}
	}
	return nil
}

// foreign is the error of a file beside a book that another user has left there.
func foreign(name, do string) error {
	what := "this file belongs to another user, so that nobody else can write in the book"
	if owner := ownerOf(name); owner != "" {
		what = fmt.Sprintf("this file belongs to %s, so that nobody else can write in the book", owner)
	}
	return usageError(name, what, do)
}

// makeOwn takes away a file beside a book in which nobody is at work, or puts an equal one of one's own in its place.
func makeOwn(name string, needed bool) error {
	if !needed {
		return os.Remove(name)
	}
	own := name + ".own"
	if err := copyFile(name, own); err != nil {
		return errors.Join(err, os.Remove(own))
	}
	return os.Rename(own, name)
}

// foreignLog is the error of a book that is not to be opened with the log beside it.
type foreignLog struct{ why *model.Error }

func (f *foreignLog) Error() string { return f.why.Error() }

// Unwrap gives the error for people.
func (f *foreignLog) Unwrap() error { return f.why }

// finding gives it as a finding of a check.
func (f *foreignLog) finding() Finding { return Finding{"the log", f.why.What} }

// tryLogIn tries the log beside a book where there is one of nobody who is at work.
func tryLogIn(ctx context.Context, path string, b beside) error {
	if b.live || !b.log {
		return nil
	}
	return tryLog(ctx, path)
}

// noLogAt makes sure that no log lies where a new book is to get its name: SQLite would take it for the new book's.
func noLogAt(path string) error {
	if !logBeside(path) {
		return nil
	}
	return usageError(path+logEnding, "here lies the log of a book that is gone", "give the new file another name, or move this one away")
}

// tryLog finds out whether the log beside a book in which nobody is at work belongs to it.
func tryLog(ctx context.Context, path string) error {
	const tries = 10 // somebody may begin to write meanwhile, and then the copy is none
	for range tries {
		before := statsOf(path)
		own, alone, err := tryCopies(ctx, path)
		if err != nil {
			return explain(path, err)
		}
		if own {
			return nil
		}
		if ctx.Err() != nil {
			return explain(path, ctx.Err())
		}
		if now, err := lookBeside(path); err == nil && now.live || !slices.Equal(before, statsOf(path)) {
			continue
		}
		if alone {
			return &foreignLog{&model.Error{Kind: model.BadInput, What: "the log beside the book is not its own: a copy was put over the book that it belongs to", Where: model.Place{File: path},
				Do: fmt.Sprintf(`put it aside with "longpoint book repair %s"`, path)}}
		}
		return &foreignLog{&model.Error{Kind: model.BadInput, What: "the book is damaged, or the log beside it is of another one", Where: model.Place{File: path}, Do: checkIt(path)}}
	}
	return nil // there is always somebody at work, so there is nothing to try
}

// tryCopies tells whether a book is one state together with its log, and whether it is alone.
func tryCopies(ctx context.Context, path string) (own, alone bool, err error) {
	dir, remove, err := copyApart(path, true)
	if err != nil {
		return false, false, err
	}
	defer remove()
	found, err := oneState(ctx, dir)
	if own = err == nil && len(found) == 0; own {
		return true, false, nil
	}
	for _, ending := range []string{logEnding, sharedEnding} {
		if err := os.Remove(filepath.Join(dir, apart+ending)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return false, false, err
		}
	}
	found, err = oneState(ctx, dir)
	return false, err == nil && len(found) == 0, nil
}

// statsOf tells a book and its log from what they are when they were written in.
func statsOf(path string) (all []string) {
	for _, name := range []string{path, path + logEnding} {
		if info, err := os.Stat(name); err == nil {
			all = append(all, fmt.Sprint(info.Size(), info.ModTime().UnixNano()))
		}
	}
	return all
}

// apart is what a copy of a book is called in its folder.
const apart = "book"

// copyApart copies a book as it is, with its log, to a new folder that only this user can look into.
func copyApart(path string, log bool) (dir string, remove func(), err error) {
	if dir, remove, err = whole.Temporary(); err != nil {
		return "", nil, err
	}
	to := filepath.Join(dir, apart)
	err = copyFile(path, to)
	if log && err == nil {
		if err = copyFile(path+logEnding, to+logEnding); errors.Is(err, fs.ErrNotExist) {
			err = nil // it was taken in meanwhile
		}
	}
	if err != nil {
		remove()
		return "", nil, err
	}
	return dir, remove, nil
}

// oneState finds whether the copy of a book in a folder, together with its log, is one state of one book.
func oneState(ctx context.Context, dir string) ([]Finding, error) {
	c, err := connect(filepath.Join(dir, apart), readOnly)
	if err != nil {
		return nil, err
	}
	defer c.db.Close()
	return look(ctx, c, func(t *transaction) ([]Finding, error) {
		for _, check := range []func(*transaction) ([]Finding, error){(*transaction).checkFile, (*transaction).checkSchema, (*transaction).checkSeals} {
			if found, err := check(t); err != nil || len(found) > 0 {
				return found, err
			}
		}
		return t.checkReferences()
	})
}

// openApart opens a copy of a book that this user may not write, and in which nobody is at work, so that reading leaves nothing beside it.
func openApart(ctx context.Context, path string) (*Book, error) {
	const tries = 10
	for range tries {
		before := statsOf(path)
		dir, remove, err := copyApart(path, logBeside(path))
		if err != nil {
			return nil, explain(path, err)
		}
		if !slices.Equal(before, statsOf(path)) {
			remove()
			continue
		}
		b, err := connect(filepath.Join(dir, apart), readOnly)
		if err != nil {
			remove()
			return nil, explain(path, err)
		}
		b.path = path
		b.closed = remove
		return b, nil
	}
	return nil, &model.Error{Kind: model.BadInput, What: "the book is busy: another program is writing in it", Where: model.Place{File: path}, Do: "try again; nothing was changed"}
}
