package page

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

var benchRoutes = []route{
	{method: "GET", path: "/bench", do: (*call).benchPage, shop: true},
	{method: "POST", path: "/bench/start", do: (*call).startRun},
	{method: "GET", path: "/bench/run/{run}", do: (*call).runPage},
	{method: "GET", path: "/bench/run/{run}/sticks", do: (*call).runSticks},
	{method: "GET", path: "/bench/run/{run}/end", do: (*call).endPage},
	{method: "POST", path: "/bench/run/{run}/press", do: (*call).pressForm},
	{method: "POST", path: "/bench/run/{run}/finish", do: (*call).finishRun, shop: true},
	{method: "GET", path: "/api/runs", do: (*call).apiRuns},
	{method: "GET", path: "/api/runs/{run}", do: (*call).apiRun},
	{method: "POST", path: "/api/runs/{run}/press", do: (*call).apiPress},
	{method: "POST", path: "/api/runs/{run}/finish", do: (*call).apiFinish},
}

// remakeTime is how long the rest of a run is planned after a mishap, while somebody waits at the machine.
const remakeTime = 5 * time.Second

func runPath(id int64) string { return fmt.Sprintf("/bench/run/%d", id) }

// benchPage lists the open runs, and the profiles of which one can be started.
func (c *call) benchPage() error {
	open, err := c.s.Book.OpenRuns(c.ctx)
	if err != nil {
		return err
	}
	data := map[string]any{"Open": open}
	if d, id, err := c.s.Book.Plan(c.ctx, 0); err == nil {
		toStart, err := c.s.Book.ToStart(c.ctx, id)
		if err != nil {
			return err
		}
		data["Plan"], data["PlanID"] = true, id
		data["Profiles"] = slices.DeleteFunc(slices.Clone(d.Profiles), func(p plan.ProfilePlan) bool { return !slices.Contains(toStart, p.Name) })
	}
	return c.show("bench", "Bench", data)
}

// startRun begins a run, or takes in what has come for one that is open.
func (c *call) startRun() error {
	of, err := c.count("plan", 0)
	if err != nil {
		return err
	}
	o, err := c.s.options("", false, "", remakeTime, c.s.Book.Now())
	if err != nil {
		return err
	}
	r, fresh, remade, minds, err := round.Start(c.ctx, c.s.Book, c.by, c.form("profile"), int64(of), o)
	if err != nil {
		return c.done(err, "/bench", "")
	}
	said := told(remade, minds)
	switch {
	case len(r.TookIn) > 0:
		said = "Taken in: " + text.JoinAnd(r.TookIn) + ". " + said
	case said == "" && len(r.Waiting) > 0 && !fresh:
		said = "Nothing has come that this run waits for. What comes is received on its order's page first."
	}
	return c.done(nil, runPath(r.ID), "%s", said)
}

// mostCuts is how many of the cuts that come next a page is given, so that it can go on for a while when the server is away.
const mostCuts = 40

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

// runPage shows the next cut of a run or, where there is none, how it is finished.
func (c *call) runPage() error {
	s, err := c.bench(c.id)
	if err != nil {
		return err
	}
	waits := strings.Split(c.query("wait"), ",")
	s.arrange(c.query("code"), waits)
	standing, _, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return err
	}
	data := map[string]any{"S": s, "Standing": standing, "Wait": c.query("wait"), "Back": runPath(c.id), "Papers": papers["run"]}
	if r := s.d.Runs[0]; slices.ContainsFunc(r.Waiting, func(a runs.Awaited) bool { return a.ToOrder() }) {
		data["ToOrder"] = max(r.Plan, r.Rest)
	}
	switch {
	case s.State != "open":
		return c.show("runover", fmt.Sprintf("Run %d, %s", s.Run, s.Profile), data)
	case len(s.Cuts) == 0:
		title := "to be finished"
		if len(s.Waiting) > 0 {
			title = "waits for wood"
		}
		return c.showEnd(s, title, data)
	case !s.Begun && c.query("begin") == "":
		blades, err := c.s.Book.Blades(c.ctx)
		if err != nil {
			return err
		}
		var due []string
		for _, b := range blades {
			for _, why := range b.Due {
				due = append(due, b.Name+": "+why)
			}
		}
		data["Due"], data["BladeCaution"], data["Setting"] = due, text.BladeCaution, c.setting(s.d)
		return c.show("runbegin", fmt.Sprintf("Run %d, %s: before the first cut", s.Run, s.Profile), data)
	}
	if err := c.draw(s, 1); err != nil {
		return err
	}
	data["C"] = s.Cuts[0]
	shown := strconv.Itoa(s.Cuts[0].No)
	waits = slices.DeleteFunc(waits, func(w string) bool { return w == "" || w == shown })
	data["WaitNext"] = strings.Join(append(waits, shown), ",")
	return c.show("run", fmt.Sprintf("Run %d, %s", s.Run, s.Profile), data)
}

// showEnd shows how a run is finished.
func (c *call) showEnd(s *benchState, title string, data map[string]any) error {
	data["Flawed"], data["Left"] = c.flawed(s.d.Runs[0]), leftWaiting(s.d.Runs[0])
	return c.show("runend", fmt.Sprintf("Run %d, %s: %s", s.Run, s.Profile, title), data)
}

// endPage asks, once, whether a run ends now, and says what is not cut by then and goes to the next plan.
func (c *call) endPage() error {
	s, err := c.bench(c.id)
	if err != nil {
		return err
	}
	if s.State != "open" || len(s.Cuts) == 0 {
		c.redirect(runPath(c.id))
		return nil
	}
	standing, _, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return err
	}
	return c.showEnd(s, "end it now?", map[string]any{"S": s, "Standing": standing, "Back": runPath(c.id), "Papers": papers["run"], "Uncut": s.uncut()})
}

// uncutJob is a job of a run of which sides are not cut.
type uncutJob struct {
	Job, Which string
	Sides      int
}

// uncut gives what of a run is not cut, job by job.
func (s *benchState) uncut() (all []*uncutJob) {
	last := ""
	add := func(side plan.Side, in string) {
		at := slices.IndexFunc(all, func(u *uncutJob) bool { return u.Job == side.Job })
		if at < 0 {
			at, all = len(all), append(all, &uncutJob{Job: side.Job})
		}
		u, frame := all[at], side.Job+"/"+in
		switch {
		case u.Which == "":
			u.Which = "frame " + in + ": " + side.Letter
		case frame == last:
			u.Which += ", " + side.Letter
		default:
			u.Which += "; frame " + in + ": " + side.Letter
		}
		last = frame
		u.Sides++
	}
	left := s.sides()
	for _, id := range s.d.Runs[0].Unplanned() {
		side := plan.Side{SideID: id}
		left = append(left, benchSide{Side: side, In: sheet.FrameOf(side, s.d.Plan.Profiles[0].SeveralOf(side)), Became: runs.ToCut})
	}
	slices.SortStableFunc(left, func(a, b benchSide) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.Copy, b.Copy), cmp.Compare(a.Ring, b.Ring), cmp.Compare(a.Letter, b.Letter))
	})
	for _, side := range left {
		if side.Became == runs.ToCut || side.Became == runs.Waits {
			add(side.Side, side.In)
		}
	}
	return all
}

// setting says how the machine is set for a run.
func (c *call) setting(d *runs.Document) string {
	pp := d.Plan.Profiles[0]
	line := fmt.Sprintf("Moulding %s wide. Trim %s off the head of every stick and leave %s at its tail.", pp.Width.Near(c.unit), pp.HeadTrim.InToCut(c.unit), pp.TailTrim.InToCut(c.unit))
	if apart := sheet.Apart(pp, c.unit); apart != "" {
		line += " " + apart
	}
	if turn := pp.TurnTo(); turn != "" {
		line += " " + turn
	}
	return line + fmt.Sprintf(" %s of %s.", text.Count(pp.Run.Settings, "setting", "settings"), text.Count(pp.Run.Stops, "stop", "stops"))
}

// leftWaiting is how many sides of a run wait for sticks.
func leftWaiting(r runs.Run) (sides int) {
	for _, a := range r.Waiting {
		sides += len(a.Sides)
	}
	return sides
}

// flawed gives the sticks in hand of which only the framer can say what is left.
func (c *call) flawed(r runs.Run) (all []flawedStick) {
	for _, s := range r.Sticks {
		if s.State != "open" || s.Flaw == "" {
			continue
		}
		var keeps []string
		for _, piece := range s.Keeps() {
			keeps = append(keeps, piece.Near(c.unit))
		}
		one := flawedStick{s, "nothing is kept"}
		if len(keeps) > 0 {
			one.Blank = text.JoinAnd(keeps) + " on the rack"
		}
		all = append(all, one)
	}
	return all
}

// flawedStick is a stick in hand of which something is wrong, and what becomes of it where nothing is said.
type flawedStick struct {
	runs.Stick
	Blank string
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

// runSticks shows all sticks of a run, drawn, with what became of their sides, and takes that a finished one is spoilt.
func (c *call) runSticks() error {
	s, err := c.bench(c.id)
	if err != nil {
		return err
	}
	return c.show("runsticks", fmt.Sprintf("Sticks of run %d, %s", s.Run, s.Profile), map[string]any{"S": s, "Pictures": c.stickPictures(s.d.Plan.Profiles[0], s.d.Became[0]), "Sides": s.sides(), "Back": runPath(c.id)})
}

// press is what was pressed at the bench about one cut, or about the stick it comes from.
type press struct {
	signature
	Do    string `json:"do"` // done, anyway (done, and out of its turn), short, torn, flaw, shorter or missing
	Stick string `json:"stick"`
	No    int    `json:"no"`   // of the cut
	Side  string `json:"side"` // its label's code
	From  string `json:"from"` // of a flaw; blank: where the stick is cut to
	To    string `json:"to"`
	Long  string `json:"length"` // of a stick that is shorter
	What  string `json:"what"`   // is wrong with the stick
}

// pressForm takes a press from a page without scripts.
func (c *call) pressForm() error {
	no, err := c.count("no", 0)
	if err != nil {
		return err
	}
	said, err := c.press(c.id, c.by, press{Do: c.form("do"), Stick: c.form("stick"), No: no, Side: c.form("side"), From: c.form("from"), To: c.form("to"), Long: c.form("length"), What: c.form("what")})
	path := runPath(c.id) + "?begin=1"
	if wait := c.form("wait"); wait != "" {
		path += "&wait=" + url.QueryEscape(wait)
	}
	return c.done(err, path, "%s", said)
}

// apiPress takes a press, and answers with the run as it then is.
func (c *call) apiPress() error {
	var sent press
	if err := c.body(&sent); err != nil {
		return err
	}
	by, err := sent.by(c)
	if err != nil {
		return err
	}
	said, err := c.press(c.id, by, sent)
	if err := unlessSent(err); err != nil {
		return err
	}
	return c.answerRun(c.id, said)
}

func (c *call) answerRun(id int64, said string) error {
	s, err := c.bench(id)
	if err != nil {
		return err
	}
	if s.Said = said; s.State == "open" {
		s.arrange(c.query("code"), strings.Split(c.query("wait"), ","))
		err = c.draw(s, mostCuts)
	} else {
		s.Cuts = []*benchCut{}
	}
	if err != nil {
		return err
	}
	c.json(http.StatusOK, s)
	return nil
}

// press writes down what was pressed, once for its key; after a mishap the rest of the run is planned anew in the same step.
func (c *call) press(id int64, by book.By, p press) (said string, err error) {
	if _, err := c.s.Book.Run(c.ctx, id); err != nil {
		return "", err
	}
	defer c.s.oneAtATime(id)() // a press that is decided by how the run stands is written before the next one looks
	if sent, err := c.s.Book.Sent(c.ctx, by.Key); err != nil || sent {
		return "", cmp.Or(err, error(book.ErrSent))
	}
	r, err := c.s.Book.Run(c.ctx, id)
	if err != nil {
		return "", err
	}
	if _, err := c.shop(); err != nil {
		return "", err
	}
	at := slices.IndexFunc(r.Sticks, func(s runs.Stick) bool {
		return s.Stick == p.Stick && (s.State == "open" || s.State == "cut" && (p.Do == runs.Torn || p.Do == runs.Short))
	})
	if at < 0 {
		return "", &answerError{http.StatusConflict, usage("stick "+model.Quote(p.Stick)+" is not in hand in run "+fmt.Sprint(id), "look which stick the page shows now")}
	}
	change, mishap, err := c.change(r, r.Sticks[at], p)
	if err != nil {
		return "", err
	}
	var mishaps []int64
	if mishap {
		mishaps = []int64{id}
	}
	o, err := c.s.options("", false, "", remakeTime, c.s.Book.Now())
	if err != nil {
		return "", err
	}
	remade, minds, err := round.WriteCuts(c.ctx, c.s.Book, by, []book.Change{change}, mishaps, o)
	if err != nil {
		return "", err
	}
	return told(remade, minds), nil
}

// told says in a line what a plan of the rest changes, and what there is to mind.
func told(remade []book.Remade, minds []string) (said string) {
	for _, m := range remade {
		again := "see Cut sheet of this run, below"
		if m.Labels > 0 {
			again = "see Cut sheet of this run and Labels that changed, below"
		}
		said += round.Remade(m, again) + ". "
		if m.Buy > 0 {
			said += text.Count(m.Buy, "stick is", "sticks are") + fmt.Sprintf(" to be ordered by plan %d; the button is below. ", m.Plan)
		}
	}
	for _, mind := range minds {
		said += "Mind: " + mind + ". "
	}
	return strings.TrimSpace(said)
}

// oneAtATime waits until nobody else is at a run, and gives what ends that.
func (s *Server) oneAtATime(run int64) (end func()) {
	m, _ := s.presses.LoadOrStore(run, &sync.Mutex{})
	lock := m.(*sync.Mutex)
	lock.Lock()
	return lock.Unlock
}

// change makes a change of a press, and tells whether it is a mishap.
func (c *call) change(r runs.Run, s runs.Stick, p press) (change book.Change, mishap bool, err error) {
	switch p.Do {
	case "done", "anyway", "short", "torn":
		if p.Do == "done" {
			if err := c.inTurn(r.ID, p); err != nil {
				return change, false, err
			}
		}
		if p.Do == "anyway" {
			p.Do = runs.Done
		}
		place, err := placeOf(s, p)
		return book.CutSides(r.ID, s.Number, []int{place}, p.Do), p.Do != runs.Done, err
	case "flaw":
		var at model.Span
		if p.From != "" || p.To != "" {
			if at.From, err = model.ParseLength(p.From, c.unit); err != nil {
				return change, true, err
			}
			if at.To, err = model.ParseLength(p.To, c.unit); err != nil {
				return change, true, err
			}
		}
		return book.FlawStick(r.ID, s.Number, at, p.What), true, nil
	case "shorter":
		long, err := model.ParseLength(p.Long, c.unit)
		return book.ShortenStick(r.ID, s.Number, long), true, err
	case "missing":
		return book.LoseStick(r.ID, s.Number), true, nil
	}
	return change, false, usage("it is not said what became of it", "press done, short or torn, or say what is wrong with the stick")
}

// inTurn refuses a cut as done while others come before it on its stick that are not made.
func (c *call) inTurn(run int64, p press) error {
	s, err := c.bench(run)
	if err != nil {
		return err
	}
	for _, cut := range s.Cuts {
		if cut.No == p.No && cut.Stick == p.Stick {
			if before := s.before(cut); before != "" {
				return &answerError{http.StatusConflict, usage(fmt.Sprintf("cut %d off %s is not next on its stick: ", p.No, p.Stick)+strings.TrimSuffix(before, "."),
					`if it is cut all the same, press "It is cut out of its turn" under that cut`)}
			}
		}
	}
	return nil
}

// placeOf finds the side that a press is about. It goes by the number of the cut: of a side that was spoilt and is to be made again off
// the same stick there are two.
func placeOf(s runs.Stick, p press) (int, error) {
	gone := &answerError{http.StatusConflict, usage(fmt.Sprintf("cut %d off %s is not to be made any more", p.No, s.Stick), "look which cut the page shows now")}
	id, ok := sheet.ParseSideID(p.Side)
	if !ok {
		return 0, usage(model.Quote(p.Side)+" is no code of a side", "send the code of its label")
	}
	found := -1
	for i, side := range s.Sides {
		if side.SideID != id || side.Became == runs.Before {
			continue
		}
		if side.No == p.No {
			spoilt := side.Became == runs.Short || side.Became == runs.Torn
			if spoilt && side.Became != p.Do {
				return 0, gone
			}
			return side.Place, nil
		}
		if side.Became == runs.ToCut {
			found = i
		}
	}
	if found < 0 {
		return 0, gone
	}
	return s.Sides[found].Place, nil
}

// finishRun ends a run.
func (c *call) finishRun() error {
	r, err := c.s.Book.Run(c.ctx, c.id)
	if err != nil {
		return err
	}
	if n := leftWaiting(r); n > 0 && r.State == "open" && c.form("leave") == "" {
		return usage(text.Count(n, "side", "sides")+" of run "+fmt.Sprint(c.id)+" wait for wood", "go back and tick that they go to the next plan, or wait for the wood")
	}
	keep := map[int]model.Length{}
	for _, s := range r.Sticks {
		typed := c.form(fmt.Sprintf("left-%d", s.Number))
		if typed == "" {
			continue
		}
		if keep[s.Number], err = model.ParseLength(typed, c.unit); err != nil {
			return err
		}
	}
	f, fresh, err := c.s.Book.Finish(c.ctx, c.id, keep, c.by)
	if err == nil && !fresh {
		return c.done(nil, runPath(c.id), "This run was finished already.")
	}
	return c.done(err, runPath(c.id), "%s", strings.Join(round.Finished(c.id, f, c.unit), " "))
}

// apiRuns lists the open runs.
func (c *call) apiRuns() error {
	all, err := c.s.Book.OpenRuns(c.ctx)
	return list(c, all, err)
}

// apiRun gives a run as the bench shows it, or says that nothing has changed since a version of it.
func (c *call) apiRun() error {
	if seen := c.query("version"); seen != "" {
		_, last, err := c.s.Book.Undoable(c.ctx)
		if err != nil {
			return err
		}
		if strconv.FormatInt(last.ID, 10) == seen {
			c.w.WriteHeader(http.StatusNoContent)
			return nil
		}
	}
	return c.answerRun(c.id, "")
}

// apiFinish ends a run.
func (c *call) apiFinish() error {
	var sent struct {
		signature
		Left map[string]model.Length `json:"left_nm"` // by the stick's number in the run
	}
	if err := c.body(&sent); err != nil {
		return err
	}
	by, err := sent.by(c)
	if err != nil {
		return err
	}
	keep := map[int]model.Length{}
	for number, left := range sent.Left {
		n, err := strconv.Atoi(number)
		if err != nil {
			return usage(model.Quote(number)+" is no number of a stick", "send the stick's number in the run")
		}
		keep[n] = left
	}
	f, _, err := c.s.Book.Finish(c.ctx, c.id, keep, by)
	if err := unlessSent(err); err != nil {
		return err
	}
	c.json(http.StatusOK, f)
	return nil
}
