package record

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var header = []string{"file", "seconds"}

func TestLogGrowsAndIsTakenUp(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "out.csv")
	add := func(want [][]string, row ...string) {
		t.Helper()
		l, rows, err := Open(path, header)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, rows); d != "" {
			t.Error(d)
		}
		if err := l.Add(row); err != nil {
			t.Fatal(err)
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
	}
	add(nil, "a", "1")
	add([][]string{{"a", "1"}}, "b, c", "2")

	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	f.WriteString("torn,0.0")
	f.Close()
	add([][]string{{"a", "1"}, {"b, c", "2"}}, "d", "3")

	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if want := "file,seconds\na,1\n\"b, c\",2\nd,3\n"; string(data) != want {
		t.Errorf("%q in place of %q", data, want)
	}
	rows, err := Read(path, header)
	if err != nil || len(rows) != 3 {
		t.Errorf("%d rows, %v", len(rows), err)
	}
}

func TestOpenRefusesWhatIsNotOurs(t *testing.T) {
	for name, text := range map[string]string{
		"other columns":  "name,time\n",
		"too many":       "file,seconds\na,b,c\n",
		"not a table":    "file,\"seconds\nx\n",
		"text, no table": "shopping\n",
	} {
		path := filepath.Join(t.TempDir(), "x.csv")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, _, err := Open(path, header); err == nil || !strings.Contains(err.Error(), "x.csv") {
			t.Errorf("%s: error %v", name, err)
		}
		if data, _ := os.ReadFile(path); string(data) != text {
			t.Errorf("%s: the file was changed to %q", name, data)
		}
	}
	if _, err := Read(filepath.Join(t.TempDir(), "none.csv"), header); err == nil || !strings.Contains(err.Error(), "no such table") {
		t.Errorf("error %v", err)
	}
}
