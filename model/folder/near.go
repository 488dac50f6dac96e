package folder

import (
	"strings"
	"unicode/utf8"
)

// nearest gives the name that differs from what was written in the fewest letters, if it is no more than a third of them.
func nearest(written string, names []string) (name string, found bool) {
	best := 0
	for _, n := range names {
		folded := foldName(n)
		if len(written) > 2*len(folded) {
			continue // cannot be near, and may be very long
		}
		d := distance([]rune(written), []rune(folded))
		if 3*d <= len(folded) && (!found || d < best) {
			name, best, found = n, d, true
		}
	}
	return name, found
}

// distance is the least number of letters to put in, leave out, replace or swap with their neighbour to make b of a
// (the restricted Damerau–Levenshtein distance).
func distance(a, b []rune) int {
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			differs := 1
			if a[i-1] == b[j-1] {
				differs = 0
			}
			row[j] = min(above[j]+1, row[j-1]+1, above[j-1]+differs)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}

// maxShown is how much of what the user wrote an error repeats, in characters.
const maxShown = 40

// show quotes what the user wrote for an error, cut short, on one line.
func show(text string) string { return "“" + clip(text) + "”" }

func clip(text string) string {
	text = strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' {
			return ' '
		}
		return r
	}, text)
	if utf8.RuneCountInString(text) > maxShown {
		return string([]rune(text)[:maxShown]) + "…"
	}
	return text
}
