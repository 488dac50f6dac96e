// Command carry writes the instances of Scholl, Klein and Jürgens and of Falkenauer into testdata/instances, in our
// compact format, from the example program of Debian's libgecode-doc that lists them as C arrays. It needs to run
// only when that format changes; testdata/README.md says how to get the source.
//
//	zcat …/libgecode-doc/examples/bin-packing.cpp.gz | go run ./bench/carry
package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"longpoint/bench/instances"
)

func main() {
	if err := run(os.Stdin); err != nil {
		fmt.Fprintln(os.Stderr, "carry:", err)
		os.Exit(1)
	}
}

// class is one file to write: the names that belong to it and the comments at its top.
type class struct {
	file     string
	names    *regexp.Regexp
	comments []string
}

// classes splits the source's arrays by their names.
func classes() []class {
	scholl := func(set string) []string {
		return []string{
			"Data set " + set + " of A. Scholl, R. Klein, C. Jürgens: BISON: a fast hybrid procedure for exactly solving the",
			"one-dimensional bin packing problem. Computers & Operations Research 24, 1997, 627–645.",
			"Numbers from Debian's libgecode-doc (MIT licence, see ../README.md). Line: name capacity length[xdemand] …",
		}
	}
	falkenauer := []string{
		"E. Falkenauer: A hybrid grouping genetic algorithm for bin packing. Journal of Heuristics 2, 1996, 5–30.",
		"Numbers from Debian's libgecode-doc (MIT licence, see ../README.md). Line: name capacity [=cost] length[xdemand] …",
	}
	triplets := append([]string{
		"Triplets (lengths and capacity times 10): made so that every bin takes exactly three items and is full, so that",
		"the least cost, after the equals sign, is a third of the items.",
	}, falkenauer...)
	return []class{
		{"scholl1.txt", regexp.MustCompile(`^n\dc\dw\d_[a-t]$`), scholl("1")},
		{"scholl2.txt", regexp.MustCompile(`^n\dw\db\dr\d$`), scholl("2")},
		{"scholl3.txt", regexp.MustCompile(`^hard\d$`), scholl("3")},
		{"falkenauer-u.txt", regexp.MustCompile(`^u\d+_\d\d$`), falkenauer},
		{"falkenauer-t.txt", regexp.MustCompile(`^t\d+_\d\d$`), triplets},
	}
}

// run reads the example program and writes the five files.
func run(r io.Reader) error {
	data, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	root, err := instances.Root()
	if err != nil {
		return err
	}
	arrays := regexp.MustCompile(`(?s)const int (\w+)\[\] = \{(.*?)\};`).FindAllStringSubmatch(string(data), -1)
	for _, c := range classes() {
		var ins []instances.Instance
		for _, a := range arrays {
			if !c.names.MatchString(a[1]) {
				continue
			}
			in, err := instance(a[1], a[2])
			if err != nil {
				return err
			}
			ins = append(ins, in)
		}
		if err := write(filepath.Join(root, "testdata", "instances", c.file), c.comments, ins); err != nil {
			return err
		}
		fmt.Printf("%s: %d instances\n", c.file, len(ins))
	}
	return nil
}

// instance reads one array, whose elements are capacity, number of items, and the items' lengths.
func instance(name, body string) (instances.Instance, error) {
	body = regexp.MustCompile(`//[^\n]*`).ReplaceAllString(body, "")
	var text strings.Builder
	fields := strings.FieldsFunc(body, func(r rune) bool { return strings.ContainsRune(", \t\r\n", r) })
	if len(fields) < 2 {
		return instances.Instance{}, fmt.Errorf("%s: no numbers", name)
	}
	fields[0], fields[1] = fields[1], fields[0]
	for _, f := range fields {
		text.WriteString(f + "\n")
	}
	p, err := instances.ReadText(strings.NewReader(text.String()), name)
	in := instances.Instance{Name: name, Problem: p}
	if err != nil {
		return in, err
	}
	pieces, err := strconv.ParseInt(fields[0], 10, 64)
	if err != nil || in.Pieces() != pieces {
		return in, fmt.Errorf("%s: %d lengths in place of %s", name, in.Pieces(), fields[0])
	}
	if name[0] == 't' {
		in.Known, err = triplet(in)
	}
	return in, err
}

// triplet gives a triplet instance's least cost, having made sure that its lengths fill a third of its items exactly.
func triplet(in instances.Instance) (instances.Known, error) {
	var sum int64
	for _, it := range in.Problem.Items {
		sum += it.Length * it.Demand
	}
	bins := in.Pieces() / 3
	if in.Pieces() != 3*bins || sum != bins*in.Longest() {
		return instances.Known{}, fmt.Errorf("%s is no triplet: %d pieces of %d in all", in.Name, in.Pieces(), sum)
	}
	return instances.Known{Given: true, Lower: bins, Upper: bins}, nil
}

// write writes one file through a temporary one.
func write(path string, comments []string, ins []instances.Instance) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".carry-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	if err := instances.WriteCompact(f, comments, ins); err != nil {
		f.Close()
		return err
	}
	if err := f.Chmod(0o644); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
