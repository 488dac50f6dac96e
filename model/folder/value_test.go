package folder

import "testing"

func TestPlainNumber(t *testing.T) {
	for _, row := range []struct{ name, in, want string }{
		{"plain", "1200", "1200"},
		{"grouped by an unbreakable blank", "1\u00a0200", "1200"},
		{"grouped by a narrow one", "1\u202f200,5", "1200,5"},
		{"grouped by a thin one", "1\u2009200\u2009000", "1200000"},
		{"unit behind an unbreakable blank", "1\u00a0200\u00a0mm", "1200 mm"},
		{"inches and their fraction", "16\u00a01/2\"", "16 1/2\""},
		{"three digits of a fraction", "16\u00a0100/128\"", "16 100/128\""},
		{"two digits are no group", "12\u00a034", "12 34"},
		{"four digits are no group", "12\u00a03456", "12 3456"},
		{"an ordinary blank groups nothing", "1 200", "1 200"},
		{"blanks at the ends", "\u00a0 7 \u00a0", "7"},
	} {
		if got := plainNumber(row.in); got != row.want {
			t.Errorf("%s: %q gives %q, want %q", row.name, row.in, got, row.want)
		}
	}
}
