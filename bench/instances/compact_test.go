package instances

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/solver"
)

func TestReadCompact(t *testing.T) {
	text := "# invented\n\nlongpoint-lengths/1\na 100 =2 30x2 20\n # said by nobody\nb 10 7\n"
	got, err := ReadCompact(strings.NewReader(text), "file.txt", "set")
	if err != nil {
		t.Fatal(err)
	}
	want := []Instance{
		{Name: "set/a", Problem: oneKind(100, []solver.Item{{Length: 30, Demand: 2}, {Length: 20, Demand: 1}}), Known: Known{Given: true, Lower: 2, Upper: 2}},
		{Name: "set/b", Problem: oneKind(10, []solver.Item{{Length: 7, Demand: 1}})},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestReadCompactRefuses(t *testing.T) {
	for _, tc := range []struct{ name, line, want string }{
		{"name", "../a 9 3", `name "../a" has more in it`},
		{"two fields", "a 100", "fewer than three fields"},
		{"no lengths", "a 100 =3", "no lengths"},
		{"capacity", "a 1O0 3", `capacity "1O0" is not a whole number`},
		{"capacity 0", "a 0 3", "kind 0 has length 0"},
		{"cost 0", "a 100 =0 3", `least cost "0"`},
		{"demand 0", "a 100 3x0", `"3x0" is not a length`},
		{"demand missing", "a 100 3x", `"3x" is not a length`},
		{"rising", "a 100 3 4", "length 4 after 3"},
		{"equal", "a 100 4 4", "length 4 after 4"},
		{"name twice", "a 9 3\na 9 4", `a second instance called "a"`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, err := ReadCompact(strings.NewReader(CompactFormat+"\n"+tc.line), "file.txt", "set")
			wantError(t, err, tc.want)
			wantError(t, err, "file.txt:")
		})
	}
	_, err := ReadCompact(strings.NewReader("a 9 3"), "file.txt", "set")
	wantError(t, err, "file.txt:1: not a file of compact instances")
	_, err = ReadCompact(strings.NewReader("#\n"+CompactFormat), "file.txt", "set")
	wantError(t, err, "no instances")
}

func TestWriteCompactRefusesWhatItCannotSay(t *testing.T) {
	for name, kinds := range map[string][]solver.Kind{
		"two kinds": {{Length: 9, Cost: 1}, {Length: 8, Cost: 1}},
		"cost":      {{Length: 9, Cost: 2}},
		"limit":     {{Length: 9, Cost: 1, Limited: true}},
	} {
		in := Instance{Name: name, Problem: solver.Problem{Items: []solver.Item{{Length: 3, Demand: 1}}, Kinds: kinds}}
		if err := WriteCompact(&bytes.Buffer{}, nil, []Instance{in}); err == nil {
			t.Errorf("%s: written", name)
		}
	}
}

func FuzzReadCompact(f *testing.F) {
	f.Add("longpoint-lengths/1\na 100 =2 30x2 20\nb 10 7\n")
	f.Add("# c\nlongpoint-lengths/1\na 100 4x99999999")
	f.Fuzz(func(t *testing.T, text string) {
		ins, err := ReadCompact(strings.NewReader(text), "file.txt", "set")
		if err != nil {
			wantError(t, err, "file.txt")
			return
		}
		var b bytes.Buffer
		if err := WriteCompact(&b, []string{"again"}, ins); err != nil {
			t.Fatal(err)
		}
		again, err := ReadCompact(&b, "file.txt", "set")
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(ins, again); d != "" {
			t.Error(d)
		}
	})
}
