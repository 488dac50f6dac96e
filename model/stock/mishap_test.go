package stock_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/shoptest"
	"longpoint/model/stock"
)

const mm = model.Millimetre

func shorter(l model.Length) stock.Event {
	return stock.Event{Profile: "ash-20", Stick: "r1", Became: stock.Shorter, Length: l}
}

func flawed(from, to model.Length) stock.Event {
	return stock.Event{Profile: "ash-20", Stick: "r1", Became: stock.Flawed, Flaw: model.Span{From: from, To: to}}
}

// TestAfterRack: what lies on the rack after something has happened to a stick of 2,000 mm, with a head trim of 20 mm.
func TestAfterRack(t *testing.T) {
	value := func(m model.Money) model.OptionalMoney { return model.OptionalMoney{Amount: m, Given: true} }
	whole := model.Stick{ID: "r1", Profile: "ash-20", Length: 2000 * mm, Place: "bay 2", Lot: "L7", Value: value(400)}
	with := func(s model.Stick, v model.OptionalMoney, damage ...model.Span) model.Stick {
		s.Value, s.Damage = v, damage
		return s
	}
	piece := func(id string, length, begun model.Length, place string, v model.OptionalMoney) model.Stick {
		return model.Stick{ID: id, Profile: "ash-20", Length: length, Begun: begun, Place: place, Lot: "L7", Offcut: true, Value: v}
	}
	for _, c := range []struct {
		name   string
		events []stock.Event
		want   []model.Stick
		cut    string // sides that are cut and good
	}{
		{"nothing", nil, []model.Stick{whole}, ""},
		{"a side is done", []stock.Event{shoptest.Event(1, stock.Done)}, // 2,000 − 436, worth 400 · 1,564 / 2,000
			[]model.Stick{piece("r1", 1564*mm, 20*mm, "begun, measures 1544 mm", value(313))}, "B"},
		{"three sides, one of them torn", []stock.Event{shoptest.Event(3, stock.Done), shoptest.Event(1, stock.Done), shoptest.Event(2, stock.Torn)},
			[]model.Stick{piece("r1", 792*mm, 20*mm, "begun, measures 772 mm", value(158))}, "BA"},
		{"all sides are done", []stock.Event{shoptest.Event(0, stock.Done)},
			[]model.Stick{{ID: "offcut 1", Profile: "ash-20", Length: 436 * mm, Place: "bay 2", Lot: "L7", Offcut: true}}, "BDAC"},
		{"it is shorter", []stock.Event{shorter(1900 * mm)},
			[]model.Stick{{ID: "r1", Profile: "ash-20", Length: 1900 * mm, Place: "bay 2", Lot: "L7"}}, ""},
		{"it is shorter, which is seen after the first side", []stock.Event{shoptest.Event(1, stock.Done), shorter(580 * mm)}, // too short to keep
			[]model.Stick{piece("r1", 144*mm, 20*mm, "begun, measures 124 mm", value(0))}, "B"},
		{"it is used up", []stock.Event{shoptest.Event(1, stock.Short), shorter(456 * mm)}, nil, ""},
		{"it is flawed", []stock.Event{flawed(1000*mm, 1100*mm)}, // worth 400 · 1,900 / 2,000
			[]model.Stick{with(whole, value(380), model.Span{From: 1000 * mm, To: 1100 * mm})}, ""},
		{"it is flawed at both ends, and twice at one", []stock.Event{flawed(1900*mm, 2000*mm), flawed(0, 80*mm), flawed(50*mm, 100*mm)},
			[]model.Stick{with(whole, value(360), model.Span{To: 100 * mm}, model.Span{From: 1900 * mm, To: 2000 * mm})}, ""},
		{"it is begun and flawed", []stock.Event{shoptest.Event(1, stock.Done), flawed(1000*mm, 1100*mm)}, // 313 · 1,464 / 1,564
			[]model.Stick{with(piece("r1", 1564*mm, 20*mm, "begun, measures 1544 mm", value(0)), value(293), model.Span{From: 564 * mm, To: 664 * mm})}, "B"},
		{"it is flawed from the last cut on", []stock.Event{shoptest.Event(1, stock.Done), flawed(456*mm, 2000*mm)}, nil, "B"},
		{"it is flawed in its middle, and no part is long enough to keep", []stock.Event{flawed(100*mm, 1900*mm)},
			[]model.Stick{with(whole, value(0), model.Span{From: 100 * mm, To: 1900 * mm})}, ""},
		{"it is missing", []stock.Event{{Profile: "ash-20", Stick: "r1", Became: stock.Missing}}, nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, d := shoptest.Hall(t)
			now, err := stock.Midway(w, d, c.events)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(c.want, now.Rack); diff != "" {
				t.Errorf("the rack (-want +got):\n%s", diff)
			}
			var cut []string
			for _, s := range now.Jobs[0].Frames[0].Cut {
				cut = append(cut, s.Letter)
			}
			if strings.Join(cut, "") != c.cut {
				t.Errorf("sides %v are cut, want %s", cut, c.cut)
			}
			if len(w.Jobs[0].Frames[0].Cut) != 0 || !cmp.Equal(w.Rack, []model.Stick{whole}) {
				t.Error("the workshop it was given has changed")
			}
		})
	}
}

// TestAfterRefuses what cannot have happened, with the event's place.
func TestAfterRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		events []stock.Event
		column string
		says   string
	}{
		{"no such stick", []stock.Event{{Profile: "ash-20", Stick: "r7", Became: stock.Missing}}, "stick", "no stick “r7” of profile “ash-20”"},
		{"no such side", []stock.Event{shoptest.Event(5, stock.Done)}, "side", "no side 5; count as the plan does, from 1 to 4"},
		{"a side twice", []stock.Event{shoptest.Event(1, stock.Done), shoptest.Event(0, stock.Torn)}, "side", "of side 1 it is said twice"},
		{"a side before", []stock.Event{shoptest.Event(1, stock.Done), shoptest.Event(3, stock.Done)}, "side", "side 3 is cut and nothing is said of side 2"},
		{"of a side what is said of a stick", []stock.Event{shoptest.Event(1, stock.Missing)}, "side", "missing is said of a stick"},
		{"missing and cut", []stock.Event{shoptest.Event(1, stock.Done), shoptest.Event(0, stock.Missing)}, "became", "is missing, and something else"},
		{"not shorter", []stock.Event{shorter(2000 * mm)}, "length", "2000 mm is not shorter than the 2000 mm"},
		{"no length", []stock.Event{shorter(0)}, "length", "0 mm is not shorter"},
		{"shorter twice", []stock.Event{shorter(1900 * mm), shorter(1800 * mm)}, "length", "said twice"},
		{"shorter than what is cut", []stock.Event{shoptest.Event(1, stock.Done), shorter(455 * mm)}, "length", "take 456 mm of this stick, and it is to be 455 mm"},
		{"a flaw outside", []stock.Event{flawed(1900*mm, 2001*mm)}, "from", "does not lie on a stick of 2000 mm"},
		{"a flaw of nothing", []stock.Event{flawed(1900*mm, 1900*mm)}, "from", "does not lie on"},
		{"a flaw where it is cut", []stock.Event{shoptest.Event(1, stock.Done), flawed(400*mm, 500*mm)}, "from", "the flaw begins at 400 mm, and up to 456 mm the stick is cut"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, d := shoptest.Hall(t)
			for n := range c.events {
				c.events[n].Where = model.Place{File: "cut.csv", Line: n + 2}
			}
			now, err := stock.Midway(w, d, c.events)
			var e *model.Error
			if !errors.As(err, &e) || e.Kind != model.BadInput || e.Where.File != "cut.csv" || e.Where.Line < 2 || e.Where.Column != c.column || now != nil {
				t.Fatalf("it gives %+v", err)
			}
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("it says %q, want %q", err, c.says)
			}
		})
	}
	w, d := shoptest.Hall(t)
	long := slices.Repeat([]stock.Event{{Profile: strings.Repeat("x", 1000), Stick: "r1", Became: stock.Missing}}, 53)
	if _, err := stock.Midway(w, d, long); err == nil || strings.Count(err.Error(), "\n") != 50 || !strings.HasSuffix(err.Error(), "\n3 more errors are not shown; put these right first") || len(err.Error()) > 51*200 {
		t.Errorf("of 53 errors about a long name it says %.300v", err)
	}
	w, d = shoptest.Hall(t)
	d.Profiles[0].Sticks[0].ID = "r9"
	if _, err := stock.Midway(w, d, nil); err == nil {
		t.Error("a plan of another workshop is taken")
	}
	w, d = shoptest.Hall(t)
	w.Machine.HeadTrim = 50 * mm
	if _, err := stock.Midway(w, d, nil); err == nil || !strings.Contains(err.Error(), "it trims 20 mm off the head of every stick of profile ash-20, and now it would be 50 mm") {
		t.Errorf("a plan for another machine gives %v", err)
	}
}
