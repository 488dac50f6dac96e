package stock

import (
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// lots names the lots of what was bought or cut up, where frames are matched by lot: sticks bought of one price list match
// each other, and so do the parts of one stick. A name that is on the rack already is not used again, for what is bought later is
// another lot. Where nothing is matched by lot no names are given.
type lots struct {
	matter map[string]bool // by profile
	taken  map[string]bool
	lists  map[plan.ListID]string
}

func newLots(w *model.Workshop) *lots {
	l := &lots{matter: map[string]bool{}, taken: map[string]bool{}, lists: map[plan.ListID]string{}}
	byJob := slices.ContainsFunc(w.Jobs, func(j model.Job) bool { return j.Match == model.MatchLot })
	for _, p := range w.Profiles {
		l.matter[p.Name] = byJob || p.Match == model.MatchLot
	}
	for _, s := range w.Rack {
		l.taken[s.Lot] = true
	}
	return l
}

// free gives a name like the one wanted that no lot has, and takes it.
func (l *lots) free(wanted string) string {
	name := wanted
	for n := 2; l.taken[name]; n++ {
		name = fmt.Sprintf("%s (%d)", wanted, n)
	}
	l.taken[name] = true
	return name
}

// ofList names the lot of what is bought of a price list.
func (l *lots) ofList(from plan.ListID) string {
	if !l.matter[from.Profile] {
		return ""
	}
	if l.lists[from] == "" {
		l.lists[from] = l.free("from " + from.Supplier)
	}
	return l.lists[from]
}

// named gives a stick of the rack with a lot: its own, or one that is named after it.
func (l *lots) named(s model.Stick) model.Stick {
	if s.Lot == "" && l.matter[s.Profile] {
		s.Lot = l.free("stick " + s.ID)
	}
	return s
}
