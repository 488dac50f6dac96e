package model

import (
	"strings"
	"unicode"
)

// SplitSize takes the measures of a size apart that are written in one, such as 40 x 50 cm; nil: it is none. There is one, or a width and a height.
func SplitSize(text string) []string {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == 'x' || r == 'X' || r == '×' })
	if len(parts) == 0 || len(parts) > 2 {
		return nil
	}
	return parts
}

// ParseSize reads a size: one length, or a width and a height. A unit behind the second length is that of both; bare numbers are in the unit that is
// given. Each is more than nothing.
func ParseSize(text string, bare Unit) ([]Length, error) {
	parts := SplitSize(text)
	switch {
	case parts == nil:
		return nil, &Error{Kind: BadInput, What: Quote(text) + " is not a size", Do: `write it like 400 x 500 mm`}
	case len(parts) == 2 && !strings.ContainsFunc(parts[0], IsUnitRune):
		parts[0] += parts[1][strings.LastIndexFunc(parts[1], unicode.IsDigit)+1:]
	case len(parts) == 2 && !strings.ContainsFunc(parts[1], IsUnitRune):
		return nil, &Error{Kind: BadInput, What: Quote(text) + " has a unit in the first length only", Do: "write the unit behind both, or behind the second"}
	}
	out := make([]Length, len(parts))
	for i, part := range parts {
		l, err := ParseLength(strings.TrimSpace(part), bare)
		if err != nil {
			return nil, err
		}
		if l <= 0 {
			return nil, &Error{Kind: BadInput, What: Quote(text) + " is not more than zero", Do: "give the size it really has"}
		}
		out[i] = l
	}
	return out, nil
}

// IsUnitRune tells the letters and marks of units from the rest of a length.
func IsUnitRune(r rune) bool {
	return unicode.IsLetter(r) || strings.ContainsRune(`"'′″”’`, r)
}
