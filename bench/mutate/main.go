// Command mutate plants faults in the code, one at a time, and runs the tests that should see them.
//
//	go run ./bench/mutate --faults 50 --seed 1 model solver/check
//	go run ./bench/mutate --again bench/out/mutants.csv
//
// A fault is an exchanged operator, a constant that is off by one, a negated condition, a dropped statement, or results of a return
// that are exchanged or denied. Faults are drawn from all there are in a package's functions, each as likely as the next.
//
// Nothing in the tree changes, and a package is built once for all its faults: each goes into a copy of its function, and the function
// begins with a jump to the copy whose number stands in a file. The go command is given these sources as an overlay.
//
// Of each test it is measured once which statements it reaches and how long that takes. A fault is shown to the tests that reach
// it, the quick ones first: those of its own package, then those of the packages that rely on it. It is caught where
// a test fails, or does not end, that passes without the fault just after. What no test sees is a survivor, unless the list
// equivalent.txt beside this file tells why nobody could.
package main

import (
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"longpoint/bench/record"
)

// witnesses are the packages whose tests should see a fault in a package besides its own, the likeliest first.
var witnesses = map[string][]string{
	"model":               {"model/folder", "model/stock", "model/audit"},
	"model/stock":         {"model/book", "model/planner"},
	"model/runs":          {"model/book"},
	"model/planner":       {"model/audit", "model/quote", "model/grouping"},
	"model/audit":         {"model/planner"},
	"model/sequence":      {"model/audit", "model/planner"},
	"model/book":          {"cmd/longpoint/round", "cmd/longpoint/page"},
	"solver":              {"model/planner"},
	"solver/check":        {"solver"},
	"cmd/longpoint/page":  {},
	"cmd/longpoint/sheet": {},
}

// options are what the command line says.
type options struct {
	faults int
	seed   uint64
	table  string
	again  string
	like   string
	alone  bool
	tests  string
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	var o options
	flags := pflag.NewFlagSet("mutate", pflag.ExitOnError)
	flags.IntVar(&o.faults, "faults", 50, "how many faults to plant in a package")
	flags.Uint64Var(&o.seed, "seed", 1, "which faults are drawn")
	flags.StringVar(&o.table, "table", "bench/out/mutants.csv", "the table to write")
	flags.StringVar(&o.again, "again", "", "plant only what survived in this table")
	flags.StringVar(&o.like, "like", "", "plant only faults whose place or text has this in it, all of them")
	flags.BoolVar(&o.alone, "alone", false, "run a package's own tests only")
	flags.StringVar(&o.tests, "tests", "^(Test|Fuzz|Example)", "run only tests whose names match, as where only these are new")
	flags.Parse(os.Args[1:])
	if err := run(ctx, o, flags.Args(), os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		stop()
		os.Exit(1)
	}
}

// run plants faults in each package in turn, writes the table, and prints what came of it. It fails where a fault survived.
func run(ctx context.Context, o options, packages []string, out io.Writer) error {
	survived, err := survivors(o.again)
	if err != nil {
		return err
	}
	excused, err := readEquivalent("bench/mutate/equivalent.txt")
	if err != nil {
		return err
	}
	if len(packages) == 0 {
		return errors.New("name packages, such as model or solver/check")
	}
	work, err := os.MkdirTemp("", "longpoint-mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	t, err := newTable(o.table)
	if err != nil {
		return err
	}
	for _, p := range packages {
		folder := filepath.Join(work, strings.ReplaceAll(p, "/", "_"))
		if err := os.Mkdir(folder, 0o755); err != nil {
			return err
		}
		faults, err := draw(p, o, survived)
		if err != nil {
			return err
		}
		g := &gate{target: p, work: folder, log: os.Stderr, alone: o.alone, names: cmp.Or(o.tests, "^(Test|Fuzz|Example)")}
		if err := g.judge(ctx, faults, excused, t.add); err != nil {
			return errors.Join(err, t.close())
		}
	}
	if err := t.close(); err != nil {
		return err
	}
	return t.print(out)
}

// draw gives the faults to plant in a package.
func draw(target string, o options, survived map[string]bool) ([]*fault, error) {
	all, err := findFaults(target)
	if err != nil {
		return nil, err
	}
	switch {
	case o.again != "":
		return keep(all, func(f *fault) bool { return survived[f.key()] }), nil
	case o.like != "":
		return keep(all, func(f *fault) bool { return strings.Contains(f.String(), o.like) }), nil
	}
	return sample(all, o.faults, o.seed), nil
}

func keep(all []*fault, wanted func(*fault) bool) (kept []*fault) {
	for _, f := range all {
		if wanted(f) {
			kept = append(kept, f)
		}
	}
	return kept
}

// survivors gives the keys of the faults that survived in a table.
func survivors(path string) (map[string]bool, error) {
	keys := map[string]bool{}
	if path == "" {
		return keys, nil
	}
	rows, err := record.Read(path, header)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		if r[6] == string(survivedAll) {
			keys[r[1]+" "+r[3]+": "+r[4]+" => "+r[5]] = true
		}
	}
	return keys, nil
}

// header is the columns of the table.
var header = []string{"package", "file", "line", "function", "before", "after", "fate", "by"}

// table is what came of each fault, a row each, written as it comes.
type table struct {
	file   *os.File
	csv    *csv.Writer
	order  []string
	counts map[string]map[fate]int
	left   []string
}

func newTable(path string) (*table, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	f, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	t := &table{file: f, csv: csv.NewWriter(f), counts: map[string]map[fate]int{}}
	return t, t.csv.Write(header)
}

func (t *table) add(target string, f *fault, what fate, by string) error {
	if t.counts[target] == nil {
		t.counts[target] = map[fate]int{}
		t.order = append(t.order, target)
	}
	t.counts[target][what]++
	if what == survivedAll {
		t.left = append(t.left, f.String())
	}
	t.csv.Write([]string{target, f.file, fmt.Sprint(f.line), f.function, f.before, f.after, string(what), by})
	t.csv.Flush()
	return t.csv.Error()
}

func (t *table) close() error {
	t.csv.Flush()
	return errors.Join(t.csv.Error(), t.file.Close())
}

// print writes the counts, a row a package, and the survivors. It fails where there are any.
func (t *table) print(out io.Writer) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "package\tplanted\tcaught\tof these not ending\tsurvived\tof these equivalent\tdid not build\tcaught of what can be\t")
	all := map[fate]int{}
	line := func(name string, n map[fate]int) {
		caught, survived := n[caughtByTest]+n[caughtByTime], n[survivedAll]+n[equivalent]
		share := "none"
		if caught+n[survivedAll] > 0 {
			share = fmt.Sprintf("%.1f %%", 100*float64(caught)/float64(caught+n[survivedAll]))
		}
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\t%d\t%s\t\n", name, caught+survived, caught, n[caughtByTime], survived, n[equivalent], n[notBuilt], share)
	}
	for _, p := range t.order {
		line(p, t.counts[p])
		for what, n := range t.counts[p] {
			all[what] += n
		}
	}
	line("all", all)
	if err := w.Flush(); err != nil {
		return err
	}
	if len(t.left) == 0 {
		return nil
	}
	fmt.Fprintf(out, "\nSurvivors:\n  %s\n", strings.Join(t.left, "\n  "))
	return fmt.Errorf("%d faults that no test sees", len(t.left))
}
