package stops

import (
	"math/rand/v2"
	"testing"
)

// weekly draws a run like a workshop's: pairs of some fifty lengths assigned to 22 sticks, mostly both to one stick.
func weekly(r *rand.Rand) Problem {
	p := Problem{Stops: 2, Gap: 60}
	p.Sticks = make([]Stick, 22)
	for i := range p.Sticks {
		p.Sticks[i] = Stick{nil}
	}
	for l := range 50 {
		p.Lengths = append(p.Lengths, int64(200+10*r.IntN(80)))
		p.Classes = append(p.Classes, Class{Length: l})
		i := r.IntN(len(p.Sticks))
		for range 1 + r.IntN(2) {
			p.Classes[l].Groups = append(p.Classes[l].Groups, 2)
			for range 2 {
				if r.IntN(4) == 0 {
					i = r.IntN(len(p.Sticks))
				}
				p.Sticks[i][0] = append(p.Sticks[i][0], Lot{l, 1})
			}
		}
	}
	return p
}

func BenchmarkByStick(b *testing.B) {
	for b.Loop() {
		for seed := range uint64(4) {
			plan := ByStick(weekly(rand.New(rand.NewPCG(seed, 5))))
			b.ReportMetric(float64(plan.Settings), "settings")
			b.ReportMetric(float64(plan.PickUps), "pick-ups")
		}
	}
}
