package main

import (
	"strings"
	"testing"
)

func TestTable(t *testing.T) {
	full := &table{columns: []column{words("profile"), numbers("sides"), numbers("cost EUR"), words("grade")}}
	full.add("oak-32", "48", "1240.10", "proven")
	full.add("wal\x1b[31mnut\n20", "4", "", "open")
	full.add("no\xb6text", "", "", "")
	full.foot = []string{"all", "52", "1240.10", ""}
	for _, c := range []struct {
		name  string
		table *table
		want  []string
	}{
		{"rows and totals; what would steer a terminal is taken out", full, []string{
			"profile         sides  cost EUR  grade",
			"───────────────────────────────────────",
			"oak-32             48   1240.10  proven",
			"wal [31mnut 20      4            open",
			"no\uFFFDtext",
			"───────────────────────────────────────",
			"all                52   1240.10",
		}},
		{"headings alone", &table{columns: []column{words("size"), numbers("side mm")}}, []string{
			"size  side mm",
			"─────────────",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got, want := new(program).unload(c.table.String()), strings.Join(c.want, "\n")+"\n"; got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
}

func TestParagraph(t *testing.T) {
	text := strings.Repeat("moulding ", 20)
	got := paragraph(text, "    ")
	if w := widest(got); w > pageWidth {
		t.Errorf("%d columns wide, more than %d", w, pageWidth)
	}
	if strings.Join(strings.Fields(got), " ") != strings.TrimSpace(text) {
		t.Errorf("words are lost in\n%s", got)
	}
	for i, line := range strings.Split(strings.TrimSuffix(got, "\n"), "\n") {
		if strings.HasPrefix(line, "    ") != (i > 0) {
			t.Errorf("line %d is indented wrongly: %q", i, line)
		}
	}
}
