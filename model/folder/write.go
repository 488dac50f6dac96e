package folder

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"longpoint/model"
	"longpoint/model/table"
)

// Tables gives a workshop's tables as they are written: profiles, suppliers, offers, rack and jobs, in the workshop's units.
// Read makes the same workshop of them. What a table has no column for is not in them: where a row stood, what is begun and
// what is cut.
func Tables(w *model.Workshop) []table.Written {
	f := format{w.Unit, w.Currency}
	return []table.Written{
		{Set: profileSet, Rows: rowsFrom(w.Profiles, func(p *model.Profile) [][]string { return [][]string{profileRow(p, f)} })},
		{Set: supplierSet, Rows: rowsFrom(w.Suppliers, func(s *model.Supplier) [][]string { return [][]string{supplierRow(s, f)} })},
		{Set: offerSet, Rows: rowsFrom(w.Offers, func(o *model.Offer) [][]string { return [][]string{offerRow(o, f)} })},
		{Set: rackSet, Rows: rowsFrom(w.Rack, func(s *model.Stick) [][]string { return [][]string{stickRow(s, f)} })},
		{Set: jobSet, Rows: rowsFrom(w.Jobs, func(j *model.Job) [][]string { return jobRows(j, f) })},
	}
}

// rowsFrom gives the rows of each of a list.
func rowsFrom[T any](list []T, rows func(*T) [][]string) table.Rows {
	return func(yield func([]string, error) bool) {
		for i := range list {
			for _, cells := range rows(&list[i]) {
				if !yield(cells, nil) {
					return
				}
			}
		}
	}
}

// SettingsTable gives a workshop's settings as a table, as a workbook has them.
func SettingsTable(w *model.Workshop) table.Written {
	var rows [][]string
	texts := settingTexts(w)
	for _, key := range allKeys {
		if text := texts[key]; text != "" {
			rows = append(rows, []string{key, text})
		}
	}
	return table.Written{Set: settingSet, Rows: table.RowsOf(rows)}
}

// SettingsText gives a workshop's settings as the text of workshop.toml.
func SettingsText(w *model.Workshop) (string, error) {
	texts := settingTexts(w)
	var b strings.Builder
	section := ""
	for _, key := range allKeys {
		text := texts[key]
		if text == "" {
			continue
		}
		at := strings.LastIndex(key, ".")
		if own := key[:max(at, 0)]; own != section {
			section = own
			fmt.Fprintf(&b, "\n[%s]\n", section)
		}
		line, err := toml.Marshal(map[string]string{key[at+1:]: text})
		if err != nil {
			return "", err
		}
		b.Write(line)
	}
	return b.String(), nil
}

// settingTexts gives the settings by their keys; blank: not given. Lengths have their unit.
func settingTexts(w *model.Workshop) map[string]string {
	f := format{w.Unit, w.Currency}
	m, p, d := w.Machine, w.Printing, w.Defaults
	texts := map[string]string{
		"name": w.Name, "address": w.Address, "units": w.Unit.String(), "currency": w.Currency.Code,
		"machine.name": m.Name, "machine.type": m.Type.String(), "machine.shave": f.own(m.Shave),
		"machine.head_trim": f.ownSome(m.HeadTrim), "machine.tail_trim": f.ownSome(m.TailTrim),
		"machine.bite": f.ownSome(m.Bite), "machine.finishing_bite": f.ownSome(m.FinishingBite),
		"machine.limits.greatest_width": f.ownOptional(m.Limits.GreatestWidth),
		"machine.limits.longest_side":   f.ownOptional(m.Limits.LongestSide), "machine.limits.shortest_side": f.ownOptional(m.Limits.ShortestSide),
		"machine.limits.least_angle": angle(m.Limits.LeastAngle), "machine.limits.greatest_angle": angle(m.Limits.GreatestAngle),
		"machine.limits.stops": count(m.Limits.Stops, 0), "machine.limits.stop_gap": f.ownOptional(m.Limits.StopGap),
		"defaults.allowance": f.own(d.Allowance), "defaults.clearance": f.ownSome(d.Clearance),
		"defaults.rack_share": fmt.Sprintf("%d %%", d.RackShare), "defaults.offcut_share": fmt.Sprintf("%d %%", d.OffcutShare),
		"defaults.keep":  f.ownOptional(d.Keep),
		"printing.paper": p.Paper, "printing.tickets": count(p.Tickets, 0),
		"tables.dates": string(w.Habits.Dates), "tables.decimal": model.MarkName(w.Habits.Decimal), "tables.thousands": model.MarkName(w.Habits.Thousands),
	}
	for _, set := range sets() {
		for _, column := range append(set.Names(), model.NoColumn) {
			texts[headingKey(set.Name, column)] = strings.Join(w.Habits.Headings.Of(set.Name, column), "; ")
			var words []string
			for _, pair := range w.Habits.Headings.Words(set.Name, column) {
				words = append(words, pair[0]+" = "+pair[1])
			}
			texts[wordKey(set.Name, column)] = strings.Join(words, "; ")
		}
	}
	switch m.Type {
	case model.Guillotine:
		texts["machine.overrun"] = f.own(m.Overrun)
	case model.Saw:
		texts["machine.kerf"] = f.own(m.Kerf)
	}
	if p.Fraction != 0 {
		texts["printing.fraction"] = fmt.Sprintf("1/%d", p.Fraction)
	}
	if l := p.Labels; !l.IsZero() {
		texts["labels.form"] = "sheet"
		if l.Roll {
			texts["labels.form"] = "roll"
		}
		texts["labels.columns"], texts["labels.rows"] = count(l.Columns, 0), count(l.Rows, 0)
		for key, length := range map[string]model.Length{"width": l.Width, "height": l.Height, "left": l.Left, "top": l.Top, "across": l.Across, "down": l.Down} {
			texts["labels."+key] = f.ownSome(length)
		}
	}
	return texts
}

// format is how numbers are written: lengths bare, in the workshop's unit, as far as that can say them exactly.
type format struct {
	unit     model.Unit
	currency model.Currency
}

func (f format) length(l model.Length) string { return l.Bare(f.unit) }
func (f format) money(m model.Money) string   { return m.In(f.currency) }

// some gives a length, or nothing for none.
func (f format) some(l model.Length) string {
	if l == 0 {
		return ""
	}
	return f.length(l)
}

func (f format) optional(m model.OptionalMoney) string {
	if !m.Given {
		return ""
	}
	return f.money(m.Amount)
}

// sum gives an amount, or nothing for none.
func (f format) sum(m model.Money) string {
	return f.optional(model.OptionalMoney{Amount: m, Given: m != 0})
}

// own gives a length with its unit.
func (f format) own(l model.Length) string { return l.In(f.unit) }

func (f format) ownSome(l model.Length) string {
	if l == 0 {
		return ""
	}
	return f.own(l)
}

func (f format) ownOptional(l model.OptionalLength) string {
	if !l.Given {
		return ""
	}
	return f.own(l.Length)
}

// spans gives parts of a stick. Where one of their lengths cannot be said in the unit, all have theirs.
func (f format) spans(all []model.Span) string {
	write := f.length
	parts := make([]string, len(all))
	for range 2 {
		for i, s := range all {
			parts[i] = write(s.From) + " to " + write(s.To)
		}
		if !strings.Contains(strings.Join(parts, ""), model.Millimetres.String()) {
			break
		}
		write = f.own
	}
	return strings.Join(parts, "; ")
}

// count gives a number, or nothing for the one that nothing stands for.
func count(n, nothing int) string {
	if n == nothing {
		return ""
	}
	return strconv.Itoa(n)
}

func share(s model.OptionalShare) string {
	if !s.Given {
		return ""
	}
	return strconv.Itoa(s.Percent)
}

func angle(a model.OptionalAngle) string {
	if !a.Given {
		return ""
	}
	return strings.TrimSuffix(a.Angle.String(), "°")
}
