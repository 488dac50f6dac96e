package main

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"longpoint/bench/instances"
	"longpoint/bench/record"
	"longpoint/bench/workshop"
)

func TestRowsReadBack(t *testing.T) {
	for _, r := range []solveRow{
		{File: "a/b", Items: 1, Demand: 2, Capacity: 3, RootBound: 4.5, Lower: 5, Upper: optionalCount{6, true}, Status: proven, Seconds: 0.25, Columns: 7, Nodes: 8, PeakMB: 9.5},
		{File: "a/c", Status: open},
	} {
		if got, err := parseSolveRow(r.fields()); err != nil || got != r {
			t.Errorf("%+v, %v in place of %+v", got, err, r)
		}
	}
	for _, r := range []peerRow{
		{File: "a/b", Program: "cbc", Status: "optimal", Cost: optionalCount{6, true}, Seconds: 1.5, Start: 0.25},
		{File: "a/b", Program: "cbc", Status: tooLarge},
	} {
		if got, err := parsePeerRow(r.fields()); err != nil || got != r {
			t.Errorf("%+v, %v in place of %+v", got, err, r)
		}
	}
	r := shopRow{Size: workshop.Size{Frames: 1, Profiles: 2, Seed: 3}, Sides: 4, Sticks: 5, Proven: 6, Within: 7, Further: 8, Seconds: 9.5, Busy: 11.5, PeakMB: 10.5}
	if got, err := parseShopRow(r.fields()); err != nil || got != r {
		t.Errorf("%+v, %v in place of %+v", got, err, r)
	}
}

func TestRowsRefuseWhatIsNoNumber(t *testing.T) {
	good := solveRow{File: "a/b", Upper: optionalCount{6, true}, Status: proven}.fields()
	for i := range good {
		bad := append([]string(nil), good...)
		bad[i] = "x"
		_, err := parseSolveRow(bad)
		if wantText := i == 0 || i == 7; (err == nil) != wantText {
			t.Errorf("column %s: error %v", solveHeader[i], err)
		}
	}
}

func TestSolveSummary(t *testing.T) {
	rows := []solveRow{
		{File: "mine/a", Status: rejected, Seconds: 9, PeakMB: 3},
		{File: "scholl1/a", Status: proven, Seconds: 1, PeakMB: 30.4},
		{File: "scholl1/b", Status: searched, Seconds: 3},
		{File: "textbook/a", Status: open, Seconds: 2},
		{File: "textbook/b", Status: impossible, Seconds: 0.5},
		{File: "textbook/c", Status: killed, Seconds: 0.1},
	}
	var b strings.Builder
	if err := writeSolveSummary(&b, rows); err != nil {
		t.Fatal(err)
	}
	want := `
| class             | instances | proven | searched | open | faults | median s | slowest s | peak MiB |
| ----------------- | --------: | -----: | -------: | ---: | -----: | -------: | --------: | -------: |
| Textbook examples |         3 |      1 |        0 |    1 |      1 |    0.500 |      2.00 |        0 |
| Scholl 1          |         2 |      1 |        1 |    0 |      0 |    2.000 |      3.00 |       30 |
| mine              |         1 |      0 |        0 |    0 |      1 |    9.000 |      9.00 |        3 |
`
	if d := cmp.Diff(want, "\n"+b.String()); d != "" {
		t.Error(d)
	}
}

// fieldOfTwo has two instances: both solved by us, one by cbc in 4 s less a start of 2 where we took 0.5, none by glpsol.
func fieldOfTwo() []peerRow {
	return []peerRow{
		{File: "a", Program: ours, Status: "optimal", Cost: optionalCount{3, true}, Seconds: 0.6, Start: 0.1},
		{File: "a", Program: "glpsol", Status: "limit", Seconds: 60},
		{File: "a", Program: "cbc", Status: "optimal", Cost: optionalCount{3, true}, Seconds: 4, Start: 2},
		{File: "b", Program: ours, Status: "optimal", Cost: optionalCount{7, true}, Seconds: 0.05, Start: 0.1},
		{File: "b", Program: "glpsol", Status: tooLarge},
		{File: "b", Program: "cbc", Status: "limit", Seconds: 60},
	}
}

func TestPeersSummary(t *testing.T) {
	var b strings.Builder
	if err := writePeersSummary(&b, fieldOfTwo()); err != nil {
		t.Fatal(err)
	}
	want := `
| program   | instances | solved | solved by it and not by us | time over ours, geometric mean |  least | greatest |
| --------- | --------: | -----: | -------------------------: | -----------------------------: | -----: | -------: |
| longpoint |         2 |      2 |                          0 |                                |        |          |
| glpsol    |         2 |      0 |                          0 |                                |        |          |
| cbc       |         2 |      1 |                          0 |                         × 4.00 | × 4.00 |   × 4.00 |

| instance | longpoint s |    glpsol |    cbc |
| -------- | ----------: | --------: | -----: |
| a        |       0.500 |     limit | × 4.00 |
| b        |       0.001 | too-large |  limit |
`
	if d := cmp.Diff(want, "\n"+b.String()); d != "" {
		t.Error(d)
	}
}

func TestAgree(t *testing.T) {
	all := []instances.Instance{{Name: "a", Known: instances.Known{Given: true, Lower: 3, Upper: 3}}, {Name: "b"}}
	if err := agree(all, fieldOfTwo()); err != nil {
		t.Error(err)
	}
	for name, plant := range map[string]func([]peerRow) string{
		"a: longpoint says 3, cbc says 4":                         func(r []peerRow) string { r[2].Cost.Value = 4; return "" },
		"a: longpoint: plan of cost 2, but a bound of 3":          func(r []peerRow) string { r[0].Cost.Value, r[2].Cost.Value = 2, 2; return "" },
		"a: cbc: claimed bound 4, but a plan of cost 3 is publis": func(r []peerRow) string { r[0].Cost.Value, r[2].Cost.Value = 4, 4; return "" },
	} {
		rows := fieldOfTwo()
		plant(rows)
		if err := agree(all, rows); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

func TestMeans(t *testing.T) {
	for _, tc := range []struct {
		values            []float64
		median, geometric float64
	}{{nil, 0, 0}, {[]float64{4}, 4, 4}, {[]float64{1, 4}, 2.5, 2}, {[]float64{1, 2, 4}, 2, 2}} {
		const rounding = 1e-12 // logarithms of a few small numbers
		if m, g := median(tc.values), geometricMean(tc.values); m != tc.median || math.Abs(g-tc.geometric) > rounding {
			t.Errorf("%v: %v, %v", tc.values, m, g)
		}
	}
}

func TestPeersInOneRun(t *testing.T) {
	dir := t.TempDir()
	set := filepath.Join(dir, "set.txt")
	if err := os.WriteFile(set, []byte("longpoint-lengths/1\na 10 6x2 5 4x2\nb 9 5x2 4x3 2\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, notes bytes.Buffer
	run := peersRun{
		measuring: measuring{filepath.Join(dir, "peers.csv"), &out, &notes}, choice: choice{names: []string{set}}, limit: 20 * time.Second,
		modules: outFolder, picture: filepath.Join(dir, "peers.svg"),
	}
	for range 2 { // the second finds everything measured
		out.Reset()
		notes.Reset()
		if err := run.run(context.Background()); err != nil {
			t.Fatal(err)
		}
	}
	if !strings.Contains(out.String(), "| longpoint ") || !strings.Contains(out.String(), "| set/b ") {
		t.Errorf("summary %s", out.String())
	}
	if strings.Contains(notes.String(), "1/2") {
		t.Errorf("measured again: %s", notes.String())
	}
	if _, err := os.Stat(run.picture); err != nil {
		t.Error(err)
	}
}

// TestReport demands a section for every table that there is, with its note, and the pictures it shows; without any it says so.
func TestReport(t *testing.T) {
	dir, to := t.TempDir(), t.TempDir()
	if err := report(dir, to); err == nil || !strings.Contains(err.Error(), "none of solve.csv") {
		t.Errorf("error %v", err)
	}
	for _, table := range []struct {
		name   string
		header []string
		row    []string
	}{
		{"solve.csv", solveHeader, solveRow{File: "scholl1/a", Status: proven, Seconds: 1}.fields()},
		{"shop.csv", shopHeader, shopRow{Size: workshop.Size{Frames: 9, Profiles: 2, Seed: 1}, Seconds: 1, PeakMB: 30}.fields()},
		{"weeks.csv", weeksHeader, make([]string, len(weeksHeader))},
	} {
		if err := record.Write(filepath.Join(dir, table.name), table.header, [][]string{table.row}); err != nil {
			t.Fatal(err)
		}
	}
	if err := report(dir, to); err == nil {
		t.Error("a summary of weeks that is missing goes unseen")
	}
	if err := os.WriteFile(filepath.Join(dir, weeksSummary), []byte("| saved |\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := report(dir, to); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(to, resultsFile))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"## Published instances", "| Scholl 1 ", "## Whole workshops", "## Week after week", "| saved |", "`go run ./bench "} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %q in %s", want, text)
		}
	}
	if strings.Contains(string(text), "## Beside") {
		t.Errorf("it tells of peers that were not measured: %s", text)
	}
	shown := regexp.MustCompile(`\]\(([^)]+)\)`).FindAllSubmatch(text, -1)
	if len(shown) != 2 {
		t.Errorf("%d pictures", len(shown))
	}
	for _, picture := range shown {
		if _, err := os.Stat(filepath.Join(to, string(picture[1]))); err != nil {
			t.Error(err)
		}
	}
}

// A whole small workshop, planned by the program that is built for it.
func TestShop(t *testing.T) {
	dir := t.TempDir()
	var out, notes bytes.Buffer
	run := shopRun{
		measuring: measuring{filepath.Join(dir, "shop.csv"), &out, &notes}, frames: []int{12}, profiles: 3, seed: 1, limit: 10 * time.Second, pictures: dir,
	}
	if err := run.run(context.Background()); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(run.table)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	if len(lines) != 2 {
		t.Fatalf("%d lines: %s", len(lines), data)
	}
	row, err := parseShopRow(strings.Split(lines[1], ","))
	if err != nil {
		t.Fatal(err)
	}
	// A frame has three sides at the least; nested ones and those with more sides have more.
	if row.Sides < 3*12 || row.Sticks == 0 || row.Proven != 3 || row.Further != 0 || row.Seconds <= 0 || row.Busy <= 0 || row.PeakMB < 1 {
		t.Errorf("%+v", row)
	}
}

// TestLeastOf: what is over soon is run five times and the least counts; what takes longer, or is not solved, once. Tries that
// differ are an error.
func TestLeastOf(t *testing.T) {
	row := func(seconds float64, cost int64) peerRow {
		return peerRow{File: "a", Program: "cbc", Status: "optimal", Cost: optionalCount{Value: cost, Given: true}, Seconds: seconds}
	}
	limit := peerRow{File: "a", Program: "cbc", Status: "limit", Seconds: 0.5}
	for _, c := range []struct {
		name    string
		rows    []peerRow
		runs    int
		seconds float64
		fails   bool
	}{
		{"five", []peerRow{row(0.5, 3), row(0.4, 3), row(0.6, 3), row(0.3, 3), row(0.7, 3), row(0.1, 3)}, 5, 0.3, false},
		{"long", []peerRow{row(1.0, 3), row(0.4, 3)}, 1, 1.0, false},
		{"open", []peerRow{limit, row(0.4, 3)}, 1, 0.5, false},
		{"another cost", []peerRow{row(0.5, 3), row(0.4, 4)}, 2, 0, true},
		{"open later", []peerRow{row(0.5, 3), limit}, 2, 0, true},
	} {
		runs := 0
		got, err := leastOf(func() (peerRow, error) { runs++; return c.rows[runs-1], nil })
		if runs != c.runs || (err != nil) != c.fails || err == nil && got.Seconds != c.seconds {
			t.Errorf("%s: %d runs, %+v, %v", c.name, runs, got, err)
		}
	}
}
