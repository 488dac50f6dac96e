package instances

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/solver"
)

func TestReadText(t *testing.T) {
	two := solver.Problem{
		Items: []solver.Item{{Length: 30, Demand: 2}, {Length: 20, Demand: 1}},
		Kinds: []solver.Kind{{Length: 100, Cost: 1}},
	}
	for _, tc := range []struct {
		name, text string
		want       solver.Problem
		fails      string
	}{
		{name: "cutting stock", text: "2\n100\n30\t2\n20\t1\n", want: two},
		{name: "cutting stock, CRLF, no last newline", text: "2\r\n100\r\n30 2\r\n20 1", want: two},
		{name: "cutting stock, m and c on one line", text: "2 100\n30 2\n20 1\n", want: two},
		{name: "cutting stock, order and doubles kept", text: "2 100 20 1 20 3", want: solver.Problem{
			Items: []solver.Item{{Length: 20, Demand: 1}, {Length: 20, Demand: 3}},
			Kinds: []solver.Kind{{Length: 100, Cost: 1}},
		}},
		{name: "bin packing", text: "3\n100\n30\n20\n30\n", want: two},
		{name: "one item, bin packing", text: "1 9 4", want: solver.Problem{
			Items: []solver.Item{{Length: 4, Demand: 1}}, Kinds: []solver.Kind{{Length: 9, Cost: 1}},
		}},
		{name: "several kinds", text: "3 2 1 1\n50 60 100 90\n30 20\n30", want: solver.Problem{Items: two.Items,
			Kinds: []solver.Kind{{Length: 50, Cost: 60}, {Length: 100, Cost: 90}}}},
		{name: "several kinds, one length short", text: "3 2 1 1\n50 60 100 90\n30 20", fails: "where 3 items need 3 or 6"},
		{name: "several kinds, a cost too many", text: "3 2 1\n50 60 100 90 1\n30 20 30", fails: "where 3 items need 3 or 6"},
		{name: "several kinds, one without length", text: "3 2 1 1\n0 60 100 90\n30 20 30", fails: "kind 0 has length 0"},
		{name: "empty", text: "", fails: "file.txt: fewer than two numbers"},
		{name: "no items", text: "0 100", fails: "file.txt: 0 items"},
		{name: "one number short", text: "2 100 30 2 20", fails: "3 numbers after the capacity, where 2 items need 2 or 4"},
		{name: "a letter", text: "2\n100\n3O 2\n20 1", fails: `file.txt:3: "3O" is not a whole number`},
		{name: "negative", text: "1 100 -3", fails: `file.txt:1: "-3" is not a whole number`},
		{name: "a fraction", text: "1 100 2.5", fails: `"2.5" is not a whole number`},
		{name: "beyond 64 bits", text: "1 9223372036854775808 2", fails: "is not a whole number"},
		{name: "capacity 0", text: "1 0 2", fails: "kind 0 has length 0"},
		{name: "length 0", text: "1 9 0", fails: "item 0 has length 0"},
		{name: "demand beyond the solver's", text: "1 9 3 99999999", fails: "item 0 has demand 99999999"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, err := ReadText(strings.NewReader(tc.text), "file.txt")
			wantError(t, err, tc.fails)
			if err == nil {
				if d := cmp.Diff(tc.want, got); d != "" {
					t.Error(d)
				}
			}
		})
	}
}

func TestReadTextTooLarge(t *testing.T) {
	_, err := ReadText(strings.NewReader(strings.Repeat(" ", MaxFile+1)), "file.txt")
	wantError(t, err, "larger than")
}

// wantError fails unless err is a FormatError with want in it, or nil where want is empty.
func wantError(t *testing.T, err error, want string) {
	t.Helper()
	if want == "" {
		if err != nil {
			t.Fatalf("unexpected error: %v", err)
		}
		return
	}
	var fe *FormatError
	if !errors.As(err, &fe) {
		t.Fatalf("error %v is no FormatError with %q", err, want)
	}
	if !strings.Contains(err.Error(), want) {
		t.Fatalf("error %q does not say %q", err, want)
	}
}

func FuzzReadText(f *testing.F) {
	f.Add("2\n100\n30\t2\n20\t1\n")
	f.Add("3 100 30 20 30")
	f.Add("1 9223372036854775807 1 1")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := ReadText(strings.NewReader(text), "file.txt")
		if err != nil {
			wantError(t, err, "file.txt")
			return
		}
		if err := p.Validate(); err != nil || len(p.Items) == 0 {
			t.Errorf("accepted %d items: %v", len(p.Items), err)
		}
	})
}
