package instances

import (
	"cmp"
	"strings"
)

// byNumber compares names as people do: runs of digits by their value, the rest letter by letter.
func byNumber(a, b string) int {
	for a != "" && b != "" {
		da, db := digits(a), digits(b)
		if da > 0 && db > 0 {
			x, y := strings.TrimLeft(a[:da], "0"), strings.TrimLeft(b[:db], "0")
			if c := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = a[da:], b[db:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

// digits is the length of the run of digits that s begins with.
func digits(s string) int {
	return len(s) - len(strings.TrimLeft(s, "0123456789"))
}
