package model

import (
	"math/rand/v2"
	"testing"
)

func TestNeedsOfAPatternedProfile(t *testing.T) {
	m := Machine{Type: Saw, Kerf: mm(3), Shave: mm(2)}
	octagon := Shape{8}
	for _, row := range []struct {
		name      string
		repeat    Length
		shape     Shape
		longPoint Length
		want      Length
	}{
		{"no pattern", 0, rectangle, mm(500), m.Need(rectangle, mm(500))},
		{"rounded up", mm(80), rectangle, mm(464), mm(480)}, // 464 + 4.25 + 4 = 472.25
		{"just over", mm(80), rectangle, mm(472), mm(560)},
		{"just whole", mm(80), octagon, mm(480) - m.MitreLoss(octagon) - mm(4), mm(480)},
		{"a nanometre over", mm(80), octagon, mm(480) - m.MitreLoss(octagon) - mm(4) + 1, mm(560)},
	} {
		if got := m.Needs(Profile{Repeat: row.repeat}, row.shape, row.longPoint); got != row.want {
			t.Errorf("%s: got %s, want %s", row.name, got, row.want)
		}
	}
}

func TestUsableLosesOneRepeat(t *testing.T) {
	for _, row := range []struct{ repeat, run, want Length }{
		{0, mm(1000), mm(1000)}, {mm(80), mm(1000), mm(920)}, {mm(80), mm(80), 0}, {mm(80), mm(30), 0},
	} {
		if got := (Profile{Repeat: row.repeat}).Usable(Span{mm(45), mm(45) + row.run}); got != row.want {
			t.Errorf("repeat %s, run %s: got %s, want %s", row.repeat, row.run, got, row.want)
		}
	}
}

// TestPatternedSidesFitWhereverTheRepeatBegins lays sides out by the joints of a pattern that begins anywhere: sides that Usable
// has room for lie on the run, each with room for what it takes about its middle, its middle on a line of symmetry.
func TestPatternedSidesFitWhereverTheRepeatBegins(t *testing.T) {
	m := Machine{Type: Guillotine, Overrun: 1, Shave: 2} // nothing of it is rounded
	r := rand.New(rand.NewPCG(4, 2))
	laid := 0
	for range 3000 {
		p := Profile{Repeat: 2 * Length(1+r.IntN(20))} // even, so that the middle of a repeat is a whole length
		run := Span{Length(r.IntN(50)), 0}
		run.To = run.From + Length(r.IntN(500))
		joint := run.From + Length(r.IntN(int(p.Repeat))) // the first joint on the run
		room := p.Usable(run)
		at := joint
		for {
			longPoint := Length(1 + r.IntN(80))
			takes := m.Needs(p, rectangle, longPoint)
			if takes%p.Repeat != 0 || takes < m.Need(rectangle, longPoint) || takes >= m.Need(rectangle, longPoint)+p.Repeat {
				t.Fatalf("repeat %d: a side that needs %d takes %d", p.Repeat, m.Need(rectangle, longPoint), takes)
			}
			if takes > room {
				break
			}
			room -= takes
			middle := at + takes/2
			if (middle-joint)%(p.Repeat/2) != 0 {
				t.Fatalf("repeat %d: a middle %d behind a joint", p.Repeat, middle-joint)
			}
			at += takes
			laid++
			if at > run.To {
				t.Fatalf("repeat %d, joint at %d of run %v: sides up to %d", p.Repeat, joint, run, at)
			}
		}
	}
	if laid < 3000 {
		t.Errorf("only %d sides laid out", laid)
	}
}

// TestCornersMeet compares with the pattern itself: at a corner both sides end so far behind a joint.
func TestCornersMeet(t *testing.T) {
	m := Machine{Type: Guillotine, Overrun: 1, Shave: 2} // nothing of it is rounded
	p := Profile{Repeat: 14}
	meet := 0
	for a := Length(20); a < 70; a++ {
		for b := Length(20); b < 70; b++ {
			margin := func(longPoint Length) Length { return m.Needs(p, rectangle, longPoint) - longPoint } // twice, from joint to point
			same := (margin(a)-margin(b))%(2*p.Repeat) == 0
			if p.CornersMeet(a, b) != same {
				t.Fatalf("sides of %d and %d: %v, want %v", a, b, !same, same)
			}
			if same {
				meet++
			}
		}
	}
	if meet == 0 || meet == 50*50 {
		t.Errorf("%d corners meet", meet)
	}
	if !(Profile{}).CornersMeet(20, 21) {
		t.Error("no pattern, and a corner that does not meet")
	}
}
