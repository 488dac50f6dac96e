package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the zones, whatever the machine has
)

// TestZones orders, and reads the diary, by clocks that are 26 hours apart: the days that the program writes are those of the user's clock, what ended yesterday there is
// not bought, and the book is sound wherever it is looked at.
func TestZones(t *testing.T) {
	t.Setenv(timeVariable, amply)
	days := map[string]bool{}
	for _, zone := range []string{"Pacific/Kiritimati", "Etc/GMT+12", "America/St_Johns"} {
		at, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		t.Chdir(t.TempDir())
		program := func(args ...string) string {
			t.Helper()
			cmd := exec.Command("longpoint", args...)
			cmd.Env = append(os.Environ(), "TZ="+zone)
			var stderr strings.Builder
			cmd.Stderr = &stderr
			out, err := cmd.Output()
			if err != nil {
				t.Fatalf("%s, longpoint %s: %v: %s", zone, strings.Join(args, " "), err, stderr.String())
			}
			return string(out)
		}
		today := func() string { return time.Now().In(at).Format(time.DateOnly) }
		before := today()
		program("demo", "ws", "--kind", "small")
		offers := filepath.Join("ws", "offers.csv")
		yesterday := time.Now().In(at).AddDate(0, 0, -1).Format(time.DateOnly)
		table := "supplier,profile,stick_length,price,until\nInvented Timber,oak-40,3000,21.00,\nInvented Timber,oak-40,2400,0.01," + yesterday + "\nInvented Timber,black-22,3000,9.60,\n"
		if err := os.WriteFile(offers, []byte(table), 0o644); err != nil {
			t.Fatal(err)
		}
		program("book", "new", "shop.book", "--from", "ws")
		program("plan", "shop.book", "--summary")
		var orders []struct {
			Placed string
			Lines  []struct {
				Length int64 `json:"length_nm"`
			}
		}
		if err := json.Unmarshal([]byte(program("order", "shop.book", "--sent", "--json")), &orders); err != nil {
			t.Fatal(err)
		}
		history := program("history", "shop.book")
		days[before] = true
		fits := func(text string) bool { return slices.Contains([]string{before, today()}, text) }
		for _, o := range orders {
			if !fits(o.Placed) {
				t.Errorf("%s: ordered on %s, and it is the %s", zone, o.Placed, before)
			}
			for _, l := range o.Lines {
				if l.Length == 2400e6 {
					t.Errorf("%s: what was on offer until yesterday is bought", zone)
				}
			}
		}
		if first, _, _ := strings.Cut(history, "\n"); len(orders) == 0 || !fits(first[strings.LastIndexByte(first, ' ')+1:]) {
			t.Errorf("%s: %d orders, and the diary of the %s begins with %q", zone, len(orders), before, first)
		}
		program("book", "check", "shop.book")
	}
	if len(days) < 2 {
		t.Errorf("all zones are on one day: %v", days)
	}
}
