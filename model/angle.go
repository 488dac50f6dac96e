package model

import (
	"regexp"
	"strings"
)

// Angle is a mitre angle in millionths of a degree, measured from a square cut.
type Angle int64

// Degree is one degree.
const Degree Angle = 1_000_000

// RightAngle is the greatest angle that is read: no mitre comes to it.
const RightAngle = 90 * Degree

// OptionalAngle is an angle that may not have been given.
type OptionalAngle struct {
	Angle Angle
	Given bool
}

var angleForm = regexp.MustCompile(`^(\d{1,3})(?:[.,](\d{1,6}))? ?(?:°|deg)?$`)

// ParseAngle reads degrees from 0 to 90 with up to six decimals: 45, 22.5, 22,5 or 30°.
func ParseAngle(text string) (Angle, error) {
	part := angleForm.FindStringSubmatch(strings.TrimSpace(plainSpaces.Replace(text)))
	if part != nil {
		var a Angle
		for _, digit := range part[1] + part[2] + strings.Repeat("0", 6-len(part[2])) {
			a = 10*a + Angle(digit-'0')
		}
		if a <= RightAngle {
			return a, nil
		}
	}
	return 0, &Error{Kind: BadInput, What: Quote(text) + " is not an angle from 0 to 90 degrees", Do: "write degrees with up to six decimals, like 45 or 22.5"}
}

// String gives the angle in degrees: "22.5°".
func (a Angle) String() string { return decimal(a < 0, magnitude(int64(a)), 6) + "°" }
