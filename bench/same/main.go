// Command same plans invented workshops with two builds of the program and says where their plans differ: in cost, bound, grade,
// sticks, sides or the order of cuts. It is for changes that must not change any plan.
//
//	go run ./bench/same BEFORE AFTER [FOLDER …]
//
// BEFORE and AFTER are the two programs. Besides the folders named it takes the demo (as BEFORE writes it) and 20 generated
// workshops. It ends with 1 where any plan differs.
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"

	"longpoint/bench/workshop"
)

// generated is how many generated workshops are planned.
const generated = 20

// document is the part of a plan document that is compared; both programs may have other keys besides.
type document struct {
	Profiles []profile `json:"profiles"`
	Total    struct {
		Figures struct {
			Cost, Purchases int64
			Sides           int
		} `json:"figures"`
		Bound int64  `json:"bound"`
		Grade string `json:"grade"`
	} `json:"total"`
}

type profile struct {
	Name    string          `json:"name"`
	Bound   int64           `json:"bound"`
	Grade   string          `json:"grade"`
	Figures map[string]any  `json:"figures"`
	Sticks  []stick         `json:"sticks"`
	Run     json.RawMessage `json:"run"`
}

type stick struct {
	ID     string           `json:"id"`
	Length int64            `json:"length_nm"`
	Cost   int64            `json:"cost"`
	Sides  []map[string]any `json:"sides"`
	Left   struct {
		Length  int64  `json:"length_nm"`
		Becomes string `json:"becomes"`
		ID      string `json:"id"`
	} `json:"left"`
}

func main() {
	if len(os.Args) < 3 {
		fmt.Fprintln(os.Stderr, "same: name two programs")
		os.Exit(2)
	}
	different, err := run(os.Args[1], os.Args[2], os.Args[3:])
	if err != nil {
		fmt.Fprintln(os.Stderr, "same:", err)
	}
	if different > 0 || err != nil {
		os.Exit(1)
	}
}

// run compares all workshops and gives the number of those whose plans differ.
func run(before, after string, folders []string) (different int, err error) {
	dir, err := os.MkdirTemp("", "same")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(dir)
	demo := filepath.Join(dir, "demo")
	if out, err := exec.Command(before, "demo", demo).CombinedOutput(); err != nil {
		return 0, fmt.Errorf("%w: %s", err, out)
	}
	folders = append(folders, demo)
	for n := range generated {
		folder := filepath.Join(dir, fmt.Sprintf("generated-%d", n+1))
		if err := os.Mkdir(folder, 0o755); err != nil {
			return 0, err
		}
		if err := workshop.Generate(workshop.Size{Frames: 10 + 10*n, Profiles: 2 + n%7, Seed: uint64(n)}).Write(folder); err != nil {
			return 0, err
		}
		folders = append(folders, folder)
	}
	for _, folder := range folders {
		x, err := plan(before, folder)
		if err != nil {
			return different, err
		}
		y, err := plan(after, folder)
		if err != nil {
			return different, err
		}
		where := difference(x, y)
		fmt.Printf("%-14s %3d profiles, cost %d, bound %d, %s: %s\n", filepath.Base(folder), len(x.Profiles), x.Total.Figures.Cost, x.Total.Bound, x.Total.Grade, where)
		if where != "same" {
			different++
		}
	}
	return different, nil
}

// plan has a program plan a workshop.
func plan(program, folder string) (d document, err error) {
	out, err := exec.Command(program, "plan", folder, "--json", "--time-limit", "60s").Output()
	if err != nil {
		return d, fmt.Errorf("%s plan %s: %w", program, folder, err)
	}
	return d, json.Unmarshal(out, &d)
}

// difference names the first thing in which two plans differ.
func difference(x, y document) string {
	if x.Total != y.Total {
		return fmt.Sprintf("the totals differ: %v and %v", x.Total, y.Total)
	}
	if len(x.Profiles) != len(y.Profiles) {
		return "they have other profiles"
	}
	for n, p := range x.Profiles {
		q := y.Profiles[n]
		switch {
		case p.Name != q.Name, p.Bound != q.Bound, p.Grade != q.Grade, !reflect.DeepEqual(p.Figures, q.Figures):
			return fmt.Sprintf("profile %s: the figures differ", p.Name)
		case !reflect.DeepEqual(p.Sticks, q.Sticks):
			return fmt.Sprintf("profile %s: the sticks differ", p.Name)
		case string(p.Run) != string(q.Run):
			return fmt.Sprintf("profile %s: the order of cuts differs", p.Name)
		}
	}
	return "same"
}
