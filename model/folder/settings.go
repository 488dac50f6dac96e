package folder

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"longpoint/model"
	"longpoint/model/table"
)

// settingKeys are the keys of workshop.toml. A length is a string like "2 mm" or a bare number in the workshop's units.
// Of a machine nothing is preset; what a limit leaves out limits nothing.
var settingKeys = []string{
	"name",     // for people
	"address",  // printed on orders; its lines parted by " / "
	"units",    // must: mm, cm or in: what bare numbers are in, and what lengths are printed in
	"currency", // must: an ISO 4217 code

	"machine.name",           // for people
	"machine.type",           // must: guillotine or saw
	"machine.overrun",        // must for a guillotine: how far the point of the V runs past the back edge
	"machine.kerf",           // must for a saw: width of the cut, square to the blade
	"machine.shave",          // must: kept in reserve at each mitre for the finishing cut
	"machine.head_trim",      // given up at the head of every stick; not given: 0
	"machine.tail_trim",      // likewise at its tail
	"machine.bite",           // guillotine: advance of the blades in one stroke; not given: one stroke
	"machine.finishing_bite", // guillotine: the last, thin bite

	"machine.limits.greatest_width", // widest profile
	"machine.limits.longest_side",   // measuring length
	"machine.limits.shortest_side",  // shortest side that is safe to hold
	"machine.limits.least_angle",    // mitre angles, measured from a square cut, in degrees
	"machine.limits.greatest_angle",
	"machine.limits.stops",    // number of measuring stops
	"machine.limits.stop_gap", // least distance between two of them

	"defaults.allowance",    // must: play added to a content size, per dimension
	"defaults.clearance",    // glass, mount and backing are cut so much smaller than the content size; not given: to the content size
	"defaults.rack_share",   // must: per cent of the price of new moulding that a stick on the rack is worth
	"defaults.offcut_share", // likewise what a kept offcut is worth to a plan; not given: nothing
	"defaults.keep",         // an offcut of this length or more is kept, where its profile does not say

	"printing.paper",    // A4 or Letter; not given: A4
	"printing.tickets",  // job tickets on a page: 1, 2 or 4; not given: 4
	"printing.fraction", // least fraction of an inch that lengths are read to: 1/16, 1/32 or 1/64; not given: 1/64

	"labels.form",    // sheet or roll; not given: sheet
	"labels.columns", // must, on sheets, where anything about labels is given: labels across
	"labels.rows",    // likewise down
	"labels.width",   // must, likewise, of one label
	"labels.height",
	"labels.left",   // from the sheet's left edge to the first label; not given: 0
	"labels.top",    // likewise from its upper edge
	"labels.across", // between labels side by side; not given: 0
	"labels.down",   // between one label and the one under it; not given: 0

	"tables.dates",     // how the tables write days, like day.month.year; not given: what can be read in two ways is refused
	"tables.decimal",   // their decimal mark, point or comma; likewise
	"tables.thousands", // their mark between thousands: point, comma, apostrophe or blank; likewise
}

// settings are what workshop.toml says: texts by key, each with its line.
type settings struct {
	where  model.Place // of what is not given
	values map[string]table.Value
}

// parseSettings takes workshop.toml apart and reports keys it does not know; one that is nearly that of a setting the file
// lacks is then taken for it, so that one slip is one error. ok = false: the file is not TOML.
//
// It walks the syntax tree, because the decoder proper keeps neither the lines of the values nor the digits of the
// numbers, and stops at its first error.
func parseSettings(file, text string, p *table.Problems) (s settings, ok bool) {
	s = settings{where: model.Place{File: file}, values: map[string]table.Value{}}
	var whole map[string]any
	if err := toml.Unmarshal([]byte(text), &whole); err != nil { // full syntax, keys given twice
		where := model.Place{File: file}
		var syntax *toml.DecodeError
		if errors.As(err, &syntax) {
			where.Line, _ = syntax.Position()
		}
		p.Add(where, "this is not TOML: "+codePoint.ReplaceAllString(strings.TrimPrefix(err.Error(), "toml: "), ""),
			`write key = "value", one a line, each text in quotation marks`)
		return s, false
	}
	w := walk{settings: s, text: text, problems: p}
	w.parser.Reset([]byte(text))
	section := ""
	for w.parser.NextExpression() {
		switch node := w.parser.Expression(); node.Kind {
		case unstable.Table:
			section = dotted("", node.Key())
			if !isSection(section) {
				w.unknown("", section, "there is no table "+model.Quote("["+section+"]"), sections, node.Child())
			}
		case unstable.ArrayTable:
			section = dotted("", node.Key())
			p.Add(w.place(section, node.Child()), model.Quote("[["+section+"]]")+" is a list of tables", "write a table's name in single brackets")
		case unstable.KeyValue:
			w.take(section, node)
		}
	}
	for _, slip := range w.slips {
		if _, given := s.values[slip.key]; !given {
			s.values[slip.key] = slip.value
		}
	}
	return s, true
}

// codePoint is how the parser numbers a character before it shows it, which tells a framer nothing.
var codePoint = regexp.MustCompile(`U\+[0-9A-F]+ `)

// walk is one walk through the syntax tree of workshop.toml.
type walk struct {
	settings
	text     string
	parser   unstable.Parser
	problems *table.Problems
	slips    []slip // at most one a reported error
}

// slip is a value whose key is nearly another.
type slip struct {
	key   string // that other
	value table.Value
}

// take keeps the value of a key, or of every key of an inline table.
func (w *walk) take(section string, node *unstable.Node) {
	key := dotted(section, node.Key())
	content := node.Value()
	switch {
	case isSection(key) && content.Kind == unstable.InlineTable:
		for it := content.Children(); it.Next(); {
			w.take(key, it.Node())
		}
	case isSection(key):
		w.problems.Add(w.place(key, node), model.Quote(key)+" is a table, not a setting",
			"write ["+key+"] on a line of its own and its settings below it")
	case slices.Contains(settingKeys, key):
		w.values[key] = w.value(key, node, content)
	case section == "" || isSection(section):
		prefix := ""
		if section != "" {
			prefix = section + "."
		}
		if near, found := w.unknown(prefix, key, "there is no setting "+model.Quote(key), namesIn(prefix), node); found {
			near = prefix + near
			w.slips = append(w.slips, slip{near, w.value(near, node, content)})
		}
	default: // the table itself has been reported
	}
}

// value gives a text or a number, and reports anything else.
func (w *walk) value(key string, node, content *unstable.Node) table.Value {
	where := w.place(key, node)
	switch content.Kind {
	case unstable.String, unstable.Integer, unstable.Float:
		return table.Setting(strings.TrimSpace(string(content.Data)), where)
	}
	w.problems.Add(where, "this is neither a text nor a number", "write a number, or a text in quotation marks")
	return table.Reported(where)
}

// unknown reports a key that means nothing, with the name that is meant, if one is near its own, or else those there are.
// Names are without the prefix that the key starts with.
func (w *walk) unknown(prefix, key, what string, names []string, node *unstable.Node) (near string, found bool) {
	if w.problems.Full() {
		w.problems.Add(model.Place{}, what, "")
		return "", false
	}
	do := "take it out; what can stand here is " + strings.Join(names, ", ")
	if near, found = model.Nearest(strings.TrimPrefix(key, prefix), names); found {
		do = "did you mean " + near + "?"
	}
	w.problems.Add(w.place(key, node), what, do)
	return near, found
}

// place gives the place of a node that has its text, which a table has not but the parts of its name have. It counts
// lines, so it is not for every key of a long file.
func (w *walk) place(key string, node *unstable.Node) model.Place {
	return model.Place{File: w.where.File, Line: 1 + strings.Count(w.text[:node.Raw.Offset], "\n"), Column: table.Clip(key)}
}

// namesIn gives the names of the settings whose keys start with a prefix, without it.
func namesIn(prefix string) (names []string) {
	for _, key := range settingKeys {
		if name, in := strings.CutPrefix(key, prefix); in {
			names = append(names, name)
		}
	}
	return names
}

// sections are the tables of workshop.toml.
var sections = []string{"machine", "machine.limits", "defaults", "printing", "labels", "tables"}

func isSection(key string) bool { return slices.Contains(sections, key) }

// dotted joins the parts of a key behind its table's.
func dotted(section string, parts unstable.Iterator) string {
	key := section
	for parts.Next() {
		if key != "" {
			key += "."
		}
		part := string(parts.Node().Data)
		if part == "" || strings.Contains(part, ".") {
			part = strconv.Quote(part) // so that "a.b" is not b in a
		}
		key += part
	}
	return key
}

// sheetSettings takes settings from a sheet. It reports keys that it does not know.
func sheetSettings(file string, t *table.Table, p *table.Problems) settings {
	s := settings{where: model.Place{File: file, Sheet: model.SettingsSheet}, values: map[string]table.Value{}}
	for r := range t.Rows() {
		key := r.Cell("setting")
		v := r.Cell("value")
		if v.Where.Column = key.Text; !v.Blank() {
			v = table.Setting(v.Text, v.Where)
		}
		switch _, twice := s.values[key.Text]; {
		case !slices.Contains(settingKeys, key.Text):
			p.Add(key.Where, "there is no setting "+model.Quote(key.Text), model.DidYouMean(key.Text, settingKeys, "take it out; there are "+strings.Join(settingKeys, ", ")))
		case twice:
			p.Add(v.Where, "the setting is given twice", "take one away")
		default:
			s.values[key.Text] = v
		}
	}
	return s
}

// at gives a setting, blank where it is not given.
func (s settings) at(key string) table.Value {
	if v, given := s.values[key]; given {
		return v
	}
	where := s.where
	where.Column = key
	return table.Setting("", where)
}

// apply puts the settings into the workshop.
func (s settings) apply(w *model.Workshop, c *table.Converter) {
	w.Name = s.at("name").Text
	w.Address = table.OneLine(s.at("address").Text)
	s.applyUnits(w, c)
	s.applyHabits(w, c)
	w.Printing = s.printing(c)
	w.Unit = w.Unit.ReadTo(w.Printing.Fraction)
	w.Machine = s.machine(c)
	w.Machine.Unit = w.Unit
	w.Defaults.Allowance = c.Amount(s.at("defaults.allowance"))
	w.Defaults.Clearance = c.AmountOr(s.at("defaults.clearance"), 0)
	if v := s.at("defaults.rack_share"); c.Given(v) {
		w.Defaults.RackShare = c.Share(v).Percent
	}
	w.Defaults.OffcutShare = c.Share(s.at("defaults.offcut_share")).Percent
	w.Defaults.Keep = c.Limit(s.at("defaults.keep"))
}

// applyUnits sets unit and currency, in the workshop and for what is converted from here on. Where they are no good they
// stay what the converter had.
func (s settings) applyUnits(w *model.Workshop, c *table.Converter) {
	if v := s.at("units"); c.Given(v) {
		unit, err := model.ParseUnit(v.Text)
		if c.Parsed(v, err) {
			c.Unit = unit
		}
	}
	if v := s.at("currency"); c.Given(v) {
		currency, err := model.ParseCurrency(v.Text)
		if c.Parsed(v, err) {
			c.Currency = currency
		}
	}
	w.Unit, w.Currency = c.Unit, c.Currency
}

// applyHabits sets how the tables write days and numbers, in the workshop and for what is converted from here on.
func (s settings) applyHabits(w *model.Workshop, c *table.Converter) {
	var h model.Habits
	for _, setting := range []struct {
		key   string
		parse func(string) error
	}{
		{"tables.dates", func(text string) (err error) { h.Dates, err = model.ParseDateOrder(text); return err }},
		{"tables.decimal", func(text string) (err error) { h.Decimal, err = model.ParseMark(text, ".,"); return err }},
		{"tables.thousands", func(text string) (err error) { h.Thousands, err = model.ParseMark(text, ".,' "); return err }},
	} {
		if v := s.at(setting.key); !v.Blank() {
			c.Parsed(v, setting.parse(v.Text))
		}
	}
	c.Parsed(s.at("tables.thousands"), h.Check())
	c.Habits, w.Habits = h, h
}

func (s settings) machine(c *table.Converter) model.Machine {
	stops, _ := c.Count(s.at("machine.limits.stops"), 0, maxStops, 0)
	m := model.Machine{
		Name:          s.at("machine.name").Text,
		Shave:         c.Amount(s.at("machine.shave")),
		HeadTrim:      c.AmountOr(s.at("machine.head_trim"), 0),
		TailTrim:      c.AmountOr(s.at("machine.tail_trim"), 0),
		Bite:          c.AmountOr(s.at("machine.bite"), 0),
		FinishingBite: c.AmountOr(s.at("machine.finishing_bite"), 0),
		Limits: model.Limits{
			GreatestWidth: c.Limit(s.at("machine.limits.greatest_width")),
			LongestSide:   c.Limit(s.at("machine.limits.longest_side")),
			ShortestSide:  c.Limit(s.at("machine.limits.shortest_side")),
			LeastAngle:    c.Angle(s.at("machine.limits.least_angle")),
			GreatestAngle: c.Angle(s.at("machine.limits.greatest_angle")),
			Stops:         stops,
			StopGap:       c.Limit(s.at("machine.limits.stop_gap")),
		},
	}
	if v := s.at("machine.type"); c.Given(v) {
		m.Type = table.Choice(c, v, []string{"guillotine", "saw"}, []model.MachineType{model.Guillotine, model.Saw})
	}
	switch m.Type {
	case model.Guillotine:
		m.Overrun = c.Amount(s.at("machine.overrun"))
		s.foreign(c, "a guillotine", "machine.kerf")
	case model.Saw:
		m.Kerf = c.Size(s.at("machine.kerf"))
		s.foreign(c, "a saw", "machine.overrun", "machine.bite", "machine.finishing_bite")
	}
	return m
}

// printing gives how the workshop prints.
func (s settings) printing(c *table.Converter) model.Printing {
	of := func(key string) table.Value { return s.at("labels." + key) }
	columns, _ := c.Count(of("columns"), 1, model.MaxLabels, 0)
	rows, _ := c.Count(of("rows"), 1, model.MaxLabels, 0)
	p := model.Printing{
		Paper:    table.Choice(c, s.at("printing.paper"), model.Papers(), model.Papers()),
		Tickets:  table.Choice(c, s.at("printing.tickets"), []string{"1", "2", "4"}, model.TicketsAPage()),
		Fraction: table.Choice(c, s.at("printing.fraction"), []string{"1/16", "1/32", "1/64"}, model.Fractions()),
		Labels: model.LabelSheet{
			Roll:    table.Choice(c, of("form"), []string{"sheet", "roll"}, []bool{false, true}),
			Columns: columns, Rows: rows,
			Width: c.AmountOr(of("width"), 0), Height: c.AmountOr(of("height"), 0),
			Left: c.AmountOr(of("left"), 0), Top: c.AmountOr(of("top"), 0),
			Across: c.AmountOr(of("across"), 0), Down: c.AmountOr(of("down"), 0),
		},
	}
	return p
}

// maxStops is more measuring stops than any machine carries.
const maxStops = 100

// foreign reports what the other type of machine has and this one has not.
func (s settings) foreign(c *table.Converter, machine string, keys ...string) {
	for _, key := range keys {
		if v := s.at(key); !v.Blank() {
			_, name, _ := strings.Cut(key, ".")
			c.Problems.Add(v.Where, machine+" has no "+name, "take it out, or change machine.type")
		}
	}
}
