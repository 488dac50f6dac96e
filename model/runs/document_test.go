package runs

import (
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestSetAsTheyStand: what is cut out of its turn moves the stops, whatever is printed.
func TestSetAsTheyStand(t *testing.T) {
	const mm = model.Millimetre
	for _, row := range []struct {
		name   string
		stand  model.Length // where stop 1 stands; 0: nobody knows
		became []string     // of three sides, 400, 400 and 300 mm
		set    []bool
	}{
		{"nothing is known", 0, []string{ToCut, ToCut, ToCut}, []bool{true, false, true}},
		{"the first is cut", 400 * mm, []string{Done, ToCut, ToCut}, []bool{true, false, true}},
		{"the last was cut first", 300 * mm, []string{ToCut, ToCut, Done}, []bool{true, false, true}},
		{"the middle one begins", 0, []string{Waits, ToCut, ToCut}, []bool{true, true, true}},
		{"the middle one goes on", 300 * mm, []string{Waits, ToCut, Done}, []bool{true, true, true}},
		{"what waits sets its stop", 400 * mm, []string{ToCut, Waits, ToCut}, []bool{false, true, true}},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := &plan.ProfilePlan{Sticks: []plan.Stick{{}}}
			for n, long := range []model.Length{400 * mm, 400 * mm, 300 * mm} {
				p.Sticks[0].Sides = append(p.Sticks[0].Sides, plan.Side{LongPoint: long, Takes: long})
				p.Run.Cuts = append(p.Run.Cuts, plan.Cut{Side: n, Stop: 1, Placed: n != 1})
			}
			stand := plan.NewStanding(model.Machine{})
			if row.stand > 0 {
				stand.Cut(1, plan.Side{LongPoint: row.stand, Takes: row.stand})
			}
			setAsTheyStand(p, [][]string{row.became}, stand)
			settings := 0
			for n, c := range p.Run.Cuts {
				if c.Placed != row.set[n] {
					t.Errorf("cut %d: set %v, want %v", n+1, c.Placed, row.set[n])
				}
				if c.Placed {
					settings++
				}
			}
			if p.Run.Settings != settings {
				t.Errorf("%d settings, want %d", p.Run.Settings, settings)
			}
		})
	}
}
