package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"longpoint/bench/instances"
	"longpoint/solver"
	"longpoint/solver/check"
)

// checkLimit is how long the checker may take for one plan; it needs a small part of it for the largest certificate.
const checkLimit = 5 * time.Minute

// judge makes a row of what a child answered for an instance, and says why where the row is not proven. Nothing counts
// that the checker does not accept for exactly this instance.
func judge(ctx context.Context, in instances.Instance, a answer) (solveRow, string) {
	row := rowOf(in)
	row.RootBound, row.Columns, row.Nodes = a.RootBound, a.Columns, a.Nodes
	row.Seconds, row.PeakMB = a.Elapsed.Seconds(), float64(a.Peak)/(1<<20)
	var why string
	if a.HasPlan {
		why = row.accept(ctx, in, a)
	} else {
		row.Status, why = open, a.Reason
		if a.Status == solver.Infeasible {
			row.Status = impossible
		}
	}
	if row.Status == rejected {
		row.Lower = 0 // nothing is certified by what was refused
		return row, why
	}
	if clash := contradiction(in, row, a); clash != "" {
		row.Status, why = wrong, clash
	}
	return row, why
}

// rowOf gives a row with what is known before anything is solved.
func rowOf(in instances.Instance) solveRow {
	return solveRow{File: in.Name, Items: len(in.Problem.Items), Demand: in.Pieces(), Capacity: in.Longest()}
}

// accept fills in what the checker makes of the document.
func (row *solveRow) accept(ctx context.Context, in instances.Instance, a answer) string {
	ctx, cancel := context.WithTimeout(ctx, checkLimit)
	defer cancel()
	row.Upper = optionalCount{Value: a.Cost, Given: true}
	row.Status = rejected
	cuts, err := check.Parse(a.Document)
	if err != nil {
		return err.Error()
	}
	if err := sameInstance(in.Problem, cuts.Instance); err != nil {
		return err.Error()
	}
	report, err := check.Verify(ctx, cuts.Instance, cuts.Plan, cuts.Certificate, cuts.Claims)
	if err != nil {
		return err.Error()
	}
	if !report.OK() {
		return strings.TrimSpace(report.String())
	}
	if report.Cost != a.Cost {
		return fmt.Sprintf("the search says that its plan costs %d, the checker %d", a.Cost, report.Cost)
	}
	row.Lower = report.Bound
	claimed := map[solver.Status]string{solver.Certified: proven, solver.Searched: searched, solver.Stopped: open}[a.Status]
	if string(report.Grade) != claimed {
		return fmt.Sprintf("the search ended %s, but its document is graded %s", a.Status, report.Grade)
	}
	row.Status = claimed
	return a.Reason
}

// sameInstance makes sure that a document is about the problem that was asked.
func sameInstance(p solver.Problem, is check.Instance) error {
	if len(p.Items) != len(is.Items) || len(p.Kinds) != len(is.Kinds) {
		return errors.New("the document is about another number of items or kinds")
	}
	for i, it := range p.Items {
		if is.Items[i].Length != it.Length || is.Items[i].Demand != it.Demand {
			return fmt.Errorf("the document is about another item %d", i)
		}
	}
	for k, kind := range p.Kinds {
		limit := is.Kinds[k].Limit
		if is.Kinds[k].Length != kind.Length || is.Kinds[k].Cost != kind.Cost || (limit != nil) != kind.Limited || limit != nil && *limit != kind.Limit {
			return fmt.Errorf("the document is about another kind %d", k)
		}
	}
	return nil
}

// contradiction holds everything that is claimed, certified or not, against what is published.
func contradiction(in instances.Instance, row solveRow, a answer) string {
	if row.Status == impossible && in.Known.Given {
		return fmt.Sprintf("claimed impossible, but a plan of cost %d is published", in.Known.Upper)
	}
	return in.Known.Contradiction(max(row.Lower, a.Lower), row.Upper.Given, row.Upper.Value)
}
