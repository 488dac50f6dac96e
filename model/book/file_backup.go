package book

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"longpoint/model"
	"longpoint/model/whole"
)

// Backup copies the book as it stands to a new file, while others go on working in it, and opens and checks the copy before it
// gets its name. It gives what the check of the copy found, which is nothing where the book is sound.
func (b *Book) Backup(ctx context.Context, path string) ([]Finding, error) {
	if _, err := os.Lstat(path); err == nil {
		e := usageError(path, "there is something of this name already", "name a file that is not there yet")
		e.Err = os.ErrExist
		return nil, e
	}
	if err := noLogAt(path); err != nil {
		return nil, err
	}
	dir, remove, err := whole.Apart(filepath.Dir(path))
	if err != nil {
		return nil, explain(path, err)
	}
	defer remove()
	young := filepath.Join(dir, "book")
	if _, err := b.db.ExecContext(ctx, "VACUUM INTO ?", young); err != nil {
		return nil, explain(path, err)
	}
	findings, err := verifyCopy(ctx, young)
	if err != nil {
		return nil, explain(path, err)
	}
	if err := asClosed(young, b.path); err != nil {
		return nil, explain(path, err)
	}
	return findings, explain(path, whole.Name(young, path))
}

// verifyCopy opens a copy of whatever version and checks it.
func verifyCopy(ctx context.Context, path string) ([]Finding, error) {
	if err := identify(path); err != nil {
		return nil, err
	}
	c, err := connect(path, frozen)
	if err != nil {
		return nil, err
	}
	defer c.db.Close()
	findings, err := c.Check(ctx)
	if err != nil {
		return nil, &model.Error{Kind: model.CheckFailed, What: "the copy cannot be checked", Err: err, Do: "try again; the book itself was not touched"}
	}
	return findings, nil
}

// asClosed takes the rights from a new file that another one does not give: a copy of what others may not read is nothing that they may. A drive that keeps
// no rights (FAT) refuses that even to the file's owner; there who has the drive has the copy.
func asClosed(path, as string) error {
	own, err := os.Stat(path)
	if err != nil {
		return err
	}
	other, err := os.Stat(as)
	if err != nil {
		return err
	}
	rights := own.Mode().Perm() & other.Mode().Perm()
	if rights == own.Mode().Perm() {
		return nil
	}
	if err = os.Chmod(path, rights); errors.Is(err, os.ErrPermission) || errors.Is(err, errors.ErrUnsupported) {
		return nil
	}
	return err
}
