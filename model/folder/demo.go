package folder

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"longpoint/model"
	"longpoint/model/table"
	"longpoint/model/whole"
)

//go:embed demo small inches museum school cut-lengths
var invented embed.FS

// Invented is an invented workshop to start from.
type Invented struct {
	Kind   string // what users call it
	About  string // in a few words
	Lesson string // what it is there to show, in a sentence; empty: everything there is
	Files  fs.FS
}

// AllInvented gives the invented workshops, the one with everything first.
func AllInvented() []Invented {
	return []Invented{
		{"everything", "a shop that uses all there is", "", Demo()},
		{"small", "a corner shop with five jobs", "", Small()},
		{"inches", "a shop in inches with two suppliers", "Both suppliers charge for delivery and ask for a least order, so what to buy from whom is worked out for all profiles together.", inventedFolder("inches")},
		{"museum", "a museum's workshop with long sides and lots", "All sides of a gilded frame come from one lot, and few sticks are long enough, so which frame gets which lot decides what is wasted.", inventedFolder("museum")},
		{"school", "a school with a saw and many equal frames", "A saw's kerf is lost between all sides, and cutting stop by stop sets each length once.", inventedFolder("school")},
		{"cut-lengths", "a shop whose supplier cuts what it orders", "Every length has its price by the metre and its charge for the cut, so the plan says which lengths to order.", inventedFolder("cut-lengths")},
	}
}

// InventedKinds gives their kinds.
func InventedKinds() (kinds []string) {
	for _, one := range AllInvented() {
		kinds = append(kinds, one.Kind)
	}
	return kinds
}

// InventedBy finds one by its kind; the error, of kind BadUsage, names those there are.
func InventedBy(kind string) (Invented, error) {
	for _, one := range AllInvented() {
		if one.Kind == kind {
			return one, nil
		}
	}
	return Invented{}, &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("there is no demo %q", kind),
		Do: model.DidYouMean(kind, InventedKinds(), "choose "+table.Either(InventedKinds())+`, as in "longpoint demo my-workshop --kind small"`)}
}

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
	beside, remove, err := whole.Apart(filepath.Dir(target))
	if err != nil {
		return err
	}
	defer remove()
	young := filepath.Join(beside, filepath.Base(target))
	if err := write(young); err != nil {
		return err
	}
	if exists {
		if err := os.Remove(target); err != nil { // refuses a folder that has been filled meanwhile
			return err
		}
	}
	return whole.Put(young, target)
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
		return true, badFolder(dir, "there is a file of this name", "name one that is not there yet", nil)
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
