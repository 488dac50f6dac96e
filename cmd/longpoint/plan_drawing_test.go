package main

import (
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// stickOf makes a bought stick of so many millimetres with sides of equal long points, 6 mm apart, from a head trim of
// 30 mm.
func stickOf(length, longPoint model.Length, sides int, becomes string) plan.Stick {
	const mm = model.Millimetre
	s := plan.Stick{ID: "new 1", From: plan.Bought, Length: length * mm}
	at := 30 * mm
	for i := range sides {
		s.Sides = append(s.Sides, plan.Side{SideID: model.SideID{Letter: string(rune('A' + i))}, Start: at + 3*mm, LongPoint: longPoint * mm})
		at += (longPoint + 6) * mm
	}
	s.Left = plan.Left{Length: s.Length - at, Becomes: becomes}
	return s
}

func TestDrawing(t *testing.T) {
	for _, c := range []struct {
		name  string
		stick plan.Stick
		unit  model.Unit
		want  []string
	}{
		{"labels where there is room", stickOf(3000, 564, 4, plan.Kept), model.Millimetres, []string{
			`#\  1 A 564  /\  2 B 564  /\  3 C 564   /\  4 D 564  /... kept 690 ...`,
			`0           500        1000        1500        2000       2500        3000 mm`,
		}},
		{"short sides keep number and letter, or the letter", stickOf(3000, 160, 3, plan.Waste), model.Millimetres, []string{
			`#\1A/\2B/\C/....................... waste 2472 .......................`,
			`0           500        1000        1500        2000       2500        3000 mm`,
		}},
		{"hardly any room", stickOf(3000, 60, 3, plan.Waste), model.Millimetres, []string{
			`#V\/V.......................... waste 2772 ...........................`,
			`0           500        1000        1500        2000       2500        3000 mm`,
		}},
		{"no room at all", stickOf(100_000, 60, 3, plan.Waste), model.Millimetres, []string{
			`............................ waste 99772 .............................`,
			`0             20000         40000         60000         80000         100000 mm`,
		}},
		{"inches", stickOf(3048, 508, 2, plan.Kept), model.Inches, []string{
			`#\  1 A 20  /\ 2 B 20  /............... kept 78 11/32 ................`,
			`0             24            48            72            96            120 in`,
		}},
		{"nothing cut", stickOf(2000, 0, 0, plan.Kept), model.Centimetres, []string{
			`.............................. kept 197 ..............................`,
			`0                 50               100               150              200 cm`,
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := newDrawing(plan.ProfilePlan{Sticks: []plan.Stick{c.stick}}, c.unit, pageWidth-rulerRoom).stick(0)
			if want := strings.Join(c.want, "\n") + "\n"; got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
			if w := widest(got); w > pageWidth {
				t.Errorf("%d columns wide, more than %d", w, pageWidth)
			}
		})
	}
}
