package main

import (
	"os"
	"strings"
	"testing"
)

// aWeek is what somebody types in a week of 22 jobs, six profiles and 30 sticks, where all goes well, without the Tab key.
const aWeek = `longpoint plan
longpoint order --sent
longpoint receive 1
longpoint receive 2
longpoint sheets --out paper
longpoint run cherry-1
longpoint finish --done
longpoint run walnut-2
longpoint finish --done
longpoint run black-34
longpoint finish --done
longpoint run gold-112
longpoint finish --done
longpoint run white-114
longpoint finish --done
longpoint run maple-2
longpoint finish --done
longpoint jobs
`

// TestWeekInFewKeys: such a week took about 55 commands, and 950 keystrokes went into telling what was cut, when each stick was told and the book
// was named each time (counted by hand).
func TestWeekInFewKeys(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.CopyFS(dir+"/shop", os.DirFS("testdata/shops/inch")); err != nil {
		t.Fatal(err)
	}
	mustType(t, dir, "longpoint book new shop.book --from shop")
	lines := strings.Split(strings.TrimSpace(aWeek), "\n")
	for _, line := range lines {
		line = strings.Replace(line, "longpoint plan", "longpoint plan --on 2027-03-01 --time-limit 1s", 1) // for the test's sake
		mustType(t, dir, line)
	}
	said, err := inShop(dir, "longpoint jobs").Output()
	if ready := strings.Count(string(said), " ready "); err != nil || ready != 22 {
		t.Errorf("%d of 22 jobs are ready: %v\n%s", ready, err, said)
	}
	told := 0
	for _, line := range lines {
		if strings.HasPrefix(line, "longpoint finish") {
			told += len(line) + 1
		}
	}
	t.Logf("%d commands, %d keystrokes, %d of them for what was cut", len(lines), len(aWeek), told)
	if len(lines) > 55/3 || told > 950/3 || len(aWeek) > 950/2 {
		t.Errorf("%d commands and %d keystrokes, %d of them for what was cut", len(lines), len(aWeek), told)
	}
}
