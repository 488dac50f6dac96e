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
	dir, err := os.MkdirTemp(filepath.Dir(path), ".longpoint-copy-")
	if err != nil {
		return "", explain(path, err)
	}
	defer os.RemoveAll(dir)
	young := filepath.Join(dir, "book")
	if err := copyFile(backup, young); err != nil {
		return "", explain(path, err)
	}
	if aside, err = putAside(ctx, path); err != nil {
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

// copyFile copies a file to a new one that is on the disk then.
func copyFile(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// putAside gives a book another name, with its log. One in which somebody is at work stays. It gives no name where there is none, but what a lost
// book has left of a log goes aside all the same.
func putAside(ctx context.Context, path string) (aside string, err error) {
	if identify(path) == nil { // where it is a book at all, its log is taken into the file first
		b, err := connect(path, readWrite)
		if err == nil {
			b.db.SetMaxOpenConns(1)
			if _, err = b.db.ExecContext(ctx, "PRAGMA busy_timeout = 1000"); err == nil { // who is at work may be so for long
				err = b.settle(ctx)
			}
			b.db.Close()
		}
		if isBusy(err) {
			return "", usageError(path, "somebody is at work in this book", "stop every other Longpoint that has it open, and try again")
		}
	}
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
	for _, beside := range []string{"-wal", "-shm"} {
		if failed := os.Rename(from+beside, to+beside); failed != nil && !errors.Is(failed, fs.ErrNotExist) {
			err = errors.Join(err, failed)
		}
	}
	return err
}
