package model

import "fmt"

// MachineType is how the machine parts the moulding.
type MachineType uint8

// The two machines a framer cuts mitres on.
const (
	Guillotine MachineType = iota + 1 // two blades in a V, pedal, several bites
	Saw
)

// String gives "guillotine" or "saw".
func (t MachineType) String() string {
	switch t {
	case Guillotine:
		return "guillotine"
	case Saw:
		return "saw"
	}
	return ""
}

// Machine is a mitre guillotine or a mitre saw, as its user describes it from its manual. Nothing is preset. Its methods
// expect a machine and profiles that have passed Workshop.Check (or Machine.Check), and shapes of 3 to 24 sides.
type Machine struct {
	Name          string
	Type          MachineType
	Overrun       Length // guillotine: how far the point of the V runs past the back edge
	Kerf          Length // saw: width of the cut, square to the blade
	Shave         Length // kept in reserve at each mitre for the finishing cut, along the stick
	HeadTrim      Length // given up at the head of every stick
	TailTrim      Length
	Bite          Length // guillotine: how far the blades advance into the moulding's width in one stroke; 0 = no limit
	FinishingBite Length // guillotine: the last, thin bite
	Limits        Limits
	Blades        BladeSet // that is mounted, where that is known
	Unit          Unit     // that warnings speak in; millimetres where not given
}

// BladeSet is a set of blades, of which a machine has several to change.
type BladeSet struct {
	Name          string
	GreatestWidth OptionalLength // widest profile that it may cut, by its maker; the machine's own limit holds besides
}

// Limits are what the user copied from the machine's manual. What is not given limits nothing.
type Limits struct {
	GreatestWidth OptionalLength // widest profile
	LongestSide   OptionalLength // measuring length: longest long point a stop can be set to
	ShortestSide  OptionalLength // shortest side that is safe to hold
	LeastAngle    OptionalAngle  // mitre angles it can cut, measured from a square cut
	GreatestAngle OptionalAngle
	Stops         int            // measuring stops; 0 = not given
	StopGap       OptionalLength // least distance between two stops
}

// LeastBite is the thinnest bite a machine can be given, 0.1 mm: a stroke that takes less takes nothing.
const LeastBite = Millimetre / 10

// MitreLoss gives the back-edge length lost between two neighbouring sides of the shape: twice the overrun times t on a
// guillotine, the kerf ÷ cos θ on a saw, rounded up to 0.01 mm where irrational. Neighbours of different shapes use each
// half of their own.
func (m Machine) MitreLoss(s Shape) Length {
	if m.Type == Saw {
		return overCos(m.Kerf, s.Sides)
	}
	return timesTan(2*m.Overrun, s.Sides)
}

// Need gives what a side takes of a stick: its long point, one mitre loss and a shave at each end.
func (m Machine) Need(s Shape, longPoint Length) Length {
	return longPoint + m.MitreLoss(s) + 2*m.Shave
}

// Trims is what of a stick no side may lie on, besides its damage.
type Trims struct {
	Head, Tail Length // given up at its two ends
	// Apart is how far from each other the last chop before damage and the first one behind it must be, on the back edge.
	Apart Length
}

// Trims gives what is given up of a stick from which sides of these shapes are cut. At its ends it is the greater of the machine's and the profile's
// trims; on a guillotine at least w t for the widest mitre, so that both blades are buried at the first and at the last chop.
//
// At damage two chops are made that are not those of two neighbours: one ends the side before it, one begins the side behind it. What
// lies between them is a wedge whose two ends slope towards each other, by w t each, from the back edge to the sight edge. So for both blades to be buried
// at the second of the two chops, whichever that is, it must be 2 w t from the first: with less the two V's overlap at the sight edge, and one blade cuts
// air. A saw has one blade, which cuts one mitre at a time and leans against nothing: there the two cuts may come as near as the damage allows.
func (m Machine) Trims(p Profile, shapes []Shape) Trims {
	t := Trims{Head: max(m.HeadTrim, p.HeadTrim), Tail: max(m.TailTrim, p.TailTrim)}
	if m.Type == Guillotine && len(shapes) > 0 {
		fewest := shapes[0].Sides // the fewer the sides, the greater t
		for _, s := range shapes {
			fewest = min(fewest, s.Sides)
		}
		buried := timesTan(p.Width, fewest)
		t.Head, t.Tail, t.Apart = max(t.Head, buried), max(t.Tail, buried), timesTan(2*p.Width, fewest)
	}
	return t
}

// Bites is how a profile is cut through, stroke by stroke.
type Bites struct {
	Strokes   int
	Finishing bool     // the last stroke is the finishing bite
	Advances  []Length // how far the blades advance across the width in each stroke; the finishing bite last
}

// Bites gives full bites, then what they leave, then the finishing bite; their sum is the profile's width. A saw, a
// guillotine without bites, and a profile no wider than one finishing bite take one stroke.
func (m Machine) Bites(p Profile) Bites {
	var b Bites
	left := p.Width
	finish := min(m.FinishingBite, left)
	if m.Type == Saw {
		finish = 0
	}
	left -= finish
	for left > 0 {
		advance := left
		if m.Type == Guillotine && m.Bite > 0 {
			advance = min(m.Bite, left)
		}
		b.Advances = append(b.Advances, advance)
		left -= advance
	}
	if finish > 0 {
		b.Advances = append(b.Advances, finish)
		b.Finishing = true
	}
	b.Strokes = len(b.Advances)
	return b
}

// Review holds one side of the profile against the machine's limits. What the machine cannot cut at all (a profile too
// wide, an angle out of its range) is an error of kind CannotCut. A side that can be cut with care (shorter than is safe
// to hold as usual, longer than the measuring length) is a warning.
func (m Machine) Review(p Profile, side Side) (warnings []string, err *Error) {
	l, u := m.Limits, m.Unit
	name := fmt.Sprintf("side %s of %s", side.Letter, p.Name)
	cannot := func(what, do string) *Error { return &Error{Kind: CannotCut, What: what, Do: do} }
	switch {
	case l.GreatestWidth.Given && p.Width > l.GreatestWidth.Length:
		return nil, cannot(fmt.Sprintf("%s: the profile is %s wide and the machine takes %s at most", name, p.Width.In(u), l.GreatestWidth.Length.In(u)),
			"cut it on a machine made for that width, or take a narrower profile")
	case l.LeastAngle.Given && side.Angle < l.LeastAngle.Angle:
		return nil, cannot(fmt.Sprintf("%s has a mitre angle of %s and the machine cuts %s at least", name, side.Angle, l.LeastAngle.Angle),
			"cut it on a machine made for that angle")
	case l.GreatestAngle.Given && side.Angle > l.GreatestAngle.Angle:
		return nil, cannot(fmt.Sprintf("%s has a mitre angle of %s and the machine cuts %s at most", name, side.Angle, l.GreatestAngle.Angle),
			"cut it on a machine made for that angle")
	}
	if l.ShortestSide.Given && side.LongPoint < l.ShortestSide.Length {
		warnings = append(warnings, fmt.Sprintf("%s is %s long and the shortest that is safe to hold is %s; "+
			"do not hold it by hand near the blade: follow the machine's manual for short pieces, or have it cut elsewhere",
			name, side.LongPoint.Said(u), l.ShortestSide.Length.In(u)))
	}
	if l.LongestSide.Given && side.LongPoint > l.LongestSide.Length {
		warnings = append(warnings, fmt.Sprintf("%s is %s long and the measuring length is %s; "+
			"mark it by hand and support the stick as the machine's manual says",
			name, side.LongPoint.Said(u), l.LongestSide.Length.In(u)))
	}
	return warnings, nil
}

// ReviewBlades holds a profile against the blade set that is mounted, and says where it is too wide for that. It is no error:
// another set can be mounted before the profile is cut.
func (m Machine) ReviewBlades(p Profile) (warning string, ok bool) {
	most := m.Blades.GreatestWidth
	if !most.Given || p.Width <= most.Length {
		return "", true
	}
	return fmt.Sprintf("%s is %s wide, and blade set %s, which is mounted, is for %s at most: mount another set before it is cut, as the machine's manual says",
		p.Name, p.Width.In(m.Unit), m.Blades.Name, most.Length.In(m.Unit)), false
}

// ReviewStops holds the settings that one frame's sides need against the machine's stops, and warns where they cannot all
// be set at once.
func (m Machine) ReviewStops(p Profile, sides []Side) []string {
	if len(sides) == 0 {
		return nil
	}
	short, long := sides[0], sides[0]
	for _, s := range sides {
		if s.LongPoint < short.LongPoint {
			short = s
		}
		if s.LongPoint > long.LongPoint {
			long = s
		}
	}
	gap, u := long.LongPoint-short.LongPoint, m.Unit
	pair := fmt.Sprintf("sides %s and %s of %s, %s and %s long,", long.Letter, short.Letter, p.Name, long.LongPoint.Said(u), short.LongPoint.Said(u))
	switch {
	case gap == 0 || m.Limits.Stops == 0:
		return nil
	case m.Limits.Stops == 1:
		return []string{pair + " need two settings and the machine has one stop; cut all of one length before setting the other"}
	case m.Limits.StopGap.Given && gap < m.Limits.StopGap.Length:
		return []string{fmt.Sprintf("%s are %s apart and two stops cannot be nearer than %s; cut all of one length before setting the other",
			pair, gap.Said(u), m.Limits.StopGap.Length.In(u))}
	}
	return nil
}

// Check says what is wrong with the machine's own numbers: all of it, in one Errors, each with the key of the setting.
func (m Machine) Check() error { return m.check(Place{}).AsError() }

func (m Machine) check(place Place) (found Errors) {
	report := func(e *Error) { found = append(found, e.at(place)) }
	if m.Type != Guillotine && m.Type != Saw {
		report(bad("machine.type", "the machine is neither a guillotine nor a saw", "write guillotine or saw"))
	}
	for _, s := range []struct {
		key    string
		length Length
	}{
		{"overrun", m.Overrun}, {"kerf", m.Kerf}, {"shave", m.Shave}, {"head_trim", m.HeadTrim}, {"tail_trim", m.TailTrim},
		{"bite", m.Bite}, {"finishing_bite", m.FinishingBite},
		{"limits.greatest_width", m.Limits.GreatestWidth.Length}, {"limits.longest_side", m.Limits.LongestSide.Length},
		{"limits.shortest_side", m.Limits.ShortestSide.Length}, {"limits.stop_gap", m.Limits.StopGap.Length},
	} {
		if s.length < 0 || s.length > MaxLength {
			report(bad("machine."+s.key, "it is not a length from 0 to 1 km", "check the number and its unit"))
		}
	}
	if m.Bite > 0 && m.Bite < LeastBite {
		report(bad("machine.bite", fmt.Sprintf("a bite of %s is too thin to be one", m.Bite.In(m.Unit)), "write how far the blades advance in one stroke, or leave it out"))
	}
	if l := m.Limits; l.LeastAngle.Given && l.GreatestAngle.Given && l.LeastAngle.Angle > l.GreatestAngle.Angle {
		report(bad("machine.limits.least_angle", fmt.Sprintf("the least angle, %s, is more than the greatest, %s", l.LeastAngle.Angle, l.GreatestAngle.Angle), "exchange them"))
	}
	if l := m.Limits; l.ShortestSide.Given && l.LongestSide.Length > 0 && l.ShortestSide.Length > l.LongestSide.Length {
		report(bad("machine.limits.shortest_side", fmt.Sprintf("the shortest side, %s, is longer than the longest, %s",
			l.ShortestSide.Length.In(m.Unit), l.LongestSide.Length.In(m.Unit)), "exchange them"))
	}
	if m.Limits.Stops < 0 {
		report(bad("machine.limits.stops", "the number of stops is negative", "write how many stops the machine has, or leave it out"))
	}
	return found
}
