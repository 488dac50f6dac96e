package main

import (
	"fmt"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// caution stands under everything that somebody may take to a machine.
const caution = "Caution: mitre guillotines and saws cut fingers as easily as moulding. Keep hands away from the " +
	"blades, hold short pieces in a clamp or a jig, protect eyes, ears and lungs, and let only trained people work. " +
	"The machine's manual and local codes come before anything printed here."

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

// cutShort cuts text to so many characters, the last of which then says that there is more.
func cutShort(text string, most int) string {
	runes := []rune(plain(text))
	if len(runes) <= most {
		return string(runes)
	}
	return string(runes[:most-1]) + "…"
}

// widest is the number of characters in the longest line.
func widest(text string) int {
	most := 0
	for line := range strings.Lines(text) {
		most = max(most, len([]rune(strings.TrimSuffix(line, "\n"))))
	}
	return most
}

// percent gives a yield as a bare number with one decimal, for a column that says %.
func percent(f plan.Figures) string {
	return strings.TrimSuffix(f.YieldPercent(), " %")
}

// near gives a length as it is shown to people, without its unit, for a column that names it.
func near(l model.Length, u model.Unit) string {
	return strings.TrimSuffix(strings.TrimSuffix(l.Near(u), `"`), " "+u.String())
}

// settings gives a side's measure and set as they are shown to people, without their unit: set to the nearest, and measure
// so that measure + 2 × set is the long point as it is shown. Were each to the nearest for itself, the frame cut by the two
// would be as much as three roundings off, which is 0.6 mm where lengths are shown to 1/64".
func settings(longPoint, set model.Length, u model.Unit) (measure, shownSet string) {
	set = set.Rounded(u)
	return near(longPoint.Rounded(u)-2*set, u), near(set, u)
}
