package main

import (
	"context"
	"errors"
	"fmt"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/sequence"
	"longpoint/solver/check"
)

// verify hands a cuts document to the independent checker. It gives the grade that the document earned and the bound
// that its certificate proves; anything off is an error that names the first violation and the number of the others.
func verify(ctx context.Context, cuts []byte) (grade string, lower int64, err error) {
	report, err := check.Document(ctx, cuts)
	if err != nil {
		return "", 0, err
	}
	if len(report.Violations) > 0 {
		text := report.Violations[0].Sentence
		if more := len(report.Violations) - 1; more > 0 {
			text += fmt.Sprintf(" (and %s)", count(more, "more thing that is off", "more things that are off"))
		}
		return "", 0, errors.New(text)
	}
	if !report.OK() {
		return "", 0, errors.New("the check was not finished")
	}
	return string(report.Grade), report.Bound, nil
}

// auditTools is what the audit is handed: the checker, the wording of warnings, and the search for the fewest settings.
var auditTools = audit.Tools{Verify: verify, Warnings: planner.Warnings, Least: func(w *model.Workshop, profile, order string, sticks []plan.Stick) int {
	return sequence.Figures(w, profile, order, sticks).Least
}}
