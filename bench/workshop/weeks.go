package workshop

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"time"
)

// Weeks is what a workshop of many weeks is made up to. The same Weeks give the same workshop.
type Weeks struct {
	Weeks       int
	Frames      int // in a week, quantities counted
	Profiles    int
	Seed        uint64
	OffcutShare int // what a kept offcut is worth to a plan, in per cent of the price of new moulding
}

// firstMonday is the Monday of the first week.
var firstMonday = time.Date(2027, time.January, 4, 0, 0, 0, 0, time.UTC)

// GenerateWeeks makes up a workshop as Generate does, whose jobs are due over so many weeks, each with the same number of
// frames.
func GenerateWeeks(s Weeks) Tables {
	g := generator{rand.New(rand.NewPCG(s.Seed, uint64(s.Weeks)<<42|uint64(s.Frames)<<21|uint64(s.Profiles)))}
	profiles, offers, rack := g.profiles(s.Profiles)
	var jobs strings.Builder
	n := 0
	for week := range s.Weeks {
		for left := s.Frames; left > 0; {
			const days, workdays = 7, 5
			n++
			due := firstMonday.AddDate(0, 0, days*week+g.IntN(workdays))
			left = g.job(&jobs, fmt.Sprintf("J%d,%s,invented", n, due.Format(time.DateOnly)), left, s.Profiles)
		}
	}
	t := tables(profiles, offers, rack, jobs.String())
	t["workshop.toml"] += fmt.Sprintf("offcut_share = \"%d %%\"\n", s.OffcutShare)
	return t
}
