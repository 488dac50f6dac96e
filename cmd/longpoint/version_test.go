package main

import (
	"os"
	"regexp"
	"testing"
)

// TestRelease demands that the release is the newest one in the change log.
func TestRelease(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	newest := regexp.MustCompile(`(?m)^### ([0-9]+\.[0-9]+\.[0-9]+) – [0-9]{4}-[0-9]{2}-[0-9]{2}$`).FindSubmatch(text)
	if newest == nil || string(newest[1]) != release {
		t.Errorf("the newest release in the change log is %s, and the program says %s", newest, release)
	}
}
