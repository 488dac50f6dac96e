package sheet

import (
	"fmt"
	"math"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

const mm = model.Millimetre

// extremes are plans of one profile that are hard to draw. Sums and costs are not filled in.
func extremes() map[string]planned {
	return map[string]planned{
		"one side":           handmade(30*mm, 1200*mm, 4, "101", "print", 900*mm),
		"sixty sides":        handmade(20*mm, 3000*mm, 4, "101", "print", repeated(45*mm, 60)...),
		"5 mm next to 2.4 m": handmade(2*mm, 3000*mm, 24, "101", "print", 5*mm, 2400*mm, 5*mm),
		"long names": handmade(32*mm, 2400*mm, 4, "Auftrag 2027/118 Käthe-Kollwitz-Gymnasium Aula Nordseite", "Großformatige Kaltnadelradierung, erste Fassung",
			500*mm, 400*mm, 120*mm, 80*mm, 500*mm),
		"Cyrillic":                        handmade(32*mm, 2400*mm, 4, "Заказ 17, мастерская «Щедрый вечір»", "Ўзбекча расм ҳақида", 500*mm, 400*mm, 500*mm, 400*mm),
		"wide profile":                    handmade(150*mm, 3000*mm, 3, "101", "print", 640*mm, 640*mm, 640*mm),
		"a hundred and twenty tiny sides": handmade(5*mm, 3000*mm, 24, "101", "print", repeated(20*mm, 120)...),
	}
}

func repeated(l model.Length, times int) []model.Length {
	out := make([]model.Length, times)
	for i := range out {
		out[i] = l
	}
	return out
}

// handmade is a workshop of one profile, with a plan that cuts sides of one job from one stick of the rack.
func handmade(width, stick model.Length, sides int, job, frame string, longPoints ...model.Length) planned {
	shape := model.Shape{Sides: sides}
	trim := min(width, 30*mm)
	s := plan.Stick{ID: "R1", From: plan.FromRack, Place: "bay 3", Length: stick}
	at := trim
	letters := "ABCDEFGHIJKLMNOPQRSTUVWX"
	slant := model.Length(float64(width-width/5) * math.Tan(math.Pi/float64(sides)))
	for i, l := range longPoints {
		takes := l + 4*mm
		s.Sides = append(s.Sides, plan.Side{SideID: model.SideID{Job: job, Frame: frame, Copy: 1 + i/sides, Ring: 1, Letter: string(letters[i%sides])}, Of: sides, Angle: shape.Angle(),
			LongPoint: l, Measure: l - 2*slant, Set: slant, Start: at + 2*mm, Takes: takes})
		at += takes
	}
	left := stick - at
	s.Left = plan.Left{Length: left, Becomes: plan.Waste}
	if left > 300*mm {
		s.Left = plan.Left{Length: left, Becomes: plan.Kept, ID: "7"}
	}
	pp := plan.ProfilePlan{Name: "oak-" + fmt.Sprint(int64(width/mm)), Title: "Oak of " + width.String(), Width: width, HeadTrim: trim, TailTrim: trim,
		Sticks: []plan.Stick{s}, Bites: plan.Bites{Strokes: 1, Advances: []model.Length{width}}, Grade: plan.Proven}
	pp.Figures.Sides = len(longPoints)
	return planned{
		&model.Workshop{Name: "Invented", Unit: model.Millimetres, Profiles: []model.Profile{{Name: pp.Name, Title: pp.Title, Width: width, Rebate: width / 5}},
			Rack: []model.Stick{{ID: "R1", Profile: pp.Name, Length: stick}}},
		&plan.Document{Format: plan.Format, Workshop: "Invented", Unit: "mm", Currency: plan.Currency{Code: "EUR", Decimals: 2}, Profiles: []plan.ProfilePlan{pp}},
	}
}

// TestHandmade shows that the fixtures are what they say: no side lies over another or beyond its stick.
func TestHandmade(t *testing.T) {
	all := extremes()
	all["by hand"] = handPlan()
	for name, p := range all {
		pp := p.Document.Profiles[0]
		for _, s := range pp.Sticks {
			end := pp.HeadTrim
			for _, side := range s.Sides {
				if side.Start < end {
					t.Errorf("%s: a side starts at %s, before %s", name, side.Start, end)
				}
				end = side.Start + side.LongPoint
			}
			if end > s.Length-pp.TailTrim {
				t.Errorf("%s: the last side ends at %s of %s", name, end, s.Length)
			}
		}
	}
}

// handPlan is a small workshop with jobs: a rectangle of which there are two, a hexagon in a ring of its own, a triangle,
// a frame of 24 sides. Its plan puts side after side on the next stick with room, the first of which is damaged further
// along; nothing of it depends on the solver.
func handPlan() planned {
	p := handmade(30*mm, 3000*mm, 4, "101", "print", 464*mm)
	name := p.Workshop.Profiles[0].Name
	p.Workshop.Profiles[0].SetUp = "rest at 12, block of 20 under the back edge"
	p.Workshop.Address, p.Workshop.Defaults.Clearance = "2 Invented Lane / Nowhere", 2*mm
	p.Workshop.Suppliers = []model.Supplier{{Name: "Invented Timber", LeastMoney: model.OptionalMoney{Amount: 3000, Given: true}, Delivery: 900,
		Address: "Yard 4 / 1 Invented Quay / Nowhere", DeliveryDays: model.OptionalDays{Days: 5, Given: true}}}
	p.Workshop.Offers = []model.Offer{{Supplier: "Invented Timber", Profile: name, Length: 3000 * mm, Price: 1250, Article: "OK-30/3"}}
	ring := func(sides int, w, h model.Length) model.Ring {
		return model.Ring{Profile: name, Allowance: 3 * mm, Size: model.Size{Shape: model.Shape{Sides: sides}, By: model.ByOutside, Width: w, Height: h}}
	}
	p.Workshop.Jobs = []model.Job{
		{ID: "101", Customer: "invented customer", Note: "behind glass", Frames: []model.JobFrame{{ID: "print", Quantity: 2, Rings: []model.Ring{ring(4, 464*mm, 564*mm)}}}},
		{ID: "102", Frames: []model.JobFrame{
			{ID: "mirror", Quantity: 1, Rings: []model.Ring{ring(6, 200*mm, 0), {Profile: name, Allowance: 2 * mm}}},
			{ID: "flag", Quantity: 1, Rings: []model.Ring{ring(3, 400*mm, 0)}},
			{ID: "round", Quantity: 1, Rings: []model.Ring{ring(24, 60*mm, 0)}}}},
	}
	pp := &p.Document.Profiles[0]
	pp.Sticks, pp.Figures.Sides = nil, 0
	for _, job := range p.Workshop.Jobs {
		cost := plan.JobCost{Job: job.ID, Customer: job.Customer, Cost: 2500}
		for _, side := range sidesOf(p.Workshop, job) {
			putOn(pp, side)
			cost.Sides++
			pp.Figures.Sides++
		}
		p.Document.Jobs = append(p.Document.Jobs, cost)
	}
	pp.Figures.RackSticks, pp.Figures.NewSticks, pp.Figures.Cost, pp.Figures.Yield = 1, len(pp.Sticks)-1, 5000, 901_500
	pp.Bound = 5000
	pp.FirstFit = plan.Comparison{Complete: true, Figures: pp.Figures}
	pp.FirstFit.Figures.Cost, pp.FirstFit.Figures.Yield = 6250, 800_000
	p.Document.Total = plan.Total{Figures: pp.Figures, Bound: 5000, Grade: plan.Proven, FirstFit: pp.FirstFit}
	damaged := &pp.Sticks[0]
	damaged.Damage = []model.Span{{From: 2480 * mm, To: 2560 * mm}}
	damaged.Between = []plan.Left{{Length: 2480*mm - (damaged.Length - damaged.Left.Length), Becomes: plan.Kept, ID: "7"}}
	damaged.Left = plan.Left{Length: damaged.Length - 2560*mm, Becomes: plan.Waste}
	p.Document.Orders = []plan.Order{{Supplier: "Invented Timber", Sticks: len(pp.Sticks) - 1, Cost: 1250 * model.Money(len(pp.Sticks)-1), Delivery: 900,
		Total: 900 + 1250*model.Money(len(pp.Sticks)-1), LeastMoney: 3000}}
	last := &pp.Sticks[len(pp.Sticks)-1]
	last.Left.Becomes, last.Left.ID = plan.Kept, "8"
	p.Document.Buy = []plan.Purchase{{Supplier: "Invented Timber", Profile: name, Length: 3000 * mm, Count: len(pp.Sticks) - 1, Price: 1250, Cost: 1250 * model.Money(len(pp.Sticks)-1), Jobs: []string{"101", "102"}}}
	return p
}

// sidesOf gives the sides of a job, without their places.
func sidesOf(w *model.Workshop, job model.Job) (sides []plan.Side) {
	for _, f := range job.Frames {
		rings, err := f.Geometry(w.ProfileByName)
		if err != nil {
			panic(err) // a mistake in the fixture
		}
		for copy := range f.Quantity {
			for i, r := range rings {
				for _, s := range r.Sides {
					sides = append(sides, plan.Side{SideID: model.SideID{Job: job.ID, Frame: f.ID, Copy: copy + 1, Ring: i + 1, Letter: s.Letter}, Of: r.Shape.Sides, Angle: r.Angle,
						LongPoint: s.LongPoint, Measure: s.Measure, Set: s.Set, Takes: s.LongPoint + 4*mm})
				}
			}
		}
	}
	return sides
}

// putOn puts a side on the last stick, or on a new one where that has no room: the first stick is used up to its damage.
func putOn(pp *plan.ProfilePlan, side plan.Side) {
	const rack = 2450 * mm // of the first stick that is sound
	n := len(pp.Sticks)
	if n == 0 {
		pp.Sticks = append(pp.Sticks, plan.Stick{ID: "R1", From: plan.FromRack, Place: "bay 3", Length: 3000 * mm})
	} else if s := pp.Sticks[n-1]; s.Left.Length-side.Takes < pp.TailTrim || n == 1 && s.Length-s.Left.Length+side.Takes > rack {
		pp.Sticks = append(pp.Sticks, plan.Stick{ID: fmt.Sprintf("new %d", n), From: plan.Bought, Supplier: "Invented Timber", Length: 3000 * mm})
	}
	s := &pp.Sticks[len(pp.Sticks)-1]
	if len(s.Sides) == 0 {
		s.Left = plan.Left{Length: s.Length - pp.HeadTrim, Becomes: plan.Waste}
	}
	side.Start = s.Length - s.Left.Length + (side.Takes-side.LongPoint)/2
	s.Left.Length -= side.Takes
	s.Sides = append(s.Sides, side)
}
