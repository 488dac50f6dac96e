package sheet

import (
	"testing"
)

// TestFilesHaveNoNameTwice: names that differ in what a file name cannot say get numbers, and none that another piece has.
func TestFilesHaveNoNameTwice(t *testing.T) {
	var pieces []Piece
	for _, name := range []string{"cuts-oak", "cuts-Oak", "cuts-oak-2", "cuts-oak", "cuts-oak-3"} {
		pieces = append(pieces, Piece{File: name, Title: name, Paper: A4})
	}
	files, err := Files(pieces, "html", 0)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"cuts-oak.html", "cuts-Oak-2.html", "cuts-oak-2-2.html", "cuts-oak-3.html", "cuts-oak-3-2.html"}
	for n, f := range files {
		if f.Name != want[n] {
			t.Errorf("file %d is called %s, not %s", n+1, f.Name, want[n])
		}
	}
	if len(files) != len(want) {
		t.Errorf("%d files, not %d", len(files), len(want))
	}
}
