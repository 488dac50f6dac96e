package model

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var (
	hexagon = Shape{6}
	oak     = Profile{Name: "oak", Width: mm(32), Rebate: mm(6)}
)

func TestMitreLossAndNeed(t *testing.T) {
	guillotine := Machine{Type: Guillotine, Overrun: mm(1.5), Shave: mm(2)}
	saw := Machine{Type: Saw, Kerf: mm(3), Shave: mm(2)}
	// Loss by hand: tan 30° = 0.577350, 1/cos 45° = 1.414214, 1/cos 30° = 1.154701, 1/cos 60° = 2.
	for _, row := range []struct {
		name    string
		machine Machine
		shape   Shape
		loss    Length
	}{
		{"guillotine, rectangle: 2 × 1.5", guillotine, rectangle, mm(3)},
		{"guillotine, hexagon: 3 × 0.577350 = 1.73205", guillotine, hexagon, mm(1.74)},
		{"guillotine, inch figures stay exact", Machine{Type: Guillotine, Overrun: sixtyFourth, Shave: mm(2)}, rectangle, 2 * sixtyFourth},
		{"saw, rectangle: 3 × 1.414214 = 4.24264", saw, rectangle, mm(4.25)},
		{"saw, hexagon: 3 × 1.154701 = 3.46410", saw, hexagon, mm(3.47)},
		{"saw, triangle: 3 × 2", saw, Shape{3}, mm(6)},
		{"no overrun", Machine{Type: Guillotine, Shave: mm(2)}, hexagon, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := row.machine.MitreLoss(row.shape); got != row.loss {
				t.Errorf("loss %s, want %s", got, row.loss)
			}
			// Each end keeps a shave of 2 mm.
			if got, want := row.machine.Need(row.shape, mm(364)), mm(364)+row.loss+mm(4); got != want {
				t.Errorf("need %s, want %s", got, want)
			}
		})
	}
}

func TestTrims(t *testing.T) {
	for _, row := range []struct {
		name    string
		machine Machine
		profile Profile
		shapes  []Shape
		want    Trims
	}{
		{"saw: as entered", Machine{Type: Saw, HeadTrim: mm(10), TailTrim: mm(20)}, oak, []Shape{rectangle}, Trims{Head: mm(10), Tail: mm(20)}},
		{"guillotine: both blades buried", Machine{Type: Guillotine, HeadTrim: mm(10), TailTrim: mm(40)}, oak, []Shape{rectangle}, Trims{mm(32), mm(40), mm(64)}},
		{"guillotine, hexagon: 32 × 0.577350 = 18.4752, twice 36.9504", Machine{Type: Guillotine}, oak, []Shape{hexagon}, Trims{mm(18.48), mm(18.48), mm(36.96)}},
		{"guillotine: the widest mitre counts", Machine{Type: Guillotine}, oak, []Shape{hexagon, rectangle, {8}}, Trims{mm(32), mm(32), mm(64)}},
		{"the profile asks for more", Machine{Type: Guillotine}, Profile{Width: mm(32), HeadTrim: mm(50)}, []Shape{rectangle}, Trims{mm(50), mm(32), mm(64)}},
		{"guillotine, nothing to cut", Machine{Type: Guillotine, HeadTrim: mm(5)}, oak, nil, Trims{Head: mm(5)}},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := row.machine.Trims(row.profile, row.shapes); got != row.want {
				t.Errorf("got %+v, want %+v", got, row.want)
			}
		})
	}
}

func TestBites(t *testing.T) {
	// A finishing bite of about 2 mm: common practice, no source.
	for _, row := range []struct {
		name    string
		machine Machine
		want    []Length
	}{
		{"full bites and the finishing bite", Machine{Type: Guillotine, Bite: mm(10), FinishingBite: mm(2)}, []Length{mm(10), mm(10), mm(10), mm(2)}},
		{"a rest before the finishing bite", Machine{Type: Guillotine, Bite: mm(12), FinishingBite: mm(2)}, []Length{mm(12), mm(12), mm(6), mm(2)}},
		{"no finishing bite", Machine{Type: Guillotine, Bite: mm(16)}, []Length{mm(16), mm(16)}},
		{"no limit to a bite", Machine{Type: Guillotine}, []Length{mm(32)}},
		{"no limit, finishing bite", Machine{Type: Guillotine, FinishingBite: mm(2)}, []Length{mm(30), mm(2)}},
		{"thinner than the finishing bite", Machine{Type: Guillotine, Bite: mm(10), FinishingBite: mm(40)}, []Length{mm(32)}},
		{"saw", Machine{Type: Saw, Bite: mm(10), FinishingBite: mm(2)}, []Length{mm(32)}},
	} {
		t.Run(row.name, func(t *testing.T) {
			if diff := cmp.Diff(Bites{Strokes: len(row.want), Finishing: row.machine.Type == Guillotine && row.machine.FinishingBite > 0, Advances: row.want}, row.machine.Bites(oak)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestBitesGoThrough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Profile{Width: Length(rapid.Int64Range(1, int64(mm(150))).Draw(t, "width"))}
		m := Machine{Type: Guillotine}
		m.Bite = Length(rapid.Int64Range(int64(LeastBite), int64(mm(30))).Draw(t, "bite"))
		m.FinishingBite = Length(rapid.Int64Range(0, int64(mm(5))).Draw(t, "finishing bite"))
		b := m.Bites(p)
		var sum Length
		for i, a := range b.Advances {
			if a <= 0 || (a > m.Bite && i < len(b.Advances)-1) {
				t.Fatalf("bite %d of %v advances %s", i+1, b, a)
			}
			sum += a
		}
		if sum != p.Width || b.Strokes != len(b.Advances) {
			t.Fatalf("%v does not go through %s", b, p.Width)
		}
	})
}

// given makes a limit.
func given(l Length) OptionalLength { return OptionalLength{Length: l, Given: true} }

func TestReview(t *testing.T) {
	ring := mustRing(t, oak, Size{Shape: rectangle, By: BySight, Width: mm(400), Height: mm(500)}, 0)
	angle := func(a Angle) OptionalAngle { return OptionalAngle{Angle: a, Given: true} }
	side := ring.Sides[0] // 464 mm at 45°
	for _, row := range []struct {
		name    string
		limits  Limits
		warning string // "" = none
		error   string
	}{
		{"no limits", Limits{}, "", ""},
		{"as wide as it takes", Limits{GreatestWidth: given(mm(32))}, "", ""},
		{"too wide", Limits{GreatestWidth: given(mm(32) - 1)}, "", "side A of oak: the profile is 32 mm wide and the machine takes 31.999999 mm at most"},
		{"at its least angle", Limits{LeastAngle: angle(45 * Degree)}, "", ""},
		{"below its least angle", Limits{LeastAngle: angle(45*Degree + 1)}, "", "side A of oak has a mitre angle of 45° and the machine cuts 45.000001° at least"},
		{"at its greatest angle", Limits{GreatestAngle: angle(45 * Degree)}, "", ""},
		{"above its greatest angle", Limits{GreatestAngle: angle(45*Degree - 1)}, "", "side A of oak has a mitre angle of 45° and the machine cuts 44.999999° at most"},
		{"as short as is safe", Limits{ShortestSide: given(mm(464))}, "", ""},
		{"too short to hold", Limits{ShortestSide: given(mm(465))}, "side A of oak is 464 mm long and the shortest that is safe to hold is 465 mm; do not hold it by hand near the blade: follow the machine's manual", ""},
		{"as long as it measures", Limits{LongestSide: given(mm(464))}, "", ""},
		{"longer than it measures", Limits{LongestSide: given(mm(463))}, "side A of oak is 464 mm long and the measuring length is 463 mm; mark it by hand", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			warnings, err := Machine{Type: Guillotine, Limits: row.limits}.Review(oak, side)
			switch {
			case row.error == "" && err != nil:
				t.Fatal(err)
			case row.error != "" && (err == nil || err.Kind != CannotCut || err.What != row.error || err.Do == ""):
				t.Fatalf("got %v, want %q of kind CannotCut", err, row.error)
			case row.warning == "" && len(warnings) > 0, row.warning != "" && (len(warnings) != 1 || !strings.HasPrefix(warnings[0], row.warning)):
				t.Errorf("got %q, want %q", warnings, row.warning)
			}
		})
	}
	t.Run("in the machine's unit", func(t *testing.T) {
		warnings, _ := Machine{Unit: Inches, Limits: Limits{ShortestSide: given(20 * Inch)}}.Review(oak, Side{Letter: "B", LongPoint: 18*Inch + Inch/2})
		if len(warnings) != 1 || !strings.Contains(warnings[0], `is 18 1/2" long and the shortest that is safe to hold is 20"`) {
			t.Errorf("got %q", warnings)
		}
	})
}

func TestReviewBlades(t *testing.T) {
	for _, row := range []struct {
		name string
		set  BladeSet
		want string // "" = none
	}{
		{"none mounted", BladeSet{}, ""},
		{"no width of its own", BladeSet{Name: "A"}, ""},
		{"just as wide", BladeSet{"A", given(mm(32))}, ""},
		{"too wide", BladeSet{"A", given(mm(30))}, "oak is 32 mm wide, and blade set A, which is mounted, is for 30 mm at most: mount another set before it is cut, as the machine's manual says"},
	} {
		if got, ok := (Machine{Blades: row.set}).ReviewBlades(oak); got != row.want || ok != (row.want == "") {
			t.Errorf("%s: got %q, %v", row.name, got, ok)
		}
	}
}

func TestReviewStops(t *testing.T) {
	ring := mustRing(t, oak, Size{Shape: rectangle, By: BySight, Width: mm(400), Height: mm(500)}, 0) // 464 and 564 mm
	square := mustRing(t, oak, Size{Shape: rectangle, By: BySight, Width: mm(400), Height: mm(400)}, 0)
	for _, row := range []struct {
		name   string
		limits Limits
		sides  []Side
		want   string // "" = no warning
	}{
		{"not given", Limits{}, ring.Sides, ""},
		{"two stops", Limits{Stops: 2}, ring.Sides, ""},
		{"one stop", Limits{Stops: 1}, ring.Sides, "sides B and A of oak, 564 mm and 464 mm long, need two settings"},
		{"one stop for a square", Limits{Stops: 1, StopGap: given(mm(30))}, square.Sides, ""},
		{"just far enough apart", Limits{Stops: 2, StopGap: given(mm(100))}, ring.Sides, ""},
		{"too near each other", Limits{Stops: 2, StopGap: given(mm(101))}, ring.Sides, "sides B and A of oak, 564 mm and 464 mm long, are 100 mm apart and two stops cannot be nearer than 101 mm"},
		{"no sides", Limits{Stops: 1}, nil, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := strings.Join(Machine{Limits: row.limits}.ReviewStops(oak, row.sides), "\n")
			if (row.want == "") != (got == "") || !strings.HasPrefix(got, row.want) {
				t.Errorf("got %q, want %q", got, row.want)
			}
		})
	}
}

func TestMachineCheck(t *testing.T) {
	good := Machine{Type: Guillotine, Overrun: mm(1), Shave: mm(2), Bite: mm(10), FinishingBite: mm(2)}
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		column string
		change func(*Machine)
	}{
		{"machine.type", func(m *Machine) { m.Type = 0 }},
		{"machine.overrun", func(m *Machine) { m.Overrun = -1 }},
		{"machine.kerf", func(m *Machine) { m.Kerf = MaxLength + 1 }},
		{"machine.shave", func(m *Machine) { m.Shave = -1 }},
		{"machine.head_trim", func(m *Machine) { m.HeadTrim = -1 }},
		{"machine.tail_trim", func(m *Machine) { m.TailTrim = -1 }},
		{"machine.bite", func(m *Machine) { m.Bite = LeastBite - 1 }},
		{"machine.finishing_bite", func(m *Machine) { m.FinishingBite = -1 }},
		{"machine.limits.greatest_width", func(m *Machine) { m.Limits.GreatestWidth = given(-1) }},
		{"machine.limits.longest_side", func(m *Machine) { m.Limits.LongestSide = given(-1) }},
		{"machine.limits.shortest_side", func(m *Machine) { m.Limits.ShortestSide = given(-1) }},
		{"machine.limits.shortest_side", func(m *Machine) { m.Limits.ShortestSide, m.Limits.LongestSide = given(mm(2)), given(mm(1)) }},
		{"machine.limits.stop_gap", func(m *Machine) { m.Limits.StopGap = given(-1) }},
		{"machine.limits.stops", func(m *Machine) { m.Limits.Stops = -1 }},
		{"machine.limits.least_angle", func(m *Machine) {
			m.Limits.LeastAngle, m.Limits.GreatestAngle = OptionalAngle{45 * Degree, true}, OptionalAngle{30 * Degree, true}
		}},
	} {
		t.Run(row.column, func(t *testing.T) {
			m := good
			row.change(&m)
			err, ok := m.Check().(Errors)
			if !ok || len(err) != 1 || err[0].Where.Column != row.column || err[0].Kind != BadInput {
				t.Errorf("got %v, want one error at %s", err, row.column)
			}
		})
	}
}

func BenchmarkMitreLoss(b *testing.B) {
	for _, n := range []int{4, 6, 24} {
		m := Machine{Type: Saw, Kerf: mm(3)}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				m.MitreLoss(Shape{n})
			}
		})
	}
}
