package main

import (
	"fmt"
	"go/build"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// module is the import path of the module's root, two folders up.
const module = "longpoint"

// room is a row of the import table: the packages at path, and with deep below it too, may import those of ours that
// may holds. An entry ending in /... stands for what is below it.
type room struct {
	path string
	deep bool
	may  []string
}

// rooms is the table of the design: who may import whom. The first row that fits a package counts.
var rooms = []room{
	{path: "solver/glpk"},
	{path: "solver/check"},
	{path: "solver", may: []string{"solver/glpk"}},
	{path: "model"},
	{path: "model/plan", may: []string{"model"}},
	{path: "model/stock", may: []string{"model", "model/plan"}},
	{path: "model/runs", may: []string{"model", "model/plan", "model/stock"}},
	{path: "model/sequence/stops"},
	{path: "model/sequence", may: []string{"model", "model/plan", "model/sequence/stops"}},
	{path: "model/planner", may: []string{"model", "model/plan", "model/stock", "model/sequence", "solver"}},
	{path: "model/audit", may: []string{"model", "model/plan"}},
	{path: "model/quote", may: []string{"model", "model/plan", "model/stock", "model/sequence", "model/planner", "solver"}},
	{path: "model/grouping", may: []string{"model", "model/plan", "model/stock", "model/sequence", "model/planner", "model/quote", "solver"}},
	{path: "model/table", may: []string{"model"}},
	{path: "model/whole"},
	{path: "model/folder", may: []string{"model", "model/plan", "model/stock", "model/table", "model/whole"}},
	{path: "model/book", may: []string{"model", "model/plan", "model/stock", "model/runs", "model/table", "model/whole"}},
	{path: "model/shoptest", may: []string{"model", "model/plan", "model/stock", "model/sequence", "model/planner", "model/audit", "model/folder", "solver/check"}}, // for tests only
	{path: "cmd/longpoint", deep: true, may: []string{"cmd/longpoint/...", "model", "model/...", "solver", "solver/..."}},
	{path: "bench", deep: true, may: []string{"bench/...", "solver", "solver/check", "model", "model/plan", "model/stock", "model/sequence", "model/planner", "model/audit", "model/quote", "model/grouping", "model/folder"}},
}

// testsMay are arrows that only test files may draw: what a test compares with, or takes its examples from.
var testsMay = map[string][]string{
	"solver":         {"solver/check"},
	"model/stock":    {"model/shoptest", "model/planner"},
	"model/sequence": {"model/shoptest", "model/planner", "model/stock"},
	"model/planner":  {"model/shoptest", "model/audit", "solver/check"},
	"model/audit":    {"model/shoptest", "model/planner"},
	"model/quote":    {"model/shoptest"},
	"model/grouping": {"model/shoptest"},
	"model/book":     {"model/planner", "model/folder"},
}

// arrow is one import of ours by one package of ours, both from the module's root on.
type arrow struct {
	from, to string
	inTest   bool
}

// TestArrows reads the imports of every package of the module.
func TestArrows(t *testing.T) {
	arrows, packages, err := readArrows(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(packages, "cmd/longpoint") || !slices.Contains(packages, "solver/check") || len(arrows) == 0 {
		t.Fatalf("the module was not read: packages %v", packages)
	}
	for _, p := range packages {
		if roomOf(p) == nil {
			t.Errorf("package %s is in no room of the design", p)
		}
	}
	for _, a := range arrows {
		if wrong := a.broken(); wrong != "" {
			t.Error(wrong)
		}
	}
}

// TestArrowsCanFail plants arrows that break the table.
func TestArrowsCanFail(t *testing.T) {
	for _, c := range []struct {
		name string
		arrow
		broken bool
	}{
		{"the solver knows nothing of frames", arrow{from: "solver", to: "model"}, true},
		{"the checker shares nothing with the solver", arrow{from: "solver/check", to: "solver"}, true},
		{"nor in its tests", arrow{from: "solver/check", to: "solver", inTest: true}, true},
		{"the model knows no store", arrow{from: "model", to: "model/folder"}, true},
		{"planning knows no store", arrow{from: "model/plan", to: "model/folder"}, true},
		{"planning's tests may use invented workshops", arrow{from: "model/planner", to: "model/shoptest", inTest: true}, false},
		{"planning does not check itself", arrow{from: "model/plan", to: "solver/check"}, true},
		{"planning does not reach past the solver", arrow{from: "model/plan", to: "solver/glpk"}, true},
		{"a store does not solve", arrow{from: "model/book", to: "solver"}, true},
		{"a store reads and writes plans", arrow{from: "model/folder", to: "model/plan"}, false},
		{"a run knows no book", arrow{from: "model/runs", to: "model/book"}, true},
		{"tables know no plan", arrow{from: "model/table", to: "model/plan"}, true},
		{"a store reads tables", arrow{from: "model/book", to: "model/table"}, false},
		{"nobody imports the program", arrow{from: "bench", to: "cmd/longpoint/sheet"}, true},
		{"the program imports what it likes", arrow{from: "cmd/longpoint", to: "solver/check"}, false},
		{"bench leaves the book alone", arrow{from: "bench", to: "model/book"}, true},
		{"a package outside the rooms", arrow{from: "tools", to: "model"}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			if wrong := c.arrow.broken(); (wrong != "") != c.broken {
				t.Errorf("broken: %q, want broken %t", wrong, c.broken)
			}
		})
	}
}

// broken says what is wrong with an arrow, or nothing.
func (a arrow) broken() string {
	r := roomOf(a.from)
	if r == nil {
		return fmt.Sprintf("package %s is in no room of the design", a.from)
	}
	allowed := r.may
	if a.inTest {
		allowed = slices.Concat(allowed, testsMay[a.from], []string{a.from}) // a package's outside tests import it
	}
	for _, to := range allowed {
		if below, ok := strings.CutSuffix(to, "/..."); a.to == to || ok && strings.HasPrefix(a.to, below+"/") {
			return ""
		}
	}
	return fmt.Sprintf("package %s imports %s, which the design does not allow", a.from, a.to)
}

// roomOf gives the room a package is in, or nil.
func roomOf(path string) *room {
	for i, r := range rooms {
		if path == r.path || r.deep && strings.HasPrefix(path, r.path+"/") {
			return &rooms[i]
		}
	}
	return nil
}

// readArrows reads the module whose root is at dir. Files that a build leaves out on this machine are not read.
func readArrows(dir string) (arrows []arrow, packages []string, err error) {
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); path != dir && (name == "testdata" || strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_")) {
			return filepath.SkipDir
		}
		p, err := build.ImportDir(path, 0)
		if _, none := err.(*build.NoGoError); none {
			return nil
		} else if err != nil {
			return err
		}
		from, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		from = filepath.ToSlash(from)
		packages = append(packages, from)
		add := func(imports []string, inTest bool) {
			for _, i := range imports {
				if to, ours := strings.CutPrefix(i, module+"/"); ours {
					arrows = append(arrows, arrow{from, to, inTest})
				}
			}
		}
		add(p.Imports, false)
		add(p.TestImports, true)
		add(p.XTestImports, true)
		return nil
	})
	return arrows, packages, err
}
