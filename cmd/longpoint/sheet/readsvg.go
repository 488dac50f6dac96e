package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"strings"
)

// ReadSVG reads a drawing back that SVG has written, such as a picture of the manual, so that it can be put on other paper.
// It reads no other SVG documents: what it does not know is an error.
func ReadSVG(data []byte) (Figure, error) {
	f := Figure{Drawing: &Drawing{}}
	decoder := xml.NewDecoder(bytes.NewReader(data))
	for {
		token, err := decoder.Token()
		if err != nil {
			return f, fmt.Errorf("this is no whole SVG document: %w", err)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			if end, ok := token.(xml.EndElement); ok && end.Name.Local == "svg" {
				return f, nil
			}
			continue
		}
		var m mark
		switch e := (svgElement{start}); start.Name.Local {
		case "svg":
			_, err = fmt.Sscanf(e.attr("viewBox"), "0 0 %g %g", &f.Drawing.Width, &f.Drawing.Height)
		case "title":
			err = decoder.DecodeElement(&f.Alt, &start)
		case "g":
		case "path":
			m, err = e.path()
		case "text":
			var text string
			if err = decoder.DecodeElement(&text, &start); err == nil {
				m, err = e.words(text)
			}
		default:
			err = fmt.Errorf("a drawing of ours has no element %s", start.Name.Local)
		}
		if err != nil {
			return f, err
		}
		if m != nil {
			f.Drawing.marks = append(f.Drawing.marks, m)
		}
	}
}

// svgElement is the beginning of an element.
type svgElement struct{ xml.StartElement }

// attr gives an attribute; empty where there is none.
func (e svgElement) attr(name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// number gives an attribute that is a number; 0 where there is none.
func (e svgElement) number(name string) (v float64, err error) {
	if text := e.attr(name); text != "" {
		_, err = fmt.Sscanf(text, "%g", &v)
	}
	return v, err
}

// ink gives an attribute that is a colour.
func (e svgElement) ink(name string) (k Ink, err error) {
	_, err = fmt.Sscanf(e.attr(name), "#%02x%02x%02x", &k.R, &k.G, &k.B)
	return k, err
}

// path gives an outline or lines.
func (e svgElement) path() (mark, error) {
	lines, closed, err := svgPath(e.attr("d"))
	if err != nil {
		return nil, err
	}
	if closed {
		ink, err := e.ink("fill")
		return area{Outlines: lines, Ink: ink, About: e.attr("data-about")}, err
	}
	ink, err := e.ink("stroke")
	width, err2 := e.number("stroke-width")
	dash, err3 := e.number("stroke-dasharray")
	return strokes{Lines: lines, Width: width, Ink: ink, Dash: dash, About: e.attr("data-about")}, errors.Join(err, err2, err3)
}

// svgPath reads path data back. Closed is a path with a Z in it.
func svgPath(data string) (lines [][]Point, closed bool, err error) {
	for line := range strings.SplitSeq(data, "M") {
		if line == "" {
			continue
		}
		var points []Point
		corners, isClosed := strings.CutSuffix(line, "Z")
		for corner := range strings.SplitSeq(corners, "L") {
			var p Point
			if _, err := fmt.Sscanf(corner, "%g %g", &p.X, &p.Y); err != nil {
				return nil, false, fmt.Errorf("path data %q: %w", data, err)
			}
			points = append(points, p)
		}
		lines, closed = append(lines, points), isClosed
	}
	return lines, closed, nil
}

// words gives a line of text.
func (e svgElement) words(text string) (mark, error) {
	ink, err := e.ink("fill")
	x, err2 := e.number("x")
	y, err3 := e.number("y")
	size, err4 := e.number("font-size")
	anchors := map[string]align{"start": left, "middle": centre, "end": right}
	return words{At: Point{x, y}, Text: text, Size: size, Bold: e.attr("font-weight") == "bold", Align: anchors[e.attr("text-anchor")],
		Turned: e.attr("transform") != "", Ink: ink}, errors.Join(err, err2, err3, err4)
}
