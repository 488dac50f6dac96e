package model

import (
	"strings"
	"unicode"
)

// FoldName makes names equal that differ in case, blanks, hyphens and underscores only.
func FoldName(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '_' || r == '-' {
			return -1
		}
		return unicode.ToLower(r)
	}, name)
}

// Nearest gives the name that differs from what was written in the fewest letters, if that is no more than a third of
// them. Case, blanks, hyphens and underscores are no difference.
func Nearest(written string, names []string) (name string, found bool) {
	written = FoldName(written)
	best := 0
	for _, n := range names {
		folded := FoldName(n)
		if len(written) > 2*len(folded) || len(folded) > 2*len(written) {
			continue // cannot be near, and may be very long
		}
		d := distance([]rune(written), []rune(folded))
		if 3*d <= len(folded) && (!found || d < best) {
			name, best, found = n, d, true
		}
	}
	return name, found
}

// DidYouMean gives the question "did you mean X?" where a name is near what was written, and else the other sentence.
func DidYouMean(written string, names []string, other string) string {
	if near, found := Nearest(written, names); found {
		return "did you mean " + clipped(near, mostNamed) + "?"
	}
	return other
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
