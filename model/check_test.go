package model

import (
	"testing"

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
