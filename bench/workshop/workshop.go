// Package workshop makes up workshops of any size, so that planning can be measured. Everything in them is invented.
package workshop

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
)

// Size is what a workshop is made up to. The same Size gives the same workshop.
type Size struct {
	Frames   int // in all, quantities counted
	Profiles int
	Seed     uint64
}

// Tables are a workshop folder's files by name, their text in the form that the program reads.
type Tables map[string]string

// Generate makes up a workshop: every profile on offer in one or two stick lengths, some sticks and offcuts of it on
// the rack, and jobs of one to five lines, most of them for one frame, in paper sizes and in sizes of their own; one
// frame in ten is nested in a second ring, one in thirty has more than four sides.
func Generate(s Size) Tables {
	g := generator{rand.New(rand.NewPCG(s.Seed, uint64(s.Frames)<<32|uint64(s.Profiles)))}
	profiles, offers, rack := g.profiles(s.Profiles)
	return tables(profiles, offers, rack, g.jobs(s))
}

// tables puts the headings over the lines of the tables.
func tables(profiles, offers, rack, jobs string) Tables {
	return Tables{
		"workshop.toml": settings,
		"profiles.csv":  "profile,title,width,rebate,keep\n" + profiles,
		"offers.csv":    "supplier,profile,stick_length,price\n" + offers,
		"rack.csv":      "stick,profile,length,offcut\n" + rack,
		"jobs.csv":      "job,due,customer,frame,ring,profile,quantity,sides,given_by,width,height,allowance\n" + jobs,
	}
}

// Write writes the files into a folder that must exist.
func (t Tables) Write(dir string) error {
	for name, text := range t {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// settings has no limits of a machine in it, so that nothing is refused.
const settings = `# Invented, to measure with.
name = "Generated workshop (invented)"
units = "mm"
currency = "EUR"

[machine]
name = "Generated guillotine (invented)"
type = "guillotine"
overrun = "0.5 mm"
shave = "2 mm"
head_trim = "5 mm"
tail_trim = "5 mm"
bite = "15 mm"
finishing_bite = "2 mm"

[defaults]
allowance = "3 mm"
rack_share = "50 %"
keep = "300 mm"
`

type generator struct{ *rand.Rand }

// between gives a whole number from low to high, both included.
func (g generator) between(low, high int) int { return low + g.IntN(high-low+1) }

// oneIn is true once in n times.
func (g generator) oneIn(n int) bool { return g.IntN(n) == 0 }

func name(profile int) string { return fmt.Sprintf("m%03d", profile+1) }

// profiles gives the lines of the tables of profiles, offers and rack.
func (g generator) profiles(n int) (profiles, offers, rack string) {
	var p, o, r strings.Builder
	stick := 0
	for i := range n {
		width := g.between(15, 80)
		fmt.Fprintf(&p, "%s,Moulding %d,%d,%d,%d\n", name(i), i+1, width, g.between(5, min(10, width-5)), g.between(25, 50)*10)
		cents := g.between(15, 45) * width // of a metre
		lengths := []int{2400, 2700, 3000, 3300}
		g.Shuffle(len(lengths), func(a, b int) { lengths[a], lengths[b] = lengths[b], lengths[a] })
		offered := lengths[:g.between(1, 2)]
		for k, length := range offered {
			price := cents * length / 1000 * g.between(95, 110) / 100
			fmt.Fprintf(&o, "Invented Supplies %c,%s,%d,%d.%02d\n", 'A'+k, name(i), length, price/100, price%100)
		}
		for range g.between(0, 4) {
			stick++
			if g.oneIn(2) {
				fmt.Fprintf(&r, "G%d,%s,%d,yes\n", stick, name(i), g.between(35, 180)*10)
			} else {
				fmt.Fprintf(&r, "G%d,%s,%d,no\n", stick, name(i), offered[0])
			}
		}
	}
	return p.String(), o.String(), r.String()
}

// paper are the sizes A2 to A5 of ISO 216, in mm.
var paper = [][2]int{{420, 594}, {297, 420}, {210, 297}, {148, 210}}

// jobs gives the lines of the table of jobs.
func (g generator) jobs(s Size) string {
	var b strings.Builder
	left := s.Frames
	for job := 1; left > 0; job++ {
		left = g.job(&b, fmt.Sprintf("J%d,2027-%02d-%02d,invented", job, 1+job/28%12, 1+job%28), left, s.Profiles)
	}
	return b.String()
}

// job writes one job's lines, of no more frames than are left, and gives how many are left then.
func (g generator) job(b *strings.Builder, id string, left, profiles int) int {
	for line := 1; line <= 1+g.IntN(5) && left > 0; line++ {
		quantity := 1
		if g.oneIn(8) {
			quantity = min(left, g.between(2, 6))
		}
		left -= quantity
		size := paper[g.IntN(len(paper))]
		if g.oneIn(2) {
			size = [2]int{g.between(100, 1000), g.between(100, 900)}
		}
		ring, nested := "", g.oneIn(10)
		if nested {
			ring = "1"
		}
		inner := g.IntN(profiles)
		if g.oneIn(30) {
			fmt.Fprintf(b, "%s,F%d,%s,%s,%d,%d,rebate,%d,,\n", id, line, ring, name(inner), quantity, g.between(5, 8), g.between(120, 300))
		} else {
			fmt.Fprintf(b, "%s,F%d,%s,%s,%d,,content,%d,%d,\n", id, line, ring, name(inner), quantity, size[0], size[1])
		}
		if nested {
			fmt.Fprintf(b, "%s,F%d,2,%s,,,,,,2\n", id, line, name(g.IntN(profiles)))
		}
	}
	return left
}
