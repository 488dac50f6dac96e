package model

import (
	"strconv"
	"strings"
)

// FoundName names a stick that came without a name: F1, F2, …
func FoundName(n int) string { return "F" + strconv.Itoa(n) }

// IsFoundName tells whether a stick is called so.
func IsFoundName(name string) bool {
	n, err := strconv.Atoi(strings.TrimPrefix(name, "F"))
	return err == nil && FoundName(n) == name
}
