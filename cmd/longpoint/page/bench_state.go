package page

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// benchCut is one cut as it is shown at the bench.
type benchCut struct {
	No         int    `json:"no"`
	Stick      string `json:"stick"`
	Side       string `json:"side"` // its label's code
	StickPlace string `json:"-"`
	Part       string `json:"-"` // of a damaged stick
	StickNo    int    `json:"-"`
	Sticks     int    `json:"-"`
	Letter     string `json:"-"`
	Mitre      string `json:"-"` // where the profile has others than of 45 degrees
	Job        string `json:"-"`
	Frame      string `json:"-"`
	Stop       int    `json:"-"`
	At         string `json:"-"`
	Placed     bool   `json:"-"`
	By         string `json:"set_by,omitempty"` // letter of the finished side that is held against the stop
	SetBy      string `json:"-"`                // that in words
	Measure    string `json:"-"`
	Set        string `json:"-"`
	Bites      string `json:"-"`
	Finishing  bool   `json:"-"` // the last of them
	Left       string `json:"-"`
	Before     string `json:"-"`    // cuts nearer the stick's head that are not made
	Next       string `json:"-"`    // what comes then, in words
	Then       int    `json:"then"` // which cut that is; 0: none
	at         [2]int // stick and side in the profile's plan

	HTML template.HTML `json:"html"`
}

// benchState is a run as the bench shows it.
type benchState struct {
	Run       int64         `json:"run"`
	Profile   string        `json:"profile"`
	State     string        `json:"state"`
	Version   int64         `json:"version"` // the book's last step: it grows with every change
	Line      string        `json:"line"`    // how far it is
	Begun     bool          `json:"begun"`
	Cuts      []*benchCut   `json:"cuts"` // still to be made, the next one first; no more than the first 40
	ToCut     int           `json:"to_cut"`
	Waiting   []string      `json:"waiting"`   // sticks that are not here yet, and when they will be
	Unplanned []string      `json:"unplanned"` // sides that wait for the next plan
	Said      string        `json:"said,omitempty"`
	Asked     *noCut        `json:"-"`               // what there is to say of a code that no cut is shown for
	Answer    template.HTML `json:"asked,omitempty"` // that as a part of the page
	SetUp     string        `json:"-"`
	Warnings  []string      `json:"-"`
	d         *runs.Document
}

// bench gives the state of a run.
func (c *call) bench(id int64) (*benchState, error) {
	d, err := c.s.Book.RunDocument(c.ctx, id)
	if err != nil {
		return nil, err
	}
	_, last, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return nil, err
	}
	c.unit, c.currency = d.Workshop.Unit, d.Workshop.Currency
	r, pp := d.Runs[0], d.Plan.Profiles[0]
	s := &benchState{Run: r.ID, Profile: r.Profile, State: r.State, Version: last.ID, Line: round.HowFar(d, 0), d: d, Cuts: []*benchCut{}, Waiting: []string{}, Unplanned: []string{}}
	s.Waiting = append(s.Waiting, round.Awaited(r.Waiting, c.unit, c.dates, "press Take in, below,")...)
	for _, side := range r.Unplanned() {
		s.Unplanned = append(s.Unplanned, side.String())
	}
	if mine, ok := d.Workshop.ProfileByName(r.Profile); ok {
		s.SetUp = mine.SetUp
		if warning, ok := d.Workshop.Machine.ReviewBlades(mine); !ok {
			s.Warnings = append(s.Warnings, warning)
		}
	}
	old, err := round.OldFigures(c.ctx, c.s.Book, r)
	if err != nil {
		return nil, err
	}
	s.Warnings = append(s.Warnings, old...)
	for n, cut := range pp.Run.Cuts {
		switch d.Became[0][cut.Stick][cut.Side] {
		case runs.Done, runs.Short, runs.Torn, runs.Unwanted:
			s.Begun = true
			continue
		case runs.ToCut:
		default: // it waits, or was cut in another run: the machine is still to be set for this one
			continue
		}
		s.Cuts = append(s.Cuts, c.benchCut(pp, n))
		if d.Workshop.Machine.Type == model.Saw {
			s.Cuts[len(s.Cuts)-1].Bites = "" // it cuts in one stroke, always
		}
	}
	s.ToCut = len(s.Cuts)
	s.follow()
	return s, nil
}

// follow says of the cuts, in the order in which they are shown, whether a stop is set anew before each, and what comes after it.
func (s *benchState) follow() {
	stand := s.d.Stand[0].Clone()
	for _, cut := range s.Cuts {
		pp := &s.d.Plan.Profiles[0]
		side := pp.Sticks[cut.at[0]].Sides[cut.at[1]]
		cut.Placed, cut.By = stand.Cut(cut.Stop, side)
		if cut.SetBy = ""; cut.By != "" {
			cut.SetBy = sheet.SetBy(cut.No, cut.Stop, cut.By, side, pp.SeveralOf(side))
		}
	}
	for i, cut := range s.Cuts {
		cut.Before, cut.Then = s.before(cut), 0
		cut.Next = "This is the last cut of the run."
		if len(s.Waiting) > 0 {
			cut.Next = "This is the last cut from the sticks in hand."
		}
		if i+1 < len(s.Cuts) {
			next := s.Cuts[i+1]
			cut.Then = next.No
			side := next.Letter
			if next.Mitre != cut.Mitre {
				side += ", mitre " + next.Mitre + ","
			}
			off := next.Stick
			if next.Part != "" && (next.Stick != cut.Stick || next.Part != cut.Part) {
				off += ", " + next.Part
			}
			pp := &s.d.Plan.Profiles[0]
			whose := sheet.OfJob(pp, pp.Sticks[next.at[0]].Sides[next.at[1]])
			if whose != "job "+next.Job {
				whose += ","
			}
			cut.Next = fmt.Sprintf("Then side %s of %s off %s, %s", side, whose, off, stopWords(next))
			if next.Stick != cut.Stick && s.begun(next.at[0], i) {
				cut.Next = sheet.TakeUp(next.Stick) + " " + cut.Next
			}
		}
		cut.Next = s.leaves(i) + cut.Next
	}
}

// begun tells whether something has come off a stick by the time of a cut.
func (s *benchState) begun(stick, cut int) bool {
	return slices.ContainsFunc(s.d.Became[0][stick], func(became string) bool { return became != runs.ToCut && became != runs.Waits }) ||
		slices.ContainsFunc(s.Cuts[:cut], func(earlier *benchCut) bool { return earlier.at[0] == stick })
}

// before says which cuts come before one on its stick and are not made.
func (s *benchState) before(cut *benchCut) string {
	stick := &s.d.Plan.Profiles[0].Sticks[cut.at[0]]
	side := stick.Sides[cut.at[1]]
	var numbers []int
	for _, other := range s.Cuts {
		if other.at[0] != cut.at[0] {
			continue
		}
		if o := stick.Sides[other.at[1]]; o.Start < side.Start && stick.DamageBefore(o) == stick.DamageBefore(side) {
			numbers = append(numbers, other.No)
		}
	}
	slices.Sort(numbers)
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("cut %d comes before this one on %s and is not made. Make it first: a stick is cut from its head on.", numbers[0], cut.Stick)
	}
	var names []string
	for _, n := range numbers {
		names = append(names, strconv.Itoa(n))
	}
	return fmt.Sprintf("cuts %s come before this one on %s and are not made. Make them first: a stick is cut from its head on.", text.JoinAnd(names), cut.Stick)
}

// leaves says, where a cut is the last for now off its stick, what to do with what is left of that; otherwise nothing.
func (s *benchState) leaves(i int) string {
	cut, more := s.Cuts[i], 0
	for _, later := range s.Cuts[i+1:] {
		if later.Stick == cut.Stick {
			more++
		}
	}
	left := s.d.Plan.Profiles[0].Sticks[cut.at[0]].Left
	switch {
	case i+1 < len(s.Cuts) && s.Cuts[i+1].Stick == cut.Stick:
		return ""
	case more > 0:
		return sheet.LayAside(cut.Stick, cut.Left, more) + " "
	case left.Becomes == plan.Kept:
		return fmt.Sprintf("Keep what is left of %s, %s. ", cut.Stick, cut.Left)
	}
	return ""
}

// stopWords says what a cut needs of a stop.
func stopWords(b *benchCut) string {
	by := "."
	if b.By != "" {
		by = " by finished side " + b.By + "."
	}
	if b.Placed {
		return fmt.Sprintf("stop %d set anew to %s", b.Stop, b.At) + by
	}
	if b.By != "" {
		return fmt.Sprintf("stop %d, at %s, set", b.Stop, b.At) + by
	}
	return fmt.Sprintf("stop %d stays at %s.", b.Stop, b.At)
}

// benchCut makes a cut ready to be shown.
func (c *call) benchCut(pp plan.ProfilePlan, n int) *benchCut {
	cut := pp.Run.Cuts[n]
	stick := pp.Sticks[cut.Stick]
	side := stick.Sides[cut.Side]
	place := stick.Place
	if of := pp.LeftOf(stick.ID); of != "" {
		place = sheet.LeftOf(of)
	}
	b := &benchCut{No: pp.Run.Number(n), Stick: stick.ID, StickPlace: place, Part: pp.PartOf(stick, side, c.unit), StickNo: cut.Stick + 1, Sticks: len(pp.Sticks), Side: sheet.SideID(side),
		Letter: side.Letter, Job: side.Job, Frame: sheet.FrameOf(side, pp.SeveralOf(side)), Stop: cut.Stop, At: side.LongPoint.InToCut(c.unit), Placed: cut.Placed, Left: cut.Left.Near(c.unit),
		at: [2]int{cut.Stick, cut.Side}, Bites: "one stroke"}
	if len(pp.Mitres()) > 0 {
		b.Mitre = side.Angle.String()
	}
	b.Measure, b.Set = sheet.Settings(side.LongPoint, side.Set, c.unit)
	if advances := pp.Bites.Advances; len(advances) > 1 {
		var parts []string
		for _, a := range advances {
			parts = append(parts, sheet.ToCut(a, c.unit))
		}
		b.Bites, b.Finishing = strings.Join(parts, " + ")+" "+unitWord(c.unit), pp.Bites.Finishing
	}
	return b
}

// noCut is what there is to say of a code that was scanned, or of what was typed, where no cut is to be made for it.
type noCut struct {
	Says string
	Side *benchSide // that is done and can still turn out spoilt
}

// arrange puts the cut that was asked for first, and those that wait last.
func (s *benchState) arrange(code string, waits []string) {
	var first *benchCut
	if code != "" {
		at := slices.IndexFunc(s.Cuts, func(x *benchCut) bool {
			return means(code, s.d.Plan.Profiles[0].Sticks[x.at[0]].Sides[x.at[1]], x.No) || x.Stick == code || sheet.StickID(x.Stick) == code
		})
		if at >= 0 {
			first = s.Cuts[at]
		} else {
			s.Asked = s.notToCut(code)
		}
	}
	slices.SortStableFunc(s.Cuts, func(a, b *benchCut) int {
		rank := func(x *benchCut) int {
			switch {
			case x == first:
				return 0
			case slices.Contains(waits, strconv.Itoa(x.No)):
				return 2
			}
			return 1
		}
		return rank(a) - rank(b)
	})
	s.follow()
}

// means tells whether a code names a side: its label's code, the number of its cut, or its job and letter as they are written, such as S04 B.
func means(code string, side plan.Side, no int) bool {
	words := strings.Fields(code)
	last := len(words) - 1
	return code == sheet.SideID(side) || code == strconv.Itoa(no) ||
		last > 0 && strings.EqualFold(words[last], side.Letter) && strings.EqualFold(strings.Join(words[:last], " "), side.Job)
}

// notToCut says why a code has no cut that is to be made: its side is done, spoilt, or waits, or it is none of this run.
func (s *benchState) notToCut(code string) *noCut {
	for _, side := range s.sides() {
		if !means(code, side.Side, side.No) {
			continue
		}
		which := fmt.Sprintf("Side %s of job %s, %s (cut %d),", side.Letter, side.Job, side.In, side.No)
		switch {
		case side.Finished:
			return &noCut{which + " is done. Was it spoilt after all?", &side}
		case side.Became == runs.Waits:
			return &noCut{which + " waits for its stick, " + side.Stick + ".", nil}
		}
		return &noCut{which + " is " + side.Became + ", and not to be cut now.", nil}
	}
	return &noCut{model.Quote(code) + " is no side and no stick of this run: type the number of a cut, or a job and a side as on the label.", nil}
}

// draw sets so many of the cuts that come next as parts of a page, and leaves out the others.
func (c *call) draw(s *benchState, most int) error {
	s.Cuts = s.Cuts[:min(len(s.Cuts), most)]
	t, err := c.template("run")
	if err != nil {
		return err
	}
	for _, cut := range s.Cuts {
		var b strings.Builder
		if err := t.ExecuteTemplate(&b, "cut", map[string]any{"C": cut, "Picture": c.lies(s.d, cut)}); err != nil {
			return err
		}
		cut.HTML = template.HTML(b.String())
	}
	if s.Asked != nil {
		var b strings.Builder
		if err := t.ExecuteTemplate(&b, "asked", map[string]any{"A": s.Asked, "Run": s.Run, "Key": newKey()}); err != nil {
			return err
		}
		s.Answer = template.HTML(b.String())
	}
	return nil
}

// benchSide is a side in the list of all that a run has.
type benchSide struct {
	plan.Side
	Stick, Became, Code string
	In                  string // its frame
	No                  int
	Finished            bool // it can still turn out spoilt
}

// sides lists the sides of a run's sticks, stick by stick.
func (s *benchState) sides() (all []benchSide) {
	pp := &s.d.Plan.Profiles[0]
	numbers := pp.CutNumbers()
	for i, stick := range pp.Sticks {
		for k, side := range stick.Sides {
			became := s.d.Became[0][i][k]
			all = append(all, benchSide{side, stick.ID, became, sheet.SideID(side), sheet.FrameOf(side, pp.SeveralOf(side)), numbers[[2]int{i, k}], became == runs.Done && s.State == "open"})
		}
	}
	return all
}
