package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"longpoint/cmd/longpoint/round"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
)

// keptPlan gives the plan of a book that is to be printed, with the shop that it was made for: the one that --plan names by its number or else, where no
// option asks for another, the last. A last one that does not hold any more is no error: then there is none, and it is said why.
func (p *program) keptPlan(ctx context.Context, f *sheetsFlags, path string, given func(string) bool) (w *model.Workshop, d *plan.Document, err error) {
	named, _ := strconv.ParseInt(f.plan, 10, 64)
	asked := slices.ContainsFunc(append([]string{"here", "strict"}, planningFlags...), given)
	if !isBook(path) || f.plan != "" && named == 0 || asked {
		return nil, nil, nil
	}
	err = reading(ctx, path, func(b *book.Book) (err error) {
		if _, f.planID, err = b.Plan(ctx, named); err != nil {
			return err
		}
		if w, d, err = round.Holding(ctx, b, f.planID, right); err != nil {
			return err
		}
		news, err := b.Since(ctx, f.planID)
		if since := round.Since(news); since != "" {
			p.warn("plan %d: %s%s", f.planID, strings.ToLower(since[:1]), strings.TrimSuffix(since[1:], "."))
		}
		return err
	})
	if e, ok := errors.AsType[*model.Error](err); ok && named == 0 && (e.Kind == model.BadUsage || e.Kind == model.CheckFailed) {
		if f.planID != 0 {
			p.warn("%s", e.What)
		}
		f.planID = 0
		return nil, nil, nil
	}
	return w, d, err
}

// ofWhat says what the sheets are of: "run 2", "plan 3".
func (f *sheetsFlags) ofWhat(path string) string {
	switch {
	case f.runs != "":
		return ", of " + f.runs
	case f.planID != 0:
		return fmt.Sprintf(", of plan %d", f.planID)
	case isBook(path) && f.plan == "" && f.order == 0:
		return `, of a new plan that is not kept in the book ("longpoint plan" keeps one)`
	}
	return ""
}
