package main

import (
	"context"
	"errors"
	"fmt"

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
