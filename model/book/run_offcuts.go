package book

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model/plan"
)

// nameOffcuts settles what the offcuts of a run's sticks will be called, so that what is printed now is what the book says when the run is
// finished: as the plan calls them, or else as nothing ever was called. Names that they have already they keep.
func (t *transaction) nameOffcuts(run int64) error {
	r, err := t.run(run)
	if err != nil {
		return err
	}
	for _, s := range r.Sticks {
		if s.State != "open" || len(s.Offcuts) > 0 {
			continue
		}
		left := s.Leaves()
		planned := s.Planned.Lefts()
		names := make([]string, len(left))
		for n, part := range left {
			if s.Keep == 0 || part.Length() < s.Keep {
				continue
			}
			wanted := ""
			if len(planned) == len(left) && planned[n].Becomes == plan.Kept {
				wanted = planned[n].ID
			}
			if names[n], err = t.offcutName(wanted, names...); err != nil {
				return err
			}
		}
		if strings.Join(names, "") == "" {
			continue
		}
		if _, err := t.exec("UPDATE run_stick SET offcuts = ? WHERE run = ? AND number = ?", strings.Join(names, ","), run, s.Number); err != nil {
			return err
		}
	}
	return nil
}

// offcutName gives the name that is wanted for an offcut where no stick was ever called so, none in an open run will be and it is none of
// these, and else "offcut" and a number above that of the last.
func (t *transaction) offcutName(wanted string, others ...string) (name string, err error) {
	if wanted != "" && !strings.Contains(wanted, ",") && !slices.Contains(others, wanted) {
		if taken, err := t.isTaken(wanted); err != nil || !taken {
			return wanted, err
		}
	}
	n := 0
	if _, err := t.one("SELECT CAST(substr(name, 8) AS INTEGER) FROM stick WHERE origin = 'offcut' AND name GLOB 'offcut [0-9]*' ORDER BY id DESC LIMIT 1", nil, &n); err != nil {
		return "", err
	}
	for taken := true; taken; {
		n++
		name = fmt.Sprintf("offcut %d", n)
		if taken, err = t.isTaken(name); err != nil {
			return "", err
		}
		taken = taken || slices.Contains(others, name)
	}
	return name, nil
}

// isTaken tells whether a stick was ever called so, or an offcut of an open run will be.
func (t *transaction) isTaken(name string) (taken bool, err error) {
	err = t.row(`SELECT EXISTS (SELECT 1 FROM stick WHERE name = ?1)
		OR EXISTS (SELECT 1 FROM run_stick WHERE state = 'open' AND instr(',' || offcuts || ',', ',' || ?1 || ','))`, name).Scan(&taken)
	return taken, err
}
