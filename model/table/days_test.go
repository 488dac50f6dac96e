package table

import (
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/model"
)

// TestDayOrderOfColumn: where the days of a column leave one order of day and month they are read so, which is said once; where they leave several or contradict
// each other, they are refused as before.
func TestDayOrderOfColumn(t *testing.T) {
	today := model.Date{Time: time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC)}
	for _, c := range []struct{ name, days, want, says string }{
		{"one fixes it", "04.12.2026;14.12.2026;05.12.2026", "2026-12-04 2026-12-14 2026-12-05", "a.csv:3, column due: the days of this column are read as day.month.year, as “14.12.2026” shows"},
		{"the month first", "12/4/2026;12/14/2026", "2026-12-04 2026-12-14", "a.csv:3, column due: the days of this column are read as month/day/year, as “12/14/2026” shows"},
		{"none does", "04.12.2026;05.12.2026", "", ""},
		{"two contradict each other", "04.12.2026;14.12.2026;12.14.2026", "2026-12-14 2026-12-14", ""},
		{"another mark says nothing", "04.12.2026;14/12/2026", "2026-12-14", ""},
		{"words say nothing", "04.12.2026;soon;14.12.2026", "2026-12-04 2026-12-14", "a.csv:4, column due: the days of this column are read as day.month.year, as “14.12.2026” shows"},
		{"without years", "4/12;14/12", "2026-12-04 2026-12-14", "a.csv:3, column due: the days of this column are read as day/month/year, as “14/12” shows"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var p Problems
			conv := Converter{Unit: model.Millimetres, Problems: &p, Today: today}
			f, bad := FromBytes("a.csv", []byte("due\n"+strings.ReplaceAll(c.days, ";", "\n")), Ordinary())
			if bad != nil {
				t.Fatal(bad)
			}
			table, _ := f.Table(Set{Name: "a", Columns: []Column{{Name: "due", Kind: Date, Need: Must}}}, &p)
			var got []string
			for r := range table.Rows() {
				if d := conv.Date(r.Cell("due")); !d.IsZero() {
					got = append(got, d.String())
				}
			}
			var says []string
			for _, e := range p.Readings {
				says = append(says, strings.TrimSuffix(e.Error(), "; "+e.Do))
			}
			slices.Sort(got)
			want := strings.Fields(c.want)
			slices.Sort(want)
			if !slices.Equal(got, want) || strings.Join(says, "|") != c.says {
				t.Errorf("got %v, says %q; want %v, %q; wrong: %v", got, says, want, c.says, p.Errors())
			}
		})
	}
}
