package model

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// aWorkshop gives a small workshop with nothing wrong, invented.
func aWorkshop() *Workshop {
	return &Workshop{
		Unit: Millimetres, Currency: euro, Machine: Machine{Type: Saw, Kerf: mm(3), Shave: mm(2)},
		Defaults: Defaults{RackShare: 50},
		Profiles: []Profile{
			{Name: "oak", Width: mm(32), Rebate: mm(6), Where: Place{File: "profiles.csv", Line: 2}},
			{Name: "gilt", Width: mm(15), Rebate: mm(5), Where: Place{File: "profiles.csv", Line: 3}},
		},
		Offers: []Offer{{Supplier: "North Store", Profile: "oak", Length: 3 * Metre, Price: 1800, Where: Place{File: "offers.csv", Line: 2}}},
		Rack:   []Stick{{ID: "R1", Profile: "gilt", Length: 2 * Metre, Where: Place{File: "rack.csv", Line: 2}}},
		Jobs: []Job{{ID: "J1", Where: Place{File: "jobs.csv", Line: 2}, Frames: []JobFrame{
			{ID: "1", Quantity: 2, Where: Place{File: "jobs.csv", Line: 2}, Rings: []Ring{
				{Profile: "gilt", Size: Size{Shape: rectangle, By: ByContent, Width: mm(300), Height: mm(400)}, Where: Place{File: "jobs.csv", Line: 2}},
				{Profile: "oak", Where: Place{File: "jobs.csv", Line: 3}},
			}},
			{ID: "2", Quantity: 1, Where: Place{File: "jobs.csv", Line: 4}, Rings: []Ring{
				{Profile: "oak", Size: Size{Shape: hexagon, By: ByOutside, Width: mm(300)}, Where: Place{File: "jobs.csv", Line: 4}},
			}},
		}}},
	}
}

// offersLike adds offers of the workshop's first kind, on lines from 10 on.
func offersLike(offers ...Offer) func(*Workshop) {
	return func(w *Workshop) {
		w.Offers = nil
		for i, o := range offers {
			o.Supplier, o.Profile, o.Length, o.Where = "North Store", "oak", 3*Metre, Place{File: "offers.csv", Line: 10 + i}
			w.Offers = append(w.Offers, o)
		}
	}
}

func damaged(spans ...Span) func(*Workshop) {
	return func(w *Workshop) { w.Rack[0].Damage = spans }
}

func TestCheck(t *testing.T) {
	if err := aWorkshop().Check(); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		name   string
		change func(*Workshop)
		want   []string // errors as a person sees them, up to what to do
		kind   ErrorKind
	}{
		{"no unit", func(w *Workshop) { w.Unit = 0 }, []string{"column units: the workshop has no unit of length"}, BadInput},
		{"machine", func(w *Workshop) { w.Machine.Type = 0; w.Where.File = "workshop.toml" }, []string{"workshop.toml, setting machine.type: the machine is neither a guillotine nor a saw"}, BadInput},
		{"default allowance", func(w *Workshop) { w.Defaults.Allowance = -1 }, []string{"column defaults.allowance: it is not a length from 0 to 1 km"}, BadInput},
		{"rack share", func(w *Workshop) { w.Defaults.RackShare = 101 }, []string{"column defaults.rack_share: a share of 101 % is not from 0 to 100"}, BadInput},
		{"profile twice", func(w *Workshop) { w.Profiles[1].Name = "oak"; w.Rack = nil; w.Jobs = nil }, []string{"profiles.csv:3, column profile: profile “oak” is there twice, first in line 2"}, BadInput},
		{"profile without name", func(w *Workshop) {
			w.Profiles = append(w.Profiles, Profile{Where: Place{File: "profiles.csv", Line: 4}})
		}, []string{"profiles.csv:4, column profile: the profile has no name"}, BadInput},
		{"rebate not less than width: said once", func(w *Workshop) { w.Profiles[0].Rebate = mm(32) }, []string{"profiles.csv:2, column rebate: profile oak has a rebate of 32 mm, not less than its width of 32 mm"}, BadInput},
		{"negative rebate", func(w *Workshop) { w.Profiles[0].Rebate = -1 }, []string{"profiles.csv:2, column rebate: profile oak has a negative rebate"}, BadInput},
		{"trim of a profile", func(w *Workshop) { w.Profiles[0].TailTrim = -1 }, []string{"profiles.csv:2, column tail_trim: it is not a length from 0 to 1 km"}, BadInput},
		{"price of a metre", func(w *Workshop) { w.Profiles[0].Metre = OptionalMoney{-1, true} }, []string{"profiles.csv:2, column metre_price: it is not a price"}, BadInput},
		{"offer of an unknown profile", func(w *Workshop) {
			w.Offers = append(w.Offers, Offer{Profile: "elm", Length: Metre, Where: Place{File: "offers.csv", Line: 3}})
		}, []string{"offers.csv:3, column profile: there is no profile “elm”"}, BadInput},
		{"offer of nothing", func(w *Workshop) { w.Offers[0].Length = 0 }, []string{"offers.csv:2, column stick_length: a stick's length must be more than 0 and at most 1 km"}, BadInput},
		{"price", func(w *Workshop) { w.Offers[0].Price = MaxMoney + 1 }, []string{"offers.csv:2, column price: it is not a price"}, BadInput},
		{"stick twice", func(w *Workshop) { w.Rack = append(w.Rack, w.Rack[0]) }, []string{"rack.csv:2, column stick: stick “R1” is there twice, first in line 2"}, BadInput},
		{"stick without name", func(w *Workshop) { w.Rack[0].ID = "" }, []string{"rack.csv:2, column stick: the stick has no name"}, BadInput},
		{"stick of an unknown profile", func(w *Workshop) { w.Rack = append(w.Rack, Stick{ID: "R2", Profile: "elm", Length: Metre}) }, []string{"column profile: there is no profile “elm”"}, BadInput},
		{"stick of more than a kilometre", func(w *Workshop) { w.Rack[0].Length = MaxLength + 1 }, []string{"rack.csv:2, column length: a stick's length must be more than 0 and at most 1 km"}, BadInput},
		{"value of a stick", func(w *Workshop) { w.Rack[0].Value = OptionalMoney{-1, true} }, []string{"rack.csv:2, column value: it is not an amount of money"}, BadInput},
		{"stick worth more than any", func(w *Workshop) {
			w.Rack[0] = Stick{ID: "R1", Profile: "gilt", Length: MaxLength, Where: w.Rack[0].Where}
			w.Profiles[1].Metre = OptionalMoney{MaxMoney, true}
		}, []string{"rack.csv:2, column length: by its length and the price of new moulding the stick would be worth more than any price"}, BadInput},
		{"job twice", func(w *Workshop) { w.Jobs = append(w.Jobs, w.Jobs[0]) }, []string{"jobs.csv:2, column job: job “J1” is there twice, first in line 2"}, BadInput},
		{"job without number", func(w *Workshop) { w.Jobs[0].ID = "" }, []string{"jobs.csv:2, column job: the job has no number"}, BadInput},
		{"job without frame", func(w *Workshop) { w.Jobs[0].Frames = nil }, []string{"jobs.csv:2, column frame: job J1 has no frame"}, BadInput},
		{"frame twice", func(w *Workshop) { w.Jobs[0].Frames[1].ID = "1" }, []string{"jobs.csv:4, column frame: job J1 has frame “1” twice, first in line 2"}, BadInput},
		{"quantity of nothing", func(w *Workshop) { w.Jobs[0].Frames[0].Quantity = 0 }, []string{"jobs.csv:2, column quantity: job J1, frame 1: a quantity of 0 is not from 1 to 10000"}, BadInput},
		{"quantity over the most", func(w *Workshop) { w.Jobs[0].Frames[0].Quantity = MaxQuantity + 1 }, []string{"jobs.csv:2, column quantity: job J1, frame 1: a quantity of 10001 is not from 1 to 10000"}, BadInput},
		{"no ring", func(w *Workshop) { w.Jobs[0].Frames[0].Rings = nil }, []string{"jobs.csv:2, column ring: job J1, frame 1: frame 1 has 0 rings"}, BadInput},
		{"ring of an unknown profile", func(w *Workshop) { w.Jobs[0].Frames[0].Rings[1].Profile = "elm" }, []string{"jobs.csv:3, column profile: job J1, frame 1: there is no profile “elm”"}, BadInput},
		{"outer ring with a size", func(w *Workshop) { w.Jobs[0].Frames[0].Rings[1].Size.Height = mm(1) }, []string{"jobs.csv:3, column width: job J1, frame 1: ring 2 has a size of its own, but its size follows from the ring inside it"}, BadInput},
		{"number of sides", func(w *Workshop) { w.Jobs[0].Frames[1].Rings[0].Size.Shape.Sides = 25 }, []string{"jobs.csv:4, column sides: job J1, frame 2: a frame of 25 sides cannot be made"}, BadInput},
		{"no size", func(w *Workshop) { w.Jobs[0].Frames[1].Rings[0].Size.Width = 0 }, []string{"jobs.csv:4, column width: job J1, frame 2: the size is missing or nought"}, BadInput},
		{"neither rack nor offer: said once", func(w *Workshop) { w.Offers = nil }, []string{"jobs.csv:3, column profile: job J1, frame 1: profile oak is neither on the rack nor on offer"}, CannotCut},
		{"offcut share", func(w *Workshop) { w.Defaults.OffcutShare = 101 }, []string{"column defaults.offcut_share: a share of 101 % is not from 0 to 100"}, BadInput},
		{"offcut share of a profile", func(w *Workshop) { w.Profiles[0].OffcutShare = OptionalShare{-1, true} }, []string{"profiles.csv:2, column offcut_share: a share of -1 % is not from 0 to 100"}, BadInput},
		{"match of a profile", func(w *Workshop) { w.Profiles[0].Match = "twin" }, []string{"profiles.csv:2, column match: “twin” is no rule of matching"}, BadInput},
		{"match of a job", func(w *Workshop) { w.Jobs[0].Match = "twin" }, []string{"jobs.csv:2, column match: “twin” is no rule of matching"}, BadInput},
		{"negative repeat", func(w *Workshop) { w.Profiles[0].Repeat = -1 }, []string{"profiles.csv:2, column repeat: a repeat must be more than 0 and at most 1 km"}, BadInput},
		{"repeat as long as every stick", func(w *Workshop) { w.Profiles[1].Repeat = 2 * Metre }, []string{"profiles.csv:3, column repeat: profile gilt has a repeat of 2000 mm, and its longest stick is 2000 mm long"}, BadInput},
		{"repeat as long as every offer", func(w *Workshop) { w.Profiles[0].Repeat = 4 * Metre }, []string{"profiles.csv:2, column repeat: profile oak has a repeat of 4000 mm, and its longest stick is 3000 mm long"}, BadInput},
		{"repeat of a profile without sticks: not to blame", func(w *Workshop) {
			w.Profiles = append(w.Profiles, Profile{Name: "elm", Width: mm(20), Repeat: 9 * Metre})
		}, nil, BadInput},
		{"repeat of a profile whose only stick is of no length: not to blame", func(w *Workshop) { w.Profiles[1].Repeat = Metre; w.Rack[0].Length = 0 },
			[]string{"rack.csv:2, column length: a stick's length must be more than 0 and at most 1 km"}, BadInput},
		{"repeat of a profile with a stick of no length: not to blame", func(w *Workshop) {
			w.Profiles[0].Repeat = 4 * Metre
			w.Offers = append(w.Offers, Offer{Supplier: "North Store", Profile: "oak", Where: Place{File: "offers.csv", Line: 3}})
		}, []string{"offers.csv:3, column stick_length: a stick's length must be more than 0 and at most 1 km"}, BadInput},
		{"supplier twice", func(w *Workshop) {
			w.Suppliers = []Supplier{{Name: "North Store", Where: Place{File: "suppliers.csv", Line: 2}}, {Name: "North Store", Where: Place{File: "suppliers.csv", Line: 3}}}
		}, []string{"suppliers.csv:3, column supplier: supplier “North Store” is there twice, first in line 2"}, BadInput},
		{"supplier without name", func(w *Workshop) { w.Suppliers = []Supplier{{}} }, []string{"column supplier: the supplier has no name"}, BadInput},
		{"terms of nobody", func(w *Workshop) { w.Suppliers = []Supplier{{Name: "Nroth Store"}} }, []string{"column supplier: supplier “Nroth Store” has terms but offers nothing"}, BadInput},
		{"terms that are none", func(w *Workshop) {
			w.Suppliers = []Supplier{{Name: "North Store", LeastMoney: OptionalMoney{-1, true}, LeastSticks: -1, Delivery: MaxMoney + 1}}
		}, []string{"column least_order: it is not an amount of money", "column least_sticks: -1 sticks is not from 0 to 10000", "column delivery: it is not an amount of money"}, BadInput},
		{"negative bundle", func(w *Workshop) { w.Offers[0].Bundle = -1 }, []string{"offers.csv:2, column bundle: a bundle of -1 sticks is not from 1 to 1000"}, BadInput},
		{"bundle over the most", func(w *Workshop) { w.Offers[0].Bundle = MaxBundle + 1 }, []string{"offers.csv:2, column bundle: a bundle of 1001 sticks is not from 1 to 1000"}, BadInput},
		{"from over the most", func(w *Workshop) { w.Offers[0].From = MaxFrom + 1 }, []string{"offers.csv:2, column from: a price from 10001 bundles on is not from 1 to 10000"}, BadInput},
		{"longest shorter than the shortest", func(w *Workshop) { w.Offers[0].Longest = mm(2999) }, []string{"offers.csv:2, column longest: the longest of random lengths, 2999 mm, is shorter than the shortest, 3000 mm"}, BadInput},
		{"longest over the most", func(w *Workshop) { w.Offers[0].Longest = MaxLength + 1 }, []string{"offers.csv:2, column longest: a stick's length must be more than 0 and at most 1 km"}, BadInput},
		{"longest as long as the shortest", func(w *Workshop) { w.Offers[0].Longest = 3 * Metre }, nil, BadInput},
		{"break twice", offersLike(Offer{From: 10, Price: 1500}, Offer{Price: 1800}, Offer{From: 10, Price: 1600}),
			[]string{"offers.csv:12, column from: North Store offers the same of oak twice from 10 sticks on, first in line 10"}, BadInput},
		{"break twice, the cheaper below", offersLike(Offer{From: 10, Price: 1600}, Offer{From: 10, Price: 1500}),
			[]string{"offers.csv:11, column from: North Store offers the same of oak twice from 10 sticks on, first in line 10"}, BadInput},
		{"bundle twice", offersLike(Offer{Bundle: 6, Price: 9000}, Offer{Bundle: 6, Price: 9000}),
			[]string{"offers.csv:11, column from: North Store offers the same of oak twice from 1 bundle on, first in line 10"}, BadInput},
		{"price that rises", offersLike(Offer{Bundle: 6, From: 3, Price: 8001}, Offer{Bundle: 6, Price: 8000}),
			[]string{"offers.csv:10, column price: North Store asks more for oak from 3 bundles on, 80.01 EUR each, than from 1 bundle on, 80.00 EUR"}, BadInput},
		{"price that stays", offersLike(Offer{Price: 1800}, Offer{From: 10, Price: 1800}), nil, BadInput},
		{"a plain offer twice: the cheaper counts", offersLike(Offer{Price: 1800}, Offer{Price: 1700}), nil, BadInput},
		{"lists of their own", offersLike(Offer{Price: 1800}, Offer{From: 5, Price: 1700}, Offer{From: 5, Price: 1600, Until: Date{time.Unix(0, 0)}},
			Offer{From: 5, Price: 1500, Bundle: 2}, Offer{From: 5, Price: 1500, Longest: 4 * Metre}), nil, BadInput},
		{"damage beyond the stick", damaged(Span{0, mm(40)}, Span{mm(1990), mm(2001)}), []string{"rack.csv:2, column damaged: stick R1: the damage from 1990 mm to 2001 mm lies outside the stick, which is 2000 mm long"}, BadInput},
		{"damage before the stick", damaged(Span{-1, mm(40)}), []string{"rack.csv:2, column damaged: stick R1: the damage from -0.000001 mm to 40 mm lies outside the stick, which is 2000 mm long"}, BadInput},
		{"damage the wrong way round", damaged(Span{mm(40), mm(40)}), []string{"rack.csv:2, column damaged: stick R1: the damage from 40 mm to 40 mm ends before it begins"}, BadInput},
		{"damage twice", damaged(Span{0, mm(40)}, Span{mm(39), mm(60)}), []string{"rack.csv:2, column damaged: stick R1: the damage from 39 mm to 60 mm overlaps that from 0 mm to 40 mm"}, BadInput},
		{"damage beside damage, up to the tail", damaged(Span{0, mm(40)}, Span{mm(40), mm(2000)}), nil, BadInput},
		{"all in one go", func(w *Workshop) {
			w.Profiles[0].Rebate = mm(40)
			w.Offers[0].Length = 0
			w.Jobs[0].Frames[0].Quantity = 0
		}, []string{
			"profiles.csv:2, column rebate: profile oak has a rebate of 40 mm, not less than its width of 32 mm",
			"offers.csv:2, column stick_length: a stick's length must be more than 0 and at most 1 km",
			"jobs.csv:2, column quantity: job J1, frame 1: a quantity of 0 is not from 1 to 10000",
		}, BadInput},
	} {
		t.Run(row.name, func(t *testing.T) {
			w := aWorkshop()
			row.change(w)
			found, _ := w.Check().(Errors)
			var got []string
			for _, e := range found {
				if e.Kind != row.kind || e.Do == "" {
					t.Errorf("kind %d, want %d, and something to do: %v", e.Kind, row.kind, e)
				}
				plain := *e
				plain.Do = ""
				got = append(got, plain.Error())
			}
			if diff := cmp.Diff(row.want, got); diff != "" {
				t.Errorf("errors (want −, got +):\n%s", diff)
			}
		})
	}
}
