package sheet

import (
	"fmt"
	"strings"
	"unicode"

	"longpoint/model"
	"longpoint/model/plan"
)

// Source is what pieces are made of: a plan, the workshop it is for, and how to print. The plan must be one of this very
// workshop (audit.Check says so). Nothing of either is changed.
type Source struct {
	Workshop *model.Workshop
	Plan     *plan.Document
	Dated    model.Date // printed on every page
	Paper    Paper
	Weeks    []Week // of the past, oldest first; may be none
	Progress        // where the plan is partly cut
	unit     model.Unit
	currency model.Currency
	alike    map[model.SideID]bool // by job and frame: there are several alike
	due      map[string]string     // by job: its day
	customer map[string]string     // likewise
	orders   []order               // of each profile
}

// NewSource makes ready to make pieces. The error is a unit that the plan should not have.
func NewSource(w *model.Workshop, d *plan.Document, dated model.Date, paper Paper) (*Source, error) {
	unit, err := model.ParseUnit(d.Unit)
	if err != nil {
		return nil, err
	}
	unit = unit.ReadTo(w.Printing.Fraction)
	s := &Source{Workshop: w, Plan: d, Dated: dated, Paper: paper, unit: unit, alike: map[model.SideID]bool{}, due: map[string]string{}, customer: map[string]string{},
		currency: model.Currency{Code: d.Currency.Code, Decimals: d.Currency.Decimals}}
	for _, j := range d.Jobs {
		s.due[j.Job], s.customer[j.Job] = s.day(j.Due), j.Customer
	}
	for _, pp := range d.Profiles {
		s.orders = append(s.orders, orderOf(pp))
		for _, stick := range pp.Sticks {
			for _, side := range stick.Sides {
				if side.Copy > 1 {
					s.alike[side.OfLine()] = true
				}
			}
		}
	}
	return s, nil
}

// day gives a day as the shop writes it.
func (s *Source) day(text string) string {
	return s.Workshop.Habits.Dates.Rewrite(text)
}

// frame says which frame a side belongs to.
func (s *Source) frame(side plan.Side) string {
	return FrameOf(side, s.alike[side.OfLine()])
}

// under is the line under a piece's title: whose, about what, and of when.
func (s *Source) under(about ...string) string {
	parts := append(about, s.Plan.Workshop)
	if s.Plan.Until != "" {
		parts = append(parts, "jobs due up to "+s.day(s.Plan.Until))
	}
	if len(s.Plan.Only) > 0 {
		parts = append(parts, "only "+joinAnd(s.Plan.Only))
	}
	if s.Of != "" {
		parts = append(parts, s.Of)
	}
	return strings.Join(append(parts, "printed "+s.day(s.Dated.String())), " · ")
}

// fileName gives a name for a file: letters, figures and dashes, and never too long.
func fileName(kind, name string) string {
	const most = 60
	runes := []rune(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '.' {
			return r
		}
		return '-'
	}, readable(name)))
	return fmt.Sprintf("%s-%s", kind, strings.Trim(string(runes[:min(len(runes), most)]), "-."))
}
