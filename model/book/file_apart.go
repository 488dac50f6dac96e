package book

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Apart makes a folder beside what is to be written, in which it is written until it is whole and gets its name. Only this user can look into it. What it gives
// as remove takes the folder away. Before that it takes away what a program that was killed has left of such folders.
func Apart(dir string) (path string, remove func(), err error) {
	Sweep(dir)
	return apartIn(dir, beginnings[0])
}

// beginnings are what folders apart are called, now and by earlier versions.
var beginnings = []string{".longpoint-new-", ".longpoint-copy-", ".longpoint-export-"}

// inTemp is how the copies that are read are called, in the folder for what is temporary.
const inTemp = "longpoint-book-"

// apartIn makes a folder apart, locked for as long as it is in use.
func apartIn(dir, beginning string) (path string, remove func(), err error) {
	if path, err = os.MkdirTemp(dir, beginning); err != nil {
		return "", nil, err
	}
	unlock, _ := lockFolder(path) // where there are no locks its age protects it
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
		if unlock, free := lockFolder(path); free {
			os.RemoveAll(path)
			unlock()
		}
	}
}
