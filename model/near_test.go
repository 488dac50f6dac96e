package model

import "testing"

func TestNearest(t *testing.T) {
	names := []string{"job", "frame", "given_by", "width", "height", "Gold-60"}
	for _, row := range []struct{ written, want string }{
		{"hieght", "height"}, // swapped
		{"heigth", "height"},
		{"heght", "height"},   // left out
		{"heighht", "height"}, // put in
		{"hejght", "height"},  // replaced
		{"widths", "width"},
		{"givenby2", "given_by"},
		{"gold-60", "Gold-60"}, // another case
		{"GOLD 60", "Gold-60"},
		{"Gold-50", "Gold-60"},
		{"colour", ""},
		{"x", ""},
		{"", ""},
	} {
		if got, _ := Nearest(row.written, names); got != row.want {
			t.Errorf("%s is nearest to %q, want %q", row.written, got, row.want)
		}
	}
}

func TestDistance(t *testing.T) {
	for _, row := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"abc", "abc", 0}, {"abc", "acb", 1}, {"abcd", "badc", 2}, {"kerf", "keep", 2}, {"ash", "oak", 3},
	} {
		if got := distance([]rune(row.a), []rune(row.b)); got != row.want {
			t.Errorf("%q to %q is %d, want %d", row.a, row.b, got, row.want)
		}
	}
}
