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
	"longpoint/model/whole"
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
	dir, remove, err := whole.Apart(filepath.Dir(path))
	if err != nil {
		return "", explain(path, err)
	}
	defer remove()
	unlock, err := alone(path)
	if err != nil {
		return "", err
	}
	defer unlock()
	young := filepath.Join(dir, "book")
	if err := copyFile(backup, young); err != nil {
		return "", explain(path, err)
	}
	if err := settleOld(ctx, path); err != nil {
		return "", err
	}
	return putInPlace(young, path)
}

// alone makes sure that nobody else puts a book in the place of another in the book's folder until unlock. A drive without locks leaves that to who works there.
func alone(path string) (unlock func() error, err error) {
	unlock, free := whole.Lock(filepath.Dir(path))
	if !free {
		return nil, errors.Join(atWorkIn(path), unlock())
	}
	return unlock, nil
}

// putInPlace gives a file that is on the disk the name of a book, and gives the name that the book that was there has now; empty: there was none. The book's
// name is never free: what is there gets a second name first, then its log and what else is beside it go there, so that they never lie beside the new file,
// and the new file takes the first name by a rename. Whenever it is killed, the name is that of the old book's file or of the new one.
func putInPlace(young, path string) (aside string, err error) {
	if err := asClosed(young, path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", explain(path, err)
	}
	aside, there, err := keepAside(path, filepath.Dir(young))
	if err != nil {
		return "", explain(path, err)
	}
	err = errors.Join(moveBeside(path, aside), whole.Sync(filepath.Dir(path)))
	if !there {
		if err == nil {
			err = whole.Name(young, path)
		}
		return "", explain(path, err)
	}
	if err == nil {
		err = whole.Put(young, path)
	}
	if err != nil {
		return "", explain(path, errors.Join(err, takeBack(aside, path)))
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

// settleOld takes the log of a book that is to be put aside into its file. One in which somebody is at work stays, and so does one whose own log cannot be taken
// in: without it the file would be an older state of the book. A log that is not the book's own is left.
func settleOld(ctx context.Context, path string) error {
	info, err := os.Stat(path)
	notBook := identify(path)
	if err == nil && !info.Mode().IsRegular() {
		return notBook
	}
	if notBook != nil {
		return nil
	}
	there, err := lookBeside(path)
	if err != nil {
		return explain(path, err)
	}
	if there.live {
		return atWorkIn(path)
	}
	if !there.log {
		return nil
	}
	err = tryLog(ctx, path)
	if _, foreign := errors.AsType[*foreignLog](err); foreign {
		return nil
	}
	if err == nil {
		err = settleLog(ctx, path)
	}
	if isBusy(err) {
		return atWorkIn(path)
	}
	return explain(path, err)
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

// keepAside gives a book a second name that nothing has yet, or where the drive has no second names a copy of that name, and tells whether there is a book
// at all. Its copy is made in a folder apart. A second name that an earlier try has given it will do.
func keepAside(path, dir string) (aside string, there bool, err error) {
	old, err := os.Lstat(path)
	if there = err == nil; !there && !errors.Is(err, fs.ErrNotExist) {
		return "", false, err
	}
	var has os.FileInfo
	for n := 1; ; n++ {
		aside = fmt.Sprintf("%s.before-%d", path, n)
		if has, err = os.Lstat(aside); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", there, err
		}
		if err == nil && !os.SameFile(has, old) {
			continue
		}
		if _, err := os.Lstat(aside + logEnding); errors.Is(err, fs.ErrNotExist) {
			break
		} else if err != nil {
			return "", there, err
		}
	}
	if !there || has != nil || os.Link(path, aside) == nil {
		return aside, there, nil
	}
	copied := filepath.Join(dir, filepath.Base(aside))
	if err := copyFile(path, copied); err != nil {
		return "", true, err
	}
	err = whole.Name(copied, aside)
	if err != nil && !errors.Is(err, fs.ErrExist) { // it has the name, perhaps, and that is not on the disk
		err = errors.Join(err, takeAway(aside))
	}
	return aside, true, err
}

// moveBeside gives what SQLite keeps beside a book to another name of it.
func moveBeside(from, to string) (err error) {
	for _, beside := range []string{logEnding, sharedEnding} {
		if failed := os.Rename(from+beside, to+beside); failed != nil && !errors.Is(failed, fs.ErrNotExist) {
			err = errors.Join(err, failed)
		}
	}
	return err
}

// takeBack makes what was put aside the book again, and only then gives it back what was beside it.
func takeBack(aside, path string) error {
	if err := os.Rename(aside, path); err != nil {
		return err
	}
	return errors.Join(moveBeside(aside, path), takeAway(aside)) // two names of one file stay both when one is renamed
}

// takeAway removes a file, if there is one.
func takeAway(path string) error {
	if err := os.Remove(path); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
