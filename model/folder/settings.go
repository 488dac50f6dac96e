package folder

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"longpoint/model"
	"longpoint/model/table"
)

// Setting is a key of workshop.toml. A length is a string like "2 mm" or a bare number in the workshop's units. Of a machine nothing is
// preset; what a limit leaves out limits nothing.
type Setting struct {
	Key   string   // with its section, such as machine.shave
	Need  string   // yes, or where it must be given; empty: nowhere
	About string   // what it is, as the topic "tables" and the pages say it
	Words []string // that it can be; empty: it is a text or a number
}

// Section is a table of workshop.toml: settings that belong together. The first has no name, and stands before the tables.
type Section struct {
	Name, Title, About string
	Settings           []Setting
}

// Sections are all settings, in the order in which they are written.
var Sections = []Section{
	{Title: "The shop", Settings: []Setting{
		{Key: "name", About: "of the workshop"},
		{Key: "address", About: "printed on orders; ` / ` parts its lines"},
		{Key: "units", Need: "yes", About: "`mm`, `cm` or `in`: what bare numbers are in, and what is printed", Words: []string{"mm", "cm", "in"}},
		{Key: "currency", Need: "yes", About: "its three letters, such as `EUR`; `€` and `£` are known too, and `$` is that of several"},
	}},
	{Name: "machine", Title: "The machine", About: "None of these figures is preset: copy them from the machine's manual.", Settings: []Setting{
		{Key: "machine.name", About: "for people"},
		{Key: "machine.type", Need: "yes", About: "`guillotine` or `saw`", Words: []string{"guillotine", "saw"}},
		{Key: "machine.overrun", Need: "guillotine", About: "length: how far the point of the V runs past the back edge"},
		{Key: "machine.kerf", Need: "saw", About: "length: width of the cut, square to the blade"},
		{Key: "machine.shave", Need: "yes", About: "length kept in reserve at each mitre for the finishing cut"},
		{Key: "machine.head_trim", About: "length given up at the head of every stick; on a guillotine it is never less than the moulding needs"},
		{Key: "machine.tail_trim", About: "the same at its tail"},
		{Key: "machine.bite", About: "on a guillotine, length: how far the blades advance in one stroke"},
		{Key: "machine.finishing_bite", About: "on a guillotine, length: the last, thin stroke"},
	}},
	{Name: "machine.limits", Title: "Limits of the machine", About: "Copy them from the machine's manual. What is left out limits nothing, and warns of nothing.", Settings: []Setting{
		{Key: "machine.limits.greatest_width", About: "length: widest moulding"},
		{Key: "machine.limits.longest_side", About: "length: as far as the machine measures"},
		{Key: "machine.limits.shortest_side", About: "length: shortest side that is safe to hold"},
		{Key: "machine.limits.least_angle", About: "degrees: smallest mitre it cuts, measured from a square cut (45 for four sides, 30 for six)"},
		{Key: "machine.limits.greatest_angle", About: "degrees: greatest one"},
		{Key: "machine.limits.stops", About: "how many measuring stops there are; left out: one"},
		{Key: "machine.limits.stop_gap", About: "length: least distance between two stops"},
	}},
	{Name: "defaults", Title: "What holds where nothing else is said", Settings: []Setting{
		{Key: "defaults.allowance", Need: "yes", About: "length: play, once for the whole width and once for the whole height; with more sides than four, across the frame"},
		{Key: "defaults.clearance", About: "length: glass, mount and backing are cut so much smaller than the content size, once for the whole width and once for the whole height; left out: to the content size"},
		{Key: "defaults.rack_share", Need: "yes", About: "per cent of the price of new moulding that a stick on the rack is worth"},
		{Key: "defaults.offcut_share", About: "per cent of the price of new moulding that a kept offcut is worth to a plan; left out: nothing"},
		{Key: "defaults.keep", Need: "yes, unless every profile has its own", About: "length from which on an offcut is kept"},
	}},
	{Name: "printing", Title: "Printing", About: "Each counts where the command line does not say otherwise.", Settings: []Setting{
		{Key: "printing.paper", About: "`A4` or `Letter`; left out: A4", Words: model.Papers()},
		{Key: "printing.tickets", About: "job tickets on a page, 1, 2 or 4; left out: 4", Words: []string{"1", "2", "4"}},
		{Key: "printing.fraction", About: "in inches, the least fraction that lengths are read to: `1/16`, `1/32` or `1/64`; left out: `1/64`. What is cut to is never rounded so", Words: []string{"1/16", "1/32", "1/64"}},
	}},
	{Name: "labels", Title: "Labels", About: "How labels lie on a sheet, as you measured it.", Settings: []Setting{
		{Key: "labels.form", About: "`sheet`, or `roll`: each label a page of its own size; left out: `sheet`", Words: []string{"sheet", "roll"}},
		{Key: "labels.columns", Need: "on sheets", About: "how many labels there are across"},
		{Key: "labels.rows", Need: "on sheets", About: "how many there are down"},
		{Key: "labels.width", Need: "with any other of these", About: "length: of one label"},
		{Key: "labels.height", Need: "with any other of these", About: "length"},
		{Key: "labels.left", About: "length: from the sheet's left edge to the first label"},
		{Key: "labels.top", About: "length: from its upper edge"},
		{Key: "labels.across", About: "length: between labels side by side"},
		{Key: "labels.down", About: "length: between one label and the one under it"},
	}},
	{Name: "tables", Title: "Tables", About: "How the tables are written. What is left out is read where it can be read in one way only.", Settings: []Setting{
		{Key: "tables.dates", About: "the order of a date and its mark, such as `day.month.year` or `month/day/year`; year-month-day is always read"},
		{Key: "tables.decimal", About: "the mark before decimals: `point` or `comma`", Words: []string{"point", "comma"}},
		{Key: "tables.thousands", About: "the mark between thousands: `point`, `comma`, `apostrophe` or `blank`", Words: []string{"point", "comma", "apostrophe", "blank"}},
	}},
}

// settingKeys are the keys of all settings, and sections the names of their tables.
var settingKeys, sections = keysOf(Sections)

func keysOf(all []Section) (keys, names []string) {
	for _, s := range all {
		if s.Name != "" {
			names = append(names, s.Name)
		}
		for _, one := range s.Settings {
			keys = append(keys, one.Key)
		}
	}
	return keys, names
}

// wordsOf gives the words that a setting can be.
func wordsOf(key string) []string {
	for _, s := range Sections {
		for _, one := range s.Settings {
			if one.Key == key {
				return one.Words
			}
		}
	}
	return nil
}

// headingKeys are further keys of workshop.toml, of the shop's own headings: headings.jobs.due and so on, and headings.jobs.none for those that
// mean nothing here; and of its own words in a column, words.jobs.sides and so on. Of several each stands behind a semicolon. They come from tables, not from a form.
var headingKeys, headingSections = keysOf(ownHeadings())

func ownHeadings() (all []Section) {
	for _, set := range sets() {
		headings, words := Section{Name: "headings." + set.Name}, Section{Name: "words." + set.Name}
		for _, column := range set.Names() {
			headings.Settings = append(headings.Settings, Setting{Key: headingKey(set.Name, column)})
			words.Settings = append(words.Settings, Setting{Key: wordKey(set.Name, column)})
		}
		headings.Settings = append(headings.Settings, Setting{Key: headingKey(set.Name, model.NoColumn)})
		all = append(all, headings, words)
	}
	return all
}

func headingKey(table, column string) string { return "headings." + table + "." + column }

func wordKey(table, column string) string { return "words." + table + "." + column }

// allKeys are all keys of workshop.toml, and allSections its tables.
var allKeys, allSections = slices.Concat(settingKeys, headingKeys), slices.Concat(sections, headingSections)

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
	if n := longLine(text); n > 0 {
		p.Add(model.Place{File: file, Line: n}, fmt.Sprintf("this line has more than %d characters, and no setting takes so many", longestLine), "take it out, or shorten it")
		return s, false
	}
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
				w.unknown("", section, "there is no table "+model.Quote("["+section+"]"), allSections, node.Child())
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

// longestLine is how many bytes a line of workshop.toml may have: the parser's time grows with the square of the parts of a key.
const longestLine = 10_000

// longLine gives the number of the first line that is longer; 0: none is.
func longLine(text string) int {
	n := 0
	for line := range strings.Lines(text) {
		if n++; len(line) > longestLine {
			return n
		}
	}
	return 0
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
	case slices.Contains(allKeys, key):
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
	keys := settingKeys
	if strings.HasPrefix(prefix, "headings.") || strings.HasPrefix(prefix, "words.") {
		keys = headingKeys
	}
	for _, key := range keys {
		if name, in := strings.CutPrefix(key, prefix); in {
			names = append(names, name)
		}
	}
	return names
}

func isSection(key string) bool { return slices.Contains(allSections, key) }

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
		case !slices.Contains(allKeys, key.Text):
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
	h.Headings = s.headings(c)
	c.Habits, w.Habits = h, h
}

// headings gives the shop's own headings and words.
func (s settings) headings(c *table.Converter) (h model.Headings) {
	for _, set := range sets() {
		for _, column := range append(set.Names(), model.NoColumn) {
			for heading := range strings.SplitSeq(s.at(headingKey(set.Name, column)).Text, ";") {
				heading = table.OneLine(heading)
				switch bare, unit := model.HeadingIn(heading); {
				case heading == "":
				case unit != 0 && columnOf(set.Name, column).Kind == table.Length:
					h = h.AddIn(set.Name, column, bare, unit)
				default:
					h = h.Add(set.Name, column, heading)
				}
			}
			v := s.at(wordKey(set.Name, column))
			for pair := range strings.SplitSeq(v.Text, ";") {
				if table.OneLine(pair) == "" {
					continue
				}
				own, word, found := strings.Cut(pair, "=")
				own, word = table.OneLine(own), table.OneLine(word)
				if !found || own == "" || word == "" {
					c.Problems.Add(v.Where, model.Quote(table.OneLine(pair))+" is no word with what it means", "write it like Hexagon = 6, several with ; between them")
					continue
				}
				h = h.AddWord(set.Name, column, own, word)
			}
		}
	}
	return h
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
		m.Type = table.Choice(c, v, wordsOf("machine.type"), []model.MachineType{model.Guillotine, model.Saw})
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
		Paper:    table.Choice(c, s.at("printing.paper"), wordsOf("printing.paper"), model.Papers()),
		Tickets:  table.Choice(c, s.at("printing.tickets"), wordsOf("printing.tickets"), model.TicketsAPage()),
		Fraction: table.Choice(c, s.at("printing.fraction"), wordsOf("printing.fraction"), model.Fractions()),
		Labels: model.LabelSheet{
			Roll:    table.Choice(c, of("form"), wordsOf("labels.form"), []bool{false, true}),
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
