package record

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestNotes(t *testing.T) {
	table := filepath.Join(t.TempDir(), "t.csv")
	if notes, err := Notes(table); len(notes) != 0 || err != nil {
		t.Errorf("%v, %v where there are none", notes, err)
	}
	for range 2 {
		if err := takeNote(table); err != nil {
			t.Fatal(err)
		}
	}
	notes, err := Notes(table)
	if err != nil || len(notes) != 2 {
		t.Fatalf("%v, %v", notes, err)
	}
	if n := notes[1]; !strings.HasPrefix(n.Command, "go run ./bench ") || !strings.Contains(n.Machine, "cores of") || len(n.Day) != 10 {
		t.Errorf("%+v", n)
	}
	if err := os.WriteFile(notesOf(table), []byte("no note\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Notes(table); err == nil {
		t.Error("what is no note is taken for one")
	}
}

func TestNoteInWords(t *testing.T) {
	n := Note{Command: "go run ./bench shop", Commit: "abc", Changed: true, Machine: "2 cores of a kind", Load: "0.10", Day: "2027-01-02"}
	const want = "`go run ./bench shop` on 2027-01-02, commit abc with changes, 2 cores of a kind, load 0.10 when it began."
	if n.String() != want {
		t.Errorf("got %s", n)
	}
	if got := (Note{Command: "c", Day: "d", Machine: "m"}).String(); got != "`c` on d, commit not known, m." {
		t.Errorf("got %s", got)
	}
}
