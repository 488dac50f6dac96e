package planner

import (
	"fmt"
	"slices"
	"sort"

	"longpoint/model"
	"longpoint/solver"
)

// piece is one side to be cut, and where it belongs.
type piece struct {
	id    model.SideID
	job   int // index in Workshop.Jobs
	place int // in the ring, from 0, sides that are cut already counted
	shape model.Shape
	side  model.Side
	need  model.Length // what the side takes of a stick
}

// profileSides is all the sides of one profile, in the order of their jobs' days, then of the jobs' table.
type profileSides struct {
	profile  model.Profile
	pieces   []piece
	shapes   []model.Shape // that occur, fewest sides first
	warnings []string
}

// place is where on paper a side belongs, for messages.
type place struct {
	job, frame string
	ring       int
	rings      int // in the frame
	where      model.Place
}

func (p place) String() string {
	s := fmt.Sprintf("job %s, frame %s", p.job, p.frame)
	if p.rings > 1 {
		s += fmt.Sprintf(", ring %d", p.ring)
	}
	return s
}

// ringPlace is where a ring, counted from 1, stands.
func ringPlace(job string, f model.JobFrame, ring int) place {
	at := place{job: job, frame: f.ID, ring: ring, rings: len(f.Rings), where: f.Rings[ring-1].Where}
	if at.where == (model.Place{}) {
		at.where = f.Where
	}
	return at
}

// gatherer collects the sides of the jobs, profile by profile.
type gatherer struct {
	w       *model.Workshop
	wanted  map[string]bool // profiles; nil: all
	groups  map[string]*profileSides
	reviews map[string]map[reviewed]*review // what the machine says, by profile
	errors  model.Errors
	count   int64
}

// gather gives the sides of the jobs that Options asks for, in the order of the table of profiles.
func gather(w *model.Workshop, o Options) ([]profileSides, error) {
	g := gatherer{w: w, groups: map[string]*profileSides{}, reviews: map[string]map[reviewed]*review{}}
	if err := g.choose(o.Profiles); err != nil {
		return nil, err
	}
	for _, j := range w.DueJobs(o.Until) {
		for f := range w.Jobs[j].Frames {
			g.frame(j, &w.Jobs[j].Frames[f])
			if g.count > solver.MaxDemand {
				return nil, &model.Error{Kind: model.BadInput, Where: w.Jobs[j].Frames[f].Where,
					What: fmt.Sprintf("there are more than %d sides to cut", solver.MaxDemand),
					Do:   "plan the jobs of fewer days at a time"}
			}
		}
	}
	if err := g.errors.AsError(); err != nil {
		return nil, err
	}
	odd := map[string][]string{}
	for _, o := range w.Odds() {
		odd[o.Profile] = append(odd[o.Profile], o.String())
	}
	var groups []profileSides
	for _, p := range w.Profiles {
		if gr := g.groups[p.Name]; gr != nil && len(gr.pieces) > 0 {
			sort.Slice(gr.shapes, func(a, b int) bool { return gr.shapes[a].Sides < gr.shapes[b].Sides })
			gr.warnings = append(g.warnings(p.Name), odd[p.Name]...)
			groups = append(groups, *gr)
		}
	}
	return groups, nil
}

// choose notes the profiles asked for.
func (g *gatherer) choose(names []string) error {
	var unknown model.Errors
	for _, name := range names {
		if _, ok := g.w.ProfileByName(name); !ok {
			unknown = append(unknown, &model.Error{Kind: model.BadUsage,
				What: fmt.Sprintf("there is no profile %q in this workshop", name),
				Do:   "name a profile of the workshop's table of profiles"})
			continue
		}
		if g.wanted == nil {
			g.wanted = map[string]bool{}
		}
		g.wanted[name] = true
	}
	return unknown.AsError()
}

// frame adds one line of a job: every ring, as often as its quantity says.
func (g *gatherer) frame(j int, f *model.JobFrame) {
	rings, err := f.Geometry(g.w.ProfileByName)
	if err != nil {
		g.fail(err, fmt.Sprintf("job %s, frame %s: ", g.w.Jobs[j].ID, f.ID), f.Where)
		return
	}
	for r, ring := range rings {
		if g.wanted != nil && !g.wanted[ring.Profile] {
			continue
		}
		at := ringPlace(g.w.Jobs[j].ID, *f, r+1)
		g.count += int64(f.Quantity) * int64(len(ring.Sides))
		if g.count <= solver.MaxDemand {
			g.ring(j, f, ring, at)
		}
	}
}

// ring adds the sides of one ring, as often as the frame's quantity says.
func (g *gatherer) ring(j int, f *model.JobFrame, ring model.RingGeometry, at place) {
	gr := g.groups[ring.Profile]
	if gr == nil {
		p, _ := g.w.ProfileByName(ring.Profile)
		gr = &profileSides{profile: p}
		g.groups[ring.Profile] = gr
	}
	if !slices.Contains(gr.shapes, ring.Shape) {
		gr.shapes = append(gr.shapes, ring.Shape)
	}
	refused := map[reviewed]bool{}
	for _, side := range ring.Sides {
		g.review(gr.profile, side, f.Quantity, at, refused)
	}
	g.reviewStops(gr.profile, ring, f.Quantity, at)
	var one []piece
	for n, side := range ring.Sides {
		one = append(one, piece{id: model.SideID{Job: at.job, Frame: f.ID, Ring: at.ring, Letter: side.Letter}, job: j, place: n, shape: ring.Shape,
			side: side, need: g.w.Machine.Needs(gr.profile, ring.Shape, side.LongPoint)})
	}
	cut := f.CutSet()
	for c := 1; c <= f.Quantity; c++ {
		for _, p := range one {
			p.id.Copy = c
			if !cut[p.id] {
				gr.pieces = append(gr.pieces, p)
			}
		}
	}
}

// fail keeps an error of package model, with the side's place before it, and its place in the user's files where it does
// not say so itself.
func (g *gatherer) fail(err error, at string, where model.Place) {
	switch e := err.(type) {
	case *model.Error:
		copied := *e
		if copied.Where == (model.Place{}) {
			copied.Where = where
		}
		copied.What = at + copied.What
		g.errors = append(g.errors, &copied)
	case model.Errors:
		for _, one := range e {
			g.fail(one, at, where)
		}
	default:
		g.errors = append(g.errors, &model.Error{Kind: model.Fault, What: at + "the geometry failed", Where: where, Err: err})
	}
}
