package workshop

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestGenerateKeepsItsSize(t *testing.T) {
	for _, s := range []Size{{1, 1, 1}, {37, 3, 2}, {1000, 40, 1}} {
		tables := Generate(s)
		if got := len(column(t, tables["profiles.csv"], "profile")); got != s.Profiles {
			t.Errorf("%+v: %d profiles", s, got)
		}
		frames := 0
		for _, q := range column(t, tables["jobs.csv"], "quantity") {
			if q != "" { // an outer ring's
				n, err := strconv.Atoi(q)
				if err != nil {
					t.Fatal(err)
				}
				frames += n
			}
		}
		if frames != s.Frames {
			t.Errorf("%+v: %d frames", s, frames)
		}
		if d := cmp.Diff(tables, Generate(s)); d != "" {
			t.Errorf("%+v: two that differ: %s", s, d)
		}
	}
	if cmp.Equal(Generate(Size{9, 2, 1}), Generate(Size{9, 2, 2})) {
		t.Error("the seed changes nothing")
	}
}

// column gives a column of a table without its heading.
func column(t *testing.T, table, name string) []string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var cells []string
	for i, heading := range rows[0] {
		if heading == name {
			for _, row := range rows[1:] {
				cells = append(cells, row[i])
			}
		}
	}
	return cells
}

func TestWrite(t *testing.T) {
	dir := t.TempDir()
	tables := Generate(Size{3, 1, 1})
	if err := tables.Write(dir); err != nil {
		t.Fatal(err)
	}
	for name, want := range tables {
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != want {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	if err := tables.Write(filepath.Join(dir, "absent")); err == nil {
		t.Error("wrote into a folder that is not there")
	}
}

// TestGenerateWeeks: every week has its frames, due from its Monday to its Friday.
func TestGenerateWeeks(t *testing.T) {
	s := Weeks{Weeks: 5, Frames: 7, Profiles: 2, Seed: 3, OffcutShare: 30}
	tables := GenerateWeeks(s)
	if !strings.Contains(tables["workshop.toml"], "offcut_share = \"30 %\"") {
		t.Errorf("settings %s", tables["workshop.toml"])
	}
	days, quantities := column(t, tables["jobs.csv"], "due"), column(t, tables["jobs.csv"], "quantity")
	frames := map[int]int{}
	for i, day := range days {
		due, err := time.Parse(time.DateOnly, day)
		if err != nil {
			t.Fatal(err)
		}
		since := int(due.Sub(firstMonday).Hours() / 24)
		if since%7 > 4 {
			t.Errorf("%s is no working day", day)
		}
		if n, err := strconv.Atoi(quantities[i]); err == nil { // an outer ring has none
			frames[since/7] += n
		}
	}
	for week := range s.Weeks {
		if frames[week] != s.Frames {
			t.Errorf("week %d has %d frames", week, frames[week])
		}
	}
	if len(frames) != s.Weeks || !cmp.Equal(tables, GenerateWeeks(s)) {
		t.Errorf("%d weeks, or two that differ", len(frames))
	}
}
