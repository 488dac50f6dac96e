package main

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"longpoint/bench/workshop"
	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/folder"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/sequence"
	"longpoint/solver/check"
)

// TestManyAmountsAudited plans a week of which a profile can order more amounts than are told apart. The audit counts them once more, rounded too, and finds the
// plan proven; without the rounding it would find its bound too good.
func TestManyAmountsAudited(t *testing.T) {
	dir := t.TempDir()
	if err := workshop.GenerateEverything(workshop.Everything{Frames: 60, Seed: 13}).Write(dir); err != nil {
		t.Fatal(err)
	}
	w, err := folder.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	verify := func(ctx context.Context, cuts []byte) (string, int64, error) {
		report, err := check.Document(ctx, cuts)
		if err == nil && !report.OK() {
			err = errors.New(report.String())
		}
		return string(report.Grade), report.Bound, err
	}
	d, err := planner.Make(t.Context(), w, planner.Options{TimeLimit: 5 * time.Minute, MadeWith: "bench", Verify: verify})
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Together) != 1 || d.Together[0].Grade != plan.Proven || d.Together[0].Cuts != nil {
		t.Fatalf("%s at %d with the bound %d: that tests nothing", d.Total.Grade, d.Total.Figures.Cost, d.Total.Bound)
	}
	tools := audit.Tools{Verify: verify, Warnings: planner.Warnings, Least: func(w *model.Workshop, profile, order string, sticks []plan.Stick) int {
		return sequence.Figures(w, profile, order, sticks).Least
	}}
	if findings, err := audit.Check(t.Context(), w, d, tools); err != nil || len(findings) > 0 {
		t.Errorf("the audit finds %v, %v", findings, err)
	}
}

// TestWaiting measures two small weeks; the second run measures nothing again.
func TestWaiting(t *testing.T) {
	folder := t.TempDir()
	for _, notes := range []int{2, 0} {
		var out, said bytes.Buffer
		r := waitingRun{measuring: measuring{filepath.Join(folder, "waiting.csv"), &out, &said}, frames: []int{4}, seeds: 2, limit: time.Minute, pictures: folder}
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
