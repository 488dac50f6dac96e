// Package whole writes files and folders that are there whole or not at all, whatever ends the program or the computer: they are written in a folder apart, made
// sure to be on the disk, and only then get their name.
package whole

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
)

// Apart makes a folder beside what is to be written, in which it is written until it is whole and gets its name. Only this user can look into it. What it gives
// as remove takes the folder away. Before that it takes away what a program that was killed has left of such folders.
func Apart(dir string) (path string, remove func(), err error) {
	return apartIn(dir, beginnings)
}

// Temporary makes a folder apart for what is only read, where what is temporary lies.
func Temporary() (path string, remove func(), err error) {
	return apartIn(os.TempDir(), []string{"longpoint-book-"})
}

// beginnings are what folders apart are called, now and by earlier versions.
var beginnings = []string{".longpoint-new-", ".longpoint-copy-", ".longpoint-export-"}

// apartIn makes a folder apart, locked for as long as it is in use. It is called as the first of the beginnings says.
func apartIn(dir string, beginnings []string) (path string, remove func(), err error) {
	sweep(dir, beginnings)
	if path, err = os.MkdirTemp(dir, beginnings[0]); err != nil {
		return "", nil, err
	}
	unlock, _ := Lock(path) // where there are no locks its age protects it
	return path, func() { errors.Join(os.RemoveAll(path), unlock()) }, nil
}

// leftAfter is how old a folder apart must be before it can be one that was left: between making and locking it there is a moment, and some
// drives have no locks.
const leftAfter = time.Hour

// Sweep takes away what killed programs have left in a folder: folders apart that are old and that nobody uses. What cannot be taken away stays.
func Sweep(dir string) { sweep(dir, beginnings) }

func sweep(dir string, beginnings []string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		ours := func(beginning string) bool { return strings.HasPrefix(e.Name(), beginning) }
		if !e.IsDir() || !slices.ContainsFunc(beginnings, ours) {
			continue
		}
		info, err := e.Info()
		if err != nil || time.Since(info.ModTime()) < leftAfter {
			continue
		}
		path := filepath.Join(dir, e.Name())
		if unlock, free := Lock(path); free {
			os.RemoveAll(path)
			unlock()
		}
	}
}

// Put makes sure that a file, or a folder with all that is in it, is on the disk, and gives it a name, in the place of a file that has it. A folder takes the
// place of an empty one alone.
func Put(young, path string) error {
	err := filepath.WalkDir(young, func(name string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return Sync(name)
	})
	if err == nil {
		err = os.Rename(young, path)
	}
	if err == nil {
		err = Sync(filepath.Dir(path))
	}
	return err
}

// Name makes sure that a file is on the disk and gives it its name, and never takes the place of another file, as a rename would. Where the
// file system knows no second names (FAT), the name is taken first with an empty file.
func Name(young, path string) error {
	if err := Sync(young); err != nil {
		return err
	}
	if err := os.Link(young, path); errors.Is(err, fs.ErrExist) {
		return err
	} else if err != nil {
		taken, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
		if err != nil {
			return err
		}
		if err := errors.Join(taken.Close(), os.Rename(young, path)); err != nil {
			return errors.Join(err, os.Remove(path))
		}
	}
	return Sync(filepath.Dir(path))
}

// Sync makes sure that what is in a file, or the names in a folder, is on the disk. Windows has no such thing for a folder, and writes names down by itself.
func Sync(path string) error {
	how := os.O_RDONLY
	if runtime.GOOS == "windows" {
		if info, err := os.Stat(path); err != nil || info.IsDir() {
			return err
		}
		how = os.O_RDWR // only who may write a file may do so there
	}
	f, err := os.OpenFile(path, how, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
