package runs

import (
	"slices"

	"longpoint/model"
)

// Offcut is what was kept of a stick.
type Offcut struct {
	Name   string       `json:"stick"`
	Of     string       `json:"of"`
	Place  string       `json:"place,omitempty"`
	Length model.Length `json:"length_nm"`
}

// OffcutOf is what the offcut of the n-th of so many parts will be called, from 0; empty: there is none. Names are counted from the tail: what lies nearer the head may
// be gone, or in several parts since a flaw was found there.
func (s Stick) OffcutOf(n, of int) string {
	if n += len(s.Offcuts) - of; n >= 0 && n < len(s.Offcuts) {
		return s.Offcuts[n]
	}
	return ""
}

// Keeps gives what goes on the rack of a stick when its run is finished and nobody says what is left of it: each piece's length. One that nothing
// was cut from goes back whole.
func (s Stick) Keeps() (pieces []model.Length) {
	if !s.Begun() {
		if s.Flaw == "" || s.WorthKeeping(model.Span{To: s.Length}) {
			return []model.Length{s.Length}
		}
		return nil
	}
	for _, p := range s.Left() {
		if p.Length() > 0 && s.WorthKeeping(p) {
			pieces = append(pieces, p.Length())
		}
	}
	return pieces
}

// WorthKeeping tells whether a piece of a stick has a sound part that is long enough to keep.
func (s Stick) WorthKeeping(piece model.Span) bool {
	alone := model.Stick{Length: piece.Length(), Damage: s.DamageIn(piece)}
	return s.Keep > 0 && slices.ContainsFunc(alone.Sound(model.Trims{}), func(part model.Span) bool { return part.Length() >= s.Keep })
}

// DamageIn gives the damage in a piece of a stick, from the piece's own head.
func (s Stick) DamageIn(piece model.Span) (damage []model.Span) {
	for _, d := range s.Damage {
		if d.To > piece.From && d.From < piece.To {
			damage = append(damage, model.Span{From: max(d.From-piece.From, 0), To: min(d.To, piece.To) - piece.From})
		}
	}
	return damage
}

// offcutsNow gives the offcuts of a stick that is wholly cut.
func (s Stick) offcutsNow() (all []model.Stick) {
	left := s.Leaves()
	for n, part := range left {
		if name := s.OffcutOf(n, len(left)); name != "" {
			all = append(all, model.Stick{ID: name, Profile: s.By.Name, Length: part.Length(), Place: s.Place, Lot: s.Lot, Offcut: true})
		}
	}
	return all
}
