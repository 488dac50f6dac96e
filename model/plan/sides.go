package plan

import (
	"fmt"
	"sort"
	"strings"

	"longpoint/model"
	"longpoint/solver"
)

// piece is one side to be cut, and where it belongs.
type piece struct {
	job   int // index in Workshop.Jobs
	frame string
	copy  int // from 1
	ring  int // from 1
	shape model.Shape
	side  model.Side
	loss  model.Length // mitre loss at this side's angle: half of it at each end
	need  model.Length // what the side takes of a stick
}

// group is all the sides of one profile, in the order of their jobs' days, then of the jobs' table.
type group struct {
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
	groups  map[string]*group
	reviews map[string]map[reviewed]*review // what the machine says, by profile
	errors  model.Errors
	count   int64
}

// reviewed is what a machine's review depends on, apart from the profile: of one side, its long point and angle; of the
// stops for a ring, its longest and its shortest side too.
type reviewed struct {
	longPoint model.Length
	shortest  model.Length // 0 for one side
	angle     model.Angle
}

// review is what the machine says of a side, the first place it was met, and how many more sides are like it.
type review struct {
	warnings []string
	first    string
	more     int
}

// gather gives the sides of the jobs that Options asks for, in the order of the table of profiles.
func gather(w *model.Workshop, o Options) ([]group, error) {
	g := gatherer{w: w, groups: map[string]*group{}, reviews: map[string]map[reviewed]*review{}}
	if err := g.choose(o.Profiles); err != nil {
		return nil, err
	}
	for _, j := range due(w, o.Until) {
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
	var groups []group
	for _, p := range w.Profiles {
		if gr := g.groups[p.Name]; gr != nil {
			sort.Slice(gr.shapes, func(a, b int) bool { return gr.shapes[a].Sides < gr.shapes[b].Sides })
			gr.warnings = g.warnings(p.Name)
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

// due gives the jobs due up to and including a day (all for the zero Date), by day and then in table order. A job
// without a day is always due, and first.
func due(w *model.Workshop, until model.Date) []int {
	var jobs []int
	for j := range w.Jobs {
		if until.IsZero() || !w.Jobs[j].Due.After(until.Time) {
			jobs = append(jobs, j)
		}
	}
	sort.SliceStable(jobs, func(a, b int) bool {
		return w.Jobs[jobs[a]].Due.Before(w.Jobs[jobs[b]].Due.Time)
	})
	return jobs
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
		gr = &group{profile: p}
		g.groups[ring.Profile] = gr
	}
	if !hasShape(gr.shapes, ring.Shape) {
		gr.shapes = append(gr.shapes, ring.Shape)
	}
	refused := map[reviewed]bool{}
	for _, side := range ring.Sides {
		g.review(gr.profile, side, f.Quantity, at, refused)
	}
	g.reviewStops(gr.profile, ring, f.Quantity, at)
	m := g.w.Machine
	loss := m.MitreLoss(ring.Shape)
	for c := 1; c <= f.Quantity; c++ {
		for _, side := range ring.Sides {
			gr.pieces = append(gr.pieces, piece{job: j, frame: f.ID, copy: c, ring: at.ring, shape: ring.Shape,
				side: side, loss: loss, need: m.Need(ring.Shape, side.LongPoint)})
		}
	}
}

func hasShape(shapes []model.Shape, s model.Shape) bool {
	for _, have := range shapes {
		if have == s {
			return true
		}
	}
	return false
}

// review asks the machine about a side. What it warns of is kept once for all equal sides of a profile; what it
// cannot cut is an error once for each ring and long point.
func (g *gatherer) review(p model.Profile, side model.Side, quantity int, at place, refused map[reviewed]bool) {
	key := reviewed{longPoint: side.LongPoint, angle: side.Angle}
	if g.metBefore(p, key, quantity) {
		return
	}
	warnings, err := g.machine().Review(p, side)
	if err != nil {
		if !refused[key] {
			refused[key] = true
			g.fail(err, at.String()+": ", at.where)
		}
		return
	}
	g.keep(p, key, &review{warnings: warnings, first: at.String(), more: quantity - 1})
}

// reviewStops asks whether a ring's settings go on the machine's stops together. A machine with one stop is set anew
// for every length in any case, which needs no warning.
func (g *gatherer) reviewStops(p model.Profile, ring model.RingGeometry, quantity int, at place) {
	if g.w.Machine.Limits.Stops < 2 {
		return
	}
	long, short := ring.Sides[0].LongPoint, ring.Sides[0].LongPoint
	for _, side := range ring.Sides {
		long, short = max(long, side.LongPoint), min(short, side.LongPoint)
	}
	key := reviewed{longPoint: long, shortest: short, angle: ring.Angle}
	if !g.metBefore(p, key, quantity) {
		g.keep(p, key, &review{warnings: g.machine().ReviewStops(p, ring.Sides), first: at.String(), more: quantity - 1})
	}
}

// machine is the workshop's machine, speaking in the workshop's unit.
func (g *gatherer) machine() model.Machine {
	m := g.w.Machine
	m.Unit = g.w.Unit
	return m
}

// metBefore counts what has been reviewed already.
func (g *gatherer) metBefore(p model.Profile, key reviewed, quantity int) bool {
	known := g.reviews[p.Name][key]
	if known == nil {
		return false
	}
	known.more += quantity
	return true
}

func (g *gatherer) keep(p model.Profile, key reviewed, r *review) {
	if g.reviews[p.Name] == nil {
		g.reviews[p.Name] = map[reviewed]*review{}
	}
	g.reviews[p.Name][key] = r
}

// warnings gives what the machine warned of, longest sides first.
func (g *gatherer) warnings(profile string) []string {
	keys := make([]reviewed, 0, len(g.reviews[profile]))
	for key := range g.reviews[profile] {
		keys = append(keys, key)
	}
	sort.Slice(keys, func(a, b int) bool {
		if keys[a].longPoint != keys[b].longPoint {
			return keys[a].longPoint > keys[b].longPoint
		}
		if keys[a].shortest != keys[b].shortest {
			return keys[a].shortest < keys[b].shortest
		}
		return keys[a].angle < keys[b].angle
	})
	var out []string
	for _, key := range keys {
		r := g.reviews[profile][key]
		for _, text := range r.warnings {
			text = r.first + ": " + text
			if r.more > 0 {
				text += fmt.Sprintf(" (%d more like it)", r.more)
			}
			out = append(out, text)
		}
	}
	return out
}

// fail keeps an error of package model, with where it was met where it does not say so itself.
func (g *gatherer) fail(err error, at string, where model.Place) {
	switch e := err.(type) {
	case *model.Error:
		copied := *e
		if copied.Where == (model.Place{}) {
			copied.Where = where
		}
		if !strings.Contains(copied.What, strings.TrimSuffix(at, ": ")) {
			copied.What = at + copied.What
		}
		g.errors = append(g.errors, &copied)
	case model.Errors:
		for _, one := range e {
			g.fail(one, at, where)
		}
	default:
		g.errors = append(g.errors, &model.Error{Kind: model.Fault, What: at + "the geometry failed", Where: where, Err: err})
	}
}
