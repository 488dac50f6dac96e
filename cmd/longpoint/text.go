package main

import (
	"strings"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/plan"
)

// caution stands under everything that somebody may take to a machine.
const caution = sheet.Caution

// count gives "1 side" or "3 sides".
func count(n int, one, several string) string { return text.Count(n, one, several) }

// joinAnd gives "a", "a and b" or "a, b and c".
func joinAnd(names []string) string { return text.JoinAnd(names) }

// cutShort cuts text to so many characters, the last of which then says that there is more.
func cutShort(words string, most int) string {
	runes := []rune(plain(words))
	if len(runes) <= most {
		return string(runes)
	}
	return string(runes[:most-1]) + "…"
}

// widest is the number of characters in the longest line.
func widest(words string) int {
	most := 0
	for line := range strings.Lines(words) {
		most = max(most, len([]rune(strings.TrimSuffix(line, "\n"))))
	}
	return most
}

// percent gives a yield as a bare number with one decimal, for a column that says %.
func percent(f plan.Figures) string {
	return strings.TrimSuffix(f.YieldPercent(), " %")
}

// near gives a length to read, without its unit, for a column that names it.
func near(l model.Length, u model.Unit) string { return sheet.Near(l, u) }

// toCut gives a length that a stop is set to or that is measured for a cut, as near does.
func toCut(l model.Length, u model.Unit) string { return sheet.ToCut(l, u) }

// settings gives a side's measure and set as they are shown to people, on paper as on screen.
func settings(longPoint, set model.Length, u model.Unit) (measure, shownSet string) {
	return sheet.Settings(longPoint, set, u)
}
