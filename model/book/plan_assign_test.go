package book

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestAssign gives bought sticks of a plan sticks that came: the shortest that does, and so that as many as can be get one.
func TestAssign(t *testing.T) {
	mm := func(n int) model.Length { return model.Length(n) * model.Millimetre }
	bought := func(length, from, takes int) plan.Stick {
		return plan.Stick{From: plan.Bought, Supplier: "S", Length: mm(length),
			Sides: []plan.Side{{Start: mm(from), LongPoint: mm(takes), Takes: mm(takes)}}}
	}
	came := func(length int, damage ...int) RackStick {
		s := RackStick{Supplier: "S", Length: mm(length), order: 3, plan: 7}
		for i := 0; i < len(damage); i += 2 {
			s.Damage = append(s.Damage, model.Span{From: mm(damage[i]), To: mm(damage[i+1])})
		}
		return s
	}
	for _, c := range []struct {
		name  string
		plan  []plan.Stick
		came  []RackStick
		given []int
	}{
		{"in order", []plan.Stick{bought(2400, 40, 500), bought(2400, 40, 500)}, []RackStick{came(2400), came(2400)}, []int{0, 1}},
		{"the shortest", []plan.Stick{bought(2400, 40, 500)}, []RackStick{came(2300), came(2450), came(3000)}, []int{1}},
		{"damaged in the head trim", []plan.Stick{bought(2400, 40, 500)}, []RackStick{came(2400, 0, 40)}, []int{0}},
		{"damaged where a side lies", []plan.Stick{bought(2400, 40, 500)}, []RackStick{came(2400, 39, 41)}, []int{-1}},
		{"the sound one to whom it matters", []plan.Stick{bought(2400, 40, 500), bought(2400, 40, 1500)}, []RackStick{came(2400), came(2400, 1000, 1010)}, []int{1, 0}},
		{"too few", []plan.Stick{bought(2400, 40, 500), bought(2400, 40, 500)}, []RackStick{came(2400)}, []int{0, -1}},
		{"not of the rack", []plan.Stick{{From: plan.FromRack, Length: mm(100)}}, []RackStick{came(2400)}, []int{-1}},
	} {
		places := make([]int, len(c.plan))
		for i := range places {
			places[i] = i
		}
		if given := assign(plan.ProfilePlan{Sticks: c.plan}, 7, places, c.came, nil); !slices.Equal(given, c.given) {
			t.Errorf("%s: %v, want %v", c.name, given, c.given)
		}
	}
	other := bought(2400, 40, 500)
	other.Supplier = "T"
	onTheWay := bought(2400, 40, 500)
	onTheWay.From, onTheWay.Order = plan.OnTheWay, "3"
	for _, c := range []struct {
		name  string
		stick plan.Stick
		plan  int64
		given int
	}{
		{"another supplier", other, 7, -1},
		{"another plan's order", bought(2400, 40, 500), 8, -1},
		{"on the way, by another plan's order", onTheWay, 8, 0},
	} {
		if given := assign(plan.ProfilePlan{Sticks: []plan.Stick{c.stick}}, c.plan, []int{0}, []RackStick{came(2400)}, nil); given[0] != c.given {
			t.Errorf("%s: %d, want %d", c.name, given[0], c.given)
		}
	}
}

// TestLotsTriedAgain gives two groups lots, of which the first takes the only stick that the second can be cut from, and gives it up again.
func TestLotsTriedAgain(t *testing.T) {
	came := func(lot string, length model.Length) RackStick {
		return RackStick{Name: lot, order: 1, plan: 1, Supplier: "Hill", Length: length, match: "lot " + lot}
	}
	p := plan.ProfilePlan{Sticks: []plan.Stick{{From: plan.Bought, Supplier: "Hill", Length: 1000}, {From: plan.Bought, Supplier: "Hill", Length: 2000}}}
	for _, row := range []struct {
		sticks []RackStick
		want   []int
	}{
		{[]RackStick{came("a", 2000), came("b", 1000)}, []int{1, 0}},
		{[]RackStick{came("b", 1000), came("a", 2000)}, []int{0, 1}},
		{[]RackStick{came("a", 2000), came("b", 500)}, []int{0, -1}},
	} {
		if got := assign(p, 1, []int{0, 1}, row.sticks, []lotGroup{{places: []int{0}}, {places: []int{1}}}); !slices.Equal(got, row.want) {
			t.Errorf("%v get %v, want %v", row.sticks, got, row.want)
		}
	}
}
