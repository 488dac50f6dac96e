package sheet

import (
	"strings"
	"testing"

	"longpoint/model"
)

// FuzzNames makes everything of a plan whose names are anything at all: no page may have words over words or beyond its
// edges, no HTML may come apart, nothing may panic.
func FuzzNames(f *testing.F) {
	for _, name := range []string{"", "oak", strings.Repeat("W", 300), "漢字 😀", "a\tb\nc\x00d", "</table><h1>", "e\u0301", "\u202eabc", "\xff\xfe", "a/b%2F", "100 %", "ԥԯ"} {
		f.Add(name, name, int64(400), int64(5))
	}
	f.Fuzz(func(t *testing.T, job, frame string, long, short int64) {
		clamp := func(v int64) model.Length { return model.Length(1+(v%900+900)%900) * mm }
		p := handmade(12*mm, 3000*mm, 4, job, frame, clamp(long), clamp(short), clamp(short/7))
		p.Document.Workshop = frame
		p.Document.Profiles[0].Name, p.Document.Profiles[0].Title = job, frame
		p.Document.Profiles[0].Sticks[0].Place = job
		s := sourceOf(t, p, A4)
		pieces := []Piece{s.Cuts(0)}
		sheet := plainLabels
		sheet.Columns, sheet.Rows, sheet.Width, sheet.Height = 1, 2, 180*mm, 100*mm
		if labels, err := s.Labels(sheet); err == nil { // names may be longer than a code holds
			pieces = append(pieces, labels)
		}
		for _, piece := range pieces {
			pages := piece.Pages()
			for _, page := range pages {
				for _, wrong := range wordsOver(page) {
					t.Error(wrong)
				}
			}
			if wrong := inaccessible(readHTML(t, HTML(piece.Title, piece))); len(wrong) > 0 {
				t.Error(wrong)
			}
			readSVG(t, pages[0].SVG(piece.Title))
		}
	})
}
