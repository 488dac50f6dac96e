package main

import (
	"os"
	"strings"
	"testing"
)

// aWeek is what somebody types in a week of 22 jobs, six profiles and 30 sticks, without the Tab key.
const aWeek = `longpoint plan --summary
longpoint order
longpoint order send
longpoint receive 1
longpoint receive 2
longpoint sheets --out paper
longpoint run cherry-1
longpoint cut cherry-1
longpoint finish
longpoint run walnut-2
longpoint cut walnut-2
longpoint finish
longpoint run black-34
longpoint cut black-34
longpoint finish
longpoint run gold-112
longpoint cut gold-112
longpoint finish
longpoint run white-114
longpoint cut white-114
longpoint finish
longpoint run maple-2
longpoint cut maple-2
longpoint finish
longpoint jobs
`

// TestWeekInFewKeys: such a week took about 55 commands and 950 keystrokes, when each stick was told and the book was named each time.
func TestWeekInFewKeys(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.CopyFS(dir+"/shop", os.DirFS("testdata/shops/inch")); err != nil {
		t.Fatal(err)
	}
	mustType(t, dir, "longpoint book new shop.book --from shop")
	lines := strings.Split(strings.TrimSpace(aWeek), "\n")
	for _, line := range lines {
		line = strings.Replace(line, "plan ", "plan --on 2027-03-01 --time-limit 1s ", 1) // for the test's sake
		mustType(t, dir, line)
	}
	said, err := inShop(dir, "longpoint jobs").Output()
	if ready := strings.Count(string(said), " ready "); err != nil || ready != 22 {
		t.Errorf("%d of 22 jobs are ready: %v\n%s", ready, err, said)
	}
	if len(lines) > 55/2 || len(aWeek) > 950*6/10 {
		t.Errorf("%d commands and %d keystrokes", len(lines), len(aWeek))
	}
}
