package main

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/book"
)

// TestEveryWeek: 2026 has 53 ISO weeks, for its 1 January is a Thursday (ISO 8601), and the weeks without a yield stand between.
func TestEveryWeek(t *testing.T) {
	yields := []book.Yield{{Of: "", Yield: 5}, {Of: "2026-W40", Yield: 1}, {Of: "2026-W52", Yield: 2}, {Of: "2027-W02", Yield: 3}, {Of: "2027-W03"}}
	want := []sheet.Week{{Name: "2026-W52", Yield: 2}, {Name: "2026-W53"}, {Name: "2027-W01"}, {Name: "2027-W02", Yield: 3}}
	if diff := cmp.Diff(want, sheet.WeeksOf(yields, 4)); diff != "" {
		t.Error(diff)
	}
	if all := sheet.WeeksOf(yields, 100); len(all) != 16 || all[0].Name != "2026-W40" {
		t.Errorf("%d weeks from %v", len(all), all[0])
	}
	if none := sheet.WeeksOf([]book.Yield{{Of: "2027-W03"}}, 4); none != nil {
		t.Error(none)
	}
}
