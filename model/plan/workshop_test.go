package plan_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver/check"
)

const mm = model.Length(1_000_000)

// tiny is a workshop small enough to be planned by hand; see TestTinyByHand.
func tiny() *model.Workshop {
	return &model.Workshop{
		Name: "Tiny", Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Machine:  model.Machine{Type: model.Guillotine, Overrun: 1 * mm, Shave: 2 * mm, HeadTrim: 10 * mm, TailTrim: 10 * mm, Bite: 12 * mm, FinishingBite: 2 * mm},
		Defaults: model.Defaults{RackShare: 50},
		Profiles: []model.Profile{{Name: "ash-20", Title: "Ash, plain", Width: 20 * mm, Rebate: 5 * mm, Keep: 150 * mm}},
		Offers: []model.Offer{
			{Supplier: "Hill", Profile: "ash-20", Length: 3000 * mm, Price: 1200},
			{Supplier: "Dale", Profile: "ash-20", Length: 3000 * mm, Price: 1300},
		},
		Rack: []model.Stick{{ID: "r1", Profile: "ash-20", Length: 400 * mm, Place: "bay 2", Value: model.OptionalMoney{Amount: 50, Given: true}, Offcut: true}},
		Jobs: []model.Job{
			job("101", "2027-01-08", frame("a", 1, ring("ash-20", 298*mm, 398*mm))),
			job("102", "2027-01-05", frame("a", 1, ring("ash-20", 298*mm, 398*mm))),
		},
	}
}

// fair is a workshop where first-fit buys a stick more than is needed, with a nested frame, a hexagon, a second
// profile and stops that are too near each other.
func fair() *model.Workshop {
	w := tiny()
	w.Name = "Fair"
	w.Machine.Limits = model.Limits{
		ShortestSide: model.OptionalLength{Length: 200 * mm, Given: true},
		Stops:        2, StopGap: model.OptionalLength{Length: 60 * mm, Given: true},
	}
	w.Profiles = append(w.Profiles, model.Profile{Name: "slip-12", Width: 12 * mm, Rebate: 6 * mm})
	w.Offers = append(w.Offers,
		model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 410},
		model.Offer{Supplier: "Dale", Profile: "ash-20", Length: 2200 * mm, Price: 900})
	w.Rack = append(w.Rack,
		model.Stick{ID: "r2", Profile: "ash-20", Length: 1500 * mm},
		model.Stick{ID: "r3", Profile: "ash-20", Length: 1500 * mm},
		model.Stick{ID: "r4", Profile: "slip-12", Length: 20 * mm},
		model.Stick{ID: "offcut 1", Profile: "slip-12", Length: 700 * mm})
	hexagon := ring("ash-20", 150*mm, 0)
	hexagon.Size.Shape.Sides = 6
	w.Jobs = append(w.Jobs,
		job("103", "2027-01-06",
			frame("nest", 2, ring("slip-12", 300*mm, 420*mm), model.Ring{Profile: "ash-20", Allowance: 1 * mm}),
			frame("hex", 1, hexagon)),
		job("104", "", frame("big", 3, ring("ash-20", 700*mm, 1000*mm))))
	w.Jobs[2].Customer = "An invented customer"
	return w
}

func job(id, due string, frames ...model.JobFrame) model.Job {
	j := model.Job{ID: id, Frames: frames}
	if due != "" {
		day, err := model.ParseDate(due)
		if err != nil {
			panic(err)
		}
		j.Due = day
	}
	return j
}

func frame(id string, quantity int, rings ...model.Ring) model.JobFrame {
	return model.JobFrame{ID: id, Quantity: quantity, Rings: rings}
}

func ring(profile string, width, height model.Length) model.Ring {
	return model.Ring{Profile: profile, Allowance: 2 * mm,
		Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: width, Height: height}}
}

// checker is the independent checker as a Verifier.
func checker(ctx context.Context, cuts []byte) (string, int64, error) {
	report, err := check.Document(ctx, cuts)
	switch {
	case err != nil && ctx.Err() != nil, report.Has(check.Unchecked):
		return "", 0, fmt.Errorf("%w: %v", plan.ErrUnchecked, err)
	case err != nil:
		return "", 0, err
	case !report.OK():
		return "", 0, errors.New(report.String())
	}
	return string(report.Grade), report.Bound, nil
}

// mustMake plans a workshop with the checker, and fails the test on an error.
func mustMake(t *testing.T, w *model.Workshop, o plan.Options) *plan.Document {
	t.Helper()
	o.Verify, o.MadeWith = checker, "longpoint test"
	d, err := plan.Make(t.Context(), w, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// mustAudit audits a document, and fails the test when there is no audit.
func mustAudit(t *testing.T, w *model.Workshop, d *plan.Document) []plan.Finding {
	t.Helper()
	findings, err := plan.Audit(t.Context(), w, d, checker)
	if err != nil {
		t.Fatal(err)
	}
	return findings
}

// copyOf is a deep copy.
func copyOf(t *testing.T, d *plan.Document) *plan.Document {
	t.Helper()
	data, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var c plan.Document
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	return &c
}
