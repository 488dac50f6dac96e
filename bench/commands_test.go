package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"longpoint/bench/record"
	"longpoint/model"
	"longpoint/model/plan"
)

// TestCommandsSummary: what took more than two plans is counted where a plan takes a time that is noticed, by the processors' seconds.
func TestCommandsSummary(t *testing.T) {
	rows := []commandsRow{
		{"20 frames", 1, planOnce, 0.2, 0.2}, {"20 frames", 1, quoteOnce, 0.9, 0.9}, // nobody waits for that
		{"20 frames", 2, planOnce, 5, 1}, {"20 frames", 2, quoteOnce, 10.5, 2.5},
		{"20 frames", 3, planOnce, 1, 1}, {"20 frames", 3, quoteOnce, 9.5, 2},
		{"small", 0, planOnce, 1, 1}, {"small", 0, buyOnce, 1, 1.5},
	}
	var table [][]string
	for _, r := range rows {
		back, err := parseCommandsRow(r.fields())
		if err != nil || back != r {
			t.Errorf("%v; read back %+v", err, back)
		}
		table = append(table, r.fields())
	}
	dir := t.TempDir()
	if err := record.Write(filepath.Join(dir, "commands.csv"), commandsHeader, table); err != nil {
		t.Fatal(err)
	}
	if err := report(dir, dir); err != nil {
		t.Error(err)
	}
	var out bytes.Buffer
	if err := writeCommandsSummary(&out, rows); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"|   quote |     3 | 9.50, at most 10.50 | 2.00, at most 2.50 | 2.50, at most 4.50 |            1 |         1 |", "| small     |     buy |     1 "} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no line %s in\n%s", want, out.String())
		}
	}
}

// TestHalfCut: the sticks before the middle are cut, and the first side of the middle one is torn.
func TestHalfCut(t *testing.T) {
	side := func(job string) plan.Side { return plan.Side{SideID: model.SideID{Job: job}} }
	d := &plan.Document{Profiles: []plan.ProfilePlan{
		{Name: "oak", Figures: plan.Figures{Sides: 2}, Sticks: []plan.Stick{{ID: "S1", Sides: []plan.Side{side("1"), side("2")}}}},
		{Name: "ash", Figures: plan.Figures{Sides: 3}, Sticks: []plan.Stick{{ID: "A1", Sides: []plan.Side{side("3")}}, {ID: "new 1", Sides: []plan.Side{side("2")}}, {ID: "new 2", Sides: []plan.Side{side("4")}}}},
	}}
	if got := largestJob(d); got != "2" {
		t.Errorf("the largest job is %q", got)
	}
	if got, want := halfCut(largestProfile(d)), "profile,stick,side,became\nash,A1,all,done\nash,new 1,1,torn\n"; got != want {
		t.Errorf("%q, not %q", got, want)
	}
}
