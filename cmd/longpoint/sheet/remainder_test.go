package sheet

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestRemaindersMeetTheSides: of every stick of both demo workshops, what is left of each sound part begins where a side's
// share ends, or where the part does, and lies beside the damage.
func TestRemaindersMeetTheSides(t *testing.T) {
	damaged, patterned := 0, 0
	for _, p := range bothShops(t) {
		for _, pp := range p.Document.Profiles {
			profile, _ := p.Workshop.ProfileByName(pp.Name)
			for _, s := range pp.Sticks {
				damaged += len(s.Damage)
				patterned += min(1, int(profile.Repeat))
				begins := []model.Length{pp.HeadTrim + profile.Repeat}
				for _, d := range s.Damage {
					begins = append(begins, d.To+profile.Repeat)
				}
				for _, side := range s.Sides {
					begins = append(begins, side.Slot().To)
				}
				got := remaindersOf(pp, s)
				if len(got) != len(s.Between)+1 {
					t.Errorf("%s, %s: %d remainders and %d sound parts", pp.Name, s.ID, len(got), len(s.Between)+1)
				}
				for _, r := range got {
					if !slices.Contains(begins, r.start()) {
						t.Errorf("%s, %s: what is left begins at %s, where nothing ends", pp.Name, s.ID, r.start())
					}
					for _, d := range s.Damage {
						if r.start() < d.To && d.From < r.end {
							t.Errorf("%s, %s: what is left, %s to %s, lies over damage from %s to %s", pp.Name, s.ID, r.start(), r.end, d.From, d.To)
						}
					}
				}
			}
		}
	}
	if damaged == 0 || patterned == 0 {
		t.Errorf("there are %d damaged places and %d sticks with a pattern: the test shows nothing", damaged, patterned)
	}
}

// TestRemainders: a sound part no longer than a repeat has no say, and damage may reach into the tail trim or begin in it.
func TestRemainders(t *testing.T) {
	pp := plan.ProfilePlan{HeadTrim: 10 * mm, TailTrim: 20 * mm}
	spans := func(ends ...model.Length) (out []model.Span) {
		for i := 0; i < len(ends); i += 2 {
			out = append(out, model.Span{From: ends[i] * mm, To: ends[i+1] * mm})
		}
		return out
	}
	for _, test := range []struct {
		name              string
		damage            []model.Span
		between           []model.Length
		left              model.Length
		starts, end, tail []model.Length
	}{
		{"sound", nil, nil, 100, []model.Length{900}, []model.Length{1000}, []model.Length{20}},
		{"parted", spans(500, 550), []model.Length{40}, 100, []model.Length{460, 900}, []model.Length{500, 1000}, []model.Length{0, 20}},
		{"short part left out", spans(30, 40, 300, 310), []model.Length{40}, 100, []model.Length{260, 900}, []model.Length{300, 1000}, []model.Length{0, 20}},
		{"damaged to the tail", spans(900, 1000), nil, 100, []model.Length{800}, []model.Length{900}, []model.Length{0}},
		{"damaged in the tail trim", spans(990, 1000), nil, 100, []model.Length{890}, []model.Length{990}, []model.Length{10}},
	} {
		s := plan.Stick{Length: 1000 * mm, Damage: test.damage, Left: plan.Left{Length: test.left * mm, Becomes: plan.Waste}}
		for _, l := range test.between {
			s.Between = append(s.Between, plan.Left{Length: l * mm, Becomes: plan.Waste})
		}
		got := remaindersOf(pp, s)
		if len(got) != len(test.starts) {
			t.Errorf("%s: %d remainders, want %d", test.name, len(got), len(test.starts))
			continue
		}
		for n, r := range got {
			if r.start() != test.starts[n]*mm || r.end != test.end[n]*mm || r.tail != test.tail[n]*mm {
				t.Errorf("%s: remainder %d is %s to %s with a tail of %s, want %d to %d with %d", test.name, n, r.start(), r.end, r.tail, test.starts[n], test.end[n], test.tail[n])
			}
		}
	}
}
