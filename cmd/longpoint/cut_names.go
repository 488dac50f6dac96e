package main

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/runs"
)

// pick is sides of one stick of an open run, as they were named; none: all of it that is still to cut.
type pick struct {
	run   int64
	stick runs.Stick
	sides []runs.Side
}

// places gives the sides by their places on the stick.
func (k pick) places() (places []int) {
	for _, side := range k.sides {
		places = append(places, side.Place)
	}
	return places
}

// told gives the sides that were meant.
func (k pick) told() []runs.Side {
	if len(k.sides) > 0 {
		return k.sides
	}
	return k.stick.ToCut()
}

// picker reads names of sticks and sides.
type picker struct {
	runs   []runs.Run
	picked []pick
}

// picks reads names of sticks and sides of open runs, one after another: a stick, behind it letters and numbers of its sides; a stick and
// a side in one word; the code of a side's label; a profile for its whole run.
func picks(open []runs.Run, words []string) ([]pick, error) {
	if len(open) == 0 {
		return nil, usage("no run is open", `start one with "longpoint run"`)
	}
	k := &picker{runs: open}
	var stick *runs.Stick // the one that was named last
	var of int64
	var named []string // what of it
	flush := func() error {
		defer func() { named = nil }()
		switch {
		case stick == nil:
			return nil
		case len(named) == 0:
			k.add(of, *stick)
			return nil
		}
		return k.addNamed(of, *stick, named)
	}
	for _, word := range words {
		if stick != nil && len(sidesOn(*stick, word)) > 0 {
			named = append(named, word)
			continue
		}
		if err := flush(); err != nil {
			return nil, err
		}
		behindStick := stick != nil
		stick = nil
		if run, found, ok := k.stickCalled(word); ok {
			stick, of = found, run
			continue
		}
		if k.wholeRun(word) {
			continue
		}
		if err := k.one(word, behindStick); err != nil {
			return nil, err
		}
	}
	err := flush()
	return k.picked, err
}

// addNamed adds the sides of a stick that words name. A letter that several sides have which are still to cut must be written once for each of them.
func (k *picker) addNamed(run int64, stick runs.Stick, words []string) error {
	times := map[string]int{}
	for _, word := range words {
		times[strings.ToUpper(word)]++
	}
	for _, word := range words {
		switch sides := sidesOn(stick, word); {
		case len(sides) == 0:
			return usage(fmt.Sprintf("%s has no side %q in this run", stick.Stick, word), "write a letter or a number as \"longpoint run\" shows it")
		case len(sides) > 1 && times[strings.ToUpper(word)] != len(sides):
			names := make([]string, len(sides))
			for i, one := range sides {
				names[i] = fmt.Sprintf("no %d of job %s, %s", one.No, one.Job, frameName(one.SideID))
			}
			return usage(fmt.Sprintf("%s has several sides %s: %s", stick.Stick, strings.ToUpper(word), joinAnd(names)), "name the one you mean by its number, or all of them by as many letters")
		default:
			k.add(run, stick, sides...)
		}
	}
	return nil
}

// add adds sides to those of their stick; none are all of it.
func (k *picker) add(run int64, stick runs.Stick, sides ...runs.Side) {
	n := slices.IndexFunc(k.picked, func(p pick) bool { return p.run == run && p.stick.Number == stick.Number })
	if n < 0 {
		k.picked = append(k.picked, pick{run, stick, sides})
		return
	}
	if len(k.picked[n].sides) == 0 || len(sides) == 0 { // one of the two means all of it
		k.picked[n].sides = nil
		return
	}
	for _, side := range sides {
		if !slices.ContainsFunc(k.picked[n].sides, func(s runs.Side) bool { return s.Place == side.Place }) {
			k.picked[n].sides = append(k.picked[n].sides, side)
		}
	}
}

// stickCalled finds a stick in hand by its name, or by the code of its label.
func (k *picker) stickCalled(name string) (run int64, stick *runs.Stick, found bool) {
	names := []string{name}
	if plain, err := url.PathUnescape(name); err == nil && plain != name {
		names = append(names, plain)
	}
	for _, name := range names {
		for i := range k.runs {
			for n := range k.runs[i].Sticks {
				if s := &k.runs[i].Sticks[n]; s.Stick == name && s.State == "open" {
					return k.runs[i].ID, s, true
				}
			}
		}
	}
	return 0, nil, false
}

// wholeRun adds all sticks of the open run of a profile.
func (k *picker) wholeRun(profile string) bool {
	n := slices.IndexFunc(k.runs, func(r runs.Run) bool { return r.Profile == profile })
	if n < 0 {
		return false
	}
	for _, s := range k.runs[n].Sticks {
		if len(s.ToCut()) > 0 {
			k.add(k.runs[n].ID, s)
		}
	}
	return true
}

// one reads a word that names a side by itself. A number does so only where it does not stand behind a stick that has no such cut.
func (k *picker) one(word string, behindStick bool) error {
	if at := strings.LastIndex(word, ":"); at > 0 {
		run, stick, found := k.stickCalled(word[:at])
		if !found {
			return k.unknown(word[:at])
		}
		return k.addNamed(run, *stick, strings.Split(word[at+1:], ","))
	}
	if id, ok := sheet.ParseSideID(word); ok {
		return k.where(fmt.Sprintf("the side %s", word), func(s runs.Side) bool { return s.SideID == id })
	}
	if n, err := strconv.Atoi(word); err == nil && len(k.runs) == 1 && !behindStick {
		return k.where(fmt.Sprintf("cut %d", n), func(s runs.Side) bool { return s.No == n })
	}
	return k.unknown(word)
}

// where adds the side that a condition means: where it was spoilt and is to be made again, the one that is still to cut.
func (k *picker) where(what string, means func(runs.Side) bool) error {
	var found func()
	for _, r := range k.runs {
		for _, s := range r.Sticks {
			for _, side := range s.Sides {
				if s.State == "open" && side.Became != runs.Before && means(side) && (found == nil || side.Became == runs.ToCut) {
					found = func() { k.add(r.ID, s, side) }
				}
			}
		}
	}
	if found == nil {
		return usage(what+" is in no open run", "see \"longpoint run\" for what is to be cut")
	}
	found()
	return nil
}

// unknown says that a word names nothing.
func (k *picker) unknown(word string) error {
	for _, r := range k.runs {
		for _, a := range r.Waiting {
			if a.Stick == word {
				return usage(fmt.Sprintf("%s is not in hand: run %d waits for it", word, r.ID), fmt.Sprintf("receive it, and then \"longpoint run %s\" takes it in", shellWord(r.Profile)))
			}
		}
	}
	return usage(fmt.Sprintf("%q is neither a stick of an open run, nor a side of the stick before it, nor the code of a label", word),
		"see \"longpoint run\" for the sticks and their sides")
}

// sidesOn finds the sides of a stick by a letter or the number of a cut: those that are still to cut, or one that is not any more.
func sidesOn(s runs.Stick, word string) (all []runs.Side) {
	var cut []runs.Side
	n, bad := strconv.Atoi(word)
	for _, one := range s.Sides {
		switch {
		case one.Became == runs.Before || one.Letter != strings.ToUpper(word) && (bad != nil || one.No != n):
		case one.Became == runs.ToCut:
			all = append(all, one)
		default:
			cut = append(cut, one)
		}
	}
	if len(all) == 0 {
		return cut
	}
	return all
}
