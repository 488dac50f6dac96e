package folder

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/model"
)

// MaxErrors is how many errors Read reports one by one; of the rest it gives the number.
const MaxErrors = 50

// problems collects what is wrong in the user's files. Beyond MaxErrors it only counts, so that a large file of nonsense
// costs no memory.
type problems struct {
	found model.Errors
	more  int
}

// add keeps or counts one bad input.
func (p *problems) add(where model.Place, what, do string) {
	p.keep(&model.Error{Kind: model.BadInput, What: what, Where: where, Do: do})
}

func (p *problems) keep(e *model.Error) {
	if len(p.found) == MaxErrors {
		p.more++
		return
	}
	p.found = append(p.found, e)
}

// count gives how many there are so far, shown or not.
func (p *problems) count() int { return len(p.found) + p.more }

// none tells whether nothing is wrong so far.
func (p *problems) none() bool { return len(p.found) == 0 }

// addChecked takes over what the workshop's own check found, except in places where reading has already found something
// wrong: there the check saw a value that was never read.
func (p *problems) addChecked(found model.Errors) {
	seen := map[model.Place]bool{}
	for _, e := range p.found {
		seen[rowOf(e.Where)] = true
	}
	for _, e := range found {
		if !seen[rowOf(e.Where)] {
			p.keep(e)
		}
	}
}

// rowOf gives the row a place is in; a setting that is not there has no line and stays apart from others by its key.
func rowOf(place model.Place) model.Place {
	if place.Line > 0 {
		place.Column = ""
	}
	return place
}

// sorted gives the errors in the order of files, then lines, and at last how many more there are.
func (p *problems) sorted(files []string) model.Errors {
	slices.SortStableFunc(p.found, func(a, b *model.Error) int {
		return cmp.Or(
			cmp.Compare(slices.Index(files, a.Where.File), slices.Index(files, b.Where.File)),
			cmp.Compare(a.Where.Line, b.Where.Line))
	})
	if p.more == 0 {
		return p.found
	}
	return append(p.found, &model.Error{
		Kind: model.BadInput,
		What: fmt.Sprintf("%d more errors are not shown", p.more),
		Do:   "put these right first",
	})
}
