package folder

import (
	"longpoint/model"
	"longpoint/model/table"
)

// profileSet has the columns of profiles.csv: one row a moulding.
var profileSet = table.Set{Name: "profiles", Columns: []table.Column{
	{Name: "profile", Kind: table.Name, Need: table.Each, Key: true}, // its name, which the other tables use; once only
	{Name: "title"}, // for people
	{Name: "width", Kind: table.Length, Need: table.Each},  // across the face, back edge to sight edge
	{Name: "rebate", Kind: table.Length, Need: table.Each}, // width of the step, as seen from the front; less than the width
	{Name: "finish"},                          // for people
	{Name: "head_trim", Kind: table.Length},   // given up at a stick's head where that is more than the machine's; blank: nothing more
	{Name: "tail_trim", Kind: table.Length},   // likewise at its tail
	{Name: "keep", Kind: table.Length},        // an offcut of this length or more goes on the rack; blank: the workshop's keep
	{Name: "metre_price", Kind: table.Money},  // values the rack where no supplier offers the profile
	{Name: "offcut_share", Kind: table.Share}, // per cent of the price of new moulding that a kept offcut is worth; blank: the workshop's
	{Name: "match", Words: matches()},         // free, lot, pair or stick: which sticks the sides of a frame may come from; blank: free
	{Name: "repeat", Kind: table.Length},      // of the pattern along the stick; blank: no pattern
	{Name: "set_up"},                          // what to note for every run: rest height, block height, first notch
}}

// profiles makes mouldings of the rows. keep is the workshop's own, where it has one.
func profiles(t *table.Table, keep model.OptionalLength, c *table.Converter) []model.Profile {
	var out []model.Profile
	for r := range t.Rows() {
		profile := model.Profile{
			Name:        c.Name(r.Cell("profile")),
			Title:       r.Cell("title").Text,
			Width:       c.Size(r.Cell("width")),
			Rebate:      c.Amount(r.Cell("rebate")),
			Finish:      r.Cell("finish").Text,
			HeadTrim:    c.AmountOr(r.Cell("head_trim"), 0),
			TailTrim:    c.AmountOr(r.Cell("tail_trim"), 0),
			Keep:        keep.Length,
			Metre:       c.OptionalPrice(r.Cell("metre_price")),
			OffcutShare: c.Share(r.Cell("offcut_share")),
			Match:       c.Match(r.Cell("match")),
			Repeat:      c.Limit(r.Cell("repeat")).Length,
			SetUp:       r.Cell("set_up").Text,
			Where:       r.Where(),
		}
		if cell := r.Cell("keep"); !cell.Blank() {
			profile.Keep = c.Size(cell)
		} else if !keep.Given {
			c.Problems.Add(cell.Where, "nothing says from what length on an offcut is kept",
				"fill it in, or set defaults.keep in "+settingsFile)
		}
		out = append(out, profile)
	}
	return out
}

// profileRow gives a profile as a row of the table.
func profileRow(p *model.Profile, f format) []string {
	return []string{p.Name, p.Title, f.length(p.Width), f.length(p.Rebate), p.Finish, f.some(p.HeadTrim), f.some(p.TailTrim), f.some(p.Keep),
		f.optional(p.Metre), share(p.OffcutShare), string(p.Match), f.some(p.Repeat), p.SetUp}
}
