package model

// A patterned profile repeats its ornament every Repeat along the stick. What follows holds for an ornament that is its own
// mirror image about the middle of each repeat (a leaf, a bead, a flower), and so about the joint between two repeats as well.
//
// A side mirrors end to end when the middle of its long point lies on one of those two lines. Give every side a whole number
// k of repeats, from joint to joint, and cut it from their middle: with k odd that is the middle of a repeat, with k even
// a joint. So each side takes its need rounded up to whole repeats, sides lie repeat against repeat, whatever their order, and
// only the first joint has to be found. Where it lies on a stick, or on a sound run between two damaged spans, is not known
// before the stick is at hand. It is less than one repeat from where the run begins, so each run is a repeat shorter to us.
//
// At a corner two ends meet at the same distance from their last joint, and the ornament is carried round as in a mirror,
// where the long points of the two sides differ by whole repeats. All sides of a square and of a regular frame do that. The two
// lengths of a rectangle seldom do: then no cutting makes its corners meet, unless its size is changed.

// PatternCaution is what a framer should be told of every frame of a patterned profile.
const PatternCaution = "the pattern mirrors about the middle of each side; find the first joint of a repeat on the stick before the first cut, " +
	"and lay the sides out before joining: the last corner may not meet"

// Needs gives what a side of the profile takes of a stick: its need, rounded up to whole repeats where the profile has a
// pattern.
func (m Machine) Needs(p Profile, s Shape, longPoint Length) Length {
	need := m.Need(s, longPoint)
	if p.Repeat <= 0 {
		return need
	}
	if rest := need % p.Repeat; rest != 0 {
		need += p.Repeat - rest
	}
	return need
}

// Usable gives how much of a sound run of a stick (Stick.Sound) sides can be laid out on: of a patterned profile one repeat
// less, for it is not known where in the run a repeat begins. Never less than 0.
func (p Profile) Usable(run Span) Length {
	return max(0, run.Length()-p.Repeat)
}

// CornersMeet tells whether the pattern is carried round the corner between two sides of a frame, given their long points. A
// profile without a pattern has nothing to carry.
func (p Profile) CornersMeet(a, b Length) bool {
	return p.Repeat <= 0 || (a-b)%p.Repeat == 0
}
