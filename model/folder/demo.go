package folder

import (
	"embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"longpoint/model"
)

//go:embed demo small
var invented embed.FS

// Demo gives the files of the demo workshop, which has everything there is.
func Demo() fs.FS { return inventedFolder("demo") }

// Small gives the files of a small workshop with what one cannot do without.
func Small() fs.FS { return inventedFolder("small") }

func inventedFolder(name string) fs.FS {
	files, err := fs.Sub(invented, name)
	if err != nil {
		panic(err) // the folder is built into the program
	}
	return files
}

// WriteDemo writes the demo workshop to dir, as WriteNew does.
func WriteDemo(dir string) error { return WriteNew(dir, Demo()) }

// WriteNew writes files to dir, which must not be there yet or be empty. They are written beside dir and moved to its
// place whole, so that dir never holds half of them. The error is a *model.Error of kind BadInput.
func WriteNew(dir string, files fs.FS) error {
	err := writeNew(dir, func(young string) error { return os.CopyFS(young, files) })
	if _, known := errors.AsType[*model.Error](err); known || err == nil {
		return err
	}
	return unwritten(dir, err)
}

// writeNew writes a new folder or file beside a path and gives it its name when it is whole. Errors that are no *model.Error
// are the system's.
func writeNew(path string, write func(young string) error) error {
	target, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	exists, bad := vacant(path, target)
	if bad != nil {
		return bad
	}
	beside, err := os.MkdirTemp(filepath.Dir(target), ".longpoint-new-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(beside)
	young := filepath.Join(beside, filepath.Base(target))
	if err := write(young); err != nil {
		return err
	}
	if exists {
		if err := os.Remove(target); err != nil { // refuses a folder that has been filled meanwhile
			return err
		}
	}
	return os.Rename(young, target)
}

// vacant tells whether target is there, and reports it where it is no place for a new folder.
func vacant(dir, target string) (exists bool, bad *model.Error) {
	const another = "name a folder that is not there yet"
	info, err := os.Lstat(target)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, unwritten(dir, err)
	case !info.IsDir():
		return true, badFolder(dir, "there is a file of this name", another, nil)
	}
	entries, err := os.ReadDir(target)
	if err != nil {
		return true, unwritten(dir, err)
	}
	if len(entries) > 0 {
		return true, badFolder(dir, "the folder is not empty", another, nil)
	}
	if here, err := os.Stat("."); err == nil && os.SameFile(here, info) {
		return true, badFolder(dir, "this is the folder you are in, which cannot be replaced", another, nil)
	}
	return true, nil
}

func unwritten(dir string, err error) *model.Error {
	do := "see that a folder may be made there"
	if errors.Is(err, fs.ErrNotExist) {
		do = "make the folder it is to stand in first"
	}
	return badFolder(dir, "the demo workshop cannot be written", do, err)
}
