package planner_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// TestNextBests asks what it costs more to do without the one offer that is bought: the other supplier's stick costs one euro more; where nobody else offers it, it cannot be done.
func TestNextBests(t *testing.T) {
	w := shoptest.Tiny()
	o := planner.Options{Verify: shoptest.Checker, TimeLimit: shoptest.Ample}
	d := shoptest.MustMake(t, w, o)
	others, err := planner.NextBests(t.Context(), w, o, d)
	if err != nil || len(others) != len(d.Buy) || len(others) == 0 {
		t.Fatalf("%d next-best choices of %d lines: %v", len(others), len(d.Buy), err)
	}
	if n := others[0]; !n.Possible || n.Unknown || n.More != model.Money(d.Buy[0].Count)*100 {
		t.Errorf("%+v of %+v", n, d.Buy[0])
	}
	w.Offers = w.Offers[:1]
	d = shoptest.MustMake(t, w, o)
	if others, err = planner.NextBests(t.Context(), w, o, d); err != nil || len(others) != 1 || others[0].Possible || others[0].Unknown {
		t.Errorf("where nobody else offers it: %+v, %v", others, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if others, err = planner.NextBests(ctx, w, o, d); !errors.Is(err, context.Canceled) || others != nil {
		t.Errorf("interrupted: %+v, %v", others, err)
	}
}

// TestRemakeOneProfile plans the rest of a plan of one profile: of that profile again, and of no other.
func TestRemakeOneProfile(t *testing.T) {
	w := shoptest.Fair()
	o := planner.Options{Verify: shoptest.Checker, TimeLimit: shoptest.Ample}
	only := o
	only.Profiles = []string{"slip-12"}
	d := shoptest.MustMake(t, w, only)
	r, err := planner.Remake(t.Context(), w, d, nil, o)
	if err != nil {
		t.Fatal(err)
	}
	if p := r.Plan.Profiles; len(p) != 1 || p[0].Name != "slip-12" {
		t.Errorf("the rest is of %d profiles", len(p))
	}
}

// TestManyFramesOnOneStick names the first six frames that must each lie on one stick, and how many more there are.
func TestManyFramesOnOneStick(t *testing.T) {
	w := shoptest.Tiny()
	w.Offers, w.Jobs = nil, nil
	w.Profiles[0].Match = model.MatchStick
	w.Rack = []model.Stick{{ID: "r1", Profile: "ash-20", Length: 2000 * mm}}
	for n := range 9 {
		w.Jobs = append(w.Jobs, shoptest.Job(fmt.Sprint(101+n), "", shoptest.Frame("a", 1, shoptest.Ring("ash-20", 298*mm, 398*mm))))
	}
	_, err := planner.Make(t.Context(), w, planner.Options{Verify: shoptest.Checker})
	if err == nil {
		t.Fatal("nine frames are cut from one stick")
	}
	if text := err.Error(); strings.Count(text, "frame a (takes") != 6 || !strings.Contains(text, "; 3 more") {
		t.Errorf("it says %s", text)
	}
}
