package sheet

import (
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// Caution stands under everything that somebody may take to a machine.
const Caution = "Caution: mitre guillotines and saws cut fingers as easily as moulding. Keep hands away from the " +
	"blades, hold short pieces in a clamp or a jig, protect eyes, ears and lungs, and let only trained people work. " +
	"The machine's manual and local codes come before anything printed here."

// LaidIn is the caution where a finished side is laid in by hand to set a stop by (common practice, no source).
const LaidIn = "Before a side is laid in by hand: machine off or pedal locked, blades up, as the machine's manual says, and hands away from the blades."

// ShortCaution is the caution in one line, for the foot of each page and for tickets.
const ShortCaution = "Mind the blades: the machine's manual and local codes come first."

// Near gives a length to read, without its unit, for a column that names it. What is cut to is given by ToCut.
func Near(l model.Length, u model.Unit) string { return bare(l.Near(u), u) }

// ToCut gives a length that a stop is set to or that is measured for a cut, as Near does.
func ToCut(l model.Length, u model.Unit) string { return bare(l.InToCut(u), u) }

// ToFit gives a length to which what goes into a frame is cut, as Near does.
func ToFit(l model.Length, u model.Unit) string { return bare(l.InToFit(u), u) }

// ShownAs gives the way to show a size of a frame: what goes in must fit, outside it is as large as its sides are cut, and the others are for
// reading only.
func ShownAs(size model.Given) func(model.Length, model.Unit) string {
	switch size {
	case model.ByContent:
		return ToFit
	case model.ByOutside:
		return ToCut
	}
	return Near
}

// Opening gives a size without its unit: width × height, or the side of a regular frame.
func Opening(o model.Opening, size model.Given, u model.Unit) string {
	show := ShownAs(size)
	if o.Height == 0 {
		return "side " + show(o.Width, u)
	}
	return show(o.Width, u) + " × " + show(o.Height, u)
}

// WithUnit puts the unit behind lengths.
func WithUnit(text string, u model.Unit) string {
	if u.IsInches() {
		return text + `"`
	}
	return text + " " + u.String()
}

// bare leaves out the unit behind a length.
func bare(text string, u model.Unit) string {
	return strings.TrimSuffix(strings.TrimSuffix(text, `"`), " "+u.String())
}

// Settings gives a side's measure and set as they are shown to people, without their unit: set to the nearest, and measure
// so that measure + 2 × set is the long point as it is shown. Were each rounded for itself, the frame cut by the two
// would be as much as three roundings off, which is 0.6 mm where lengths are shown to 1/64".
func Settings(longPoint, set model.Length, u model.Unit) (measure, shownSet string) {
	set = set.Rounded(u)
	return ToCut(longPoint.ToCut(u)-2*set, u), Near(set, u)
}

// SetBy says by which finished side of its frame the stop is set before a side is cut: two sides that must be equal and are cut from two settings are
// not, by as much as a stop is set off, so the one is held against the stop for the other (common practice, no source).
func SetBy(cut, stop int, finished string, side plan.Side, several bool) string {
	return fmt.Sprintf("Before cut %d hold finished side %s of job %s, %s, against stop %d: side %s must come out equal to it.", cut, finished, side.Job, FrameOf(side, several), stop, side.Letter)
}

// OfJob says whose a side is: its job, and its frame too where a side of that letter in the job's other frames of the profile could be meant.
func OfJob(p *plan.ProfilePlan, side plan.Side) string {
	for _, s := range p.Sticks {
		for _, o := range s.Sides {
			if o.Job == side.Job && o.OfRing() != side.OfRing() {
				return "job " + side.Job + ", " + FrameOf(side, p.SeveralOf(side))
			}
		}
	}
	return "job " + side.Job
}

// SideID names a side for good: job, frame, copy, ring and letter, parted by strokes. Whatever in the names could be
// taken for something else is written as in the path of a URL, so that the id is plain ASCII for every reader of codes.
func SideID(s plan.Side) string {
	return fmt.Sprintf("%s/%s/%d/%d/%s", url.PathEscape(s.Job), url.PathEscape(s.Frame), s.Copy, s.Ring, s.Letter)
}

// ParseSideID reads what SideID wrote.
func ParseSideID(text string) (id model.SideID, ok bool) {
	parts := strings.Split(text, "/")
	if len(parts) != 5 {
		return id, false
	}
	var errs [4]error
	id.Job, errs[0] = url.PathUnescape(parts[0])
	id.Frame, errs[1] = url.PathUnescape(parts[1])
	id.Copy, errs[2] = strconv.Atoi(parts[2])
	id.Ring, errs[3] = strconv.Atoi(parts[3])
	id.Letter = parts[4]
	return id, errors.Join(errs[:]...) == nil && id.Copy > 0 && id.Ring > 0 && id.Letter != ""
}

// StickID names a stick or offcut on the rack, as SideID does a side: its own id, without strokes.
func StickID(id string) string { return url.PathEscape(id) }

// count gives "1 side" or "3 sides".
func count(n int, one, several string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, several)
}

// joinAnd gives "a", "a and b" or "a, b and c".
func joinAnd(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// titled gives a name and, where there is one, a title behind it.
func titled(name, title string) string {
	if title == "" || title == name {
		return name
	}
	return name + ", " + title
}

// FrameOf says which frame a side belongs to: its name, and which of several alike and which ring where there are several.
func FrameOf(s plan.Side, several bool) string {
	text := s.Frame
	if several || s.Copy > 1 {
		text += fmt.Sprintf(" no %d", s.Copy)
	}
	if s.Ring > 1 {
		text += fmt.Sprintf(", ring %d", s.Ring)
	}
	return text
}

// comesFrom says where a stick of a profile is to be had, with days as the shop writes them.
func comesFrom(pp plan.ProfilePlan, s plan.Stick, dates model.DateOrder) string {
	switch of := pp.LeftOf(s.ID); {
	case of != "" && s.From == plan.FromRack:
		return LeftOf(of)
	case s.From == plan.Bought && s.Supplier != "":
		return "from " + s.Supplier
	case s.From == plan.Bought:
		return "bought"
	case s.From == plan.OnTheWay && s.Expected != "":
		return "to come from " + s.Supplier + ", expected " + dates.Rewrite(s.Expected)
	case s.From == plan.OnTheWay:
		return "to come from " + s.Supplier
	}
	text := "rack"
	if s.Place != "" {
		text += ", " + s.Place
	}
	if s.Lot != "" {
		text += ", lot " + s.Lot
	}
	return text
}

// LeftOf says of a piece that a run goes on with where it is: at the machine, as what is left of another stick.
func LeftOf(stick string) string { return "what is left of " + stick }

// lengthOf gives a stick's length; of one of random lengths the shortest it may be.
func lengthOf(s plan.Stick, u model.Unit) string {
	if s.Longest > 0 {
		return s.Length.Near(u) + " or longer"
	}
	return s.Length.Near(u)
}

// remains says what becomes of what is left of a stick.
func remains(l plan.Left, u model.Unit) string {
	switch l.Becomes {
	case plan.Kept:
		return fmt.Sprintf("%s, %s, back on the rack", offcutName(l.ID), l.Length.Near(u))
	case plan.Waste:
		return fmt.Sprintf("%s, waste", l.Length.Near(u))
	}
	return "nothing"
}

// offcutName calls an offcut by its id: "offcut 7", where the id does not say already that it is one.
func offcutName(id string) string {
	const word = "offcut "
	if strings.HasPrefix(id, word) {
		return id
	}
	return word + id
}

// percent gives a yield as a bare number with one decimal, for a column that says %.
func percent(f plan.Figures) string { return strings.TrimSuffix(f.YieldPercent(), " %") }
