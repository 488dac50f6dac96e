package main

import (
	"fmt"
	"io"
	"math"
	"slices"

	"longpoint/bench/chart"
	"longpoint/bench/peer"
)

// field is a table of peers by instance and program, both in the order they were measured in, ours first.
type field struct {
	files    []string
	programs []string
	rows     map[[2]string]peerRow
}

func newField(rows []peerRow) field {
	f := field{programs: []string{ours}, rows: map[[2]string]peerRow{}}
	for _, r := range rows {
		if !slices.Contains(f.files, r.File) {
			f.files = append(f.files, r.File)
		}
		if !slices.Contains(f.programs, r.Program) {
			f.programs = append(f.programs, r.Program)
		}
		f.rows[[2]string{r.File, r.Program}] = r
	}
	return f
}

// row gives what a program made of an instance; unsolved where it was not run.
func (f field) row(file, program string) peerRow { return f.rows[[2]string{file, program}] }

// ratio is how many times our time a program took, where both solved the instance.
func (f field) ratio(file, program string) (float64, bool) {
	us, they := f.row(file, ours), f.row(file, program)
	if !us.solved() || !they.solved() {
		return 0, false
	}
	return they.time() / us.time(), true
}

// writePeersSummary writes two Markdown tables: a line a program, and a line an instance.
func writePeersSummary(w io.Writer, rows []peerRow) error {
	f := newField(rows)
	lines := [][]string{{"program", "instances", "solved", "solved by it and not by us", "time over ours, geometric mean", "least", "greatest"}}
	for _, p := range f.programs {
		solved, missed := 0, 0
		var ratios []float64
		for _, file := range f.files {
			if f.row(file, p).solved() {
				solved++
				if !f.row(file, ours).solved() {
					missed++
				}
			}
			if r, ok := f.ratio(file, p); ok {
				ratios = append(ratios, r)
			}
		}
		line := []string{p, fmt.Sprint(len(f.files)), fmt.Sprint(solved), fmt.Sprint(missed), "", "", ""}
		if p != ours && len(ratios) > 0 {
			line[4], line[5], line[6] = times(geometricMean(ratios)), times(slices.Min(ratios)), times(slices.Max(ratios))
		}
		lines = append(lines, line)
	}
	if err := writeMarkdown(w, lines); err != nil {
		return err
	}
	if _, err := fmt.Fprintln(w); err != nil {
		return err
	}
	return writeMarkdown(w, f.byInstance())
}

// byInstance gives our time in seconds, and for each program how many times that it took, or why it did not solve it.
func (f field) byInstance() [][]string {
	heading := append([]string{"instance", ours + " s"}, f.programs[1:]...)
	lines := [][]string{heading}
	for _, file := range f.files {
		us := f.row(file, ours)
		line := []string{file, us.Status}
		if us.solved() {
			line[1] = fmt.Sprintf("%.3f", us.time())
		}
		for _, p := range f.programs[1:] {
			cell := f.row(file, p).Status
			if cell == string(peer.Optimal) {
				cell = fmt.Sprintf("%.2f s", f.row(file, p).time())
			}
			if r, ok := f.ratio(file, p); ok {
				cell = times(r)
			}
			line = append(line, cell)
		}
		lines = append(lines, line)
	}
	return lines
}

// drawPeers draws the performance profile: for each program, on what share of the instances it took at most x times as
// long as the quickest program there. Instances that no program solved count as unsolved by all.
func drawPeers(path string, rows []peerRow) error {
	f := newField(rows)
	var sets []chart.Share
	for _, p := range f.programs {
		s := chart.Share{Name: p, Total: len(f.files)}
		for _, file := range f.files {
			if !f.row(file, p).solved() {
				continue
			}
			quickest := math.Inf(1)
			for _, q := range f.programs {
				if r := f.row(file, q); r.solved() {
					quickest = min(quickest, r.time())
				}
			}
			s.Values = append(s.Values, f.row(file, p).time()/quickest)
		}
		sets = append(sets, s)
	}
	return chart.Shares(path, chart.Labels{
		Title: fmt.Sprintf("Performance profile, %d instances", len(f.files)),
		X:     "time over that of the quickest program (ratio)",
		Y:     "instances solved (%)",
	}, sets)
}

// geometricMean of positive values; 0 of none.
func geometricMean(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	sum := 0.0
	for _, v := range values {
		sum += math.Log(v)
	}
	return math.Exp(sum / float64(len(values)))
}

// times writes a ratio.
func times(r float64) string {
	if r < 10 {
		return fmt.Sprintf("× %.2f", r)
	}
	return fmt.Sprintf("× %.0f", r)
}
