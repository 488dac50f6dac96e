package plan

import (
	"maps"
	"slices"

	"longpoint/model"
)

// Standing follows the stops from cut to cut: what they stand at, as far as that is known, and which sides are cut by then. Two stops never stand nearer
// to each other than the machine lets them: where one is set, any that is too near has been moved out of its way and stands nowhere.
type Standing struct {
	gap model.Length
	at  map[int]setting // by the number of the stop
	cut map[equals][]Side
}

// AtMachine is how the machine was left after a cut.
type AtMachine struct {
	Stand Standing
	Stick string // that is in it; empty: none
}

// setting is what a stop stands at, and the good sides that were cut since it was set.
type setting struct {
	SideKind
	sides []model.SideID
}

// equals is what the sides of one frame have in common that must come out equally long.
type equals struct {
	ring model.SideID
	long model.Length
}

func (s Side) equals() equals { return equals{s.OfRing(), s.LongPoint} }

// NewStanding knows nothing of the stops of a machine, and of no side that is cut.
func NewStanding(m model.Machine) Standing {
	return Standing{m.Limits.StopGap.Length, map[int]setting{}, map[equals][]Side{}}
}

// Clone gives one that goes on by itself.
func (s Standing) Clone() Standing {
	return Standing{s.gap, maps.Clone(s.at), maps.Clone(s.cut)}
}

// Unknown gives one that has the same sides cut and knows nothing of the stops.
func (s Standing) Unknown() Standing {
	return Standing{s.gap, map[int]setting{}, maps.Clone(s.cut)}
}

// HasCut says that a side is cut, and not since a stop was set to what it stands at.
func (s Standing) HasCut(side Side) {
	e := side.equals()
	if !slices.ContainsFunc(s.cut[e], func(o Side) bool { return o.SideID == side.SideID }) {
		s.cut[e] = append(slices.Clip(s.cut[e]), side)
	}
}

// Spoilt says that a side is not cut after all, or not well.
func (s Standing) Spoilt(side Side) {
	e := side.equals()
	s.cut[e] = slices.DeleteFunc(slices.Clone(s.cut[e]), func(o Side) bool { return o.SideID == side.SideID })
	for stop, at := range s.at {
		at.sides = slices.DeleteFunc(slices.Clone(at.sides), func(o model.SideID) bool { return o == side.SideID })
		s.at[stop] = at
	}
}

// HaveCut says so of the sides of a profile that a workshop's jobs have as cut.
func (s Standing) HaveCut(w *model.Workshop, profile string) error {
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			if len(f.Cut) == 0 {
				continue
			}
			rings, err := f.Geometry(w.ProfileByName)
			if err != nil {
				return err
			}
			for _, id := range f.Cut {
				if id.Ring < 1 || id.Ring > len(rings) || rings[id.Ring-1].Profile != profile {
					continue
				}
				ring := rings[id.Ring-1]
				if n := slices.IndexFunc(ring.Sides, func(o model.Side) bool { return o.Letter == id.Letter }); n >= 0 {
					s.HasCut(Side{SideID: id, Of: len(ring.Sides), LongPoint: ring.Sides[n].LongPoint})
				}
			}
		}
	}
	return nil
}

// Stands tells whether a stop stands at a side's length.
func (s Standing) Stands(stop int, side Side) bool {
	at, known := s.at[stop]
	return known && at.SideKind == side.Kind()
}

// Stops gives which stop stands at a kind of side.
func (s Standing) Stops() map[SideKind]int {
	at := map[SideKind]int{}
	for stop, setting := range s.at {
		at[setting.SideKind] = stop
	}
	return at
}

// Cut cuts a side at a stop. placed says that the stop is set for it, by what Cut.By does: which finished side is held against the stop.
func (s Standing) Cut(stop int, side Side) (placed bool, by string) {
	if placed = !s.Stands(stop, side); placed {
		maps.DeleteFunc(s.at, func(_ int, other setting) bool {
			apart := max(other.LongPoint-side.LongPoint, side.LongPoint-other.LongPoint)
			return apart == 0 || apart < s.gap
		})
		s.at[stop] = setting{SideKind: side.Kind()}
	}
	at := s.at[stop]
	if !slices.ContainsFunc(at.sides, func(o model.SideID) bool { return o.OfRing() == side.OfRing() }) {
		by = side.twin(s.cut[side.equals()])
	}
	at.sides = append(slices.Clip(at.sides), side.SideID)
	s.at[stop] = at
	s.HasCut(side)
	return placed, by
}

// twin gives the letter of the side by which another is set: the one across the frame from it or, where that is not cut, the first of those that are.
// Empty: none is, but perhaps the side itself.
func (s Side) twin(cut []Side) (letter string) {
	for _, other := range cut {
		switch {
		case other.SideID == s.SideID:
		case s.across(other):
			return other.Letter
		case letter == "" || other.Letter < letter:
			letter = other.Letter
		}
	}
	return letter
}

// across tells whether two sides of a ring lie opposite each other.
func (s Side) across(other Side) bool {
	a, b := []rune(s.Letter), []rune(other.Letter)
	return s.Of%2 == 0 && len(a) == 1 && len(b) == 1 && max(a[0]-b[0], b[0]-a[0]) == rune(s.Of/2)
}
