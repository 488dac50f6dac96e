package book

import (
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/runs"
)

// A busy shop's years: what a week of ten years comes to that hold 50,000 jobs, 150,000 frames and 60,000 sticks.
const (
	weekJobs     = 97
	jobFrames    = 3
	weekSticks   = 116
	yearWeeks    = 52
	yearProfiles = 30
	fileLimit    = 300_000_000 // bytes for ten years
	openLimit    = time.Second // for a book after ten years, its open week read
	slowdown     = 1.5         // how much longer planning a week may take than in a fresh book
	weekTurns    = 5
)

var yearsDone = flag.Int("years", 10, "how many years BenchmarkTenYears fills a book with")

// TestYears fills a book with some weeks, demands that it is sound, and that its growth a week would keep ten years under the limit.
func TestYears(t *testing.T) {
	const weeks = 3
	b := yearsBook(t, weeks)
	sound(t, b)
	empty := fileSize(t, yearsBook(t, 0))
	if perWeek := (fileSize(t, b) - empty) / weeks; empty+perWeek*10*yearWeeks > fileLimit {
		t.Errorf("%d bytes a week make more than %d in ten years", perWeek, fileLimit)
	}
	var jobs, sides int
	must(t, b.db.QueryRow("SELECT count(*) FROM job WHERE state = 'collected'").Scan(&jobs))
	must(t, b.db.QueryRow("SELECT count(*) FROM cut").Scan(&sides))
	if jobs != weeks*weekJobs || sides != weeks*weekJobs*jobFrames*4 {
		t.Errorf("%d jobs, %d sides", jobs, sides)
	}
}

// BenchmarkTenYears measures a book after ten years beside a fresh one with the same open week: its size, how long it takes to open,
// and how long to open, plan and keep the plan.
func BenchmarkTenYears(bench *testing.B) {
	weeks := *yearsDone * yearWeeks
	dir := bench.TempDir()
	began := time.Now()
	path := filepath.Join(dir, "years.book")
	fillYears(bench, path, weeks)
	filled := time.Since(began)
	old, err := Open(bench.Context(), path)
	if err != nil {
		bench.Fatal(err)
	}
	w, err := old.Workshop(bench.Context())
	if err != nil {
		bench.Fatal(err)
	}
	if err := old.Close(); err != nil {
		bench.Fatal(err)
	}
	fresh := filepath.Join(dir, "fresh.book")
	if err := Create(bench.Context(), fresh, func(b *Book) error { return b.Fill(bench.Context(), w, tester) }); err != nil {
		bench.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		bench.Fatal(err)
	}
	// In turns, so that a busy moment of the machine falls on both; medians.
	var of, ofFresh []turn
	for range weekTurns {
		of, ofFresh = append(of, measureWeek(bench, path)), append(ofFresh, measureWeek(bench, fresh))
	}
	opening, planning := medians(of)
	freshOpening, freshly := medians(ofFresh)
	ratio := planning.Seconds() / freshly.Seconds()
	bench.ReportMetric(float64(info.Size())/(1<<20), "MiB")
	bench.ReportMetric(opening.Seconds()*1000, "ms-to-open")
	bench.ReportMetric(freshOpening.Seconds()*1000, "ms-to-open-fresh")
	bench.ReportMetric(planning.Seconds(), "s-to-plan")
	bench.ReportMetric(ratio, "of-a-fresh-book")
	bench.ReportMetric(filled.Seconds(), "s-to-fill")
	bench.ReportMetric(0, "ns/op")
	if info.Size() > fileLimit {
		bench.Errorf("the file has %d bytes", info.Size())
	}
	if opening > openLimit {
		bench.Errorf("opening takes %v", opening)
	}
	if ratio > slowdown {
		bench.Errorf("planning takes %.2f times as long as in a fresh book", ratio)
	}
	b, err := Open(bench.Context(), path)
	if err != nil {
		bench.Fatal(err)
	}
	defer b.Close()
	start := time.Now()
	found, err := b.Check(bench.Context())
	if err != nil || len(found) > 0 {
		bench.Errorf("the book is not sound: %v, %v", found, err)
	}
	bench.ReportMetric(time.Since(start).Seconds(), "s-to-check")
}

// turn is how long a book took to open with its open week read, and to plan that week and keep the plan besides.
type turn struct{ opening, whole time.Duration }

// measureWeek opens a book, reads all that is open, plans two of its profiles and keeps the plan. The plan must cost
// no more than its bound: a search that is stopped by its time limit takes as long in any book. Two profiles, so that the reading counts for more.
func measureWeek(bench *testing.B, path string) turn {
	start := time.Now()
	b, err := Open(bench.Context(), path)
	if err != nil {
		bench.Fatal(err)
	}
	w, _, err := b.Rest(bench.Context())
	if err != nil {
		bench.Fatal(err)
	}
	opened := time.Since(start)
	d, err := planner.Make(bench.Context(), w, planner.Options{MadeWith: start.String(), Profiles: []string{"profile-00", "profile-01"}, TimeLimit: time.Minute})
	if err != nil {
		bench.Fatal(err)
	}
	if d.Total.Gap != 0 { // nobody checks the proof here, so that the grade is open
		for _, p := range d.Profiles {
			bench.Logf("%s %s: %d sides wanted, %d sticks, cost %d, bound %d", p.Name, p.Grade, p.Figures.Sides, len(p.Sticks), p.Figures.Cost, p.Bound)
		}
		bench.Fatalf("the search was stopped %d above its bound", d.Total.Gap)
	}
	if _, err := b.KeepPlan(bench.Context(), d, tester); err != nil {
		bench.Fatal(err)
	}
	took := time.Since(start)
	if err := b.Close(); err != nil {
		bench.Fatal(err)
	}
	return turn{opened, took}
}

func medians(turns []turn) (opening, whole time.Duration) {
	var opened, took []time.Duration
	for _, t := range turns {
		opened, took = append(opened, t.opening), append(took, t.whole)
	}
	slices.Sort(opened)
	slices.Sort(took)
	return opened[len(opened)/2], took[len(took)/2]
}

func fileSize(t *testing.T, b *Book) int64 {
	t.Helper()
	_, err := b.db.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	must(t, err)
	info, err := os.Stat(b.path)
	must(t, err)
	return info.Size()
}

func yearsBook(t *testing.T, weeks int) *Book {
	t.Helper()
	path := filepath.Join(t.TempDir(), "years.book")
	fillYears(t, path, weeks)
	return openBook(t, path)
}

// fillYears makes a book with so many weeks done and one open.
func fillYears(t testing.TB, path string, weeks int) {
	t.Helper()
	w := smallShop()
	w.Rack, w.Jobs, w.Profiles, w.Offers = nil, nil, nil, nil
	w.Defaults.RackShare, w.Defaults.OffcutShare = 0, 0 // costs are whole sticks then, and plans are soon proven
	for p := range yearProfiles {
		name := fmt.Sprintf("profile-%02d", p)
		w.Profiles = append(w.Profiles, model.Profile{Name: name, Title: "Invented profile", Width: 30 * model.Millimetre, Rebate: 6 * model.Millimetre, Keep: 300 * model.Millimetre})
		w.Offers = append(w.Offers, model.Offer{Supplier: "Invented Timber", Profile: name, Length: 3 * model.Metre, Bundle: 1, From: 1, Price: 3000})
	}
	err := Create(t.Context(), path, func(b *Book) error {
		if err := b.Fill(t.Context(), w, tester); err != nil {
			return err
		}
		y := &years{b: b, r: rand.New(rand.NewPCG(10, 10)), day: time.Date(2017, 1, 2, 0, 0, 0, 0, time.UTC)}
		b.Now = func() time.Time { return y.day }
		for range weeks {
			if err := y.week(t, true); err != nil {
				return err
			}
		}
		return y.week(t, false)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// years writes weeks.
type years struct {
	b    *Book
	r    *rand.Rand
	day  time.Time
	jobs int
}

// week takes in a week's jobs and, where it is to be done, goes round it with the rows and the steps that the commands would write,
// a step a kind of work instead of a step a stick.
func (y *years) week(t testing.TB, done bool) error {
	var jobs []model.Job
	for range weekJobs {
		y.jobs++
		j := model.Job{ID: fmt.Sprint(y.jobs), Customer: fmt.Sprintf("customer %d", y.r.IntN(9000)), Due: model.Date{Time: y.day.AddDate(0, 0, 5)}}
		for f := range jobFrames {
			j.Frames = append(j.Frames, model.JobFrame{ID: fmt.Sprintf("frame %d", f+1), Quantity: 1, Rings: []model.Ring{{
				Profile: fmt.Sprintf("profile-%02d", y.r.IntN(yearProfiles)), Allowance: 3 * model.Millimetre,
				Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByOutside, Width: y.size(), Height: y.size()}}}})
		}
		jobs = append(jobs, j)
	}
	if _, err := y.b.TakeIn(t.Context(), jobs, tester); err != nil {
		return err
	}
	if !done {
		return nil
	}
	y.day = y.day.AddDate(0, 0, 7)
	d := y.document(jobs)
	id, err := y.b.KeepPlan(t.Context(), d, tester)
	if err != nil {
		return err
	}
	if _, _, err := y.b.PlaceOrders(t.Context(), id, false, tester); err != nil {
		return err
	}
	if _, err := y.b.Receive(t.Context(), id, Receipt{Place: "rack"}, tester); err != nil {
		return err
	}
	for _, p := range d.Profiles {
		if err := y.run(t, p, id); err != nil {
			return err
		}
	}
	var names []string
	for _, j := range jobs {
		names = append(names, j.ID)
	}
	_, err = y.b.Do(t.Context(), tester, MarkJobs(JobCollected, names...))
	return err
}

// size is a side of which ten go on a stick.
func (y *years) size() model.Length { return model.Length(200+y.r.IntN(80)) * model.Millimetre }

// document is a plan that cuts all sides from new sticks, as large as one that was searched for.
func (y *years) document(jobs []model.Job) *plan.Document {
	d := &plan.Document{Format: plan.Format, MadeWith: "test", Workshop: "Invented shop", Unit: "mm", Total: plan.Total{Grade: plan.Proven}}
	for p := range yearProfiles {
		pp := plan.ProfilePlan{Name: fmt.Sprintf("profile-%02d", p), Width: 30 * model.Millimetre, HeadTrim: 30 * model.Millimetre, Bites: plan.Bites{Strokes: 3},
			Grade: plan.Proven, Cuts: json.RawMessage(y.certificate())}
		var stick *plan.Stick
		left := model.Length(0)
		for _, j := range jobs {
			for _, f := range j.Frames {
				if f.Rings[0].Profile != pp.Name {
					continue
				}
				for i, letter := range []string{"A", "B", "C", "D"} {
					long := f.Rings[0].Size.Width
					if i%2 == 1 {
						long = f.Rings[0].Size.Height
					}
					takes := long + 5*model.Millimetre
					if stick == nil || left < takes {
						pp.Sticks = append(pp.Sticks, plan.Stick{ID: fmt.Sprintf("new %d", len(pp.Sticks)+1), From: plan.Bought, Supplier: "Invented Timber", Length: 3 * model.Metre, Cost: 3000})
						stick, left = &pp.Sticks[len(pp.Sticks)-1], 3*model.Metre-pp.HeadTrim
					}
					stick.Sides = append(stick.Sides, plan.Side{SideID: model.SideID{Job: j.ID, Frame: f.ID, Copy: 1, Ring: 1, Letter: letter}, Of: 4, Angle: 45 * model.Degree,
						LongPoint: long, Measure: long, Start: 3*model.Metre - left + 5*model.Millimetre/2, Takes: takes})
					left -= takes
					stick.Left = plan.Left{Length: left}
				}
			}
		}
		if n := len(pp.Sticks); n > 0 {
			d.Profiles = append(d.Profiles, pp)
			d.Buy = append(d.Buy, plan.Purchase{Supplier: "Invented Timber", Profile: pp.Name, Length: 3 * model.Metre, Count: n, Price: 3000, Cost: model.Money(3000 * n)})
			d.Total.Figures.NewSticks += n
		}
	}
	return d
}

// certificate is as much JSON as a profile's cuts document holds, with numbers that packing cannot guess.
func (y *years) certificate() string {
	numbers := make([]int64, 150)
	for i := range numbers {
		numbers[i] = y.r.Int64N(1 << 30)
	}
	text, err := json.Marshal(map[string]any{"numbers": numbers})
	if err != nil {
		panic(err) // numbers
	}
	return string(text)
}

// run cuts a profile.
func (y *years) run(t testing.TB, p plan.ProfilePlan, id int64) error {
	r, _, err := y.b.StartRun(t.Context(), p.Name, id, tester)
	if err != nil {
		return err
	}
	if _, err := y.b.write(t.Context(), "cut", tester, func(tx *transaction) error {
		for _, s := range r.Sticks {
			for _, side := range s.Sides {
				if err := tx.cut(r, s, side, runs.Done); err != nil {
					return err
				}
			}
		}
		return nil
	}); err != nil {
		return err
	}
	_, _, err = y.b.Finish(t.Context(), r.ID, nil, tester)
	return err
}
