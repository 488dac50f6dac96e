package planner

import (
	"fmt"
	"sort"

	"longpoint/model"
)

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
