package book

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	sqlite3 "modernc.org/sqlite/lib"

	"longpoint/model"
)

// TestExplained holds what is said of errors of SQLite and of the machine: who is to blame and what to do. .ci/faults has them happen.
func TestExplained(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.book")
	for _, c := range []struct {
		name string
		err  error
		kind model.ErrorKind
		says []string
	}{
		{"no locks on the drive", explainCode(path, sqlite3.SQLITE_IOERR_LOCK), model.BadUsage, []string{"the drive cannot lock this file", "on a drive of this computer", "Nothing was changed"}},
		{"no locks of what is shared", explainCode(path, sqlite3.SQLITE_IOERR_SHMLOCK), model.BadUsage, []string{"the drive cannot lock this file"}},
		{"a disk that fails to write", explainCode(path, sqlite3.SQLITE_IOERR_WRITE), model.BadUsage, []string{"the disk failed or is full", "nothing was changed"}},
		{"a disk that fails to read, as SQLite tells of it", explainCode(path, sqlite3.SQLITE_CORRUPT), model.BadInput, []string{"or the disk failed as it was read", "try again; where it stays so, go back"}},
		{"no room", explainCode(path, sqlite3.SQLITE_FULL), model.BadUsage, []string{"no room left on the disk"}},
		{"ENOLCK of the system", &os.PathError{Op: "lock", Path: path, Err: syscall.ENOLCK}, model.BadUsage, []string{"the disk or its file system refused this", "nothing was changed"}},
		{"EIO of the system", &os.PathError{Op: "read", Path: path, Err: syscall.EIO}, model.BadUsage, []string{"the disk or its file system refused this", "nothing was changed"}},
		{"EROFS of the system", &os.LinkError{Op: "link", Old: path, New: path, Err: syscall.EROFS}, model.BadUsage, []string{"this may not be read or written"}},
		{"stopped", context.Canceled, model.BadUsage, []string{"this was stopped"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			wantError(t, explain(path, c.err), c.kind, c.says...)
		})
	}
	if err := errors.New("file is locked"); explain(path, err) != err {
		t.Error("an error that nobody knows does not stay as it is")
	}
}
