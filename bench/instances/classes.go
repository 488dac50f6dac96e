package instances

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Class is a set of instances that is reported as one.
type Class struct {
	Name   string
	Title  string // for tables
	Prefix string // what the names of its instances begin with, and no others
	Source string
	Size   int // number of instances
	load   func(c Class) ([]Instance, error)
}

// Load gives the class's instances in their published order. ErrAbsent where their folder is not on this machine.
func (c Class) Load() ([]Instance, error) {
	ins, err := c.load(c)
	if err != nil {
		return nil, err
	}
	if len(ins) != c.Size {
		return nil, fmt.Errorf("class %s has %d instances in place of %d", c.Name, len(ins), c.Size)
	}
	return ins, nil
}

// Sources of the classes.
const (
	schollSource     = "A. Scholl, R. Klein, C. Jürgens, Computers & Operations Research 24, 1997, 627–645"
	falkenauerSource = "E. Falkenauer, Journal of Heuristics 2, 1996, 5–30"
	cutgenSource     = "T. Gau, G. Wäscher, European Journal of Operational Research 84, 1995, 572–579"
	severalSource    = "M. Haouari, M. Serairi, Computers & Operations Research 36, 2009, 2877–2884 (from memory: volume and pages)"
	monaciSource     = "M. Monaci, thesis, University of Bologna, 2002 (from memory)"
	bpplibSource     = "M. Delorme, M. Iori, S. Martello, Optimization Letters 12, 2018, 235–250 (from memory: the pages)"
)

// Classes lists every class there is, in the order of our tables.
func Classes() []Class {
	return []Class{
		{"textbook", "Textbook examples", "textbook/", "beside each example", 29, loadTextbook},
		{"falkenauer-u", "Falkenauer U", "falkenauer-u/", falkenauerSource, 80, loadCarried},
		{"falkenauer-t", "Falkenauer T", "falkenauer-t/", falkenauerSource, 80, loadCarried},
		{"scholl1", "Scholl 1", "scholl1/", schollSource, 720, loadCarried},
		{"scholl2", "Scholl 2", "scholl2/", schollSource, 480, loadCarried},
		{"scholl3", "Scholl 3", "scholl3/", schollSource, 10, loadCarried},
		{"waescher", "Wäscher", "Waescher/", bpplibSource, 17, loadPublished},
		{"schwerin", "Schwerin", "Schwerin/", bpplibSource, 200, loadPublished},
		{"hard28", "Hard28", "Hard28/", bpplibSource, 28, loadPublished},
		{"cutgen", "CUTGEN1", "cutgen/", cutgenSource, 360, loadCutgen},
		{"ai201", "AI 201", "AI/201_", bpplibSource, 10, loadPublished},
		{"ani201", "ANI 201", "ANI/201_", bpplibSource, 10, loadPublished},
		{"ai402", "AI 402", "AI/402_", bpplibSource, 5, loadPublished},
		{"ani402", "ANI 402", "ANI/402_", bpplibSource, 5, loadPublished},
		{"vsbpp-concave", "Several lengths, concave prices", "vsbpp/hs_conc", severalSource, 75, loadPublished},
		{"vsbpp-convex", "Several lengths, convex prices", "vsbpp/hs_conv", severalSource, 75, loadPublished},
		{"vsbpp-linear", "Several lengths, linear prices", "vsbpp/hs_lin", severalSource, 75, loadPublished},
		{"vsbpp-monaci", "Several lengths, Monaci", "vsbpp/monaci_", monaciSource, 10, loadPublished},
	}
}

// ClassOf gives the class that an instance of this name belongs to.
func ClassOf(name string) (Class, bool) {
	for _, c := range Classes() {
		if strings.HasPrefix(name, c.Prefix) {
			return c, true
		}
	}
	return Class{}, false
}

// ErrAbsent says that an outside folder is not on this machine, so that what needs it cannot be done here.
var ErrAbsent = errors.New("folder of published instances is absent")

// PublishedVariable names the environment variable that overrides where the published instances are looked for.
const PublishedVariable = "LONGPOINT_PUBLISHED"

// Published gives the folder of the published instances that we may read but not carry: $LONGPOINT_PUBLISHED, or
// ../shared/published beside the checkout.
func Published() (string, error) {
	dir := os.Getenv(PublishedVariable)
	if dir == "" {
		root, err := Root()
		if err != nil {
			return "", err
		}
		dir = filepath.Join(root, "..", "shared", "published")
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return "", fmt.Errorf("%w: no folder %s; set %s to where it is", ErrAbsent, dir, PublishedVariable)
	}
	return dir, nil
}

// Root gives the checkout's own folder: the nearest one upwards that holds our go.mod.
func Root() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		data, err := os.ReadFile(filepath.Join(dir, "go.mod"))
		if err == nil && strings.HasPrefix(string(data), "module longpoint\n") {
			return dir, nil
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", errors.New("not inside the checkout: no go.mod of ours here or above; run this from the checkout")
		}
		dir = up
	}
}

// Textbook gives the textbook examples with all that is known about them.
func Textbook() ([]Example, error) {
	root, err := Root()
	if err != nil {
		return nil, err
	}
	path := filepath.Join(root, "testdata", "textbook.json")
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return ReadTextbook(f, path)
}

func loadTextbook(Class) ([]Instance, error) {
	examples, err := Textbook()
	if err != nil {
		return nil, err
	}
	var ins []Instance
	for _, e := range examples {
		ins = append(ins, e.Instance())
	}
	return ins, nil
}

// loadCarried reads a class that is carried in testdata.
func loadCarried(c Class) ([]Instance, error) {
	root, err := Root()
	if err != nil {
		return nil, err
	}
	return openFile(filepath.Join(root, "testdata", "instances", c.Name+".txt"), c.Name)
}

func loadCutgen(Class) ([]Instance, error) {
	const each = 20
	var ins []Instance
	for _, c := range cutgenClasses() {
		ins = append(ins, c.Generate("cutgen/"+c.Name(), each)...)
	}
	return ins, nil
}

// loadPublished reads a class from the published library, where its folder and its files' names make the prefix.
func loadPublished(c Class) ([]Instance, error) {
	dir, err := Published()
	if err != nil {
		return nil, err
	}
	folder, _, _ := strings.Cut(c.Prefix, "/")
	in := filepath.Join(dir, "bpplib", folder)
	if folder == "vsbpp" {
		in = filepath.Join(dir, folder)
	}
	ins, err := openFolder(in)
	return slices.DeleteFunc(ins, func(in Instance) bool { return !strings.HasPrefix(in.Name, c.Prefix) }), err
}

// Open gives the instances of a class, a folder (see openFolder) or a file, whichever of them name is.
func Open(name string) ([]Instance, error) {
	for _, c := range Classes() {
		if c.Name == name {
			return c.Load()
		}
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil, fmt.Errorf("%q is neither a class of instances nor a file or folder; the classes are %s", name, strings.Join(classNames(), ", "))
	}
	if name, err = filepath.Abs(name); err != nil {
		return nil, err
	}
	if info.IsDir() {
		return openFolder(name)
	}
	ins, err := openFile(name, nameOf(filepath.Dir(name), name))
	if err != nil {
		return nil, err
	}
	return ins, addKnown(ins, filepath.Dir(name))
}

func classNames() []string {
	var names []string
	for _, c := range Classes() {
		names = append(names, c.Name)
	}
	return names
}

// openFolder reads the instances in a folder and below: every file whose name ends in .txt, and every other one that
// begins with a digit or like a compact file. What is known of them comes from a table optima.tsv in the folder or in
// the one that holds it.
func openFolder(dir string) ([]Instance, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	var ins []Instance
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		if filepath.Ext(path) != textEnding {
			if ok, err := looksLikeInstances(path); err != nil || !ok {
				return err
			}
		}
		found, err := openFile(path, nameOf(dir, path))
		ins = append(ins, found...)
		return err
	})
	if err != nil {
		return nil, err
	}
	if len(ins) == 0 {
		return nil, &FormatError{File: dir, What: "no file with instances", Do: "name a folder that has some"}
	}
	slices.SortStableFunc(ins, func(a, b Instance) int { return byNumber(a.Name, b.Name) })
	return ins, addKnown(ins, dir)
}

// textEnding is how the names of files with instances usually end.
const textEnding = ".txt"

// nameOf names a file in dir or below by its path from there, or, where it lies in dir itself, after dir: so that a file
// has the same name whether its folder or the folder's folder is opened.
func nameOf(dir, path string) string {
	rel, err := filepath.Rel(dir, path)
	if err != nil || filepath.Base(rel) == rel {
		rel = filepath.Join(filepath.Base(filepath.Dir(path)), filepath.Base(path))
	}
	return filepath.ToSlash(rel)
}

// looksLikeInstances looks at a file's first bytes.
func looksLikeInstances(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	head := make([]byte, 64)
	n, err := f.Read(head)
	if err != nil && err != io.EOF {
		return false, err
	}
	text := strings.TrimSpace(string(head[:n]))
	return text != "" && digits(text) > 0 || strings.HasPrefix(text, CompactFormat), nil
}

// addKnown fills in what optima.tsv in dir, or in the folder that holds it, says of instances. The table names files by
// their paths from its own folder.
func addKnown(ins []Instance, dir string) error {
	for _, base := range []string{dir, filepath.Dir(dir)} {
		path := filepath.Join(base, "optima.tsv")
		f, err := os.Open(path)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		table, err := ReadOptima(f, path)
		f.Close()
		if err != nil {
			return err
		}
		for i, in := range ins {
			if k, ok := table[in.Name]; ok {
				ins[i].Known = k
			} else if k, ok := table[filepath.Base(in.Name)]; ok && base == dir {
				ins[i].Known = k
			}
		}
	}
	return nil
}

// openFile reads one file, compact or text. A text's instance is called name; those of a compact file are called after
// the file, without its ending, and themselves.
func openFile(path, name string) ([]Instance, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if compact, err := isCompact(f); err != nil {
		return nil, err
	} else if compact {
		base := filepath.Base(path)
		return ReadCompact(f, path, strings.TrimSuffix(base, filepath.Ext(base)))
	}
	p, err := ReadText(f, path)
	if err != nil {
		return nil, err
	}
	return []Instance{{Name: name, Problem: p}}, nil
}

// isCompact says whether a file begins like a compact one: with a comment or the format's name. It rewinds the file.
func isCompact(f *os.File) (bool, error) {
	head := make([]byte, len(CompactFormat))
	n, err := f.Read(head)
	if err != nil && err != io.EOF {
		return false, err
	}
	_, err = f.Seek(0, io.SeekStart)
	return n > 0 && (head[0] == '#' || string(head[:n]) == CompactFormat), err
}
