package stock

import (
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// After gives the workshop as it is once everything in the plan has been cut. The sticks the plan used are gone; the offcuts
// it keeps, of a damaged stick one a sound part, lie at the end of the rack, under the ids that the document gives them, with the
// place and lot of their sticks and without a value of their own (the workshop's share of the price holds for them). A bought
// stick from which nothing is cut is there whole. Where frames are matched by lot, what was bought of one price list is one lot,
// and so is what comes of one stick (lots). Jobs whose sides are all cut are gone; of the others the frames say which sides are (JobFrame.Cut).
// A stick begun earlier and not used counts from now on as the offcut it is.
//
// w is not changed, but the new workshop shares with it what has stayed the same. The error, of kind BadInput, says where
// the document and the workshop do not belong together.
func After(w *model.Workshop, d *plan.Document) (*model.Workshop, error) {
	c := afterPlan{w: w, used: map[string]bool{}, taken: map[string]bool{}, cut: map[model.SideID]bool{}, lots: newLots(w)}
	for _, s := range w.Rack {
		c.taken[s.ID] = true
	}
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			if err := c.stick(p, s); err != nil {
				return nil, err
			}
		}
	}
	if err := c.spare(d); err != nil {
		return nil, err
	}
	jobs, err := c.jobs()
	if err != nil {
		return nil, err
	}
	next := *w
	next.Jobs = jobs
	next.Rack = nil
	for _, s := range w.Rack {
		if !c.used[s.ID] {
			next.Rack = append(next.Rack, asOffcut(s))
		}
	}
	next.Rack = append(next.Rack, c.kept...)
	return &next, nil
}

// afterPlan gathers what a plan does to a workshop.
type afterPlan struct {
	w     *model.Workshop
	used  map[string]bool // sticks of the rack, by id
	taken map[string]bool // ids on the rack, new ones included
	kept  []model.Stick
	cut   map[model.SideID]bool
	lots  *lots
}

// foreign is the error for a document that was not made from this workshop.
func foreign(what string, args ...any) error {
	return &model.Error{Kind: model.BadInput, What: "the plan does not belong to this workshop: " + fmt.Sprintf(what, args...),
		Do: "give the workshop as it was when the plan was made, or make a new plan"}
}

// stick takes one stick of the plan.
func (c *afterPlan) stick(p plan.ProfilePlan, s plan.Stick) error {
	from := model.Stick{Profile: p.Name, Length: s.Length, Lot: c.lots.ofList(s.List(p.Name))}
	if s.From != plan.Bought {
		n := slices.IndexFunc(c.w.Rack, func(r model.Stick) bool { return r.ID == s.ID })
		switch {
		case n < 0:
			return foreign("stick %q is not on the rack", s.ID)
		case c.used[s.ID]:
			return foreign("stick %q is used twice", s.ID)
		case c.w.Rack[n].Profile != p.Name || c.w.Rack[n].Length != s.Length:
			return foreign("stick %q of the rack has another profile or length", s.ID)
		case !slices.Equal(c.w.Rack[n].Damage, s.Damage):
			return foreign("stick %q of the rack is damaged elsewhere", s.ID)
		}
		c.used[s.ID] = true
		from = c.lots.named(c.w.Rack[n])
	}
	for _, side := range s.Sides {
		key := side.SideID
		if c.cut[key] {
			return foreign("%s is cut twice", key)
		}
		c.cut[key] = true
	}
	kept, err := keptOf(c.w, p, s, from)
	for _, k := range kept {
		if c.taken[k.ID] {
			return foreign("the name of the kept offcut %q is taken", k.ID)
		}
		c.keep(k, k.ID)
	}
	return err
}

// keptOf gives the offcuts that are kept of a stick, from its head on: of each sound part what is left of it.
func keptOf(w *model.Workshop, p plan.ProfilePlan, s plan.Stick, from model.Stick) ([]model.Stick, error) {
	profile, _ := w.ProfileByName(p.Name)
	parts := from.Usable(p.Trims(), profile.Repeat)
	lefts := s.Lefts()
	if len(parts) != len(lefts) {
		return nil, foreign("stick %q has %d sound parts, and what is left is down for %d", s.ID, len(parts), len(lefts))
	}
	var kept []model.Stick
	for n, left := range lefts {
		if left.Becomes == plan.Kept {
			end := from.SoundEnd(parts[n])
			k := pieceOf(from, end-left.Length, end)
			k.ID = left.ID
			kept = append(kept, k)
		}
	}
	return kept, nil
}

// keep puts a stick on the rack under a name.
func (c *afterPlan) keep(s model.Stick, id string) {
	s.ID = id
	c.taken[id] = true
	c.kept = append(c.kept, s)
}

// tailOf is the last so much of a stick, as an offcut.
func tailOf(s model.Stick, length model.Length) model.Stick {
	return pieceOf(s, s.Length-length, s.Length)
}

// pieceOf is an offcut of a stick, from one place to another: what was damaged there is so still, measured from the new head.
func pieceOf(s model.Stick, from, to model.Length) model.Stick {
	rest := model.Stick{Profile: s.Profile, Length: to - from, Lot: s.Lot, Offcut: true}
	if s.Begun == 0 { // where a stick that was begun lies is said with how it was begun
		rest.Place = s.Place
	}
	for _, d := range s.Damage {
		if d.To > from && d.From < to {
			rest.Damage = append(rest.Damage, model.Span{From: max(d.From-from, 0), To: min(d.To, to) - from})
		}
	}
	return rest
}

// asOffcut makes an ordinary offcut of a stick that was begun, as long as it measures.
func asOffcut(s model.Stick) model.Stick {
	if s.Begun == 0 {
		return s
	}
	rest := tailOf(s, s.Length-s.Begun)
	rest.ID, rest.Value, rest.Where = s.ID, s.Value, s.Where
	return rest
}

// spare puts those sticks on the rack that are bought and not cut, because bundles are not broken or an order must be so large.
func (c *afterPlan) spare(d *plan.Document) error {
	n, sum := 0, 0
	for _, line := range d.Buy {
		list := line.List()
		spare := line.Count - d.CutFrom(list)
		if sum += min(max(spare, 0), mostSpare+1); sum > mostSpare {
			return foreign("it buys more than %d sticks that it does not cut", mostSpare)
		}
		for range spare {
			id := ""
			for id == "" || c.taken[id] {
				n++
				id = fmt.Sprintf("spare %d", n)
			}
			c.keep(model.Stick{Profile: line.Profile, Length: line.Length, Lot: c.lots.ofList(list)}, id)
		}
	}
	return nil
}

// mostSpare is how many sticks a plan may buy that it does not cut: more than any bundle and any supplier's least order come to.
const mostSpare = 100_000

// jobs gives the jobs of which anything is still to be cut.
func (c *afterPlan) jobs() ([]model.Job, error) {
	var out []model.Job
	met := 0
	for _, j := range c.w.Jobs {
		open := false
		frames := slices.Clone(j.Frames)
		for f := range frames {
			n, left, err := c.frame(j.ID, &frames[f])
			if err != nil {
				return nil, err
			}
			met += n
			open = open || left
		}
		if open {
			j.Frames = frames
			out = append(out, j)
		}
	}
	if met < len(c.cut) {
		return nil, foreign("%d of its sides are asked for by no job, or are cut already", len(c.cut)-met)
	}
	return out, nil
}

// frame marks the frame's sides that the plan cuts, and gives their number and whether others are left.
func (c *afterPlan) frame(job string, f *model.JobFrame) (met int, left bool, err error) {
	rings, err := f.Geometry(c.w.ProfileByName)
	if err != nil {
		return 0, false, err
	}
	before := f.CutSet()
	f.Cut = slices.Clone(f.Cut)
	for n := 1; n <= f.Quantity; n++ {
		for r, ring := range rings {
			for _, side := range ring.Sides {
				s := model.SideID{Job: job, Frame: f.ID, Copy: n, Ring: r + 1, Letter: side.Letter}
				switch {
				case before[s]:
				case c.cut[s]:
					f.Cut = append(f.Cut, s)
					met++
				default:
					left = true
				}
			}
		}
	}
	return met, left, nil
}
