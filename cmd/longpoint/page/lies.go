package page

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/runs"
)

// How a stick is drawn at the bench: so many units long, the moulding and the ruler so high.
const (
	liesLong  = 1000.0
	liesHigh  = 110.0
	liesRuler = 44.0
)

// lies draws the stick of a cut as it lies, long point up over a ruler: the side that is to be cut now is filled, those that are cut say so.
func (c *call) lies(d *runs.Document, cut *benchCut) template.HTML {
	pp := d.Plan.Profiles[0]
	stick := pp.Sticks[cut.at[0]]
	scale := liesLong / float64(stick.Length)
	x := func(l model.Length) float64 { return float64(l) * scale }
	var b strings.Builder
	said := fmt.Sprintf("Stick %s, %s, long point up. To cut now: side %s, %s, from %s to %s.", stick.ID, stick.Length.Near(c.unit), cut.Letter, cut.At,
		stick.Sides[cut.at[1]].Start.Near(c.unit), (stick.Sides[cut.at[1]].Start + stick.Sides[cut.at[1]].LongPoint).Near(c.unit))
	fmt.Fprintf(&b, `<svg class="lies-as" viewBox="-2 -2 %g %g" role="img" aria-label="%s">`, liesLong+4, liesHigh+liesRuler+4, html.EscapeString(said))
	fmt.Fprintf(&b, `<path class="wood" d="M0 0H%gV%gH0Z"/>`, liesLong, liesHigh)
	for i, side := range stick.Sides {
		tan := math.Tan(float64(side.Angle) / float64(model.Degree) * math.Pi / 180)
		from, to := x(side.Start), x(side.Start+side.LongPoint)
		slant := min(float64(pp.Width)*tan*scale, (to-from)/2)
		became, class, word := d.Became[0][cut.at[0]][i], "side", ""
		switch {
		case i == cut.at[1]:
			class, word = "side now", "now"
		case became != runs.ToCut:
			class, word = "side gone", became
		}
		fmt.Fprintf(&b, `<path class="%s" d="M%.2f 0L%.2f 0L%.2f %gL%.2f %gZ"/>`, class, from, to, to-slant, liesHigh, from+slant, liesHigh)
		middle, room := (from+to)/2, to-from-slant
		lines := []string{side.Letter}
		if room > 110 {
			lines = []string{side.Letter + " " + sheet.ToCut(side.LongPoint, c.unit), word}
		} else if word != "" && room > 45 {
			lines = append(lines, word)
		}
		for n, line := range lines {
			if line != "" {
				fmt.Fprintf(&b, `<text class="%s" x="%.2f" y="%g">%s</text>`, strings.Replace(class, "side", "on", 1), middle, 44+float64(n)*38, html.EscapeString(line))
			}
		}
	}
	c.ruler(&b, stick.Length, scale)
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

// ruler draws a ruler below a stick, with about ten numbers.
func (c *call) ruler(b *strings.Builder, length model.Length, scale float64) {
	step := model.Length(50) * model.Millimetre
	if c.unit.IsInches() {
		step = 2 * model.Inch
	}
	for length/step > 40 {
		step *= 2
	}
	var ticks strings.Builder
	for n, at := 0, model.Length(0); at <= length; n, at = n+1, at+step {
		x, long := float64(at)*scale, 8
		if n%4 == 0 {
			long = 14
			fmt.Fprintf(b, `<text class="tick" x="%.2f" y="%g">%s</text>`, min(max(x, 14), liesLong-24), liesHigh+38, html.EscapeString(sheet.Near(at, c.unit)))
		}
		fmt.Fprintf(&ticks, "M%.2f %gv%d", x, liesHigh, long)
	}
	fmt.Fprintf(b, `<path class="ticks" d="M0 %gH%g%s"/>`, liesHigh, liesLong, ticks.String())
}
