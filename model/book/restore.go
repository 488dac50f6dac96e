package book

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"longpoint/model"
)

// Restore makes a backup the book at path again, and gives where the book that was there lies then; empty: there was none. A file that is
// merely copied over a book would get the changes that a log beside it still holds, which belong to another book: so what is there is put aside whole,
// log and all. Errors are of kind CheckFailed where the backup is no sound book, and of kind BadUsage where somebody is at work in the book.
func Restore(ctx context.Context, backup, path string) (aside string, err error) {
	found, err := verifyCopy(ctx, backup)
	if err != nil {
		return "", explain(backup, err)
	}
	if len(found) > 0 {
		return "", &model.Error{Kind: model.CheckFailed, Where: model.Place{File: backup}, What: "the backup is not sound: " + found[0].String(),
			Do: `try an older one; "longpoint book check" lists all that is off`}
	}
	dir, remove, err := Apart(filepath.Dir(path))
	if err != nil {
		return "", explain(path, err)
	}
	defer remove()
	young := filepath.Join(dir, "book")
	if err := copyFile(backup, young); err != nil {
		return "", explain(path, err)
	}
	return putInPlace(young, path, func() (string, error) { return putAside(ctx, path) })
}

// putInPlace gives a file that is on the disk the name of a book, which is put aside by a function that gives where it lies then; empty: there was none.
func putInPlace(young, path string, putAside func() (string, error)) (aside string, err error) {
	if err := asClosed(young, path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", explain(path, err)
	}
	if aside, err = putAside(); err != nil {
		return "", err
	}
	if err := giveName(young, path); err != nil {
		if aside != "" {
			err = errors.Join(err, moveBook(aside, path))
		}
		return "", explain(path, err)
	}
	return aside, nil
}

// copyFile copies a file to a new one that is on the disk then, and gives nobody more rights to it.
func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return err
	}
	const own = 0o600 // a copy is one that can be worked with
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, info.Mode().Perm()|own)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// putAside gives a book another name, with its log. One in which somebody is at work stays. It gives no name where there is none, but what a lost
// book has left of a log goes aside all the same.
func putAside(ctx context.Context, path string) (aside string, err error) {
	if identify(path) == nil { // where it is a book at all, its own log is taken into the file first
		there, err := lookBeside(path)
		if err != nil {
			return "", explain(path, err)
		}
		if there.live {
			return "", atWorkIn(path)
		}
		if there.log && tryLog(ctx, path) == nil && isBusy(settleLog(ctx, path)) {
			return "", atWorkIn(path)
		}
	}
	return moveAside(path)
}

// settleLog takes the log of a book into it.
func settleLog(ctx context.Context, path string) error {
	b, err := connect(path, readWrite)
	if err != nil {
		return err
	}
	defer b.db.Close()
	b.db.SetMaxOpenConns(1)
	return b.settle(ctx)
}

// moveAside gives a book a name that nothing has yet, with its log.
func moveAside(path string) (aside string, err error) {
	for n := 1; ; n++ {
		aside = fmt.Sprintf("%s.before-%d", path, n)
		if _, err := os.Lstat(aside); errors.Is(err, fs.ErrNotExist) {
			break
		}
	}
	if err := moveBook(path, aside); errors.Is(err, fs.ErrNotExist) {
		return "", nil
	} else if err != nil {
		return "", explain(path, err)
	}
	return aside, nil
}

// moveBook gives a book and what SQLite keeps beside it another name. What is beside it is moved even where the book itself is not there.
func moveBook(from, to string) error {
	err := os.Rename(from, to)
	for _, beside := range []string{logEnding, sharedEnding} {
		if failed := os.Rename(from+beside, to+beside); failed != nil && !errors.Is(failed, fs.ErrNotExist) {
			err = errors.Join(err, failed)
		}
	}
	return err
}
