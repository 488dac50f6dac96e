package folder

import (
	"strings"

	"longpoint/model"
	"longpoint/model/table"
)

// Answered are the settings that a new shop is asked for, in the order of the questions. Nothing else must be said before
// profiles, rack and jobs come; the rest of settingKeys may be added later.
var Answered = []string{"units", "currency", "machine.type", "machine.overrun", "machine.kerf", "machine.shave", "defaults.allowance", "defaults.keep"}

// RackShareAtFirst is what a stick on the rack is worth in a new shop, of the price of new moulding (common practice, no source). It is
// no figure of the machine's, and nothing depends on it before there is a rack.
const RackShareAtFirst = "50 %"

// NameAtFirst is what a new shop is called until it has said its name: plans and orders are headed by it.
const NameAtFirst = "Our shop"

// DollarOfInches is the currency that $ stands for where people measure in inches (common practice, no source); elsewhere it stands for several.
const DollarOfInches = "USD"

// FromAnswers makes a workshop without tables of the answers to the first questions, by the keys of their settings, as they would stand
// in workshop.toml. The error is a model.Errors; each names its setting as the column.
func FromAnswers(answers map[string]string) (*model.Workshop, error) {
	set := settings{values: map[string]table.Value{}}
	give := func(key, text string) {
		if text = table.OneLine(text); text != "" {
			set.values[key] = table.Setting(text, model.Place{Column: key})
		}
	}
	give("name", NameAtFirst)
	give("defaults.rack_share", RackShareAtFirst)
	if unit, err := model.ParseUnit(answers["units"]); err == nil && unit.IsInches() {
		give("printing.paper", "Letter") // where people measure in inches (common practice, no source)
	}
	for _, key := range Answered {
		give(key, answers[key])
	}
	if unit, err := model.ParseUnit(answers["units"]); err == nil && unit.IsInches() && strings.TrimSpace(answers["currency"]) == "$" {
		give("currency", DollarOfInches)
	}
	var p table.Problems
	// Until a unit is chosen, in one that takes every way to write a length, so that what is missing is one error.
	c := &table.Converter{Unit: model.Inches, Currency: model.Currency{Decimals: 2}, Problems: &p}
	c.Given(set.at("defaults.keep")) // a table may say it of each profile; here there is none yet
	w := &model.Workshop{}
	set.apply(w, c)
	if p.Count() == 0 {
		p.AddChecked(placed(w.Check(), set))
	}
	if err := p.Errors(); err != nil {
		return nil, err
	}
	return w, nil
}
