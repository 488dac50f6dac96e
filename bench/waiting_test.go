package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/planner"
)

// TestWaiting measures two small weeks; the second run measures nothing again.
func TestWaiting(t *testing.T) {
	folder := t.TempDir()
	for _, notes := range []int{2, 0} {
		var out, said bytes.Buffer
		r := waitingRun{frames: []int{4}, seeds: 2, limit: time.Minute, table: filepath.Join(folder, "waiting.csv"), pictures: folder, out: &out, notes: &said}
		if err := r.run(t.Context()); err != nil {
			t.Fatal(err)
		}
		if strings.Count(said.String(), "proven, gap 0.000 %") != notes || !strings.Contains(out.String(), "| 4      |     2 |") {
			t.Errorf("it says %s%s", said.String(), out.String())
		}
	}
}

// TestWaitingNotes takes down when a gap was reached first, and what it was after five seconds.
func TestWaitingNotes(t *testing.T) {
	r := waitingRow{toPlan: -1, toOne: -1, toTenth: -1, toProof: -1}
	for _, p := range []struct {
		seconds     float64
		cost, bound model.Money // no cost: there is no plan
	}{{0.1, 0, 0}, {0.5, 2000, 0}, {2, 1000, 989}, {3, 1000, 990}, {4.9, 1000, 995}, {6, 1000, 999}, {7, 1000, 1000}} {
		r.note(planner.Progress{HasPlan: p.cost > 0, Cost: p.cost, Bound: p.bound, Gap: p.cost - p.bound}, p.seconds)
	}
	want := waitingRow{toPlan: 0.5, toOne: 3, toTenth: 6, toProof: -1, gapAtFive: 5000}
	if r != want {
		t.Errorf("got  %+v\nwant %+v", r, want)
	}
	back, err := parseWaitingRow(want.fields())
	if err != nil || back != want {
		t.Errorf("%v; read back %+v", err, back)
	}
}
