package sheet

import (
	"regexp"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Typeface is the typeface of everything: Liberation Sans, which has every letter of the Latin and Cyrillic alphabets in
// use (TestLetters). Its figures are all equally wide, so that columns of numbers stand straight.
const Typeface = "Liberation Sans"

// How far the letters reach above and below their base line, of the type's size: capitals with accents, and tails.
const (
	ascent  = 0.93
	descent = 0.22
)

// missingSign stands for letters that the typeface lacks and that have no stand-in.
const missingSign = '□'

// standIns are what letters that the typeface lacks were written with before, or are where they cannot be had: Abkhaz ԥ,
// Khanty ԯ (from memory).
var standIns = map[rune]rune{'ԥ': 'ҧ', 'Ԥ': 'Ҧ', 'ԯ': 'ӆ', 'Ԯ': 'Ӆ'}

// beyond is one past the last rune that is looked for: the PDF writer takes runes of two bytes.
const beyond = 0x10000

// face is one weight of the typeface.
type face struct {
	data     []byte
	font     *sfnt.Font
	units    float64        // to the em
	advances [beyond]uint16 // in units, by rune
	glyphs   [beyond]uint16 // by rune; 0: the typeface has none
}

var (
	regular = sync.OnceValue(func() *face { return newFace(liberationsansregular.TTF) })
	bold    = sync.OnceValue(func() *face { return newFace(liberationsansbold.TTF) })
)

// faceOf gives a weight of the typeface.
func faceOf(isBold bool) *face {
	if isBold {
		return bold()
	}
	return regular()
}

// newFace reads a typeface. It is built into the program: that it cannot be read is a mistake of ours.
func newFace(data []byte) *face {
	parsed, err := sfnt.Parse(data)
	if err != nil {
		panic("the built-in typeface cannot be read: " + err.Error())
	}
	f := &face{data: data, font: parsed, units: float64(parsed.UnitsPerEm())}
	var buffer sfnt.Buffer
	em := fixed.I(int(parsed.UnitsPerEm()))
	for r := rune(' '); r < beyond; r++ {
		glyph, err := parsed.GlyphIndex(&buffer, r)
		if err != nil || glyph == 0 {
			continue
		}
		advance, err := parsed.GlyphAdvance(&buffer, glyph, em, font.HintingNone)
		if err != nil {
			continue
		}
		f.glyphs[r], f.advances[r] = uint16(glyph), uint16(advance.Round())
	}
	return f
}

// has tells whether both weights can show a rune.
func has(r rune) bool {
	return r >= ' ' && r < beyond && regular().glyphs[r] != 0 && bold().glyphs[r] != 0
}

// widthOf is how wide a line of text is, in millimetres, at a size in millimetres.
func widthOf(text string, size float64, isBold bool) float64 {
	f, sum := faceOf(isBold), 0
	for _, r := range text {
		if r < beyond {
			sum += int(f.advances[r])
		}
	}
	return float64(sum) * size / f.units
}

// readable puts text in the form in which it is shown: letters and their accents in one where there is such a sign, all
// white space single blanks, what cannot be printed left out, and □ for what the typeface lacks.
func readable(text string) string {
	plain := true
	for i := range len(text) {
		if text[i] < ' ' || text[i] > '~' {
			plain = false
			break
		}
	}
	if plain && !strings.Contains(text, "  ") && strings.TrimSpace(text) == text {
		return text
	}
	clean := strings.Map(func(r rune) rune {
		switch {
		case r == noBreak:
			return r
		case unicode.IsSpace(r):
			return ' '
		case has(r):
			return r
		case standIns[r] != 0:
			return standIns[r]
		case unicode.IsPrint(r):
			return missingSign
		}
		return -1
	}, norm.NFC.String(text))
	return strings.Join(parts(clean), " ")
}

// noBreak is the blank at which no line is broken.
const noBreak = '\u00a0'

// parts gives what stands between blanks at which a line may be broken.
func parts(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ' ' })
}

// fit gives text as it is where it is no wider than the room, else its beginning and an ellipsis; where not even that has
// room, nothing.
func fit(text string, room, size float64, isBold bool) string {
	text = readable(text)
	if widthOf(text, size, isBold) <= room {
		return text
	}
	const ellipsis = "…"
	left := room - widthOf(ellipsis, size, isBold)
	if left < 0 {
		return ""
	}
	end := 0
	for i, r := range text {
		w := widthOf(string(r), size, isBold)
		if w > left {
			break
		}
		left -= w
		end = i + len(string(r))
	}
	return strings.TrimRight(text[:end], " ") + ellipsis
}

// fitFrame is fit for a frame: which of several alike it is, and which ring, or how many there are, stays at the end.
func fitFrame(text string, room, size float64, isBold bool) string {
	name, which := text, ""
	if at := whichOf.FindStringIndex(text); at != nil {
		name, which = text[:at[0]], text[at[0]:]
	}
	return fit(name, room-widthOf(which, size, isBold), size, isBold) + which
}

// whichOf is what frameOf and a ticket put behind a frame's name.
var whichOf = regexp.MustCompile(`( no \d+)(, ring \d+)?$|, ring \d+$|, \d+ alike( · .{1,20})?$`)

// wrap sets text in lines no wider than the room, broken at blanks; a word wider than the room is cut short. There is at
// least one line.
func wrap(text string, room, size float64, isBold bool) []string {
	lines := []string{""}
	for _, word := range parts(readable(text)) {
		last := &lines[len(lines)-1]
		longer := word
		if *last != "" {
			longer = *last + " " + word
		}
		switch {
		case widthOf(longer, size, isBold) <= room:
			*last = longer
		case *last == "":
			*last = fit(word, room, size, isBold)
		default:
			lines = append(lines, fit(word, room, size, isBold))
		}
	}
	return lines
}
