package instances

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestClasses(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range Classes() {
		t.Run(c.Name, func(t *testing.T) {
			ins, err := c.Load()
			if errors.Is(err, ErrAbsent) {
				t.Skip(err)
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, in := range ins {
				if seen[in.Name] {
					t.Errorf("a second %s", in.Name)
				}
				seen[in.Name] = true
				if of, ok := ClassOf(in.Name); !ok || of.Name != c.Name {
					t.Errorf("%s is taken for one of class %q", in.Name, of.Name)
				}
				if err := in.Problem.Validate(); err != nil {
					t.Errorf("%s: %v", in.Name, err)
				}
				if material := leastByLength(in); in.Known.Given && in.Known.Lower < material {
					t.Errorf("%s: known least cost %d is below the material's %d", in.Name, in.Known.Lower, material)
				}
			}
		})
	}
}

// leastByLength is the sum of lengths over the capacity, rounded up, where there is one kind of cost 1; else 0.
func leastByLength(in Instance) int64 {
	if k := in.Problem.Kinds; len(k) != 1 || k[0].Cost != 1 {
		return 0
	}
	var sum int64
	for _, it := range in.Problem.Items {
		sum += it.Length * it.Demand
	}
	c := in.Longest()
	return (sum + c - 1) / c
}

// Sizes as the papers give them: Scholl, Klein and Jürgens, 1997, sections on data sets 1 to 3 (n is 50 to 500, c is
// 100, 120, 150; 1000; 100 000); Falkenauer, 1996 (n is 120 to 1000 with c = 150; 60 to 501 with c = 1000 after scaling).
func TestCarriedSizes(t *testing.T) {
	for _, tc := range []struct {
		class      string
		pieces     []int64
		capacities []int64
	}{
		{"scholl1", []int64{50, 100, 200, 500}, []int64{100, 120, 150}},
		{"scholl2", []int64{50, 100, 200, 500}, []int64{1000}},
		{"scholl3", []int64{200}, []int64{100_000}},
		{"falkenauer-u", []int64{120, 250, 500, 1000}, []int64{150}},
		{"falkenauer-t", []int64{60, 120, 249, 501}, []int64{1000}},
	} {
		ins, err := Open(tc.class)
		if err != nil {
			t.Fatal(err)
		}
		pieces, capacities := map[int64]int{}, map[int64]int{}
		for _, in := range ins {
			pieces[in.Pieces()]++
			capacities[in.Longest()]++
		}
		for _, want := range []struct {
			got    map[int64]int
			values []int64
		}{{pieces, tc.pieces}, {capacities, tc.capacities}} {
			for _, v := range want.values {
				if n := want.got[v]; n != len(ins)/len(want.values) {
					t.Errorf("%s: %d instances with %d", tc.class, n, v)
				}
			}
		}
	}
}

// Two well-known instances, so that a shift in the carried numbers would show: the first of data set 1 and of the triplets.
func TestCarriedFirstInstances(t *testing.T) {
	for class, want := range map[string]string{
		"scholl1":      "scholl1/n1c1w1_a: 50 pieces, longest 99, sum 2434",
		"falkenauer-t": "falkenauer-t/t60_00: 60 pieces, longest 495, sum 20000",
	} {
		ins, err := Open(class)
		if err != nil {
			t.Fatal(err)
		}
		if got := describe(ins[0]); got != want {
			t.Errorf("%s in place of %s", got, want)
		}
	}
}

func TestOpenFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	write := func(name, text string) {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("a10.txt", "1 9 4")
	write("a9.txt", "1 9 5 3")
	write("b.bpp", " 1 9 5")
	write("sub/c.txt", CompactFormat+"\nx 9 3\n")
	write("sub/d.txt", "1 9 3")
	write("notes.md", "none")
	write("../optima.tsv", optimaHeader+"\nset/a9.txt\t2\t3\t1.9\tOptimal\t0\nset/a10.txt\t1\t2\t0.9\tTimeout\t0\n")
	ins, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, in := range ins {
		names = append(names, in.Name)
	}
	if got := strings.Join(names, " "); got != "c/x set/a9.txt set/a10.txt set/b.bpp sub/d.txt" {
		t.Errorf("names %s", got)
	}
	if ins[1].Known != (Known{true, 3, 3}) || ins[2].Known != (Known{true, 1, 2}) || ins[3].Known.Given {
		t.Errorf("known %+v %+v %+v", ins[1].Known, ins[2].Known, ins[3].Known)
	}
	for _, path := range []string{filepath.Join(dir, "a9.txt"), filepath.Dir(dir)} {
		same, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		if in := same[slices.IndexFunc(same, func(in Instance) bool { return strings.HasSuffix(in.Name, "a9.txt") })]; in.Name != "set/a9.txt" || in.Known != (Known{true, 3, 3}) {
			t.Errorf("opened as %s: %s, known %+v", path, in.Name, in.Known)
		}
	}
	write("bad.txt", "1 9")
	_, err = Open(dir)
	wantError(t, err, "bad.txt: 0 numbers after the capacity")
	write("bad.txt", "1 9 3")
	write("bad.dat", "9")
	_, err = Open(dir)
	wantError(t, err, "bad.dat: fewer than two numbers")
}

func TestOpenSaysWhatThereIs(t *testing.T) {
	_, err := Open("scholl4")
	if err == nil || !strings.Contains(err.Error(), `"scholl4" is neither a class`) || !strings.Contains(err.Error(), "scholl3") {
		t.Errorf("error %v", err)
	}
}

func TestPublishedAbsent(t *testing.T) {
	t.Setenv(PublishedVariable, filepath.Join(t.TempDir(), "nowhere"))
	if _, err := Open("hard28"); !errors.Is(err, ErrAbsent) {
		t.Errorf("error %v", err)
	}
}

func TestSpread(t *testing.T) {
	for _, tc := range []struct {
		have, want int
		picked     string
	}{{10, 0, "0123456789"}, {10, 10, "0123456789"}, {10, 20, "0123456789"}, {10, 1, "0"}, {10, 3, "049"}, {3, 2, "02"}, {0, 4, ""}} {
		var ins []Instance
		for i := range tc.have {
			ins = append(ins, Instance{Name: fmt.Sprint(i)})
		}
		got := ""
		for _, in := range Spread(ins, tc.want) {
			got += in.Name
		}
		if got != tc.picked {
			t.Errorf("%d of %d: %s in place of %s", tc.want, tc.have, got, tc.picked)
		}
	}
}

func TestContradiction(t *testing.T) {
	known := Known{Given: true, Lower: 3, Upper: 4}
	for _, tc := range []struct {
		lower   int64
		hasPlan bool
		cost    int64
		bad     bool
	}{
		{3, true, 4, false}, {4, true, 4, false}, {3, true, 3, false}, {5, false, 0, true}, {2, true, 2, true}, {0, false, 0, false},
	} {
		if got := known.Contradiction(tc.lower, tc.hasPlan, tc.cost); (got != "") != tc.bad {
			t.Errorf("%+v: %q", tc, got)
		}
	}
	if got := (Known{}).Contradiction(9, true, 9); got != "" {
		t.Errorf("nothing known: %q", got)
	}
}

func describe(in Instance) string {
	var sum int64
	for _, it := range in.Problem.Items {
		sum += it.Length * it.Demand
	}
	return fmt.Sprintf("%s: %d pieces, longest %d, sum %d", in.Name, in.Pieces(), in.Problem.Items[0].Length, sum)
}
