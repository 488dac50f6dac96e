package main

import (
	"regexp"
	"strings"
	"testing"
)

// isoDay is a day as it stands in files.
var isoDay = regexp.MustCompile(`\b20\d\d-\d\d-\d\d\b`)

// TestDaysAsTheShopWritesThem types what shows days in a shop that writes day.month.year: none is shown as files have them, and JSON has no other.
func TestDaysAsTheShopWritesThem(t *testing.T) {
	t.Parallel()
	dir := shopUnderWay(t)
	mustType(t, dir, `longpoint settings --set tables.dates=day.month.year --why so && longpoint order add "Invented Timber" oak-40 2400 && longpoint order send --expected 20.12.2026`)
	for _, c := range []struct{ typed, shows string }{
		{"jobs", "09.04.2027"},
		{"jobs show 101", "due "},
		{"plan --summary", ""},
		{"plan --until 09.04.2027 --on 01.04.2027", "up to 09.04.2027"},
		{"buy --until 09.04.2027", "up to 09.04.2027"},
		{"group", ".2027"},
		{"group --by week", ".2027"},
		{"order --list", "20.12.2026"},
		{"history --last 1", ".20"},
		{"history --job 101", ".20"},
		{"examine --on 01.01.2028", "before 01.01.2028"},
		{"undo", ".20"},
	} {
		said, _ := inShop(dir, "longpoint "+c.typed+" 2>&1").Output()             // undo wants a yes
		said = regexp.MustCompile(isoDay.String()+`\.copy`).ReplaceAll(said, nil) // a file's name
		if found := isoDay.FindString(string(said)); found != "" || !strings.Contains(string(said), c.shows) {
			t.Errorf("%s shows %q, and not %q:\n%s", c.typed, found, c.shows, said)
		}
	}
	for _, typed := range []string{"jobs --json", "group --json", "order --list --json"} {
		said, err := inShop(dir, "longpoint "+typed).Output()
		if err != nil || !isoDay.Match(said) || strings.Contains(string(said), ".2027\"") {
			t.Errorf("%s: %v:\n%s", typed, err, said)
		}
	}
	mustType(t, dir, "longpoint jobs --tables jobs.csv")
	if said, err := inShop(dir, "cat jobs.csv").Output(); err != nil || !strings.Contains(string(said), "09.04.2027") || isoDay.Match(said) {
		t.Errorf("%v: a file of the shop's is written the shop's way:\n%s", err, said)
	}
}

// TestDaysOfWhatIsAwaited goes through everything that is shown and printed of a run that waits for sticks which are on the way, in a shop that writes
// day.month.year: no day stands there as files have them.
func TestDaysOfWhatIsAwaited(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	mustType(t, dir, `longpoint demo shop --kind small && longpoint book new shop.book --from shop && longpoint settings --set tables.dates=day.month.year --why so && longpoint plan --summary &&
		longpoint order && longpoint order send --expected 9.3.2099 && longpoint receive 1 --line 2 && longpoint run oak-40 && longpoint order send --expected 8.3.2099`)
	for _, c := range []struct{ typed, shows string }{
		{"run oak-40", "expected 08.03.2099"},
		{"sheets cuts --run 1 --as html", "expected 08.03.2099"},
		{"sheets labels tickets --run 1 --as html", "due "},
		{"sheets --order 1 --as html", ".2099"},
		{"plan", ""},
		{"rack", ""},
		{"order --list", "08.03.2099"},
		{"order change 1 1 --sticks 2", "was sent on "},
		{"jobs change 101 --due 9.4.2027", ""},
		{"history --last 30", "is expected on 08.03.2099"},
	} {
		said, _ := inShop(dir, "longpoint "+c.typed+" 2>&1").Output() // what is refused is shown too
		if found := isoDay.FindString(string(said)); found != "" || !strings.Contains(string(said), c.shows) {
			t.Errorf("%s shows %q, and not %q:\n%s", c.typed, found, c.shows, said)
		}
	}
}
