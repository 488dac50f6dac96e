package model

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// Sound gives the runs of a stick that sides may be cut from, from the head on: what its trims and its damage leave. Up to damage a side may come with
// its mitre loss and its shave, for the wood goes on there. Behind it the next run begins Apart from where damage begins, if that is not
// behind the damage anyway: the last chop before may be made there. What begins within the head trim has no chop before it. Runs are never
// empty; trims are not negative.
func (s Stick) Sound(t Trims) []Span {
	var runs []Span
	at, end := t.Head, s.Length-t.Tail
	for _, d := range s.Damage {
		if to := min(d.From, end); to > at {
			runs = append(runs, Span{at, to})
		}
		if d.From >= at {
			at = d.From + t.Apart
		}
		at = max(at, d.To)
	}
	if end > at {
		runs = append(runs, Span{at, end})
	}
	return runs
}

// Length gives how long the span is.
func (s Span) Length() Length { return s.To - s.From }

// In gives the span as ParseSpans reads it: "0 mm to 45 mm".
func (s Span) In(u Unit) string { return s.From.In(u) + " to " + s.To.In(u) }

// spanExample says how to write parts of a stick.
func spanExample(u Unit) string {
	example := map[Unit]string{Millimetres: "0 to 45; 1200 to 1260", Centimetres: "0 to 4.5; 120 to 126", Inches: "0 to 1 3/4; 47 to 49 1/2"}[u]
	return "write from where to where, like " + example + ", measured from the head"
}

var (
	spanBreak = regexp.MustCompile(`;|\s[aA][nN][dD]\s`)
	spanWord  = regexp.MustCompile(`\s[tT][oO]\s`)
)

// ParseSpans reads parts of a stick such as "0 to 45; 1200 to 1260", with "and" in place of the semicolon where that
// is easier, and gives them from the head on. A bare number is in the unit bare; of the two ends of a span either both have
// a unit or none, for 40 to 45 mm can be meant in two ways. Whether spans make sense for a stick is for Workshop.Check to
// say. Errors are *Error of kind BadInput.
func ParseSpans(text string, bare Unit) ([]Span, error) {
	var out []Span
	for _, part := range spanBreak.Split(plainSpaces.Replace(text), -1) {
		if strings.TrimSpace(part) == "" {
			continue
		}
		s, err := parseSpan(part, bare)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, bad("", Quote(text)+" names no part of a stick", spanExample(bare))
	}
	slices.SortStableFunc(out, func(a, b Span) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To)) })
	return out, nil
}

func parseSpan(text string, bare Unit) (Span, error) {
	ends := spanWord.Split(text, -1)
	if len(ends) != 2 {
		return Span{}, bad("", Quote(strings.TrimSpace(text))+" is not a part of a stick", spanExample(bare))
	}
	from, err := ParseLength(ends[0], bare)
	if err != nil {
		return Span{}, err
	}
	to, err := ParseLength(ends[1], bare)
	if err != nil {
		return Span{}, err
	}
	if from != 0 && hasUnit(ends[0]) != hasUnit(ends[1]) {
		return Span{}, bad("", fmt.Sprintf("%s has a unit at one end only", Quote(strings.TrimSpace(text))), "write the unit at both ends, or at none")
	}
	return Span{from, to}, nil
}

// hasUnit tells whether a length carries its own unit: then it is the same whatever bare numbers are in.
func hasUnit(text string) bool {
	a, errA := ParseLength(text, Centimetres)
	b, errB := ParseLength(text, Inches)
	return errA == nil && errB == nil && a == b
}

// Usable gives the sound parts of a stick that sides can be cut from, between its trims: where the first side may begin and the
// last must end. Each gives up a repeat of a pattern (0: none), for where the pattern begins is not known.
func (s Stick) Usable(t Trims, repeat Length) []Span {
	var runs []Span
	for _, run := range s.Sound(t) {
		if run.From += repeat; run.To > run.From {
			runs = append(runs, run)
		}
	}
	return runs
}

// SoundEnd is where the sound wood behind a sound part ends: at the next damage, or at the stick's end.
func (s Stick) SoundEnd(run Span) Length {
	for _, d := range s.Damage {
		if d.From >= run.To {
			return d.From
		}
	}
	return s.Length
}
