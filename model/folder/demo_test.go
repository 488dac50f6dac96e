package folder

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/table"
)

// demos gives the demo workshop, which has everything, and a plain one without bundles, breaks, terms, lots, damage and matching.
func demos() map[string]fs.FS {
	return map[string]fs.FS{"demo": Demo(), "plain": os.DirFS("testdata/plain")}
}

// everyInvented gives the smaller workshops besides: they are too small for what else is asked of demos.
func everyInvented(t *testing.T, test func(t *testing.T, files fs.FS)) {
	eachDemo(t, test)
	for _, one := range AllInvented() {
		if one.Kind != "everything" {
			t.Run(one.Kind, func(t *testing.T) { test(t, one.Files) })
		}
	}
}

func eachDemo(t *testing.T, test func(t *testing.T, files fs.FS)) {
	for name, files := range demos() {
		t.Run(name, func(t *testing.T) { test(t, files) })
	}
}

// readFiles writes a workshop to a fresh folder and reads it.
func readFiles(t *testing.T, files fs.FS) *model.Workshop {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	if err := os.CopyFS(dir, files); err != nil {
		t.Fatal(err)
	}
	w, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestDemoIsLargeEnoughToBeReal(t *testing.T) { eachDemo(t, largeEnough) }

func largeEnough(t *testing.T, files fs.FS) {
	w := readFiles(t, files)
	frames, hexagons, nested := 0, 0, 0
	used := map[string]bool{}
	for _, j := range w.Jobs {
		if y := j.Due.Year(); y != 2027 {
			t.Errorf("job %s is due in %d", j.ID, y)
		}
		for _, f := range j.Frames {
			frames += f.Quantity
			if f.Rings[0].Size.Shape.Sides == 6 {
				hexagons++
			}
			if len(f.Rings) > 1 {
				nested++
			}
			for _, r := range f.Rings {
				used[r.Profile] = true
			}
		}
	}
	suppliers := map[string]bool{}
	for _, o := range w.Offers {
		suppliers[o.Supplier] = true
	}
	for _, row := range []struct {
		what        string
		have, least int
	}{
		{"jobs", len(w.Jobs), 30},
		{"frames", frames, 68},
		{"profiles in use", len(used), 8},
		{"sticks", len(w.Rack), 25},
		{"suppliers", len(suppliers), 2},
		{"hexagons", hexagons, 1},
		{"nested frames", nested, 1},
	} {
		if row.have < row.least {
			t.Errorf("%d %s, want %d", row.have, row.what, row.least)
		}
	}
	if len(used) != len(w.Profiles) {
		t.Errorf("%d profiles are in use, %d in the table", len(used), len(w.Profiles))
	}
}

// TestDemoFitsItsMachine works out every ring: none may be beyond the machine, none may earn a warning, and of exactly one
// profile no stick on the rack may hold even the shortest side.
func TestDemoFitsItsMachine(t *testing.T) { eachDemo(t, fitsItsMachine) }

func fitsItsMachine(t *testing.T, demo fs.FS) {
	w := readFiles(t, demo)
	served := map[string]bool{}
	for _, p := range w.Profiles {
		served[p.Name] = false
	}
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			rings, err := f.Geometry(w.ProfileByName)
			if err != nil {
				t.Fatalf("job %s, frame %s: %v", j.ID, f.ID, err)
			}
			for _, ring := range rings {
				p, _ := w.ProfileByName(ring.Profile)
				trims := w.Machine.Trims(p, []model.Shape{ring.Shape})
				for _, side := range ring.Sides {
					warnings, bad := w.Machine.Review(p, side)
					if bad != nil || len(warnings) > 0 {
						t.Errorf("job %s, frame %s: %v %v", j.ID, f.ID, warnings, bad)
					}
					for _, s := range w.Rack {
						for _, run := range s.Sound(trims) {
							if s.Profile == p.Name && p.Usable(run) >= w.Machine.Needs(p, ring.Shape, side.LongPoint) {
								served[p.Name] = true
							}
						}
					}
				}
			}
		}
	}
	var bare []string
	for name, ok := range served {
		if !ok {
			bare = append(bare, name)
		}
	}
	if strings.Join(bare, " ") != "lime-30" {
		t.Errorf("the rack serves nothing of %v, want lime-30 only", bare)
	}
}

func TestDemoSaysThatItIsInventedAndIsCommented(t *testing.T) {
	everyInvented(t, func(t *testing.T, demo fs.FS) {
		files, err := fs.ReadDir(demo, ".")
		if err != nil || len(files) < 5 {
			t.Fatalf("%d files, %v", len(files), err)
		}
		for _, f := range files {
			text, err := fs.ReadFile(demo, f.Name())
			if err != nil {
				t.Fatal(err)
			}
			if !strings.HasPrefix(string(text), "# ") || !strings.Contains(string(text), "nvented") {
				t.Errorf("%s does not start with a comment that says it is invented", f.Name())
			}
		}
	})
}

// TestDemoExplainsEveryColumnAndKey asks the workshops to explain the columns they have, and the demo to have them all.
func TestDemoExplainsEveryColumnAndKey(t *testing.T) {
	everyInvented(t, explains)
	t.Run("all", func(t *testing.T) {
		for file, set := range setOf {
			heading := rowsOf(t, Demo(), file)[0]
			for _, name := range set.Names() {
				if !slices.Contains(heading, name) {
					t.Errorf("%s has no %s", file, name)
				}
			}
		}
		text, err := fs.ReadFile(Demo(), settingsFile)
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range settingKeys {
			if name := key[strings.LastIndex(key, ".")+1:]; !strings.Contains(string(text), name+" =") {
				t.Errorf("%s does not show %s", settingsFile, key)
			}
		}
	})
}

var setOf = map[string]table.Set{
	profilesFile: profileSet, suppliersFile: supplierSet, offersFile: offerSet, rackFile: rackSet, jobsFile: jobSet,
}

func explains(t *testing.T, files fs.FS) {
	for _, file := range tablesOf(t, files) {
		text, err := fs.ReadFile(files, file)
		if err != nil {
			t.Fatal(err)
		}
		heading := rowsOf(t, files, file)[0]
		comments, _, _ := strings.Cut(string(text), "\n"+heading[0]+",")
		for _, c := range heading {
			if !strings.Contains(comments, " "+c+" ") {
				t.Errorf("%s does not explain %s", file, c)
			}
		}
	}
}

func TestWriteDemoInPlaceOfAnEmptyFolder(t *testing.T) {
	dir := t.TempDir()
	if err := WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	if _, err := Read(dir); err != nil {
		t.Fatal(err)
	}
}

func TestWriteDemoRefusesAndLeavesEverythingAsItWas(t *testing.T) {
	for _, row := range []struct {
		name  string
		place func(t *testing.T, root string) (dir string)
		want  string
	}{
		{"a folder with something in it", func(t *testing.T, root string) string {
			write(t, filepath.Join(root, "full", "letter.txt"), "mine")
			return filepath.Join(root, "full")
		}, "the folder is not empty; name a folder that is not there yet"},
		{"a file", func(t *testing.T, root string) string {
			write(t, filepath.Join(root, "file"), "mine")
			return filepath.Join(root, "file")
		}, "there is a file of this name; name one that is not there yet"},
		{"a folder in no folder", func(t *testing.T, root string) string {
			return filepath.Join(root, "none", "demo")
		}, "the demo workshop cannot be written: no such file or directory; make the folder it is to stand in first"},
		{"the folder one is in", func(t *testing.T, root string) string {
			t.Chdir(root)
			return "."
		}, "this is the folder you are in, which cannot be replaced; name a folder that is not there yet"},
	} {
		t.Run(row.name, func(t *testing.T) {
			root := t.TempDir()
			dir := row.place(t, root)
			before := snapshot(t, root)
			err := WriteDemo(dir)
			var own *model.Error
			if !errors.As(err, &own) || own.Kind != model.BadInput {
				t.Fatalf("error %v, want a bad input", err)
			}
			if got := err.Error(); got != dir+": "+row.want {
				t.Errorf("got  %s\nwant %s", got, dir+": "+row.want)
			}
			if after := snapshot(t, root); after != before {
				t.Errorf("before:\n%s\nafter:\n%s", before, after)
			}
		})
	}
}

// write writes a file and the folders above it.
func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// snapshot gives the names, dates and contents of everything below root.
func snapshot(t *testing.T, root string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		b.WriteString(path + " " + info.Mode().String() + " " + info.ModTime().String() + "\n")
		if info.Mode().IsRegular() {
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			b.Write(text)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}
