package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"longpoint/model"
)

// inputError is an error in what the user gives.
func inputError(path, what, do string) *model.Error {
	return &model.Error{Kind: model.BadInput, What: what, Where: model.Place{File: path}, Do: do}
}

// usageError is an error in what the user asks for.
func usageError(path, what, do string) *model.Error {
	return &model.Error{Kind: model.BadUsage, What: what, Where: model.Place{File: path}, Do: do}
}

// primary is the part of SQLite's result codes that says what kind of error it is (SQLite, "Result and Error Codes",
// section 2).
const primary = 0xff

// explain puts an error of SQLite or of the file system into words. One that has them already, and one that nobody can do
// anything about, stay as they are.
func explain(path string, err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*model.Error](err); ok {
		return err
	}
	if _, ok := errors.AsType[model.Errors](err); ok {
		return err
	}
	if e, ok := errors.AsType[*sqlite.Error](err); ok {
		if known := explainCode(path, e.Code()); known != nil {
			known.Err = err
			return known
		}
		return &model.Error{Kind: model.Fault, What: "the book failed", Where: model.Place{File: path}, Err: err,
			Do: "please report this line together with the command you typed"}
	}
	if _, number := errors.AsType[*strconv.NumError](err); number || errors.Is(err, sql.ErrNoRows) || strings.HasPrefix(err.Error(), "sql: Scan error") { // database/sql has no type for the latter
		return &model.Error{Kind: model.BadInput, What: "the book does not hold what Longpoint writes", Where: model.Place{File: path}, Err: err, Do: checkIt(path)}
	}
	return explainFile(path, err)
}

// What to do with a book that is damaged.
const restoreIt = `go back to the last backup that is sound with "longpoint book restore"`

// checkIt is what to do with a book that is off somewhere.
func checkIt(path string) string {
	return fmt.Sprintf(`run "longpoint book check %s", which lists what is off`, path)
}

// explainCode gives what is known of one of SQLite's errors, or nil. Nothing of a step that failed is in the book. SQLite calls it damage, too, where
// the disk fails to read (os_unix.c gives SQLITE_IOERR_CORRUPTFS for EIO, of which vdbe.c makes SQLITE_CORRUPT): nobody is to go back to a backup for that.
func explainCode(path string, code int) *model.Error {
	switch code {
	case sqlite3.SQLITE_IOERR_LOCK, sqlite3.SQLITE_IOERR_UNLOCK, sqlite3.SQLITE_IOERR_RDLOCK, sqlite3.SQLITE_IOERR_CHECKRESERVEDLOCK, sqlite3.SQLITE_IOERR_SHMLOCK:
		return usageError(path, "the drive cannot lock this file, so that two would write in it at once", "try again; where it stays so, keep the book on a drive of this computer. Nothing was changed")
	}
	switch code & primary {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return inputError(path, "the book is busy: another program is writing in it", "try again; nothing was changed")
	case sqlite3.SQLITE_FULL:
		return usageError(path, "there is no room left on the disk", "make room and try again; nothing was changed")
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH:
		return usageError(path, "the book cannot be written", "see that the file and its folder may be written to; nothing was changed")
	case sqlite3.SQLITE_IOERR:
		return usageError(path, "the disk failed or is full", "look after the disk and try again; nothing was changed")
	case sqlite3.SQLITE_CONSTRAINT:
		return inputError(path, "this does not go with what is in the book", `check the names and numbers in it, and the book itself with "longpoint book check"; nothing was changed`)
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return inputError(path, "the file is damaged, or the disk failed as it was read", "try again; where it stays so, "+restoreIt)
	}
	return nil
}

// explainFile puts an error of the file system into words.
func explainFile(path string, err error) error {
	cause := err
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		cause = e.Err
	} else if e, ok := errors.AsType[*os.LinkError](err); ok {
		cause = e.Err
	}
	known := func(what, do string) error {
		e := usageError(path, what, do)
		e.Err = cause
		return e
	}
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return known("this was stopped", "nothing was changed")
	case errors.Is(err, os.ErrExist):
		return known("there is something of this name already", "name a file that is not there yet")
	case errors.Is(err, os.ErrNotExist):
		return known("there is no such file or folder", "check the name")
	case errors.Is(err, os.ErrPermission), errors.Is(err, syscall.EROFS):
		return known("this may not be read or written", "see to the rights of the file and its folder")
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EFBIG), errors.Is(err, syscall.EDQUOT):
		return known("there is no room left on the disk", "make room and try again; nothing was changed")
	}
	if _, ok := errors.AsType[syscall.Errno](cause); ok {
		return known("the disk or its file system refused this", "see to the name and to the disk; nothing was changed")
	}
	return err
}

// isBusy tells an error of a book in which somebody else is at work.
func isBusy(err error) bool {
	e, ok := errors.AsType[*sqlite.Error](err)
	return ok && (e.Code()&primary == sqlite3.SQLITE_BUSY || e.Code()&primary == sqlite3.SQLITE_LOCKED) || errors.Is(err, errNotTaken)
}
