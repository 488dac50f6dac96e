package main

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

// sizeAnswer is what "longpoint size --json" prints. Lengths are whole nanometres, angles millionths of a degree
// measured from a square cut.
type sizeAnswer struct {
	Format      string       `json:"format"`
	Sides       int          `json:"sides"`
	Angle       model.Angle  `json:"mitre_microdegrees"`
	Width       model.Length `json:"width_nm"`
	RebateWidth model.Length `json:"rebate_width_nm"`
	Allowance   model.Length `json:"allowance_nm"`
	Content     sizeOpening  `json:"content"`
	Rebate      sizeOpening  `json:"rebate"`
	Sight       sizeOpening  `json:"sight"`
	Outside     sizeOpening  `json:"outside"`
	Cut         []sizeSide   `json:"cut"`
	Moulding    model.Length `json:"moulding_nm"`
	Machine     *sizeMachine `json:"machine,omitempty"`
}

// sizeOpening is a rectangle's width and height, or a polygon's side alone.
type sizeOpening struct {
	Width  model.Length `json:"width_nm"`
	Height model.Length `json:"height_nm,omitempty"`
}

// sizeSide is one side to cut.
type sizeSide struct {
	Letter    string       `json:"letter"`
	LongPoint model.Length `json:"long_point_nm"`
	Measure   model.Length `json:"measure_nm"`
	Set       model.Length `json:"set_nm"`
	Takes     model.Length `json:"takes_nm,omitempty"` // of a stick; with a machine only
}

// sizeMachine is what the machine adds.
type sizeMachine struct {
	Type      string         `json:"type"`
	MitreLoss model.Length   `json:"mitre_loss_nm"`
	Shave     model.Length   `json:"shave_nm"`
	Bites     []model.Length `json:"bites_nm,omitempty"`
	Takes     model.Length   `json:"takes_nm"` // all sides together, of sticks
}

// sizeFlags is the command line of "longpoint size", as typed.
type sizeFlags struct {
	sides                                     int
	content, rebate, sight, outside           string
	across                                    bool
	width, rebateWidth, allowance             string
	kerf, overrun, shave, bite, finishingBite string
	units                                     string
	json                                      bool
}

// size is "longpoint size": one frame, no files.
func (p *program) size() *cobra.Command {
	var f sizeFlags
	cmd := &cobra.Command{
		Use:   "size",
		Short: "Work out the sides of one frame, without any files",
		Long: `Work out the sides of one frame from the one size you know.

Say which size you have measured, and give it in quotes, width first:
  --content   what goes into the frame: the glass, the board, the canvas
  --rebate    the opening of the step that holds the glass
  --sight     the opening you see from the front
  --outside   along the back edge, outside to outside

and the moulding: --width across its face, --rebate-width of its step. A bare
number is in --units. A frame with more or fewer sides than four has one size,
the length of a side, or the distance across flats with --across.

The answer lists for every side its long point (point to point along the back
edge) and the same as measure and width, for a stop whose own scale is set to
the moulding's width: measure + 2 × set is the long point. With --overrun (a
guillotine) or --kerf (a saw) it also says what each side takes of a stick.`,
		Example: sizeExample,
		Args:    arguments(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			f.units = cmp.Or(f.units, unitHere(cmd.Context()))
			answer, unit, err := f.work()
			if err != nil {
				return err
			}
			if f.json {
				text, err := asJSON(answer)
				if err != nil {
					return err
				}
				return p.show(text)
			}
			return p.show(answer.page(unit))
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.content, "content", "", "content `size`, such as \"400 x 500 mm\"")
	flags.StringVar(&f.rebate, "rebate", "", "rebate `size`")
	flags.StringVar(&f.sight, "sight", "", "sight `size`")
	flags.StringVar(&f.outside, "outside", "", "outside `size`")
	flags.StringVar(&f.width, "width", "", "the moulding's width across its face, as a `length`")
	flags.StringVar(&f.rebateWidth, "rebate-width", "", "its rebate's width, as seen from the front, as a `length`")
	flags.StringVar(&f.allowance, "allowance", "0", "play, as a `length` for the whole width and the whole height")
	flags.IntVar(&f.sides, "sides", 4, "`number` of sides, 3 to 24")
	flags.BoolVar(&f.across, "across", false, "the size is the distance across flats (even number of sides)")
	flags.StringVar(&f.overrun, "overrun", "", "guillotine: how far the point of the V runs past the back edge, as a `length`")
	flags.StringVar(&f.bite, "bite", "", "guillotine: how far the blades advance in one bite, as a `length`")
	flags.StringVar(&f.finishingBite, "finishing-bite", "", "guillotine: how thin the last bite is, as a `length`")
	flags.StringVar(&f.kerf, "kerf", "", "saw: what the blade takes, square to the blade, as a `length`")
	flags.StringVar(&f.shave, "shave", "0", "what is kept at each mitre for the finishing cut, as a `length`")
	flags.StringVar(&f.units, "units", "", "`unit` of bare numbers and of the answer: mm, cm or in (default that of the shop here, or mm)")
	flags.BoolVar(&f.json, "json", false, "answer as JSON, lengths in nanometres")
	return cmd
}

// unitHere gives the unit of the book or workshop that a command takes where none is named, or mm.
func unitHere(ctx context.Context) string {
	path, err := usualBook()
	if err != nil {
		return model.Millimetres.String()
	}
	w := &model.Workshop{Unit: model.Millimetres}
	if isBook(path) {
		err = reading(ctx, path, func(b *book.Book) (err error) {
			w, err = b.Workshop(ctx)
			return err
		})
	} else {
		w, err = folder.Read(path)
	}
	if err != nil {
		return model.Millimetres.String()
	}
	return w.Unit.String()
}

// work answers the question, and gives the unit to answer in.
func (f *sizeFlags) work() (*sizeAnswer, model.Unit, error) {
	unit, err := model.ParseUnit(f.units)
	if err != nil {
		return nil, 0, flagError("units", err)
	}
	size, err := f.frame(unit)
	if err != nil {
		return nil, 0, err
	}
	profile, allowance, err := f.moulding(unit)
	if err != nil {
		return nil, 0, err
	}
	machine, err := f.machine(unit)
	if err != nil {
		return nil, 0, err
	}
	ring, err := profile.Ring(size, allowance, unit)
	if err != nil {
		return nil, 0, asUsage(err)
	}
	return newSizeAnswer(profile, ring, machine), unit, nil
}

// frame is the frame's size: the one size that was given.
func (f *sizeFlags) frame(unit model.Unit) (model.Size, error) {
	size := model.Size{Shape: model.Shape{Sides: f.sides}, Across: f.across}
	given := 0
	for _, s := range []struct {
		flag, text string
		by         model.Given
	}{
		{"content", f.content, model.ByContent},
		{"rebate", f.rebate, model.ByRebate},
		{"sight", f.sight, model.BySight},
		{"outside", f.outside, model.ByOutside},
	} {
		if s.text == "" {
			continue
		}
		given++
		measures, err := model.ParseSize(s.text, unit)
		if err != nil {
			return size, flagError(s.flag, err)
		}
		switch {
		case f.sides == 4 && !f.across && len(measures) != 2:
			return size, usage("--"+s.flag+" needs a width and a height", `write it like "400 x 500 mm"`)
		case (f.sides != 4 || f.across) && len(measures) != 1:
			return size, usage(fmt.Sprintf("--%s needs one length for a frame of %d equal sides", s.flag, f.sides),
				"give the length of a side, or the distance across flats with --across")
		}
		size.By, size.Width = s.by, measures[0]
		if len(measures) == 2 {
			size.Height = measures[1]
		}
	}
	if given == 0 {
		return size, usage("the size of the frame is missing", "give one of --content, --rebate, --sight and --outside")
	}
	if given > 1 {
		return size, usage(fmt.Sprintf("%d sizes are given, and one is needed", given),
			"give one of --content, --rebate, --sight and --outside")
	}
	return size, nil
}

// moulding is the profile and the allowance.
func (f *sizeFlags) moulding(unit model.Unit) (profile model.Profile, allowance model.Length, err error) {
	profile.Name = "the moulding"
	for _, l := range []struct {
		flag, text string
		to         *model.Length
	}{
		{"width", f.width, &profile.Width},
		{"rebate-width", f.rebateWidth, &profile.Rebate},
		{"allowance", f.allowance, &allowance},
	} {
		if l.text == "" {
			return profile, 0, usage("--"+l.flag+" is missing", "measure the moulding and give it")
		}
		if *l.to, err = model.ParseLength(l.text, unit); err != nil {
			return profile, 0, flagError(l.flag, err)
		}
	}
	switch {
	case profile.Width <= 0:
		return profile, 0, usage("--width must be more than nothing", "measure the moulding across its face")
	case profile.Rebate < 0 || profile.Rebate >= profile.Width:
		return profile, 0, usage(fmt.Sprintf("a rebate width of %s does not fit a moulding %s wide",
			profile.Rebate.In(unit), profile.Width.In(unit)), "the rebate is narrower than the moulding")
	case allowance < 0:
		return profile, 0, usage("--allowance must not be negative", "play is added to the content size")
	}
	return profile, allowance, nil
}

// machine is the machine, or nil where nothing was said about one.
func (f *sizeFlags) machine(unit model.Unit) (*model.Machine, error) {
	saw := f.kerf != ""
	guillotine := f.overrun != "" || f.bite != "" || f.finishingBite != ""
	switch {
	case saw && guillotine:
		return nil, usage("--kerf is a saw's, and --overrun, --bite and --finishing-bite are a guillotine's",
			"describe one machine")
	case !saw && !guillotine && f.shave == "0":
		return nil, nil
	case !saw && !guillotine:
		return nil, usage("--shave needs to know the machine", "add --overrun for a guillotine or --kerf for a saw")
	}
	m := &model.Machine{Type: model.Guillotine, Unit: unit}
	if saw {
		m.Type = model.Saw
	}
	for _, l := range []struct {
		flag, text string
		to         *model.Length
	}{
		{"overrun", f.overrun, &m.Overrun},
		{"bite", f.bite, &m.Bite},
		{"finishing-bite", f.finishingBite, &m.FinishingBite},
		{"kerf", f.kerf, &m.Kerf},
		{"shave", f.shave, &m.Shave},
	} {
		if l.text == "" {
			continue
		}
		var err error
		if *l.to, err = model.ParseLength(l.text, unit); err != nil {
			return nil, flagError(l.flag, err)
		}
	}
	if err := m.Check(); err != nil {
		return nil, asUsage(err)
	}
	return m, nil
}

// newSizeAnswer gathers what is known of one frame.
func newSizeAnswer(profile model.Profile, ring model.RingGeometry, m *model.Machine) *sizeAnswer {
	a := &sizeAnswer{
		Format: "longpoint-size/1", Sides: ring.Shape.Sides, Angle: ring.Angle,
		Width: profile.Width, RebateWidth: profile.Rebate, Allowance: ring.Allowance,
		Content: sizeOpening(ring.Content), Rebate: sizeOpening(ring.Rebate),
		Sight: sizeOpening(ring.Sight), Outside: sizeOpening(ring.Outside),
		Moulding: ring.Moulding,
	}
	for _, s := range ring.Sides {
		side := sizeSide{Letter: s.Letter, LongPoint: s.LongPoint, Measure: s.Measure, Set: s.Set}
		if m != nil {
			side.Takes = m.Need(ring.Shape, s.LongPoint)
		}
		a.Cut = append(a.Cut, side)
	}
	if m == nil {
		return a
	}
	a.Machine = &sizeMachine{Type: "saw", MitreLoss: m.MitreLoss(ring.Shape), Shave: m.Shave}
	if m.Type == model.Guillotine {
		a.Machine.Type = "guillotine"
		if m.Bite > 0 || m.FinishingBite > 0 {
			a.Machine.Bites = m.Bites(profile).Advances
		}
	}
	for _, s := range a.Cut {
		a.Machine.Takes += s.Takes
	}
	return a
}

// page is the answer for people.
func (a *sizeAnswer) page(u model.Unit) string {
	var b strings.Builder
	b.WriteString(paragraph(fmt.Sprintf("%s, mitre angle %s from a square cut.", outline(a.Sides, a.Content.Width != a.Content.Height),
		a.Angle), ""))
	b.WriteString(paragraph(fmt.Sprintf("Moulding %s wide, rebate %s, allowance %s.", a.Width.In(u), a.RebateWidth.In(u),
		a.Allowance.In(u)), ""))
	b.WriteString("\n" + a.openings(u).String())
	b.WriteString("\n" + a.sides(u).String())
	b.WriteString("\n" + paragraph("Moulding in the frame, all long points together: "+a.Moulding.Near(u)+".", ""))
	if a.Machine != nil {
		b.WriteString(paragraph(a.Machine.sentence(u), ""))
	}
	b.WriteString("\n" + paragraph(caution, ""))
	return b.String()
}

// openings is the table of the frame's four sizes.
func (a *sizeAnswer) openings(u model.Unit) *table {
	t := &table{columns: []column{words("size"), numbers("side " + u.String())}}
	flat := a.Content.Height == 0
	if !flat {
		t.columns = []column{words("size"), numbers("width " + u.String()), numbers("height " + u.String())}
	}
	for _, o := range []struct {
		by   model.Given
		size sizeOpening
	}{{model.ByContent, a.Content}, {model.ByRebate, a.Rebate}, {model.BySight, a.Sight}, {model.ByOutside, a.Outside}} {
		show := sheet.ShownAs(o.by)
		row := []string{o.by.String(), show(o.size.Width, u)}
		if !flat {
			row = append(row, show(o.size.Height, u))
		}
		t.add(row...)
	}
	return t
}

// sides is the table of what to cut. Equal sides share a row.
func (a *sizeAnswer) sides(u model.Unit) *table {
	t := &table{columns: []column{words("side"), numbers("long point " + u.String()), numbers("measure " + u.String()),
		numbers("set " + u.String())}}
	if a.Machine != nil {
		t.columns = append(t.columns, numbers("takes of a stick "+u.String()))
	}
	for _, group := range equalSides(a.Cut) {
		s := group[0]
		letters := make([]string, len(group))
		for i := range group {
			letters[i] = group[i].Letter
		}
		measure, set := settings(s.LongPoint, s.Set, u)
		row := []string{letterList(letters), toCut(s.LongPoint, u), measure, set}
		if a.Machine != nil {
			row = append(row, near(s.Takes, u))
		}
		t.add(row...)
	}
	return t
}

// letterList gives "A C", and "A to X" for so many that they would push the table off the page: those are all the letters
// of a regular frame.
func letterList(letters []string) string {
	const most = 10
	if len(letters) > most {
		return letters[0] + " to " + letters[len(letters)-1]
	}
	return strings.Join(letters, " ")
}

// equalSides groups sides of one length, in the order in which each length comes first.
func equalSides(sides []sizeSide) [][]sizeSide {
	var groups [][]sizeSide
	at := map[model.Length]int{}
	for _, s := range sides {
		g, ok := at[s.LongPoint]
		if !ok {
			g = len(groups)
			at[s.LongPoint] = g
			groups = append(groups, nil)
		}
		groups[g] = append(groups[g], s)
	}
	return groups
}

// sentence says what the machine adds.
func (m *sizeMachine) sentence(u model.Unit) string {
	s := fmt.Sprintf("On the %s: mitre loss %s between two sides", m.Type, m.MitreLoss.Near(u))
	if m.Shave > 0 {
		s += fmt.Sprintf(", and %s kept at each mitre for the finishing cut", m.Shave.Near(u))
	}
	s += fmt.Sprintf("; all sides together take %s of sticks, besides what is trimmed off their two ends.", m.Takes.Near(u))
	if len(m.Bites) == 0 {
		return s
	}
	bites := make([]string, len(m.Bites))
	for i, bite := range m.Bites {
		bites[i] = toCut(bite, u)
	}
	return s + fmt.Sprintf(" Bites: %s %s.", strings.Join(bites, " + "), u)
}

// outline names a frame's outline.
func outline(sides int, oblong bool) string {
	if sides == 4 && oblong {
		return "Rectangle"
	}
	names := map[int]string{3: "Triangle", 4: "Square", 5: "Pentagon", 6: "Hexagon", 8: "Octagon", 10: "Decagon", 12: "Dodecagon"}
	if name, ok := names[sides]; ok {
		return name
	}
	return fmt.Sprintf("Regular frame of %d sides", sides)
}

// flagError says which flag could not be read and why.
func flagError(flag string, err error) error {
	e := usage("", "")
	if inner, ok := err.(*model.Error); ok {
		e.What, e.Do, e.Err = inner.What, inner.Do, inner.Err
	} else {
		e.What = err.Error()
	}
	e.What = "--" + flag + ": " + e.What
	if e.Do == "" {
		e.Do = `see "longpoint size --help" for how lengths are written`
	}
	return e
}

// asUsage makes the command line responsible for bad input that came from its flags.
func asUsage(err error) error {
	var out model.Errors
	for _, e := range leaves(err) {
		mine := *e
		mine.Where = model.Place{}
		if mine.Kind == model.BadInput {
			mine.Kind = model.BadUsage
		}
		out = append(out, &mine)
	}
	return out.AsError()
}
