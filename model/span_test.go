package model

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestSound(t *testing.T) {
	ends := Trims{Head: mm(20), Tail: mm(30)}
	blades := Trims{Head: mm(20), Tail: mm(30), Apart: mm(80)}
	for _, row := range []struct {
		name   string
		damage []Span
		trims  Trims
		want   []Span
	}{
		{"nothing but trims", nil, ends, []Span{{mm(20), mm(970)}}},
		{"no trims", nil, Trims{}, []Span{{0, mm(1000)}}},
		{"trims that use it up", nil, Trims{Head: mm(600), Tail: mm(400)}, nil},
		{"trims that pass each other", nil, Trims{Head: mm(900), Tail: mm(900)}, nil},
		{"in the middle: no trim beside it", []Span{{mm(400), mm(450)}}, ends, []Span{{mm(20), mm(400)}, {mm(450), mm(970)}}},
		{"at both ends, past the trims", []Span{{0, mm(45)}, {mm(940), mm(1000)}}, ends, []Span{{mm(45), mm(940)}}},
		{"at both ends, within the trims", []Span{{0, mm(10)}, {mm(990), mm(1000)}}, ends, []Span{{mm(20), mm(970)}}},
		{"across the end of a trim", []Span{{mm(10), mm(25)}, {mm(960), mm(980)}}, ends, []Span{{mm(25), mm(960)}}},
		{"beside each other", []Span{{mm(400), mm(450)}, {mm(450), mm(460)}}, Trims{}, []Span{{0, mm(400)}, {mm(460), mm(1000)}}},
		{"all of it", []Span{{0, mm(1000)}}, Trims{}, nil},
		{"narrower than two slants", []Span{{mm(400), mm(410)}}, blades, []Span{{mm(20), mm(400)}, {mm(480), mm(970)}}},
		{"as wide as two slants", []Span{{mm(400), mm(480)}}, blades, []Span{{mm(20), mm(400)}, {mm(480), mm(970)}}},
		{"wider than two slants", []Span{{mm(400), mm(500)}}, blades, []Span{{mm(20), mm(400)}, {mm(500), mm(970)}}},
		{"two, between which nothing can be cut", []Span{{mm(400), mm(410)}, {mm(450), mm(455)}}, blades, []Span{{mm(20), mm(400)}, {mm(480), mm(970)}}},
		{"two, between which something can be", []Span{{mm(400), mm(410)}, {mm(600), mm(605)}}, blades, []Span{{mm(20), mm(400)}, {mm(480), mm(600)}, {mm(680), mm(970)}}},
		{"within the head trim there is no chop before it", []Span{{mm(10), mm(25)}}, blades, []Span{{mm(25), mm(970)}}},
		{"where the last chop was made", []Span{{mm(20), mm(25)}}, blades, []Span{{mm(100), mm(970)}}},
		{"so near the tail that nothing is left behind it", []Span{{mm(900), mm(905)}}, blades, []Span{{mm(20), mm(900)}}},
		{"all but the trims", []Span{{mm(20), mm(970)}}, ends, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := Stick{Length: mm(1000), Damage: row.damage}.Sound(row.trims)
			if diff := cmp.Diff(row.want, got); diff != "" {
				t.Errorf("want, got:\n%s", diff)
			}
		})
	}
}

// TestSoundAgainstEveryPoint asks of every point of many short sticks whether a side may cover it.
func TestSoundAgainstEveryPoint(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for range 2000 {
		s := Stick{Length: Length(r.IntN(30))}
		sound := make([]bool, s.Length)
		head, tail := Length(r.IntN(8)), Length(r.IntN(8))
		for i := range sound {
			sound[i] = Length(i) >= head && Length(i) < s.Length-tail
		}
		for at := Length(r.IntN(6)); at < s.Length; at += Length(r.IntN(6)) {
			d := Span{at, min(s.Length, at+1+Length(r.IntN(5)))}
			s.Damage = append(s.Damage, d)
			for at = d.From; at < d.To; at++ {
				sound[at] = false
			}
		}
		got := make([]bool, s.Length)
		end := Length(-1)
		for _, run := range s.Sound(Trims{Head: head, Tail: tail}) {
			if run.Length() <= 0 || run.From <= end {
				t.Fatalf("%+v, trims %d and %d: run %v behind %d", s, head, tail, run, end)
			}
			end = run.To
			for i := run.From; i < run.To; i++ {
				got[i] = true
			}
		}
		if diff := cmp.Diff(sound, got); diff != "" {
			t.Fatalf("%+v, trims %d and %d: want, got:\n%s", s, head, tail, diff)
		}
	}
}

func TestParseSpans(t *testing.T) {
	for _, row := range []struct {
		text string
		unit Unit
		want []Span
	}{
		{"0 to 45; 1200 to 1260", Millimetres, []Span{{0, mm(45)}, {mm(1200), mm(1260)}}},
		{"1200 to 1260;0 to 45;", Millimetres, []Span{{0, mm(45)}, {mm(1200), mm(1260)}}},
		{"0 to 45 and 1200 To 1260", Millimetres, []Span{{0, mm(45)}, {mm(1200), mm(1260)}}},
		{"0 to 1 1/2; 16 1/2 to 17", Inches, []Span{{0, 3 * Inch / 2}, {33 * Inch / 2, 17 * Inch}}},
		{`0 to 1' 2"; 40 cm to 0.5 m`, Millimetres, []Span{{0, 14 * Inch}, {mm(400), mm(500)}}},
		{"0 to 45 mm", Inches, []Span{{0, mm(45)}}},
		{"0\u00a0to\u00a045,5", Millimetres, []Span{{0, mm(45.5)}}},
		{"45 to 30", Millimetres, []Span{{mm(45), mm(30)}}}, // for Check to report
	} {
		got, err := ParseSpans(row.text, row.unit)
		if err != nil {
			t.Errorf("%s: %v", row.text, err)
		}
		if diff := cmp.Diff(row.want, got); diff != "" {
			t.Errorf("%s: want, got:\n%s", row.text, diff)
		}
	}
	for _, row := range []struct{ text, want string }{
		{"", "“” names no part of a stick"},
		{" ; ", "“ ; ” names no part of a stick"},
		{"45", "“45” is not a part of a stick"},
		{"0-45", "“0-45” is not a part of a stick"},
		{"0 to 45 to 60", "“0 to 45 to 60” is not a part of a stick"},
		{"0 to 45, 60 to 70", "“0 to 45, 60 to 70” is not a part of a stick"},
		{"0 to x", "“x” is not a length"},
		{"-5 to 10", "“-5” has a sign"},
		{"0 to 1,200", "“1,200” can be read in two ways"},
		{"40 to 45 mm", "“40 to 45 mm” has a unit at one end only"},
		{"0 to 45; 40 mm to 45", "“40 mm to 45” has a unit at one end only"},
		{"4 to 5 in", "“4 to 5 in” has a unit at one end only"},
	} {
		_, err := ParseSpans(row.text, Millimetres)
		var own *Error
		if !errors.As(err, &own) || own.Kind != BadInput || own.Do == "" || !strings.HasPrefix(own.What, row.want) {
			t.Errorf("%q: got %v, want %s", row.text, err, row.want)
		}
	}
}

// FuzzParseSpans reads any text: nothing may panic, and what is read comes in order and is read again as the same.
func FuzzParseSpans(f *testing.F) {
	for _, text := range []string{"0 to 45; 1200 to 1260", `1' 2" to 3 1/2" and 4 m to 5 m`, "40 to 45 mm", "9 to 3;", " to ;; and "} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, u := range []Unit{Millimetres, Centimetres, Inches} {
			spans, err := ParseSpans(text, u)
			if err != nil {
				continue
			}
			var written []string
			for i, s := range spans {
				if s.From < 0 || s.To < 0 || i > 0 && s.From < spans[i-1].From {
					t.Fatalf("%q gives %v", text, spans)
				}
				written = append(written, s.In(u))
			}
			again, err := ParseSpans(strings.Join(written, "; "), Inches)
			if err != nil || fmt.Sprint(again) != fmt.Sprint(spans) {
				t.Fatalf("%q gives %v, and written out %v, %v", text, spans, again, err)
			}
		}
	})
}
