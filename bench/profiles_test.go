package main

import (
	"testing"

	"longpoint/bench/workshop"
)

// TestWeekProfiles: some of a week's profiles can be stated whole, and the others are counted.
func TestWeekProfiles(t *testing.T) {
	all, others, err := weekProfiles(workshop.Everything{Frames: 20, Seed: 1})
	if err != nil || len(all) != 2 || others != 4 {
		t.Fatalf("%d and %d others, %v", len(all), others, err)
	}
	for _, in := range all {
		if err := in.Problem.Validate(); err != nil || in.Pieces() == 0 {
			t.Errorf("%s: %d pieces, %v", in.Name, in.Pieces(), err)
		}
	}
}
