package model

import (
	"fmt"
	"math/big"
	"math/bits"
	"regexp"
	"strconv"
	"strings"
)

// Length is a whole number of nanometres. 0.001 mm and 1/64 in (0.396875 mm) are both exact.
type Length int64

// Lengths that others are counted in. 1 in = 25.4 mm exactly (NIST SP 811, Guide for the Use of the International
// System of Units, 2008, appendix B.6, from memory; the international yard and pound agreement of 1959 set it).
const (
	Millimetre Length = 1_000_000
	Centimetre        = 10 * Millimetre
	Metre             = 1000 * Millimetre
	Inch              = 25_400_000
	Foot              = 12 * Inch
)

// MaxLength is the longest length that is taken as one: 1 km. Nothing a framer cuts comes near it, and sums of any
// lengths a workshop can hold stay far from overflowing.
const MaxLength = 1000 * Metre

// finest is the finest fraction of an inch that lengths are printed in, one in so many; sixtyFourth is that fraction.
const (
	finest      = 64
	sixtyFourth = Inch / finest
)

// maxLengthText is the longest text that is read as a length, in bytes: far more than any length takes, and short
// enough that the arithmetic on its digits is nothing.
const maxLengthText = 64

// Unit is a unit that lengths are written in and, of inches, the least fraction that they are read to (ReadTo).
type Unit uint8

// The units of length. Feet and metres are read as well, and feet printed on demand (FeetAndInches).
const (
	Millimetres Unit = iota + 1
	Centimetres
	Inches     // to 1/64
	inchesTo32 // to 1/32
	inchesTo16
)

// Fractions are the least fractions of an inch that a workshop may read lengths to, one in so many.
func Fractions() []int { return []int{16, 32, finest} }

// ReadTo gives the unit that is read to one in so many of an inch at least (Fractions). Other units, and other fractions,
// change nothing.
func (u Unit) ReadTo(fraction int) Unit {
	if u.plain() != Inches {
		return u
	}
	switch fraction {
	case 16:
		return inchesTo16
	case 32:
		return inchesTo32
	case finest:
		return Inches
	}
	return u
}

// Fraction gives the least fraction of an inch that lengths are read to, one in so many; 0 where the unit is not inches.
func (u Unit) Fraction() int {
	switch u {
	case Inches:
		return finest
	case inchesTo32:
		return 32
	case inchesTo16:
		return 16
	}
	return 0
}

// IsInches tells inches, to whatever fraction they are read.
func (u Unit) IsInches() bool { return u.plain() == Inches }

// plain gives the unit as if it were read to its finest.
func (u Unit) plain() Unit {
	if u.Fraction() > 0 {
		return Inches
	}
	return u
}

// ParseUnit reads "mm", "cm" or "in", or the word.
func ParseUnit(text string) (Unit, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return Millimetres, nil
	case "cm", "centimetre", "centimetres", "centimeter", "centimeters":
		return Centimetres, nil
	case "in", "inch", "inches":
		return Inches, nil
	}
	return 0, &Error{Kind: BadInput, What: fmt.Sprintf("%s is not a unit of length", Quote(text)), Do: "write mm, cm or in"}
}

// String gives "mm", "cm" or "in", and "" for no unit.
func (u Unit) String() string {
	switch u.plain() {
	case Millimetres:
		return "mm"
	case Centimetres:
		return "cm"
	case Inches:
		return "in"
	}
	return ""
}

const number = `\d+(?:[.,]\d+)?|[.,]\d+`

// lengthForm is feet, then a number, or a fraction with or without a whole number, then a unit; each may be missing.
var lengthForm = regexp.MustCompile(`^(?:(` + number + `) ?(?:ft|') ?)?(?:(?:(` + number + `)|(?:(\d+)[ -])?(\d+)/(\d+)) ?(mm|cm|m|in|")?)?$`)

// thousandsForm is a number of which the comma may be meant to part thousands: 1,200.
var thousandsForm = regexp.MustCompile(`^[1-9]\d{0,2},\d{3}$`)

// plainSpaces puts the spaces that do not break a line, which spreadsheets use in numbers, into plain form.
var plainSpaces = strings.NewReplacer("\u00a0", " ", "\u202f", " ")

// plainMarks puts what keyboards and word processors make of the signs for feet, inches and fractions into plain form.
var plainMarks = strings.NewReplacer("″", `"`, "”", `"`, "“", `"`, "''", `"`, "′", "'", "’", "'",
	"⁄", "/", "½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8")

// ParseLength reads a length such as 419, 419 mm, 41.9 cm, 3 m, 16 1/2", 16-1/2 in, 16.5 in or 1' 4 1/2"; a bare number
// is in the unit bare. The decimal mark is a point or a comma. It never rounds: what is not a whole number of nanometres
// (1/3") is an error, and so are a sign, anything over MaxLength, and a number such as 1,200, whose comma may part
// thousands. Errors are *Error of kind BadInput.
func ParseLength(text string, bare Unit) (Length, error) {
	bad := func(why, do string) (Length, error) {
		return 0, &Error{Kind: BadInput, What: Quote(text) + " " + why, Do: do}
	}
	const example = `write it like 419 mm, 41.9 cm, 16 1/2" or 1' 4 1/2"`
	if len(text) > maxLengthText {
		return bad("is too long to be a length", example)
	}
	if l, ok := parseBare(text, bare); ok {
		return l, nil
	}
	plain := strings.Join(strings.Fields(strings.ToLower(plainMarks.Replace(plainSpaces.Replace(text)))), " ")
	if plain == "" {
		return bad("is empty where a length should be", example)
	}
	if strings.HasPrefix(plain, "-") || strings.HasPrefix(plain, "+") {
		return bad("has a sign", "write lengths without one")
	}
	part := lengthForm.FindStringSubmatch(plain)
	if part == nil {
		return bad("is not a length", example)
	}
	feet, plainNumber, whole, numerator, denominator, mark := part[1], part[2], part[3], part[4], part[5], part[6]
	for _, n := range []string{feet, plainNumber} {
		if thousandsForm.MatchString(n) {
			a, b := shortest(strings.Replace(n, ",", ".", 1)), strings.Replace(n, ",", "", 1)
			return bad(fmt.Sprintf("can be read in two ways, as %s and as %s", a, b), fmt.Sprintf("write %s or %s", a, b))
		}
	}

	unit, ok := unitLength(mark, bare)
	if feet != "" {
		unit, ok = Inch, mark == "" || mark == "in" || mark == `"`
	}
	if !ok {
		return bad("mixes feet with another unit", example)
	}
	if numerator != "" && unit != Inch {
		return bad("has a fraction but is not in inches", `put " behind it if inches are meant, or write a decimal number`)
	}
	if denominator != "" && strings.Trim(denominator, "0") == "" {
		return bad("divides by nought", example)
	}

	sum := new(big.Rat)
	sum.Add(sum, times(feet, Foot))
	sum.Add(sum, times(plainNumber, unit))
	sum.Add(sum, times(whole, unit))
	if numerator != "" {
		fraction := times(numerator, unit)
		sum.Add(sum, fraction.Quo(fraction, times(denominator, 1)))
	}
	if sum.Cmp(new(big.Rat).SetInt64(int64(MaxLength))) > 0 {
		return bad("is longer than 1 km", "check the number and its unit")
	}
	if !sum.IsInt() {
		return bad("is not a whole number of nanometres, and lengths are never rounded", `write it in mm, or in fractions of an inch down to 1/64"`)
	}
	return Length(sum.Num().Int64()), nil
}

// parseBare reads the most frequent form of a length by itself: digits with a decimal point or none, in the unit bare. What
// it leaves to ParseLength is anything else.
func parseBare(text string, bare Unit) (l Length, ok bool) {
	const most = 12 // digits: no number of them overflows in nanometres
	unit, _ := unitLength("", bare)
	digits, decimals := int64(0), int64(0)
	for i := range len(text) {
		switch c := text[i]; {
		case '0' <= c && c <= '9':
			digits, decimals = 10*digits+int64(c-'0'), 10*decimals
		case c == '.' && decimals == 0 && 0 < i && i < len(text)-1:
			decimals = 1
		default:
			return 0, false
		}
	}
	high, nanometres := bits.Mul64(uint64(digits), uint64(unit))
	if decimals == 0 {
		decimals = 1
	}
	if text == "" || len(text) > most || high > 0 || nanometres%uint64(decimals) != 0 || nanometres/uint64(decimals) > uint64(MaxLength) {
		return 0, false
	}
	return Length(nanometres / uint64(decimals)), true
}

// unitLength is what one of the unit is, of the bare unit where mark is empty.
func unitLength(mark string, bare Unit) (Length, bool) {
	switch mark {
	case "mm":
		return Millimetre, true
	case "cm":
		return Centimetre, true
	case "m":
		return Metre, true
	case "in", `"`:
		return Inch, true
	}
	switch bare.plain() {
	case Centimetres:
		return Centimetre, true
	case Inches:
		return Inch, true
	}
	return Millimetre, true
}

// times gives the decimal number in digits, which has the form number or is empty (nought), times unit.
func times(digits string, unit Length) *big.Rat {
	r := new(big.Rat)
	if digits != "" {
		r.SetString("0" + strings.Replace(digits, ",", ".", 1))
	}
	return r.Mul(r, new(big.Rat).SetInt64(int64(unit)))
}

// String gives the length in millimetres, for logs and tests.
func (l Length) String() string { return l.In(Millimetres) }

// In gives the length with its unit: "419 mm", "41.9 cm", `16 1/2"`. It is exact, and ParseLength reads it back to the
// same length. Inches are whole ones and a fraction down to 1/64, else a decimal number; a length that has no finite
// decimal number of inches is given in millimetres. No unit counts as millimetres.
func (l Length) In(u Unit) string {
	switch u.plain() {
	case Centimetres:
		return l.decimal(Centimetre) + " cm"
	case Inches:
		if s, ok := l.inches(); ok {
			return s + `"`
		}
	}
	return l.decimal(Millimetre) + " mm"
}

// Said gives the length as In does, for sentences: what has no finite number of inches, a sum of ours, is given to the nearest
// fraction that the unit is read to, and not in millimetres.
func (l Length) Said(u Unit) string {
	if _, ok := l.inches(); u.IsInches() && !ok {
		return l.Near(u)
	}
	return l.In(u)
}

// Bare gives the length as In does but without the unit, except where inches cannot say it: there the millimetres keep
// theirs, so that ParseLength with the same bare unit still reads it back to the same length.
func (l Length) Bare(u Unit) string {
	switch u.plain() {
	case Centimetres:
		return l.decimal(Centimetre)
	case Inches:
		if s, ok := l.inches(); ok {
			return s
		}
		return l.In(Millimetres)
	}
	return l.decimal(Millimetre)
}

// Near gives the length with its unit, to the nearest 0.1 mm, 0.01 cm or least fraction of an inch that the unit is read to, half
// away from nought. It is for reading only: nothing is ever computed from it, and nothing is cut by it (ToCut).
func (l Length) Near(u Unit) string { return l.Rounded(u).In(u) }

// Rounded gives the length that Near shows.
func (l Length) Rounded(u Unit) Length {
	if f := u.Fraction(); f > 0 {
		return l.toNearest(Inch / Length(f))
	}
	return l.toNearest(Millimetre / 10)
}

// ToCut gives the length that is set or measured for a cut, as InToCut shows it: rounded up to 0.1 mm, 0.01 cm or 1/64",
// whatever coarser fraction the unit is read to. A side cut short is lost, and the equal side opposite with it. One that is
// this little too long is not: what is over comes off with the finishing cut, for which each of its mitres keeps a shave in
// reserve. Any coarser step, down or up, could be more than that reserve.
func (l Length) ToCut(u Unit) Length {
	if down := l.ToFit(u); down < l {
		return down + u.finestStep()
	}
	return l
}

// ToFit gives the length to which what goes into a frame is cut, as InToFit shows it: rounded down where ToCut rounds up, for
// glass that is too large fits no frame.
func (l Length) ToFit(u Unit) Length { return l - l%u.finestStep() }

// finestStep is what lengths that are cut to are rounded to.
func (u Unit) finestStep() Length {
	if u.IsInches() {
		return sixtyFourth
	}
	return Millimetre / 10
}

// InToCut gives ToCut with its unit. In inches that are read to a coarser fraction than 1/64 it is the nearest such fraction
// and behind it what is over or short of it, so that a rule without finer marks will do: `12 3/16 +1/64"`, `12 1/4 −1/64"`.
func (l Length) InToCut(u Unit) string { return l.ToCut(u).byMarks(u) }

// InToFit gives ToFit with its unit, as InToCut does.
func (l Length) InToFit(u Unit) string { return l.ToFit(u).byMarks(u) }

// byMarks gives the length by the marks of a rule that the unit is read to, and what is over or short of the nearest.
func (l Length) byMarks(u Unit) string {
	mark := l.Rounded(u)
	over := l - mark
	switch {
	case over == 0 || mark == 0:
		return l.In(u)
	case over < 0:
		return mark.Bare(u) + " −" + (-over).In(u)
	}
	return mark.Bare(u) + " +" + over.In(u)
}

// FeetAndInches gives the length as In(Inches) does, with whole feet apart from one foot up: `5' 4 1/2"`.
func (l Length) FeetAndInches() string {
	if _, ok := l.inches(); !ok || l < Foot {
		return l.In(Inches)
	}
	if l%Foot == 0 {
		return fmt.Sprintf("%d'", l/Foot)
	}
	return fmt.Sprintf("%d' %s", l/Foot, (l % Foot).In(Inches))
}

func (l Length) toNearest(step Length) Length {
	rest := l % step
	l -= rest
	switch {
	case rest >= (step+1)/2:
		l += step
	case -rest >= (step+1)/2:
		l -= step
	}
	return l
}

// decimal gives l ÷ unit as a decimal number. unit is a power of ten.
func (l Length) decimal(unit Length) string {
	return decimal(l < 0, magnitude(int64(l)), len(fmt.Sprint(int64(unit)))-1)
}

// inches gives the number of inches as a whole number and a fraction, or as a decimal number, if it has either.
func (l Length) inches() (string, bool) {
	const inch, step, ends, digits = uint64(Inch), uint64(sixtyFourth), 127, 6
	size, sign := magnitude(int64(l)), ""
	if l < 0 {
		sign = "-"
	}
	switch {
	case size%step == 0:
		return sign + mixed(size/inch, size%inch/step, inch/step), true
	case size%ends == 0:
		// 1 in = 2 · 127 · 10^5 nm, so that a decimal number of inches ends where 127 goes into the length, within 6 digits.
		return decimal(l < 0, size/ends*5, digits), true
	}
	return "", false
}

// mixed gives whole + top/bottom, reduced; bottom is a power of two.
func mixed(whole, top, bottom uint64) string {
	for top > 0 && top%2 == 0 {
		top, bottom = top/2, bottom/2
	}
	switch {
	case top == 0:
		return fmt.Sprint(whole)
	case whole == 0:
		return fmt.Sprintf("%d/%d", top, bottom)
	}
	return fmt.Sprintf("%d %d/%d", whole, top, bottom)
}

// decimal gives n ÷ 10^digits as a decimal number without needless noughts.
func decimal(negative bool, n uint64, digits int) string {
	s := fmt.Sprintf("%0*d", digits+1, n)
	cut := len(s) - digits
	if rest := strings.TrimRight(s[cut:], "0"); rest != "" {
		s = s[:cut] + "." + rest
	} else {
		s = s[:cut]
	}
	if negative {
		s = "-" + s
	}
	return s
}

// magnitude gives n without its sign, for every int64.
func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// Quote shows what the user wrote, cut short where it is long, with what cannot be printed made visible.
func Quote(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	shown := strconv.Quote(text)
	return "“" + strings.ReplaceAll(shown[1:len(shown)-1], `\"`, `"`) + "”"
}
