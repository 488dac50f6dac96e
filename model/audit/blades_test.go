package audit_test

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// flawed is a stick of 1670 mm with damage, from which a frame of 430 and 330 mm can be cut in one way only: two unequal sides before the damage and two behind it.
func flawed(t *testing.T, machine model.MachineType, damage model.Span) (*model.Workshop, *plan.Document) {
	t.Helper()
	w, _ := shoptest.Hall(t)
	w.Machine.Type, w.Rack[0].Length, w.Rack[0].Damage = machine, 1670*mm, []model.Span{damage}
	return w, shoptest.MustMake(t, w, planner.Options{})
}

// behind is the first side of the plan that lies behind 800 mm.
func behind(d *plan.Document) int {
	return slices.IndexFunc(d.Profiles[0].Sticks[0].Sides, func(s plan.Side) bool { return s.Start > 800*mm })
}

// TestBladesBesideDamage cuts a frame on both sides of damage. Worked by hand: moulding of 20 mm, head trim 20; sides of 430 and 330 take 436 and 336, so that the
// last chop before the damage is at 792. The next one is reckoned from where the damage begins, 800 + 2 × 20 = 840, and the long point 3 mm behind it: half
// of the loss and a shave. A saw, of no kerf here, begins where the damage ends.
func TestBladesBesideDamage(t *testing.T) {
	for _, row := range []struct {
		name    string
		machine model.MachineType
		damage  model.Span
		begins  model.Length // the first long point behind the damage
	}{
		{"guillotine, narrow damage", model.Guillotine, shoptest.Span(800, 805), 843 * mm},
		{"guillotine, damage just as wide as two slants", model.Guillotine, shoptest.Span(800, 840), 843 * mm},
		{"guillotine, wide damage", model.Guillotine, shoptest.Span(800, 860), 863 * mm},
		{"saw", model.Saw, shoptest.Span(800, 805), 807 * mm},
	} {
		t.Run(row.name, func(t *testing.T) {
			w, d := flawed(t, row.machine, row.damage)
			if got := d.Profiles[0].Sticks[0].Sides[behind(d)].Start; got != row.begins {
				t.Errorf("the first side behind the damage starts at %s, not %s", got, row.begins)
			}
			if found := shoptest.MustAudit(t, w, d); len(found) > 0 {
				t.Errorf("audit: %v", found)
			}
		})
	}
}

// TestBladesAreAudited plants plans that begin nearer behind damage. The last chop before it is 8 mm before the damage, so that both blades are still buried with
// these 8 mm less; such a plan is wrong only in where it begins.
func TestBladesAreAudited(t *testing.T) {
	w, good := flawed(t, model.Guillotine, shoptest.Span(800, 805))
	for _, row := range []struct {
		name  string
		shift model.Length
		air   bool // a blade would cut air
	}{
		{"where the damage ends", -35 * mm, true},
		{"9 mm too early", -9 * mm, true},
		{"7 mm too early", -7 * mm, false},
		{"later", mm, false},
	} {
		d := shoptest.CopyOf(t, good)
		sides := d.Profiles[0].Sticks[0].Sides
		for n := behind(d); n < len(sides); n++ {
			sides[n].Start += row.shift
		}
		air := slices.ContainsFunc(shoptest.MustAudit(t, w, d), func(f audit.Finding) bool { return f.Code == "blades" })
		if air != row.air {
			t.Errorf("%s: a blade in the air: %v", row.name, air)
		}
		shoptest.WantFinding(t, w, d, "position", "")
	}
	d := shoptest.CopyOf(t, good)
	d.Profiles[0].Apart = 0
	shoptest.WantFinding(t, w, d, "trim", "0 mm apart instead of 40 mm")
}
