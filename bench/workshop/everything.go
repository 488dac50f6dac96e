package workshop

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Everything is what a week with everything on is made up to: suppliers' terms, bundles, price breaks, random lengths, credits
// for offcuts, damage, lots and matching. The same Everything gives the same workshop.
type Everything struct {
	Frames int // quantities counted
	Seed   uint64
}

// shares are how often a thing occurs, drawn once for a workshop: in per cent of what could have it.
type shares struct{ terms, bundles, breaks, random, credits, lots, matched, damaged int }

// GenerateEverything makes up one week's workshop with everything on. How much of each thing there is differs from seed to seed.
func GenerateEverything(s Everything) Tables {
	g := generator{rand.New(rand.NewPCG(s.Seed, uint64(s.Frames)<<32|uint64('e')))}
	share := shares{terms: g.between(30, 100), bundles: g.between(10, 60), breaks: g.between(10, 60), random: g.between(0, 15),
		credits: g.between(0, 100), lots: g.between(30, 90), matched: g.between(0, 30), damaged: g.between(0, 20)}
	profiles := min(10, max(5, g.between(4, 7)+s.Frames/20))
	var p, o, r strings.Builder
	stick := 0
	for i := range profiles {
		cents := g.profile(&p, i, share)
		lengths := []int{2700, 3000, 3300, 3600, 4000} // a pair of the largest sides fits each
		g.Shuffle(len(lengths), func(a, b int) { lengths[a], lengths[b] = lengths[b], lengths[a] })
		for k, length := range lengths[:g.between(1, 4)] {
			g.offer(&o, i, k%3, length, cents, share)
		}
		for range g.between(0, 8) {
			stick++
			g.rackStick(&r, i, stick, share)
		}
	}
	var jobs strings.Builder
	for job, left := 1, s.Frames; left > 0; job++ {
		match := ""
		if g.percent(share.matched) {
			match = []string{"lot", "pair"}[g.IntN(2)]
		}
		left = g.job(&jobs, fmt.Sprintf("J%d,2027-03-%02d,invented,%s", job, 1+job%26, match), left, profiles)
	}
	return Tables{
		"workshop.toml": settings,
		"profiles.csv":  "profile,title,width,rebate,keep,offcut_share,match\n" + p.String(),
		"offers.csv":    "supplier,profile,stick_length,longest,bundle,from,price\n" + o.String(),
		"suppliers.csv": "supplier,least_order,least_sticks,delivery\n" + g.suppliers(s.Frames, share),
		"rack.csv":      "stick,profile,length,offcut,lot,damaged\n" + r.String(),
		"jobs.csv":      "job,due,customer,match,frame,ring,profile,quantity,sides,given_by,width,height,allowance\n" + jobs.String(),
	}
}

// percent is true so many times in a hundred.
func (g generator) percent(share int) bool { return g.IntN(100) < share }

// profile writes the line of a profile and returns what a metre of it costs.
func (g generator) profile(p *strings.Builder, i int, share shares) (cents int) {
	width := g.between(15, 70)
	credit, match := "", ""
	if g.percent(share.credits) {
		credit = fmt.Sprint(g.between(3, 9) * 10)
	}
	if g.oneIn(8) {
		match = "lot"
	}
	fmt.Fprintf(p, "%s,Moulding %d,%d,%d,%d,%s,%s\n", name(i), i+1, width, g.between(5, min(10, width-5)), g.between(25, 60)*10, credit, match)
	return g.between(15, 45) * width
}

// offer writes the lines of one price list.
func (g generator) offer(o *strings.Builder, profile, supplier, length, cents int, share shares) {
	price := cents * length / 1000 * g.between(92, 112) / 100
	bundle, sticks, longest := "", 1, ""
	switch {
	case g.percent(share.bundles):
		sticks = []int{2, 3, 4, 5, 6, 10}[g.IntN(6)]
		bundle = fmt.Sprint(sticks)
		price = price * sticks * g.between(80, 97) / 100
	case g.percent(share.random):
		longest = fmt.Sprint(length + 400)
	}
	line := func(from string, price int) {
		fmt.Fprintf(o, "Invented Supplies %c,%s,%d,%s,%s,%s,%d.%02d\n", 'A'+supplier, name(profile), length, longest, bundle, from, price/100, price%100)
	}
	line("", price)
	if g.percent(share.breaks) {
		line(fmt.Sprint(1+g.between(5, 20)/sticks+1), price*g.between(85, 96)/100)
	}
}

// suppliers writes the terms of the three suppliers.
func (g generator) suppliers(frames int, share shares) string {
	var b strings.Builder
	for s := range 3 {
		money, sticks, delivery := "", "", ""
		if g.percent(share.terms) {
			delivery = fmt.Sprint(g.between(5, 40))
		}
		switch {
		case !g.percent(share.terms):
		case g.oneIn(3):
			sticks = fmt.Sprint(max(2, frames*g.between(3, 12)/10))
		default:
			money = fmt.Sprint(max(50, frames*g.between(4, 25)))
		}
		if money != "" || sticks != "" || delivery != "" {
			fmt.Fprintf(&b, "Invented Supplies %c,%s,%s,%s\n", 'A'+s, money, sticks, delivery)
		}
	}
	return b.String()
}

// rackStick writes the line of a stick on the rack.
func (g generator) rackStick(r *strings.Builder, profile, stick int, share shares) {
	length, offcut, lot, damaged := []int{2400, 2700, 3000}[g.IntN(3)], "no", "", ""
	if g.oneIn(2) {
		length, offcut = g.between(35, 200)*10, "yes"
	}
	if g.percent(share.lots) {
		lot = fmt.Sprintf("L%d", g.between(1, 3))
	}
	if g.percent(share.damaged) {
		at := g.between(100, length-200)
		damaged = fmt.Sprintf("%d to %d", at, at+g.between(5, 60))
	}
	fmt.Fprintf(r, "G%d,%s,%d,%s,%s,%s\n", stick, name(profile), length, offcut, lot, damaged)
}
