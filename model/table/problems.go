package table

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
)

// MaxErrors is how many problems are reported one by one; of the rest the number is given.
const MaxErrors = 50

// Problems collects what is wrong in the user's files. Beyond MaxErrors it only counts, so that a large file of nonsense
// costs no memory. The zero Problems has found nothing.
type Problems struct {
	found model.Errors
	more  int
	again map[*model.Error]int // in so many more rows
	alike int                  // of all of them together
	// Readings say how something was read that by itself can be read in two ways.
	Readings []*model.Error
}

// Add keeps or counts one bad input.
func (p *Problems) Add(where model.Place, what, do string) {
	p.Keep(&model.Error{Kind: model.BadInput, What: what, Where: where, Do: do})
}

// Keep keeps or counts an error. What is wrong with a column in many rows alike is kept once.
func (p *Problems) Keep(e *model.Error) {
	for _, like := range p.found {
		if e.Where.Column != "" && e.Where.Line > like.Where.Line && e.What == like.What && e.Do == like.Do &&
			e.Where.File == like.Where.File && e.Where.Sheet == like.Where.Sheet && e.Where.Column == like.Where.Column {
			if p.again == nil {
				p.again = map[*model.Error]int{}
			}
			p.again[like]++
			p.alike++
			return
		}
	}
	if len(p.found) == MaxErrors {
		p.more++
		return
	}
	p.found = append(p.found, e)
}

// Count gives how many there are so far, shown or not.
func (p *Problems) Count() int { return len(p.found) + p.more + p.alike }

// None tells whether nothing is wrong so far.
func (p *Problems) None() bool { return len(p.found) == 0 }

// Full tells whether more problems are only counted.
func (p *Problems) Full() bool { return len(p.found) == MaxErrors }

// AddChecked takes over what a workshop's own check found, except in rows where reading has already found something wrong:
// there the check saw a value that was never read. Where problems are counted only it takes over nothing, for it cannot tell.
func (p *Problems) AddChecked(err error) {
	found, _ := errors.AsType[model.Errors](err)
	if err != nil && found == nil {
		found = model.Errors{{Kind: model.Fault, What: "the workshop could not be checked", Err: err}}
	}
	if p.more > 0 {
		return
	}
	seen := map[model.Place]bool{}
	for _, e := range p.found {
		seen[rowOf(e.Where)] = true
	}
	for _, e := range found {
		if !seen[rowOf(e.Where)] {
			p.Keep(e)
		}
	}
}

// rowOf gives the row a place is in; a setting that is not there has no line and stays apart from others by its key.
func rowOf(place model.Place) model.Place {
	if place.Line > 0 {
		place.Column, place.Cell = "", 0
	}
	return place
}

// Errors gives the errors in the order of files, of lines in each, and at last how many more there are; nil where there are
// none.
func (p *Problems) Errors(files ...string) error {
	slices.SortStableFunc(p.found, func(a, b *model.Error) int {
		return cmp.Or(
			cmp.Compare(slices.Index(files, a.Where.File), slices.Index(files, b.Where.File)),
			cmp.Compare(a.Where.Sheet, b.Where.Sheet),
			cmp.Compare(a.Where.Line, b.Where.Line))
	})
	for e, rows := range p.again {
		if e.Do += fmt.Sprintf(" (and so in %d more rows)", rows); rows == 1 {
			e.Do = strings.TrimSuffix(e.Do, "s)") + ")"
		}
	}
	p.again = nil
	if p.more == 0 {
		return p.found.AsError()
	}
	return append(p.found, &model.Error{
		Kind: model.BadInput,
		What: fmt.Sprintf("%d more errors are not shown", p.more),
		Do:   "put these right first",
	})
}
