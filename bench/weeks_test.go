package main

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/bench/workshop"
	"longpoint/model/grouping"
	"longpoint/model/plan"
)

// TestWeeks holds a few seeded weeks: each week's plan is proven and costs no more than first-fit from the same rack, and
// length in is length out, week by week, for the plan and for first-fit (weeksRows). That all weeks together are cheaper
// does not have to be, and is not asked for.
func TestWeeks(t *testing.T) {
	const weeks, frames = 12, 6
	folder := t.TempDir()
	r := weeksRun{measuring: measuring{filepath.Join(folder, "weeks.csv"), &bytes.Buffer{}, nil}, size: workshop.Weeks{Weeks: weeks, Frames: frames, Profiles: 3, Seed: 5},
		limit: 10 * time.Second, pictures: folder}
	if err := r.run(t.Context()); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(r.table)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != weeks+1 || len(rows[1]) != len(weeksHeader) {
		t.Fatalf("%d rows of %d cells", len(rows), len(rows[1]))
	}
	for _, row := range rows[1:] {
		if row[3] != string(plan.Proven) {
			t.Errorf("week %s is %s", row[0], row[3])
		}
	}
	for _, picture := range []string{weeksMoney, weeksYield, weeksRack} {
		if svg, err := os.ReadFile(filepath.Join(folder, picture)); err != nil || !bytes.Contains(svg, []byte("<svg")) {
			t.Errorf("%s: %v", picture, err)
		}
	}
	if text := r.out.(*bytes.Buffer).String(); !strings.Contains(text, "12 weeks, 12 of them proven") {
		t.Errorf("the summary says\n%s", text)
	}
}

// TestWeeksRefuses what cannot be true of a week.
func TestWeeksRefuses(t *testing.T) {
	r := weeksRun{size: workshop.Weeks{Weeks: 3, Frames: 4, Profiles: 2, Seed: 1}, limit: 10 * time.Second}
	a, err := r.plan(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	good := a.Groupings[0].Batches
	for _, c := range []struct {
		name  string
		spoil func(b *grouping.Batch)
	}{
		{"a nanometre that comes from nowhere", func(b *grouping.Batch) { b.Plan.Figures.UsedUp++ }},
		{"a nanometre of first-fit's rack that is lost", func(b *grouping.Batch) { b.FirstFit.Rack.Length-- }},
		{"a plan dearer than first-fit", func(b *grouping.Batch) { b.SameRack.Cost = b.Plan.Figures.Cost - 1 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			a.Groupings[0].Batches = slices.Clone(good)
			if _, err := weeksRows(a); err != nil {
				t.Fatal(err)
			}
			c.spoil(&a.Groupings[0].Batches[1])
			if _, err := weeksRows(a); err == nil || !strings.Contains(err.Error(), "week 2") {
				t.Errorf("it says %v", err)
			}
		})
	}
}
