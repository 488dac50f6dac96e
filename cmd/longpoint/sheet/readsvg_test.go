package sheet

import (
	"bytes"
	"strings"
	"testing"
)

// TestReadSVG writes drawings, reads them back and writes them again: nothing is lost.
func TestReadSVG(t *testing.T) {
	p := demoPlan(t)
	piece := sourceOf(t, p, A4)
	drawings := piece.Cuts(0).Pages()
	for _, e := range Explain() {
		drawings = append(drawings, e.Drawing)
	}
	for i, d := range drawings {
		svg := d.SVG("what <it> shows")
		back, err := ReadSVG(svg)
		if err != nil {
			t.Fatalf("drawing %d: %v", i, err)
		}
		if back.Alt != "what <it> shows" {
			t.Errorf("drawing %d: alt is %q", i, back.Alt)
		}
		again := back.Drawing.SVG(back.Alt)
		if a, b := withoutWidths(svg), withoutWidths(again); !bytes.Equal(a, b) {
			t.Errorf("drawing %d is not read back as it was", i)
		}
	}
	for _, bad := range []string{"", "<svg", `<svg viewBox="0 0 1 1"><circle/></svg>`, `<svg viewBox="0 0 1 1"><path stroke="#000000" d="M1"/></svg>`} {
		if _, err := ReadSVG([]byte(bad)); err == nil {
			t.Errorf("%q is read", bad)
		}
	}
}

// withoutWidths leaves out how wide words are, which are measured anew from sizes that were rounded.
func withoutWidths(svg []byte) []byte {
	parts := strings.Split(string(svg), ` textLength="`)
	for i, part := range parts[1:] {
		_, parts[i+1], _ = strings.Cut(part, `"`)
	}
	return []byte(strings.Join(parts, ""))
}
