package folder

import (
	"longpoint/model"
	"longpoint/model/table"
)

// profileSet has the columns of profiles.csv: one row a moulding.
var profileSet = table.Set{Name: "profiles", Called: profileHeadings, Columns: []table.Column{
	{Name: "profile", Kind: table.Name, Need: table.Each, Key: true, About: "its name, which the other tables use"},
	{Name: "title", About: "for people"},
	{Name: "width", Kind: table.Length, Need: table.Each, About: "length: across the face, from the back edge to the sight edge"},
	{Name: "rebate", Kind: table.Length, Need: table.Each, About: "length: width of the step that holds the glass, as seen from the front; less than the width"},
	{Name: "finish", About: "for people"},
	{Name: "head_trim", Kind: table.Length, About: "length given up at the first end of every stick, where that is more than the machine's"},
	{Name: "tail_trim", Kind: table.Length, About: "the same at its other end"},
	{Name: "keep", Kind: table.Length, About: "an offcut of this length or more goes back on the rack; blank: the `keep` in `workshop.toml`"},
	{Name: "metre_price", Kind: table.Money, About: "price of a metre, which values the rack where no supplier offers the profile"},
	{Name: "offcut_share", Kind: table.Share, About: "per cent of the price of new moulding that a kept offcut is worth to a plan; blank: the `offcut_share` in `workshop.toml`"},
	{Name: "match", Words: matches(), About: "which sticks the sides of one frame may come from: `free` (any), `lot` (sticks of one lot), `pair` (each long side beside a short one on one stick) or `stick` (all on one stick); blank: `free`"},
	{Name: "repeat", Kind: table.Length, About: "length: of a pattern, from the middle of one leaf or flower to the next. Each side is cut about the middle of a repeat or the joint of two, so that its ends mirror; the last corner of a frame may not meet"},
	{Name: "set_up", About: "what you want to be told at every run: rest height, block height, first notch"},
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
