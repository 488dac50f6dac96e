package sheet

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"longpoint/model"
	"longpoint/model/plan"
)

// Week is what became of the moulding of a past week.
type Week struct {
	Name  string // such as "2027-W12"
	Yield int64  // in parts per million; 0: nothing was used up, so that there is none to draw
}

// Summary makes the week's summary: profile by profile, what planning saved, what each job's moulding costs, and plots.
func (s *Source) Summary() (Piece, error) {
	d := s.Plan
	p := Piece{File: "summary", Paper: s.Paper, Title: "Week's summary", Under: s.under()}
	if len(d.Profiles) == 0 {
		p.add(Paragraph{Text: "There is nothing to cut."})
		return p, nil
	}
	p.add(Paragraph{Text: s.saved(), Strong: true})
	p.add(Heading{Text: "By profile"})
	p.add(s.profileTable())
	p.add(Paragraph{Text: "Cost is the money to pay and the value of sticks from the rack, less what goes on the rack where that is credited; no plan can cost less than the bound. Yield is " +
		"moulding in the frames, by long points, of the length used up. First-fit takes the longest side first and puts it on the first stick with room."})
	plots, err := s.plots()
	if err != nil {
		return p, err
	}
	p.add(plots)
	p.add(Heading{Text: "What each job's moulding costs"})
	s.addJobs(&p)
	return p, nil
}

// saved says what planning saved against first-fit.
func (s *Source) saved() string {
	f, ff := s.Plan.Total.Figures, s.Plan.Total.FirstFit
	text := fmt.Sprintf("%s from %s for %s; yield %s.", count(f.Sides, "side", "sides"), count(f.Sticks(), "stick", "sticks"), f.Cost.With(s.currency), f.YieldPercent())
	saved := ff.Figures.Cost - f.Cost
	switch {
	case !ff.Complete:
		return text + fmt.Sprintf(" First-fit finds no stick for %s, so the two cannot be compared.", count(ff.LeftOver, "side", "sides"))
	case saved <= 0:
		return text + " Planning saves no money over first-fit this time."
	}
	return text + fmt.Sprintf(" Planning saves %s against first-fit by longest side, which would take %s for %s; yield %s.", saved.With(s.currency),
		count(ff.Figures.Sticks(), "stick", "sticks"), ff.Figures.Cost.With(s.currency), ff.Figures.YieldPercent())
}

// profileTable sets each profile's plan beside first-fit.
func (s *Source) profileTable() Table {
	code := s.currency.Code
	t := Table{Caption: "Plan and first-fit by profile", Close: true, Columns: []Column{{"profile", "", Name}, {"sides", "", Number}, {"from rack", "", Number}, {"to buy", "", Number},
		{"cost", code, Number}, {"bound", code, Number}, {"grade", "", Mark}, {"yield", "%", Number}, {"first-fit sticks", "", Number}, {"first-fit cost", code, Number}, {"first-fit yield", "%", Number}}}
	row := func(name string, f plan.Figures, bound model.Money, grade plan.Grade, ff plan.Comparison) Row {
		r := Row{Cells: []string{name, fmt.Sprint(f.Sides), fmt.Sprint(f.RackSticks), fmt.Sprint(f.NewSticks), f.Cost.In(s.currency), bound.In(s.currency), string(grade), percent(f),
			fmt.Sprint(ff.Figures.Sticks()), ff.Figures.Cost.In(s.currency), percent(ff.Figures)}}
		if !ff.Complete {
			r.Cells[8], r.Cells[9], r.Cells[10] = "fails", "–", "–"
		}
		return r
	}
	for _, pp := range s.Plan.Profiles {
		t.Rows = append(t.Rows, row(pp.Name, pp.Figures, pp.Bound, pp.Grade, pp.FirstFit))
	}
	all := row("all", s.Plan.Total.Figures, s.Plan.Total.Bound, s.Plan.Total.Grade, s.Plan.Total.FirstFit)
	all.Sum = true
	t.Rows = append(t.Rows, all)
	return t
}

// jobsAbreast is how many jobs go into each of two tables side by side: no more than a page takes.
const jobsAbreast = 40

// addJobs says what each job's moulding costs, in tables side by side.
func (s *Source) addJobs(p *Piece) {
	var rows []Row
	for _, j := range s.Plan.Jobs {
		rows = append(rows, Row{Cells: []string{j.Job, j.Customer, s.day(j.Due), fmt.Sprint(j.Sides), j.Cost.In(s.currency)}})
	}
	rows = append(rows, Row{Sum: true, Cells: []string{"all", "", "", fmt.Sprint(s.Plan.Total.Figures.Sides), s.Plan.Shared().In(s.currency)}})
	table := func(rows []Row) Table {
		return Table{Caption: "Cost of moulding by job", Close: true, Rows: rows, Columns: []Column{{"job", "", Name}, {"customer", "", Name},
			{"due", "", Mark}, {"sides", "", Number}, {"cost", s.currency.Code, Number}}}
	}
	const few = 12 // rows that one table has room for under all else
	if len(rows) <= few {
		p.add(table(rows))
		return
	}
	for len(rows) > 0 {
		now := rows[:min(len(rows), 2*jobsAbreast)]
		rows = rows[len(now):]
		half := (len(now) + 1) / 2
		p.add(Abreast{{table(now[:half])}, {table(now[half:])}})
	}
}

// plots draws yield by profile, cost beside first-fit's, the rack by length, and the yield over weeks where there are any.
func (s *Source) plots() (Figures, error) {
	abreast := 3.0
	if len(s.Weeks) > 0 {
		abreast = 2
	}
	width := (s.Paper.inner() - (abreast-1)*figureGap) / abreast
	var out Figures
	for _, one := range []func(float64) (Figure, error){s.yieldPlot, s.costPlot, s.rackPlot, s.weekPlot} {
		f, err := one(width)
		if err != nil {
			return nil, &model.Error{Kind: model.Fault, What: "a plot could not be drawn", Err: err}
		}
		if f.Drawing != nil {
			out = append(out, f)
		}
	}
	return out, nil
}

// plotHeight is how high a plot is, in millimetres.
const plotHeight = 44

// newPlot is a plot in our typeface.
func newPlot(title, x, y string) *plot.Plot {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = title, x, y
	for _, style := range []*font.Font{&p.Title.TextStyle.Font, &p.X.Label.TextStyle.Font, &p.Y.Label.TextStyle.Font, &p.X.Tick.Label.Font, &p.Y.Tick.Label.Font, &p.Legend.TextStyle.Font} {
		style.Variant = "Sans"
		style.Size = vg.Points(7)
	}
	p.Title.TextStyle.Font.Size = vg.Points(9)
	p.Legend.Top, p.Legend.Padding, p.Legend.ThumbnailWidth = true, vg.Points(2), vg.Points(12)
	p.Y.Min = 0
	return p
}

// yieldPlot draws the plan's yield by profile.
func (s *Source) yieldPlot(width float64) (Figure, error) {
	values, alt := plotter.Values{}, "Yield by profile, in per cent:"
	for _, pp := range s.Plan.Profiles {
		values = append(values, float64(pp.Figures.Yield)/1e4)
		alt += fmt.Sprintf(" %s %s;", pp.Name, percent(pp.Figures))
	}
	p := newPlot("Yield by profile", "", "%")
	p.Y.Max = 100
	if err := addBars(p, width, s.profileNames(), barSet{"", values}); err != nil {
		return Figure{}, err
	}
	return Figure{plotted(p, width, plotHeight), alt}, nil
}

// costPlot draws the plan's cost beside first-fit's, of the profiles in which first-fit gets through.
func (s *Source) costPlot(width float64) (Figure, error) {
	var ours, theirs plotter.Values
	var names []string
	alt := "Cost by profile, this plan and first-fit, in " + s.currency.Code + ":"
	minor := math.Pow10(s.currency.Decimals)
	for _, pp := range s.Plan.Profiles {
		if pp.FirstFit.Complete {
			names = append(names, pp.Name)
			ours = append(ours, float64(pp.Figures.Cost)/minor)
			theirs = append(theirs, float64(pp.FirstFit.Figures.Cost)/minor)
			alt += fmt.Sprintf(" %s %s and %s;", pp.Name, pp.Figures.Cost.In(s.currency), pp.FirstFit.Figures.Cost.In(s.currency))
		}
	}
	if len(names) == 0 {
		return Figure{}, nil
	}
	p := newPlot("Cost: this plan and first-fit", "", s.currency.Code)
	if err := addBars(p, width, names, barSet{"this plan", ours}, barSet{"first-fit", theirs}); err != nil {
		return Figure{}, err
	}
	const legend = 1.25 // room over the bars
	p.Y.Max *= legend
	return Figure{plotted(p, width, plotHeight), alt}, nil
}

// rackPlot draws how many sticks of which length the rack holds before the plan is cut.
func (s *Source) rackPlot(width float64) (Figure, error) {
	if len(s.Workshop.Rack) == 0 {
		return Figure{}, nil
	}
	const classes = 10
	longest := model.Length(1)
	for _, stick := range s.Workshop.Rack {
		longest = max(longest, stick.Length)
	}
	class := rulerStep(s.unit, 1, paper(longest, 1)/classes)
	values := make(plotter.Values, longest/class+1)
	names := make([]string, len(values))
	for _, stick := range s.Workshop.Rack {
		values[stick.Length/class]++
	}
	alt := "Sticks on the rack by length:"
	for i := range names {
		names[i] = Near(model.Length(i)*class, s.unit)
		alt += fmt.Sprintf(" %.0f from %s;", values[i], (model.Length(i) * class).Near(s.unit))
	}
	p := newPlot("The rack before cutting, by length", "length from, "+s.unit.String(), "sticks")
	p.Y.Tick.Marker = wholeTicks{}
	if err := addBars(p, width, names, barSet{"", values}); err != nil {
		return Figure{}, err
	}
	return Figure{plotted(p, width, plotHeight), alt}, nil
}

// wholeTicks are ticks at whole numbers, eight or so of them.
type wholeTicks struct{}

// Ticks gives the ticks from 0 up to the greatest.
func (wholeTicks) Ticks(_, greatest float64) (ticks []plot.Tick) {
	step := max(1, int(greatest)/8)
	for n := 0; float64(n) <= greatest; n += step {
		ticks = append(ticks, plot.Tick{Value: float64(n), Label: fmt.Sprint(n)})
	}
	return ticks
}

// weekPlot draws the yield of past weeks.
func (s *Source) weekPlot(width float64) (Figure, error) {
	if len(s.Weeks) == 0 {
		return Figure{}, nil
	}
	p := newPlot("Yield over weeks", "", "%")
	p.Y.Max = 100
	alt, names := "Yield of past weeks, in per cent:", []string{}
	var run plotter.XYs // of weeks one after the other
	for i, w := range s.Weeks {
		names = append(names, w.Name)
		if w.Yield > 0 {
			run = append(run, plotter.XY{X: float64(i), Y: float64(w.Yield) / 1e4})
			alt += fmt.Sprintf(" %s %.1f;", w.Name, float64(w.Yield)/1e4)
		}
		if len(run) == 0 || w.Yield > 0 && i < len(s.Weeks)-1 {
			continue
		}
		line, dots, err := plotter.NewLinePoints(run)
		if err != nil {
			return Figure{}, err
		}
		line.Width, dots.Shape, dots.Radius = vg.Points(1), draw.CircleGlyph{}, vg.Points(1.6)
		p.Add(line, dots)
		run = nil
	}
	nameBars(p, width, names)
	return Figure{plotted(p, width, plotHeight), alt}, nil
}

// profileNames gives the names of the plan's profiles.
func (s *Source) profileNames() (names []string) {
	for _, pp := range s.Plan.Profiles {
		names = append(names, pp.Name)
	}
	return names
}

// barInks are the fills of the first and the second set of bars; both have a black outline.
var barInks = []color.Color{color.Gray{110}, color.White}

// barSet is one set of bars, with its legend where there are several.
type barSet struct {
	legend string
	values plotter.Values
}

// addBars adds one or two sets of bars over names.
func addBars(p *plot.Plot, width float64, names []string, sets ...barSet) error {
	const share = 0.58 // of the plot's width that is bars
	const widest = 12  // millimetres
	bar := vg.Length(min(widest, width*share/float64(len(names)*len(sets)))) * vg.Millimeter
	for i, set := range sets {
		bars, err := plotter.NewBarChart(set.values, bar)
		if err != nil {
			return err
		}
		bars.Color, bars.LineStyle.Width = barInks[i], vg.Points(0.5)
		bars.Offset = bar * vg.Length(2*i-len(sets)+1) / 2
		p.Add(bars)
		if set.legend != "" {
			p.Legend.Add(set.legend, bars)
		}
	}
	nameBars(p, width, names)
	return nil
}

// nameBars writes names under the bars: upright where they have room, else turned.
func nameBars(p *plot.Plot, width float64, names []string) {
	const size, most = 7 * point, 18
	short := make([]string, len(names))
	turn := false
	for i, n := range names {
		short[i] = fit(n, most, size, false)
		turn = turn || widthOf(short[i], size, false) > width*0.8/float64(len(names))
	}
	p.NominalX(short...)
	if turn {
		p.X.Tick.Label.Rotation = math.Pi / 2
		p.X.Tick.Label.XAlign, p.X.Tick.Label.YAlign = draw.XRight, draw.YCenter
	}
}
