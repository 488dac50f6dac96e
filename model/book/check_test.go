package book

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// breaks says for each rule how to break it, past triggers, references and constraints.
var breaks = map[string]string{
	"a shop has its settings":                                                 "DELETE FROM workshop",
	"lengths, money and days are within their bounds":                         "UPDATE job SET due = '99999-99-99' WHERE id = 1",
	"the length of a stick is that of its sides, what was kept and the waste": "UPDATE run_stick SET waste_nm = waste_nm + 1 WHERE id = 1",
	"the money in a stick is that of its sides, what was kept and the waste":  "UPDATE cut SET cost_minor = cost_minor + 1 WHERE id = 3",
	"what was kept of a stick is its offcut":                                  "UPDATE stick SET length_nm = length_nm - 1 WHERE parent IS NOT NULL",
	"an offcut is one of a stick that was cut":                                "UPDATE stick SET parent = (SELECT name FROM stick WHERE state = 'rack' AND origin = 'found'), origin = 'offcut' WHERE id = (SELECT max(id) FROM stick WHERE state = 'rack')",
	"what came off a stick was on it":                                         "UPDATE cut SET takes_nm = takes_nm * 9 WHERE id = 1",
	"a stick is in one run at most": "DROP INDEX run_stick_once; INSERT INTO run_stick (run, number, stick, head_nm, state) " +
		"SELECT 2, 77, stick, 0, 'cut' FROM run_stick WHERE run = 1 AND state = 'cut' LIMIT 1",
	"a stick is where its run says":                                      "UPDATE stick SET state = 'rack' WHERE state = 'used' AND id IN (SELECT max(id) FROM stick WHERE state = 'used')",
	"a finished run has no stick left to cut":                            "UPDATE run_stick SET state = 'open' WHERE id = 1",
	"what earlier plans had cut from a stick stands in its first places": "UPDATE run_stick SET earlier = 99 WHERE id = 1",
	"the plan of a run's rest is one of that run's profile":              "UPDATE plan SET rest_of = 99",
	"a side is one of its frame":                                         "UPDATE cut SET letter = 'G' WHERE id = (SELECT min(id) FROM cut WHERE spoilt = 0)",
	"every side of a finished job has been cut":                          "UPDATE job SET state = 'ready'",
	"a job has a frame, and a frame a ring":                              "INSERT INTO job (name) VALUES ('lost')",
	"no more has arrived than was ordered, and for no more money":        "UPDATE purchase_line SET cost_minor = cost_minor - 1 WHERE id = 1",
	"a change belongs to a step":                                         "DELETE FROM step WHERE id = 3",
	"a plan has its document":                                            "DELETE FROM plan_part",
}

// TestCheckFinds breaks each rule in a copy of a used book and demands that it is found.
func TestCheckFinds(t *testing.T) {
	b := usedShop(t)
	spoil := func(t *testing.T, query string) []Finding {
		t.Helper()
		path := filepath.Join(t.TempDir(), "copy.book")
		if _, err := b.Backup(t.Context(), path); err != nil {
			t.Fatal(err)
		}
		c, err := connect(path, readWrite)
		must(t, err)
		defer c.db.Close()
		c.db.SetMaxOpenConns(1)
		tables, err := tablesIn(t.Context(), c.db)
		must(t, err)
		for _, tb := range tables {
			for _, event := range []string{"insert", "update", "delete"} {
				_, err := c.db.Exec("DROP TRIGGER log_" + tb.name + "_" + event)
				must(t, err)
			}
		}
		_, err = c.db.Exec("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON; " + query)
		must(t, err)
		tx, err := c.db.Begin()
		must(t, err)
		must(t, writeTriggers(t.Context(), tx))
		must(t, tx.Commit())
		found, err := c.Check(t.Context())
		must(t, err)
		return found
	}
	for _, r := range append([]rule{{what: "lengths, money and days are within their bounds"}}, rules...) {
		t.Run(r.what, func(t *testing.T) {
			query := breaks[r.what]
			if query == "" {
				t.Fatal("nothing breaks it")
			}
			for _, f := range spoil(t, query) {
				if strings.Contains(f.What, r.what) {
					return
				}
			}
			t.Error("it was broken and not found")
		})
	}
	if len(breaks) != len(rules)+1 { // the ranges are made table by table
		t.Errorf("%d rules, %d ways to break them", len(rules)+1, len(breaks))
	}
	for name, c := range map[string]struct{ query, says string }{
		"a reference":                {"UPDATE offer SET profile = 'none' WHERE id = 1", "refers to a profile"},
		"a document":                 {"UPDATE plan SET digest = 'x'", "not the one that was kept"},
		"a document that is cut off": {"UPDATE plan_part SET data = substr(data, 1, 100)", "cannot be unpacked"},
	} {
		t.Run(name, func(t *testing.T) {
			found := spoil(t, c.query)
			if !slices.ContainsFunc(found, func(f Finding) bool { return strings.Contains(f.What, c.says) }) {
				t.Errorf("found %v", found)
			}
		})
	}
}

// TestCheckFindsDamage flips bytes in an index of a book's file.
func TestCheckFindsDamage(t *testing.T) {
	b := usedShop(t)
	path := filepath.Join(t.TempDir(), "copy.book")
	_, err := b.Backup(t.Context(), path)
	must(t, err)
	var root, size int64
	must(t, b.db.QueryRow("PRAGMA page_size").Scan(&size))
	c, err := connect(path, frozen)
	must(t, err)
	must(t, c.db.QueryRow("SELECT rootpage FROM sqlite_master WHERE name = 'change_row'").Scan(&root))
	must(t, c.db.Close())
	data, err := os.ReadFile(path)
	must(t, err)
	end := root * size
	copy(data[end-40:end], strings.Repeat("x", 40))
	must(t, os.WriteFile(path, data, 0o644))
	c, err = connect(path, readWrite)
	must(t, err)
	defer c.db.Close()
	found, err := c.Check(t.Context())
	if err == nil && len(found) == 0 {
		t.Error("the damage was not found")
	}
}
