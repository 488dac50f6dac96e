package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// toy is a package whose tests see some faults and not others.
var toy = map[string]string{
	"go.mod": "module longpoint\n\ngo 1.26\n",
	"toy/toy.go": `package toy

import "errors"

type Set[T comparable] struct{ all []T }

// Has is a method of a generic type.
func (s *Set[T]) Has(x T) bool {
	for i := 0; i < len(s.all); i++ {
		if s.all[i] == x {
			return true
		}
	}
	return false
}

// Halve gives an error for what is odd.
func Halve(n int, _ string, _ ...int) (int, error) {
	if n%2 != 0 {
		return 0, errors.New("odd")
	}
	return n / 2, nil
}

func Pick[T any](all ...T) T { return all[1] }

func Unseen(n int) int { return n + 1 }

func Word(s string) string { return s + "." }

func Top(n int) int {
	if n > 5 {
		n = 5
	}
	return n
}

func Quiet(f func()) (ok bool) {
	defer quiet(&ok)
	f()
	return true
}

// quiet would recover nothing if it were called from a copy: no fault is planted in it.
func quiet(ok *bool) {
	if recover() != nil {
		*ok = false
	}
}
`,
	"toy/toy_test.go": `package toy

import "testing"

func TestHas(t *testing.T) {
	s := &Set[int]{all: []int{4, 7}}
	if !s.Has(4) || !s.Has(7) || s.Has(5) {
		t.Error("wrong")
	}
}

func TestHalve(t *testing.T) {
	if n, err := Halve(6, "", 1, 2); n != 3 || err != nil {
		t.Error(n, err)
	}
	if n, err := Halve(9, ""); n != 0 || err == nil {
		t.Error(n, err)
	}
}

func TestRest(t *testing.T) {
	if Word("a") != "a." || Pick(1, 2, 3) != 2 || Top(7) != 5 || Top(6) != 5 || Top(3) != 3 || !Quiet(func() {}) || Quiet(func() { panic(1) }) {
		t.Error("wrong")
	}
}
`,
	"bench/mutate/equivalent.txt": "# Faults.\n\ntoy/toy.go Top: if n > 5 { => if n >= 5 {\n\t5 is made 5.\n",
}

// TestToy plants every fault in a small package and holds what becomes of each.
func TestToy(t *testing.T) {
	root := t.TempDir()
	for name, text := range toy {
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(root)
	t.Setenv("GOFLAGS", "-mod=mod")
	var out strings.Builder
	err := run(t.Context(), options{faults: 1000, table: "table.csv"}, []string{"toy"}, &out)
	if err == nil || err.Error() != "2 faults that no test sees" || !strings.Contains(out.String(), "Survivors:\n  toy/toy.go:27 Unseen: func Unseen(n int)") {
		t.Errorf("it says %v and\n%s", err, out.String())
	}
	for what, faults := range map[fate][]string{
		caughtByTest: {
			"if s.all[i] == x { => if s.all[i] != x {", "if s.all[i] == x { => if !(s.all[i] == x) {", "return true => return false", "return false => return true",
			"for i := 0; i < len(s.all); i++ { => for i := 0; !(i < len(s.all)); i++ {", "for i := 0; i < len(s.all); i++ { => for i := 1; i < len(s.all); i++ {",
			"for i := 0; i < len(s.all); i++ { => for i := 0; i <= len(s.all); i++ {", "for i := 0; i < len(s.all); i++ { => for i := 0; i < len(s.all); i-- {",
			"if n%2 != 0 { => if n%2 == 0 {", "if n%2 != 0 { => if !(n%2 != 0) {", "if n%2 != 0 { => if n*2 != 0 {", "if n%2 != 0 { => if n%3 != 0 {", "if n%2 != 0 { => if n%2 != 1 {",
			`return 0, errors.New("odd") => return 0, nil`, `return 0, errors.New("odd") => return 1, errors.New("odd")`,
			"return n / 2, nil => return n * 2, nil", "return n / 2, nil => return n / 3, nil",
			"func Pick[T any](all ...T) T { return all[1] } => func Pick[T any](all ...T) T { return all[2] }",
			"if n > 5 { => if !(n > 5) {", "n = 5 => {}", "n = 5 => n = 6", "if n > 5 { => if n > 6 {",
			"defer quiet(&ok) => {}", "f() => {}", "return true => return false",
		},
		survivedAll: {
			"func Unseen(n int) int { return n + 1 } => func Unseen(n int) int { return n - 1 }",
			"func Unseen(n int) int { return n + 1 } => func Unseen(n int) int { return n + 2 }",
		},
		equivalent: {"if n > 5 { => if n >= 5 {"},
		notBuilt: {`return 0, errors.New("odd") => return errors.New("odd"), 0`, "return n / 2, nil => return nil, n / 2",
			`func Word(s string) string { return s + "." } => func Word(s string) string { return s - "." }`},
	} {
		got := fated(t, "table.csv", what)
		slices.Sort(faults)
		if !slices.Equal(got, faults) {
			t.Errorf("%s: got\n  %s\nwant\n  %s", what, strings.Join(got, "\n  "), strings.Join(faults, "\n  "))
		}
	}
	if again, err := survivors("table.csv"); err != nil || len(again) != 2 {
		t.Errorf("what survived reads back as %v, %v", again, err)
	}
}

// fated gives the faults of a table that something became of, in order.
func fated(t *testing.T, path string, what fate) (found []string) {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r[6] == string(what) {
			found = append(found, r[4]+" => "+r[5])
		}
	}
	slices.Sort(found)
	return found
}

// TestEquivalentNeedsReason refuses a list that excuses without saying why.
func TestEquivalentNeedsReason(t *testing.T) {
	for text, good := range map[string]bool{
		"a b: c => d\n\tsince\n":              true,
		"# nothing\n":                         true,
		"a b: c => d\n":                       false,
		"a b: c => d\ne f: g => h\n\tsince\n": false,
		"\tsince\n":                           false,
	} {
		path := filepath.Join(t.TempDir(), "list")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := readEquivalent(path); (err == nil) != good {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// TestListed reads our own list, and demands that each fault in it can still be planted.
func TestListed(t *testing.T) {
	listed, err := readEquivalent("equivalent.txt")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(filepath.Join("..", ".."))
	known := map[string]bool{}
	for target := range witnesses {
		all, err := findFaults(target)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range all {
			known[f.key()] = true
		}
	}
	for key := range listed {
		if !known[key] {
			t.Errorf("nothing there can be changed so: %s", key)
		}
	}
}
