package book

import (
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"longpoint/model"
)

// applicationID marks a SQLite file as a book: "LPbk" in ASCII, at byte 68 of the file (SQLite, "Database File Format",
// section 1.3).
const applicationID = 0x4c50626b

// What a SQLite file begins with, and where in its header of 100 bytes the application's mark stands (ibid.).
const (
	fileMagic    = "SQLite format 3\x00"
	headerBytes  = 100
	idAt, idEnds = 68, 72
)

// IsBook says whether a path names something other than a folder, which a command that takes either then opens as a book.
func IsBook(path string) bool {
	info, err := os.Stat(path)
	return err == nil && !info.IsDir()
}

// identify says whether a path is a book, without changing anything. The error says what else it is.
func identify(path string) error {
	const name = `name a book; "longpoint book new" makes one`
	bad := func(what string) error { return inputError(path, what, name) }
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return bad("there is no such file")
	case err != nil:
		return explain(path, err)
	case info.IsDir():
		return bad("this is a folder, not a book")
	case !info.Mode().IsRegular():
		return bad("this is not a file")
	}
	if openHere(path) { // then it is one; and to close the file would give up this process's locks on it
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return explain(path, err)
	}
	defer f.Close()
	head := make([]byte, headerBytes)
	if _, err := io.ReadFull(f, head); errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return bad("this file is not a book")
	} else if err != nil {
		return explain(path, err)
	}
	if !bytes.HasPrefix(head, []byte(fileMagic)) {
		return bad("this file is not a book")
	}
	if binary.BigEndian.Uint32(head[idAt:idEnds]) != applicationID {
		return bad("this is a database of another program, not a book")
	}
	return nil
}

// upToDate makes sure that the book has the version this program knows.
func (b *Book) upToDate(ctx context.Context, a access) error {
	version, err := b.version(ctx)
	if err != nil {
		return err
	}
	newest := int64(len(migrations()))
	switch {
	case version > newest:
		return inputError(b.path, fmt.Sprintf("this book has version %d and this program knows books up to version %d", version, newest),
			`use the newer program that wrote it; "longpoint --version" says which this one is`)
	case version == newest:
		return nil
	case a != readWrite:
		return inputError(b.path, fmt.Sprintf("this book has the older version %d", version),
			fmt.Sprintf(`run "longpoint book check %s" once, which brings it up to date after a backup`, b.path))
	}
	if _, err := b.Backup(ctx, BackupName(b.path, version)); err != nil && !isThere(err) {
		return err
	}
	for version < newest {
		failed := migrate(ctx, b.db)
		now, err := b.version(ctx)
		if err != nil || failed != nil && now == version {
			if e, ok := errors.AsType[*sqlite.Error](failed); ok && e.Code()&primary == sqlite3.SQLITE_ERROR { // such as a table that is there already
				failed = inputError(b.path, fmt.Sprintf("the book is marked as one of version %d and does not look like it", version), restoreIt)
			}
			return cmp.Or(failed, err)
		}
		version = now // where it failed another process was quicker with some of the versions
	}
	return nil
}

// version is the number of migrations that the book has been through.
func (b *Book) version(ctx context.Context) (v int64, err error) {
	err = b.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v)
	return v, err
}

// BackupName is where a book of an older version is copied to before it is brought up to date.
func BackupName(path string, version int64) string {
	return fmt.Sprintf("%s.version-%d", path, version)
}

// isThere tells the error of a backup whose file is there already: the backup of a migration that was interrupted.
func isThere(err error) bool {
	e, ok := errors.AsType[*model.Error](err)
	return ok && errors.Is(e.Err, os.ErrExist)
}
