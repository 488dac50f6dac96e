package plan

import (
	"fmt"

	"longpoint/model"
)

// ListID names one supplier's price list for one length of a profile, in bundles of one size.
type ListID struct {
	Supplier, Profile string
	Length, Longest   model.Length // Longest is 0 where all are of one length
	Bundle            int          // 0: sticks are sold singly
}

// List names the price list that a bought stick of a profile comes from.
func (s Stick) List(profile string) ListID {
	return ListID{s.Supplier, profile, s.Length, s.Longest, s.Bundle}
}

// List names the price list that a line of the buy list is of.
func (p Purchase) List() ListID {
	return ListID{p.Supplier, p.Profile, p.Length, p.Longest, p.Bundle}
}

// LotName is equal for sticks that match in finish, and for no others: those of one lot of the rack, those of one price list, and
// a stick whose lot is not known with itself alone.
func (s Stick) LotName() string {
	switch {
	case s.From == Bought:
		return fmt.Sprintf("new %q %d %d %d", s.Supplier, s.Length, s.Longest, max(1, s.Bundle))
	case s.Lot != "":
		return "lot " + s.Lot
	}
	return "stick " + s.ID
}

// CutFrom is how many sticks of a price list something is cut from.
func (d *Document) CutFrom(list ListID) (sticks int) {
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			if s.From == Bought && s.List(p.Name) == list {
				sticks++
			}
		}
	}
	return sticks
}
