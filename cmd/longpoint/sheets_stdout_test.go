package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestPageToStandardOutput prints to standard output byte for byte what it prints into a folder. A page is no text: what looks like a table carried in
// one, or like the program's name, is a part of a picture. The demo's cut sheet of oak-32 has both marks of a carried table in it.
func TestPageToStandardOutput(t *testing.T) {
	t.Chdir(t.TempDir())
	run := func(line string) []byte {
		var out, errs bytes.Buffer
		if status := runAs("./my-longpoint", strings.Fields(line), nil, &out, &errs); status != 0 {
			t.Fatalf("%s: %s", line, errs.String())
		}
		return out.Bytes()
	}
	run("demo shop")
	page := run("sheets shop cuts --profile oak-32 --dated 2027-03-09")
	run("sheets shop cuts --profile oak-32 --dated 2027-03-09 --out printed")
	file, err := os.ReadFile(filepath.Join("printed", "cuts-oak-32.pdf"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(file, []byte(carryFrom)) || !bytes.Contains(file, []byte(carryTo)) {
		t.Error("the page has no marks of a carried table in it, and shows nothing")
	}
	if !bytes.Equal(page, file) {
		t.Errorf("%d bytes on standard output, %d in the file, and not the same", len(page), len(file))
	}
}
