package plan

import (
	"testing"

	"longpoint/model"
)

// TestMitres: a rectangle's mitre goes without saying, until another stands beside it.
func TestMitres(t *testing.T) {
	side := func(angle model.Angle) Side { return Side{SideID: model.SideID{Letter: "B"}, Angle: angle} }
	for _, row := range []struct {
		name           string
		angles         []model.Angle
		turn, lettered string // and the first side's letter
	}{
		{"no side", nil, "", ""},
		{"rectangles", []model.Angle{45 * model.Degree, 45 * model.Degree}, "", "B"},
		{"a hexagon", []model.Angle{30 * model.Degree}, "All mitres are of 30°: turn the machine to that.", "B 30°"},
		{"both", []model.Angle{45 * model.Degree, 30 * model.Degree, 22_500_000}, "Mitres of 22.5°, 30° and 45°: turn the machine to the one that stands behind a side's letter.", "B 45°"},
	} {
		p := &ProfilePlan{}
		for _, a := range row.angles {
			p.Sticks = append(p.Sticks, Stick{Sides: []Side{side(a)}})
		}
		if got := p.TurnTo(); got != row.turn {
			t.Errorf("%s: %q, want %q", row.name, got, row.turn)
		}
		if len(row.angles) > 0 {
			if got := p.Lettered(p.Sticks[0].Sides[0]); got != row.lettered {
				t.Errorf("%s: %q, want %q", row.name, got, row.lettered)
			}
		}
	}
}
