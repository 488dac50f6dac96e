package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// TestFortnight lives through two weeks of an invented shop at the command line: three rounds of orders of which some come late, short or
// wrong, a job that changes, a stock count, two torn sides, a flawed stick and a lost one. After every command that writes, what is on the
// rack, in hand, cut and wasted is what came in; at every stage everything is printed and is what the book holds; nothing is ordered
// twice, and in the end every side was cut once.
func TestFortnight(t *testing.T) {
	d := newDesk(t)
	d.firstWeek()
	d.secondWeek()
	d.everySideOnce()
	t.Logf("%d commands that write, %d lines on paper looked at", d.typed, d.printed)
	if d.printed < 300 {
		t.Errorf("only %d lines on paper were looked at", d.printed)
	}
}

func (d *desk) firstWeek() {
	d.planAndOrder(1)
	d.under("order", "send", "--expected", "2099-03-05")
	d.printAll()
	// The oak comes but for one stick, and one of the black is shorter than ordered.
	oakOrder, oak := d.toCome("oak-40")
	blackOrder, black := d.toCome("black-22")
	d.receive(oakOrder, oak, oak.Sticks-1, 0)
	d.receive(blackOrder, black, 1, 2700)
	d.printAll()
	// A run begins with what is here; a side is torn, and the rest is remade at once.
	d.say("run", "oak-40")
	d.printAll()
	r := d.openRun("oak-40")
	if len(r.Waiting) == 0 {
		d.t.Errorf("run %d waits for nothing", r.ID)
	}
	stick := openStick(d.t, r)
	d.say("cut", stick.Stick, fmt.Sprint(stick.Sides[0].No))
	d.say("cut", stick.Stick, fmt.Sprint(stick.Sides[1].No), "--became", "torn")
	d.printAll()
	// A job grows, and jobs come in; nothing of what is on the way is bought again.
	d.under("jobs", "change", "105", "--size", "460 x 620", "--why", "measured again")
	d.say("take", filepath.Join(d.home, "second.csv"))
	d.planAndOrder(2)
	d.printAll()
	// What was to come comes, and the run takes it in. A knot turns up.
	d.receive(oakOrder, oak, 1, 0)
	d.say("run", "oak-40")
	r = d.openRun("oak-40")
	if slices.ContainsFunc(r.Waiting, func(a runs.Awaited) bool { return a.Order == oakOrder }) {
		d.t.Errorf("run %d still waits for order %d: %+v", r.ID, oakOrder, r.Waiting)
	}
	stick = openStick(d.t, r)
	at := stick.Length - 600*model.Millimetre
	d.say("cut", stick.Stick, "--flaw", "a knot", "--at", fmt.Sprintf("%s to %s", at, at+80*model.Millimetre))
	d.printAll()
	d.cutAndFinish("oak-40")
	d.printAll()
}

func (d *desk) secondWeek() {
	// One stick of the rack is not where it should be, one is shorter, one was forgotten.
	var lost, shorter book.RackStick
	for _, s := range ask[[]book.RackStick](d, "rack", "--profile", "black-22") {
		switch {
		case s.State != "rack":
		case lost.Name == "":
			lost = s
		case shorter.Name == "":
			shorter = s
		}
	}
	if shorter.Name == "" {
		d.t.Fatal("too little on the rack to count")
	}
	d.in += 2222*model.Millimetre - 2*model.Millimetre
	d.paid += 356 // what the one that was found is worth: half of 2222 mm at 9.60 for 3000 mm
	d.under("rack", "count", "black-22", "--missing", lost.Name, "--measured", fmt.Sprintf("%s=%s", shorter.Name, shorter.Length-2*model.Millimetre), "--found", "2222", "--why", "counted")
	d.printAll()
	// The second order comes: one too many of its first line, the rest as ordered.
	d.planAndOrder(0)
	for _, o := range ask[[]book.Purchase](d, "order", "--list") {
		d.under("order", "send")
		for n, l := range o.Lines {
			if d.receive(o.ID, l, l.ToCome(), 0); n == 0 {
				d.accountFor(l, 1, l.Length, true)
				d.say("receive", fmt.Sprint(o.ID), "--line", fmt.Sprint(l.Number), "--more", "--again")
			}
		}
	}
	d.printAll()
	d.planAndOrder(0)
	// The black: a stick is lost on the way to the machine, and a side is torn.
	d.say("run", "black-22")
	r := d.openRun("black-22")
	d.say("cut", openStick(d.t, r).Stick, "--missing")
	d.printAll()
	r = d.openRun("black-22")
	if stick := openStick(d.t, r); true {
		d.say("cut", stick.Stick, fmt.Sprint(stick.Sides[0].No), "--became", "torn")
	}
	d.printAll()
	if rest := d.openRun("black-22").Rest; rest != 0 {
		d.say("order", "--plan", fmt.Sprint(rest))
	}
	d.comeAll()
	if d.openRun("black-22").ID != 0 {
		d.say("run", "black-22")
	}
	d.cutAndFinish("black-22")
	// The third round, for what is left.
	for round := 0; ; round++ {
		d.planAndOrder(0)
		d.comeAll()
		d.printAll()
		left := d.profilesLeft()
		if len(left) == 0 {
			break
		}
		if round > 2 {
			d.t.Fatalf("%v are still to cut", left)
		}
		for _, profile := range left {
			d.say("run", profile)
			d.printAll()
			d.cutAndFinish(profile)
		}
	}
	if d.rounds < 3 {
		d.t.Errorf("%d rounds of orders, want 3", d.rounds)
	}
	for _, j := range ask[[]book.JobState](d, "jobs") {
		if j.State != book.JobReady {
			d.t.Errorf("job %s is %s", j.Name, j.State)
		}
		d.say("jobs", "--collected", j.Name)
	}
	d.printAll()
}

// desk is a shop's book as somebody at the desk works with it, with an account beside it that is kept from what was typed alone.
type desk struct {
	t          *testing.T
	home, book string
	in         model.Length // of sticks that were there, came or were found
	paid       model.Money  // for them
	typed      int          // commands that write
	printed    int          // cuts, labels and lines of orders that were compared with the book
	rounds     int          // of orders
	lastRun    int64
}

// newDesk opens the shop.
func newDesk(t *testing.T) *desk {
	d := &desk{t: t, home: t.TempDir()}
	d.book = filepath.Join(d.home, "shop.book")
	for name, text := range map[string]string{
		"shop/workshop.toml": "name = \"Fortnight (invented)\"\nunits = \"mm\"\ncurrency = \"EUR\"\n[machine]\ntype = \"saw\"\nkerf = \"3 mm\"\nshave = \"2 mm\"\n" +
			"[defaults]\nallowance = \"2 mm\"\nrack_share = \"50 %\"\nkeep = \"400 mm\"\n",
		"shop/profiles.csv": "profile,width,rebate\noak-40,40,8\nblack-22,22,6\n",
		"shop/offers.csv": "supplier,profile,stick_length,price,bundle\nInvented Timber,oak-40,3000,21.00,1\nInvented Timber,oak-40,2400,17.50,1\n" +
			"Invented Mouldings,black-22,3000,9.60,1\n",
		"shop/suppliers.csv": "supplier,least_order,delivery,delivery_days\nInvented Timber,30.00,6.00,4\nInvented Mouldings,,,2\n",
		"shop/rack.csv":      "stick,profile,length,place\nS1,oak-40,2290,left\nS2,oak-40,770,left\nS3,black-22,3000,right\nS4,black-22,2600,right\n",
		"shop/jobs.csv": "job,due,frame,profile,width,height,quantity\n101,2099-03-06,print,oak-40,250,420,1\n102,2099-03-07,pair,black-22,300,400,7\n" +
			"103,2099-03-07,class,oak-40,320,420,2\n104,2099-03-08,watercolour,oak-40,350,500,1\n105,2099-03-09,choir,black-22,450,600,1\n",
		"second.csv": "job,due,frame,profile,width,height,quantity\n201,2099-03-13,map,oak-40,700,900,1\n202,2099-03-13,cards,black-22,150,200,4\n" +
			"203,2099-03-14,poster,black-22,600,800,1\n204,2099-03-14,chart,oak-40,500,600,2\n",
	} {
		path := filepath.Join(d.home, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	d.do("book", "new", d.book, "--from", filepath.Join(d.home, "shop"))
	for _, s := range ask[[]book.RackStick](d, "rack") {
		d.in, d.paid = d.in+s.Length, d.paid+s.Cost
	}
	d.hold()
	return d
}

// do types a command that goes well, and gives the answer.
func (d *desk) do(args ...string) string {
	d.t.Helper()
	return goesWell(d.t, args...)
}

// say types a command that changes the book, and then holds the book against the account.
func (d *desk) say(command string, args ...string) string {
	d.t.Helper()
	d.typed++
	answer := d.do(append([]string{command, d.book}, args...)...)
	d.hold()
	return answer
}

// under types one of the commands below another.
func (d *desk) under(command, below string, args ...string) string {
	d.t.Helper()
	d.typed++
	answer := d.do(append([]string{command, below, d.book}, args...)...)
	d.hold()
	return answer
}

// ask reads a command's JSON.
func ask[T any](d *desk, command string, args ...string) (answer T) {
	d.t.Helper()
	text := d.do(slices.Concat([]string{command, d.book}, args, []string{"--json"})...)
	if err := json.Unmarshal([]byte(text), &answer); err != nil {
		d.t.Fatalf("longpoint %s %v: %v in %s", command, args, err, text)
	}
	return answer
}

// planAndOrder plans, orders what is to be bought, and demands that then nothing is. round counts; 0 is the next one, and may buy nothing.
func (d *desk) planAndOrder(round int) {
	d.t.Helper()
	d.say("plan", "--summary")
	d.typed++
	placed := d.do("order", d.book)
	d.hold()
	if strings.HasPrefix(placed, "Ordered: ") {
		d.rounds++
	} else if round > 0 {
		d.t.Errorf("round %d orders nothing: %s", round, placed)
	}
	var again plan.Document
	if err := json.Unmarshal([]byte(d.do("plan", d.book, "--json")), &again); err != nil {
		d.t.Fatal(err)
	}
	if len(again.Buy) > 0 {
		d.t.Errorf("all is ordered, and the next plan buys %+v", again.Buy)
	}
	taken := map[string]bool{}
	for _, open := range ask[[]runs.Run](d, "run") {
		r := ask[runs.Run](d, "run", "--show", fmt.Sprint(open.ID))
		for _, s := range r.Sticks {
			taken[s.Stick] = true
		}
		for _, a := range r.Waiting {
			taken[a.Stick] = true
		}
	}
	for _, p := range again.Profiles {
		for _, s := range p.Sticks {
			if s.From != plan.Bought && taken[s.ID] {
				d.t.Errorf("%s is in a run or awaited by one, and the next plan cuts from it", s.ID)
			}
		}
	}
}

// toCome gives the order with which a profile is to come, and its line.
func (d *desk) toCome(profile string) (int64, book.PurchaseLine) {
	d.t.Helper()
	for _, o := range ask[[]book.Purchase](d, "order", "--list") {
		for _, l := range o.Lines {
			if l.Profile == profile && l.ToCome() > 0 {
				return o.ID, l
			}
		}
	}
	d.t.Fatalf("no %s is to come", profile)
	return 0, book.PurchaseLine{}
}

// accountFor accounts for sticks of a line that come: each costs its part of the line, rounded down as they come; those on top as much each.
func (d *desk) accountFor(l book.PurchaseLine, sticks int, length model.Length, onTop bool) {
	came := l.Arrived - l.Extra
	part := func(n int) model.Money { return l.Cost * model.Money(n) / model.Money(l.Sticks) }
	paid := part(came+sticks) - part(came)
	if onTop {
		paid = part(1) * model.Money(sticks)
	}
	d.in, d.paid = d.in+model.Length(sticks)*length, d.paid+paid
}

// receive types that sticks of a line have come; all of them of another length where one is given in millimetres.
func (d *desk) receive(order int64, l book.PurchaseLine, sticks int, millimetres int64) {
	d.t.Helper()
	if sticks == 0 {
		return
	}
	for _, o := range ask[[]book.Purchase](d, "order", "--list") { // how far it is now
		if o.ID == order {
			l = o.Lines[l.Number-1]
		}
	}
	args := []string{fmt.Sprint(order), "--line", fmt.Sprint(l.Number), "--sticks", fmt.Sprint(sticks), "--again"}
	length := l.Length
	if millimetres != 0 {
		length = model.Length(millimetres) * model.Millimetre
		args = append(args, "--length", fmt.Sprint(millimetres))
	}
	d.accountFor(l, sticks, length, false)
	d.say("receive", args...)
}

// comeAll receives all that is on the way.
func (d *desk) comeAll() {
	d.t.Helper()
	for _, o := range ask[[]book.Purchase](d, "order", "--list") {
		for _, l := range o.Lines {
			d.receive(o.ID, l, l.ToCome(), 0)
		}
	}
}

// openRun gives the open run of a profile; one with no number where there is none.
func (d *desk) openRun(profile string) runs.Run {
	for _, r := range ask[[]runs.Run](d, "run") {
		if r.Profile == profile {
			d.lastRun = max(d.lastRun, r.ID)
			return ask[runs.Run](d, "run", "--show", fmt.Sprint(r.ID))
		}
	}
	return runs.Run{}
}

// openStick gives a stick in hand from which at least two sides are still to be cut, with only those sides.
func openStick(t *testing.T, r runs.Run) runs.Stick {
	t.Helper()
	for _, s := range r.Sticks {
		s.Sides = s.ToCut()
		if s.State == "open" && len(s.Sides) > 1 {
			return s
		}
	}
	t.Fatalf("run %d has no stick with two sides to cut: %+v", r.ID, r.Sticks)
	return runs.Stick{}
}

// cutAndFinish cuts what is in hand, and ends the run.
func (d *desk) cutAndFinish(profile string) {
	d.t.Helper()
	for _, s := range d.openRun(profile).Sticks {
		if len(s.ToCut()) > 0 {
			d.say("cut", s.Stick)
		}
	}
	d.printAll()
	d.say("finish")
}

// profilesLeft gives the profiles of which something is still to be cut.
func (d *desk) profilesLeft() (left []string) {
	var p plan.Document
	if err := json.Unmarshal([]byte(d.do("plan", d.book, "--json")), &p); err != nil {
		d.t.Fatal(err)
	}
	for _, one := range p.Profiles {
		left = append(left, one.Name)
	}
	return left
}

// exported reads one of the tables that the book exports, each row by its columns.
func (d *desk) exported(folder, name string) (rows []map[string]string) {
	d.t.Helper()
	file, err := os.Open(filepath.Join(folder, "history", name+".csv"))
	if err != nil {
		d.t.Fatal(err)
	}
	defer file.Close()
	all, err := csv.NewReader(file).ReadAll()
	if err != nil {
		d.t.Fatal(err)
	}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for n, cell := range cells {
			row[all[0][n]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

// sums reads lengths and amounts of a table.
type sums struct {
	length model.Length
	money  model.Money
}

func (s *sums) add(t *testing.T, length, money string) {
	t.Helper()
	l, err := model.ParseLength(length, model.Millimetres)
	if err != nil {
		t.Fatal(err)
	}
	m, err := strconv.ParseInt(strings.Replace(money, ".", "", 1), 10, 64) // with two decimals
	if err != nil {
		t.Fatal(err)
	}
	s.length, s.money = s.length+l, s.money+model.Money(m)
}

// hold demands that what is on the rack, in hand, in frames and wasted is what came in, in length and in money, as the book's own tables
// say, and that of every order what came, will come and will not is what was ordered.
func (d *desk) hold() {
	d.t.Helper()
	folder := filepath.Join(d.t.TempDir(), "tables")
	d.do("book", "export", d.book, folder)
	var all sums
	used := map[string]bool{}
	for _, s := range d.exported(folder, "stick") {
		if used[s["name"]] = s["state"] == "used"; !used[s["name"]] {
			all.add(d.t, s["length"], s["cost"])
		}
	}
	stick := map[[2]string]string{}
	for _, s := range d.exported(folder, "run_stick") {
		stick[[2]string{s["run"], s["number"]}] = s["stick"]
		if s["state"] == "cut" {
			all.add(d.t, s["waste_length"], s["waste_money"])
		}
	}
	for _, c := range d.exported(folder, "cut") {
		if c["spoilt"] == "0" && used[stick[[2]string{c["run"], c["number"]}]] {
			all.add(d.t, c["long_point"], c["cost"])
		}
	}
	if all.length != d.in || all.money != d.paid {
		d.t.Fatalf("in came %s for %d, and %s for %d are on the rack, in hand, cut and wasted", d.in, d.paid, all.length, all.money)
	}
	for _, o := range ask[[]book.Purchase](d, "order", "--list") {
		for _, l := range o.Lines {
			if l.ToCome() < 0 || l.Arrived-l.Extra+l.Gone+l.ToCome() != l.Sticks {
				d.t.Fatalf("order %d, line %d: %+v", o.ID, l.Number, l)
			}
		}
	}
	d.do("book", "check", d.book)
}

var (
	sheetStick = regexp.MustCompile(`>Stick \d+: ([^<]*?)(?:, taken up again)?</`)
	sheetCut   = regexp.MustCompile(`<tr><td>(?:<input type="checkbox" aria-label="cut \d+ done"( checked)?>)?</td>(<td[^>]*>(?:<s>)?\d+<.*?)</tr>`) // without a box where it is struck through
	sheetCell  = regexp.MustCompile(`<td[^>]*>(.*?)</td>`)
	sheetTag   = regexp.MustCompile(`<[^>]*>`)
	labelOf    = regexp.MustCompile(`<title id="[^"]*">Side (.*?) of job (.*?), frame (.*?), long point (.*?) mm, .*?, cut (\d+) from stick ([^,]*?)(?:, lot .*?)?, due .*?Code: (.*?)</title>`)
)

// printAll prints cut sheets, labels and tickets of the open runs and all orders that are to come, and compares them line by line with the book.
func (d *desk) printAll() {
	d.t.Helper()
	for _, open := range ask[[]runs.Run](d, "run") {
		r := ask[runAnswer](d, "run", "--show", fmt.Sprint(open.ID))
		d.compareCuts(r, d.do("sheets", d.book, "cuts", "--run", fmt.Sprint(r.ID), "--as", "html"))
		d.compareLabels(r, d.do("sheets", d.book, "labels", "--run", fmt.Sprint(r.ID), "--as", "html"))
		tickets := d.do("sheets", d.book, "tickets", "--run", fmt.Sprint(r.ID), "--as", "html")
		for _, c := range r.Cuts {
			if !strings.Contains(tickets, html.EscapeString(c.Job)) {
				d.t.Errorf("no ticket names job %s", c.Job)
			}
		}
	}
	for _, o := range ask[[]book.Purchase](d, "order", "--list") {
		text := d.do("sheets", d.book, "--order", fmt.Sprint(o.ID), "--as", "html")
		for _, l := range o.Lines {
			row := fmt.Sprintf(`(?s)<td class="n">%d</td>.{0,80}%s.{0,80}<td class="m">%s</td><td class="n"><strong>%d</strong></td>`, l.Number, l.Profile, strings.TrimSuffix(l.Length.String(), " mm"), l.Sticks)
			if !regexp.MustCompile(row).MatchString(text) {
				d.t.Errorf("order %d on paper has no line %+v", o.ID, l)
			}
			d.printed++
		}
	}
}

// compareCuts holds a cut sheet against its run.
func (d *desk) compareCuts(r runAnswer, page string) {
	d.t.Helper()
	var want, got []string
	for _, c := range r.Cuts {
		side := c.Letter
		if word := map[string]string{runs.Torn: " torn", runs.Short: " short", runs.Unwanted: " unwanted", runs.PutOff: " put off"}[c.Became]; word != "" {
			side += word
		}
		want = append(want, fmt.Sprintf("%d %s %t %s %s %s %s copy %d", c.No, c.Stick, c.Became == runs.Done, strings.TrimSuffix(c.LongPoint.String(), " mm"), side, c.Job, c.Frame, c.Copy))
	}
	stick := ""
	for line := range strings.Lines(page) {
		if m := sheetStick.FindStringSubmatch(line); m != nil {
			stick, _, _ = strings.Cut(m[1], ", ") // behind it the part that is cut
		}
		if m := sheetCut.FindStringSubmatch(line); m != nil {
			var cells []string
			for _, cell := range sheetCell.FindAllStringSubmatch(m[2], -1) {
				cells = append(cells, html.UnescapeString(sheetTag.ReplaceAllString(cell[1], "")))
			}
			frame, copy, several := strings.Cut(cells[6], " no ")
			if !several {
				copy = "1"
			}
			got = append(got, fmt.Sprintf("%s %s %t %s %s %s %s copy %s", cells[0], stick, m[1] != "", cells[2], cells[4], cells[5], frame, copy))
		}
	}
	d.printed += len(got)
	if diff := gocmp.Diff(want, got); diff != "" {
		d.t.Fatalf("run %d in the book (-) and its cut sheet (+):\n%s", r.ID, diff)
	}
}

// compareLabels holds the labels against their run: one for each side that is good or still to be made, from the stick it comes off.
func (d *desk) compareLabels(r runAnswer, page string) {
	d.t.Helper()
	var want, got []string
	for _, c := range r.Cuts {
		if c.Became == runs.Done || c.Became == runs.ToCut {
			want = append(want, fmt.Sprintf("%d %s %s %s", c.No, c.Stick, c.Letter, c.Job))
		}
	}
	for _, m := range labelOf.FindAllStringSubmatch(page, -1) {
		got = append(got, fmt.Sprintf("%s %s %s %s", m[5], html.UnescapeString(m[6]), m[1], html.UnescapeString(m[2])))
	}
	slices.Sort(want)
	slices.Sort(got)
	d.printed += len(got)
	if diff := gocmp.Diff(want, got); diff != "" {
		d.t.Fatalf("run %d in the book (-) and its labels (+):\n%s", r.ID, diff)
	}
}

// everySideOnce demands that every side of every job was cut well exactly once.
func (d *desk) everySideOnce() {
	d.t.Helper()
	times := map[model.SideID]int{}
	for id := int64(1); id <= d.lastRun; id++ {
		for _, s := range ask[runs.Run](d, "run", "--show", fmt.Sprint(id)).Sticks {
			for _, side := range s.Sides {
				if side.Became == runs.Done {
					times[side.SideID]++
				}
			}
		}
	}
	sides := 0
	for _, j := range ask[[]book.JobState](d, "jobs", "--all") {
		sides += j.Sides
		if j.Cut != j.Sides {
			d.t.Errorf("job %s has %d of %d sides", j.Name, j.Cut, j.Sides)
		}
	}
	for id, n := range times {
		if n != 1 {
			d.t.Errorf("%s was cut %d times", id, n)
		}
	}
	if len(times) != sides || sides == 0 {
		d.t.Errorf("%d sides were cut, and the jobs have %d", len(times), sides)
	}
}
