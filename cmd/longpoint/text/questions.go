package text

import "strings"

// Question is one of the six that a new shop is asked. The pages and the terminal ask them alike.
type Question struct {
	Name   string   // of its picture, too
	Ask    string   // in one sentence
	Why    string   // what the answer does
	Where  string   // where the figure is found, with USUAL for what is common practice; empty: nobody needs to look
	Usual  Usual    // no figure of a machine's
	Topic  string   // of the manual that says more about that; empty: none does
	Fields []Answer // one, or several that belong together
}

// Usual is a length that is common practice (no source), by the unit that a shop measures in.
type Usual map[string]string

// Place says where the figure of a question is found, with what is usual in the unit of a shop; in both systems where it has chosen none yet.
func (q Question) Place(unit string) string {
	usual, chosen := q.Usual[unit]
	if !chosen && q.Usual != nil {
		usual = q.Usual["mm"] + ", or " + q.Usual["in"] + ","
	}
	return strings.Replace(q.Where, "USUAL", usual, 1)
}

// Answer is what is filled in, or chosen.
type Answer struct {
	Key     string // of the setting
	Label   string
	Of      string   // the machine that it belongs to; empty: both
	Choices []Choice // empty: it is typed
}

// Choice is one of the words that an answer can be.
type Choice struct{ Word, About string }

// Questions are the six, in the order in which they are asked. No figure of a machine is preset in any of them.
var Questions = []Question{
	{Name: "units", Ask: "In what do you measure?",
		Why: "A bare number is in this unit, and lengths are printed in it. Another unit can always be written behind a number.",
		Fields: []Answer{{Key: "units", Label: "Unit", Choices: []Choice{
			{"mm", "millimetres: 419"}, {"cm", "centimetres: 41.9"}, {"in", `inches: 16 1/2`}}}}},
	{Name: "currency", Ask: "In which currency do you buy?",
		Why:    "Prices are written without it, and costs are printed with it.",
		Fields: []Answer{{Key: "currency", Label: "Its three letters, such as EUR, GBP or USD (ISO 4217)"}}},
	{Name: "machine", Ask: "What do you cut mitres with?",
		Why: "A guillotine takes a wedge and leaves the back edge nearly whole; a saw takes the width of its blade.",
		Fields: []Answer{{Key: "machine.type", Label: "Machine", Choices: []Choice{
			{"guillotine", "two blades in a V, and a pedal or a motor"}, {"saw", "a mitre saw, by hand or power"}}}}},
	{Name: "loss", Ask: "What does a cut take of the stick?",
		Why: "It is lost at every cut, so it decides how many sides a stick gives. Every machine has figures of its own: none stands here at first.",
		Where: "Look in the machine's manual; where it is silent, make a test cut on a piece of waste and measure what is missing. " +
			"Guards and clamps as the manual says. A shave of USUAL is common practice (no source); write 0 where you make no finishing cut, as with a saw that cuts each mitre in one pass.",
		Usual: Usual{"mm": "2 mm", "cm": "0.2 cm", "in": "1/16 in"},
		Topic: "measuring",
		Fields: []Answer{
			{Key: "machine.overrun", Label: "Guillotine: how far the point of the V runs past the back edge", Of: "guillotine"},
			{Key: "machine.kerf", Label: "Saw: width of its cut, square to the blade", Of: "saw"},
			{Key: "machine.shave", Label: "Shave: what the finishing cut takes of the stick at each mitre; 0 without one"}}},
	{Name: "allowance", Ask: "How much play has what goes into a frame?",
		Why: "It is added once to the whole width and once to the whole height, so that glass and board go in and never bind.",
		Where: "Lay a glass into a frame of yours that is just right, push it to one side, and measure the gap. From USUAL is common practice " +
			"(no source).",
		Usual:  Usual{"mm": "2 to 3 mm", "cm": "0.2 to 0.3 cm", "in": "1/16 to 1/8 in"},
		Topic:  "lengths",
		Fields: []Answer{{Key: "defaults.allowance", Label: "Play (allowance)"}}},
	{Name: "offcut", Ask: "From what length on is what is left of a stick worth keeping?",
		Why:    "That much or more goes back on the rack as an offcut and is planned with; less is waste.",
		Where:  "The shortest piece that you would go to the rack for: about the longest side of your smallest frames.",
		Fields: []Answer{{Key: "defaults.keep", Label: "Kept at this length or more"}}},
}
