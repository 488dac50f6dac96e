package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"longpoint/model/book"
)

// TestKeys types a week of an invented inch shop, 22 jobs in six profiles from two suppliers, and counts commands and keys. Before a run could be
// told by its profile, the same week took 55 commands, and telling what was cut from 35 sticks 950 keys (counted by hand).
func TestKeys(t *testing.T) {
	home := t.TempDir()
	t.Chdir(home)
	t.Setenv("LONGPOINT_BOOK", filepath.Join(home, "shop.book"))
	keysShop(t)
	d := &desk{t: t, book: "shop.book"}
	d.do("book", "new", "shop.book", "--from", "shop")
	commands, keys, told := 0, 0, 0
	enter := func(line string) string {
		commands++
		keys += utf8.RuneCountInString(line) + 1
		return d.do(strings.Fields(line)[1:]...)
	}
	enter("longpoint plan")
	enter("longpoint order --sent")
	enter("longpoint receive 1")
	enter("longpoint receive 2")
	enter("longpoint sheets --out paper")
	sticks := 0
	for n := range 6 {
		enter(fmt.Sprintf("longpoint run p%d", n+1))
		for _, s := range d.openRun(fmt.Sprintf("p%d", n+1)).Sticks {
			if s.State == "open" {
				sticks++
			}
		}
		before := keys
		enter("longpoint finish --done")
		told += keys - before
	}
	jobs := ask[[]book.JobState](d, "jobs")
	for _, j := range jobs {
		if j.State != book.JobReady {
			t.Errorf("job %s is %s", j.Name, j.State)
		}
	}
	t.Logf("%d jobs, %d sticks: %d commands, %d keys in all, %d of them for what was cut", len(jobs), sticks, commands, keys, told)
	if len(jobs) != 22 || sticks < 35 {
		t.Errorf("%d jobs and %d sticks are not that week", len(jobs), sticks)
	}
	if commands*3 > 55 || told*3 > 950 {
		t.Errorf("%d commands and %d keys for what was cut are more than a third of 55 and 950", commands, told)
	}
}

// keysShop writes the shop's folder.
func keysShop(t *testing.T) {
	g := rand.New(rand.NewPCG(22, 6))
	profiles, offers, jobs := "profile,width,rebate\n", "supplier,profile,stick_length,price\n", "job,due,frame,profile,width,height,quantity\n"
	for n := range 6 {
		profiles += fmt.Sprintf("p%d,\"1 %d/8\"\"\",\"1/4\"\"\"\n", n+1, n+1)
		offers += fmt.Sprintf("Invented %s,p%d,\"96\"\"\",%d.00\n", []string{"Timber", "Mouldings"}[n%2], n+1, 10+n)
	}
	for n := range 22 {
		jobs += fmt.Sprintf("J%d,2099-03-%02d,f,p%d,%d,%d,%d\n", n+1, 1+n, 1+n%6, 10+g.IntN(14), 12+g.IntN(20), 1+g.IntN(3))
	}
	for name, text := range map[string]string{
		"workshop.toml": "name = \"Keys (invented)\"\nunits = \"in\"\ncurrency = \"USD\"\n[machine]\ntype = \"saw\"\nkerf = \"1/8 in\"\nshave = \"1/16 in\"\n[defaults]\nallowance = \"1/8 in\"\nrack_share = \"50 %\"\nkeep = \"18 in\"\n",
		"profiles.csv":  profiles, "offers.csv": offers, "jobs.csv": jobs,
		"suppliers.csv": "supplier,delivery\nInvented Timber,5.00\nInvented Mouldings,4.00\n",
		"rack.csv":      "stick,profile,length\nR1,p1,\"70\"\"\"\n",
	} {
		path := filepath.Join("shop", name)
		if err := os.MkdirAll("shop", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}
