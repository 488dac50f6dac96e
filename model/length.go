package model

// Length is a whole number of nanometres. 0.001 mm and 1/64 in (0.396875 mm) are both exact.
type Length int64

// Unit is a unit that lengths are written in.
type Unit uint8

// The units of length. Feet are read and, in Inches, printed only on demand.
const (
	Millimetres Unit = iota + 1
	Centimetres
	Inches
)

// Money is a whole number of the currency's minor units.
type Money int64

// Currency is how money is written. Code is an ISO 4217 code; Decimals how many digits the minor unit takes.
type Currency struct {
	Code     string
	Decimals int
}
