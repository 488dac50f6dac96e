package planner_test

import (
	"errors"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// sticksOf writes a profile's sticks down: where from, its sides by job and letter, parts of a damaged stick apart, and
// what is left of each.
func sticksOf(w *model.Workshop, p plan.ProfilePlan) string {
	var out []string
	for _, s := range p.Sticks {
		text := s.ID + ":"
		for _, side := range s.Sides {
			text += " " + side.Job + side.Letter
		}
		for _, left := range append(append([]plan.Left{}, s.Between...), s.Left) {
			text += " | " + left.Length.In(w.Unit) + " " + left.Becomes
			if left.Value > 0 {
				text += " " + left.Value.In(w.Currency)
			}
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

// TestDamage cuts from sticks with damage. The trims are 20 mm at each end, a short side takes 336 mm, a long one 436 mm.
func TestDamage(t *testing.T) {
	value := model.OptionalMoney{Amount: 300, Given: true}
	// one frame: 2 · 336 + 2 · 436 = 1544 mm
	one := func(damage ...model.Span) *model.Workshop {
		w := shoptest.Tiny()
		w.Jobs = w.Jobs[:1]
		w.Rack = []model.Stick{{ID: "r1", Profile: "ash-20", Length: 2000 * mm, Value: value, Damage: damage}}
		return w
	}
	for _, tt := range []struct {
		name   string
		w      *model.Workshop
		cost   model.Money
		sticks string
	}{
		{"at the head", one(shoptest.Span(0, 45)), 300, "r1: 101B 101D 101A 101C | 411 mm kept"},                            // 2000 − 45 − 1544
		{"at the tail, longer than the trim", one(shoptest.Span(1900, 2000)), 300, "r1: 101B 101D 101A 101C | 336 mm kept"}, // 1900 − 20 − 1544
		{"at the tail, within the trim", one(shoptest.Span(1990, 2000)), 300, "r1: 101B 101D 101A 101C | 426 mm kept"},      // 1990 − 20 − 1544
		// 20 to 900 holds two long sides, 872, and leaves 8; 1000 to 1980 two short ones, 672, and leaves 308 and the tail
		{"in the middle", one(shoptest.Span(900, 1000)), 300, "r1: 101B 101D 101A 101C | 8 mm waste | 328 mm kept"},
		// Chops beside damage are 2 · 20 mm apart at least. 20 to 440 holds only a short one, and 480 to 1980 is 1500 long: 336 + 2 · 436 = 1208 go on it
		{"near the head", one(shoptest.Span(440, 460)), 300, "r1: 101C 101A 101B 101D | 84 mm waste | 312 mm kept"},
		// three parts: 20 to 450, 490 to 890 and 930 to 1980: short, short, long and long
		{"twice", one(shoptest.Span(450, 460), shoptest.Span(890, 900)), 300, "r1: 101A 101C 101B 101D | 94 mm waste | 64 mm waste | 198 mm kept"},
		// parts of 580 and 580 do not hold all: a new stick does
		{"too much", one(shoptest.Span(600, 1400)), 1200, "new 1: 101B 101D 101A 101C | 1436 mm kept"},
		{"all over", one(shoptest.Span(0, 2000)), 1200, "new 1: 101B 101D 101A 101C | 1436 mm kept"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := shoptest.MustMake(t, tt.w, planner.Options{})
			if got := d.Total.Figures.Cost; got != tt.cost {
				t.Errorf("cost %d, want %d", got, tt.cost)
			}
			if got := sticksOf(tt.w, d.Profiles[0]); got != tt.sticks {
				t.Errorf("sticks %q, want %q", got, tt.sticks)
			}
			holds(t, tt.w, d)
		})
	}
}

// TestCredit values what is left. One frame takes 1544 mm.
func TestCredit(t *testing.T) {
	workshop := func(share int, offers ...model.Offer) *model.Workshop {
		w := shoptest.TwoSticks(offers...)
		w.Jobs = w.Jobs[:1]
		w.Defaults.OffcutShare, w.Defaults.RackShare = share, max(50, share)
		return w
	}
	long, short := model.Offer{Supplier: "Hill", Price: 1200}, model.Offer{Supplier: "Hill", Price: 840, Length: 2000 * mm}
	rack := func(w *model.Workshop, sticks ...model.Stick) *model.Workshop {
		for n := range sticks {
			sticks[n].Profile = "ash-20"
		}
		w.Rack = sticks
		return w
	}
	for _, tt := range []struct {
		name   string
		w      *model.Workshop
		cost   model.Money
		credit model.Money
		sticks string // "": several are as good
	}{
		{"nothing is credited", workshop(0, long, short), 840, 0, "new 1: 101B 101D 101A 101C | 436 mm kept"},
		// left of the long one 3000 − 20 − 1544 = 1436 mm at half of 12.00 for 3000 mm: 2.872; of the short one 436 mm: 0.872
		{"too little to matter", workshop(50, long, short), 840 - 87, 87, "new 1: 101B 101D 101A 101C | 436 mm kept 0.87"},
		// in full: 5.744 and 1.744, so that the long one costs 6.26 and the short one 6.66
		{"the longer stick for its offcut", workshop(100, long, short), 1200 - 574, 574, "new 1: 101B 101D 101A 101C | 1436 mm kept 5.74"},
		{"the profile's own share goes first", func() *model.Workshop {
			w := workshop(100, long, short)
			w.Profiles[0].OffcutShare = model.OptionalShare{Percent: 0, Given: true}
			return w
		}(), 840, 0, "new 1: 101B 101D 101A 101C | 436 mm kept"},
		{"what is too short to keep is worth nothing", func() *model.Workshop {
			w := workshop(100, long, short)
			w.Profiles[0].Keep = 2700 * mm // a stick with one short side leaves 2644 mm
			return w
		}(), 840, 0, "new 1: 101B 101D 101A 101C | 436 mm waste"},
		{"no more than the share that a stick on the rack is worth", func() *model.Workshop {
			w := workshop(100, long, short)
			w.Defaults.RackShare = 50
			return w
		}(), 840 - 87, 87, "new 1: 101B 101D 101A 101C | 436 mm kept 0.87"},
		// the stick is worth 1.00 for 2000 mm, so that its offcut of 436 mm is worth 0.218 and not 0.872
		{"no more than the stick itself", rack(workshop(50, long), model.Stick{ID: "r1", Length: 2000 * mm, Value: model.OptionalMoney{Amount: 100, Given: true}}),
			100 - 21, 21, "r1: 101B 101D 101A 101C | 436 mm kept 0.21"},
		{"a stick worth nothing", rack(workshop(50, long), model.Stick{ID: "r1", Length: 2000 * mm, Value: model.OptionalMoney{Given: true}}),
			0, 0, "r1: 101B 101D 101A 101C | 436 mm kept"},
		// parts of 1630 and 1280 mm; at half of 12.00 for 3000 mm 1630 − 436 = 1194 mm are worth 2.38 and 1280 − 1108 + 20 = 192 mm
		// 0.38. Two sides on each are worth as much: 958 and 428 mm. That is more than 86 mm waste and a part left whole for 2.60
		{"both parts of a damaged stick", rack(workshop(50, long), model.Stick{ID: "r1", Length: 3000 * mm, Damage: []model.Span{shoptest.Span(1650, 1700)},
			Value: model.OptionalMoney{Amount: 600, Given: true}}),
			600 - 276, 276, ""},
		// kept from 1000 mm on: now the part of 1300 mm left whole is worth 2.60
		{"a part of a damaged stick left whole", func() *model.Workshop {
			w := rack(workshop(50, long), model.Stick{ID: "r1", Length: 3000 * mm, Damage: []model.Span{shoptest.Span(1650, 1700)},
				Value: model.OptionalMoney{Amount: 600, Given: true}})
			w.Profiles[0].Keep = 1000 * mm
			return w
		}(), 600 - 260, 260, "r1: 101B 101D 101A 101C | 86 mm waste | 1300 mm kept 2.60"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := shoptest.MustMake(t, tt.w, planner.Options{})
			if f := d.Total.Figures; f.Cost != tt.cost || f.Credit != tt.credit {
				t.Errorf("cost %d, credit %d, want %d, %d", f.Cost, f.Credit, tt.cost, tt.credit)
			}
			if got := sticksOf(tt.w, d.Profiles[0]); tt.sticks != "" && got != tt.sticks {
				t.Errorf("sticks %q, want %q", got, tt.sticks)
			}
			holds(t, tt.w, d)
		})
	}
}

// TestMatching keeps the sides of a frame together. One frame takes 1544 mm, a long side and a short one 772 mm.
func TestMatching(t *testing.T) {
	worth := func(m model.Money) model.OptionalMoney { return model.OptionalMoney{Amount: m, Given: true} }
	// two frames; three sticks of 1600 mm with 1560 to give, worth next to nothing, and new ones of 3000 mm
	sticks := func(match model.Match, lots ...string) *model.Workshop {
		w := shoptest.TwoSticks(model.Offer{Supplier: "Hill", Price: 1200})
		for n, lot := range lots {
			w.Rack = append(w.Rack, model.Stick{ID: "r" + string(rune('1'+n)), Profile: "ash-20", Length: 1000 * mm, Value: worth(10), Lot: lot})
		}
		w.Profiles[0].Match = match
		return w
	}
	long := func(lots ...string) *model.Workshop {
		w := sticks(model.MatchLot, lots...)
		for n := range w.Rack {
			w.Rack[n].Length = 1600 * mm
		}
		w.Rack[len(w.Rack)-1].Length = 300 * mm
		return w
	}
	for _, tt := range []struct {
		name string
		w    *model.Workshop
		cost model.Money
	}{
		// each of 1000 mm has 960 to give: 436 + 436 or 436 + 336, and so four of them hold everything
		{"free", sticks(model.MatchFree, "", "", "", ""), 40},
		{"pair", sticks(model.MatchPair, "", "", "", ""), 40},
		// a whole frame goes on a new stick only, and the second one on a second
		{"stick", sticks(model.MatchStick, "", "", "", ""), 2400},
		// without a lot none of them can give a frame
		{"lots that are not known", sticks(model.MatchLot, "", "", "", ""), 2400},
		{"one lot", sticks(model.MatchLot, "a", "a", "a", "a"), 40},
		{"two lots of two", sticks(model.MatchLot, "a", "b", "b", "a"), 40},
		// lot a gives a frame from its two and has one to spare, the other frame is new
		{"three of one lot and a stray", sticks(model.MatchLot, "a", "b", "a", "a"), 1220},
		{"two strays", sticks(model.MatchLot, "a", "b", "c", "a"), 1220},
		// each of 1600 mm gives a whole frame, whether its lot is not known or it is the only one of it
		{"sticks alone", long("", "a", ""), 20},
		// one frame from the long stick of lot a, whose other stick is too short for any side, one from the stick alone
		{"a stick alone beside a lot", long("a", "", "a"), 20},
		{"a job that is free", func() *model.Workshop {
			w := sticks(model.MatchStick, "", "", "", "")
			w.Jobs[0].Match = model.MatchFree
			w.Jobs[1].Match = model.MatchPair
			return w
		}(), 40},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := shoptest.MustMake(t, tt.w, planner.Options{})
			if got := d.Total.Figures.Cost; got != tt.cost {
				t.Errorf("cost %d, want %d: %s", got, tt.cost, sticksOf(tt.w, d.Profiles[0]))
			}
			holds(t, tt.w, d)
		})
	}
}

// TestMatchingThatCannotBe names the frames and says what would do.
func TestMatchingThatCannotBe(t *testing.T) {
	for _, tt := range []struct {
		name  string
		spoil func(*model.Workshop)
		want  []string
	}{
		{"no stick gives a frame", func(w *model.Workshop) {
			w.Profiles[0].Match = model.MatchStick
			w.Jobs[0].Frames[0].Rings[0].Size.Height = 2000 * mm
		}, []string{"profile ash-20: all sides of a frame are to come from one stick, and none is long enough for job 101, frame a (takes 4748 mm, so a stick of 4788 mm: 0 on the rack)", "the longest on offer, from Hill, is 3000 mm", "write pair under match"}},
		{"too few sticks are long enough for the frames", func(w *model.Workshop) {
			w.Profiles[0].Match = model.MatchStick
			w.Offers[0].Length = 1000 * mm
			w.Rack = []model.Stick{{ID: "r1", Profile: "ash-20", Length: 1700 * mm}, {ID: "r2", Profile: "ash-20", Length: 1500 * mm}}
		}, []string{"with each of these on one stick: job 102, frame a (takes 1544 mm, so a stick of 1584 mm: 1 on the rack); job 101, frame a (takes 1544 mm, so",
			"the longest on the rack is 1700 mm, of which 1660 mm is usable, and the longest on offer, from Hill, is 1000 mm, of which 960 mm is usable"}},
		{"no stick gives a pair", func(w *model.Workshop) {
			w.Profiles[0].Match = model.MatchPair
			w.Jobs[1].Frames[0].Rings[0].Size.Height = 2700 * mm
		}, []string{"a long and a short side are to come from one stick, and none is long enough for job 102, frame a", "write free or lot under match"}},
		{"no lot gives a frame", func(w *model.Workshop) {
			w.Profiles[0].Match = model.MatchLot
			w.Offers = nil
			for _, id := range []string{"r1", "r2", "r3", "r4"} {
				w.Rack = append(w.Rack, model.Stick{ID: id, Profile: "ash-20", Length: 1000 * mm})
			}
		}, []string{"all sides of a frame are to come from one lot, and no lot can give job 102, frame a; job 101, frame a", "write free under match"}},
		{"lots that give one frame but not both", func(w *model.Workshop) {
			w.Profiles[0].Match = model.MatchLot
			w.Offers = nil
			for n, lot := range []string{"a", "a", "b", "c"} {
				w.Rack = append(w.Rack, model.Stick{ID: "r" + string(rune('1'+n)), Profile: "ash-20", Length: 1000 * mm, Lot: lot})
			}
		}, []string{"the sides do not go on the sticks there are with each of these frames from one lot: job 102, frame a; job 101, frame a"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := shoptest.TwoSticks(model.Offer{Supplier: "Hill", Price: 1200})
			tt.spoil(w)
			_, err := planner.Make(t.Context(), w, planner.Options{Verify: shoptest.Checker})
			var errs model.Errors
			if !errors.As(err, &errs) {
				t.Fatalf("want model.Errors, got %v", err)
			}
			for _, e := range errs {
				if e.Kind != model.CannotCut {
					t.Errorf("kind %d: %s", e.Kind, e)
				}
			}
			for _, want := range tt.want {
				if !strings.Contains(err.Error()+errs[0].Do, want) {
					t.Errorf("%q is not in %q, %q", want, err, errs[0].Do)
				}
			}
		})
	}
}

// TestPattern rounds what a side takes up to whole repeats, and gives up one of each stick.
func TestPattern(t *testing.T) {
	w := shoptest.Tiny()
	w.Rack = nil
	w.Jobs = w.Jobs[:1]
	w.Profiles[0].Repeat = 50 * mm
	d := shoptest.MustMake(t, w, planner.Options{})
	p := d.Profiles[0]
	// long sides take 450 instead of 436 mm, short ones 350 instead of 336; a stick gives 3000 − 20 − 20 − 50
	if got, want := sticksOf(w, p), "new 1: 101B 101D 101A 101C | 1330 mm kept"; got != want { // 3000 − 70 − 1600
		t.Errorf("sticks %q, want %q", got, want)
	}
	first := p.Sticks[0].Sides[0]
	if first.Takes != 450*mm || first.Start != (20+50+7+3)*mm { // trim, repeat, half of 14 mm, half a loss and a shave
		t.Errorf("it takes %s and starts at %s", first.Takes, first.Start)
	}
	text := strings.Join(p.Warnings, "\n")
	if !strings.Contains(text, "the last corner may not meet") {
		t.Errorf("warnings %q", p.Warnings)
	}
	if strings.Contains(text, "cannot go round its corners") { // 430 − 330 is two repeats
		t.Errorf("warnings %q", p.Warnings)
	}
	holds(t, w, d)
	w.Profiles[0].Repeat = 70 * mm
	d = shoptest.MustMake(t, w, planner.Options{})
	if text := strings.Join(d.Profiles[0].Warnings, "\n"); !strings.Contains(text, "job 101, frame a: its sides do not differ by whole repeats") {
		t.Errorf("warnings %q", d.Profiles[0].Warnings)
	}
	holds(t, w, d)
}

// TestPaid: jobs bear what was paid for sticks that were bought for them, though these count for less on the rack; no plan is chosen by it.
func TestPaid(t *testing.T) {
	w, before := shoptest.Hall(t)
	w.Rack[0].Paid = 1000 // and worth 4.00
	d := shoptest.MustMake(t, w, planner.Options{})
	for _, f := range shoptest.MustAudit(t, w, d) {
		t.Errorf("audit: %s", f)
	}
	p := d.Profiles[0]
	if p.Figures != before.Profiles[0].Figures || p.Figures.Cost != 400 || p.Jobs[0].Cost != 1000 || d.Jobs[0].Cost != 1000 || d.Shared() != 1000 {
		t.Errorf("cost %d, jobs %+v", p.Figures.Cost, d.Jobs)
	}
	w.Rack[0].Paid = 100 // less than it is worth: it counts as what it is worth
	d = shoptest.MustMake(t, w, planner.Options{})
	for _, f := range shoptest.MustAudit(t, w, d) {
		t.Errorf("audit: %s", f)
	}
	if d.Jobs[0].Cost != 400 {
		t.Errorf("jobs %+v", d.Jobs)
	}
	shoptest.WantFinding(t, w, before, "price", "was paid for it")
}
