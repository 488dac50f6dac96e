package folder

import "longpoint/model"

// profileColumns are the columns of profiles.csv: one row a moulding.
var profileColumns = []column{
	{"profile", true},       // its name, which the other tables use; once only
	{"title", false},        // for people
	{"width", true},         // across the face, back edge to sight edge
	{"rebate", true},        // width of the step, as seen from the front; less than the width
	{"finish", false},       // for people
	{"head_trim", false},    // given up at a stick's head where that is more than the machine's; blank: nothing more
	{"tail_trim", false},    // likewise at its tail
	{"keep", false},         // an offcut of this length or more goes on the rack; blank: the workshop's keep
	{"metre_price", false},  // values the rack where no supplier offers the profile
	{"offcut_share", false}, // per cent of the price of new moulding that a kept offcut is worth; blank: the workshop's
	{"match", false},        // free, lot, pair or stick: which sticks the sides of a frame may come from; blank: free
	{"repeat", false},       // of the pattern along the stick; blank: no pattern
	{"set_up", false},       // what to note for every run: rest height, block height, first notch
}

// profiles makes mouldings of the rows. keep is the workshop's own, where it has one.
func profiles(t table, keep model.OptionalLength, c *converter) []model.Profile {
	var out []model.Profile
	for _, rec := range t.records {
		r := row{t, rec}
		profile := model.Profile{
			Name:        c.name(r.cell("profile")),
			Title:       r.cell("title").text,
			Width:       c.size(r.cell("width")),
			Rebate:      c.amount(r.cell("rebate")),
			Finish:      r.cell("finish").text,
			HeadTrim:    c.amountOr(r.cell("head_trim"), 0),
			TailTrim:    c.amountOr(r.cell("tail_trim"), 0),
			Keep:        keep.Length,
			Metre:       c.optionalPrice(r.cell("metre_price")),
			OffcutShare: c.share(r.cell("offcut_share")),
			Match:       c.match(r.cell("match")),
			Repeat:      c.limit(r.cell("repeat")).Length,
			SetUp:       r.cell("set_up").text,
			Where:       r.where(),
		}
		if cell := r.cell("keep"); !cell.blank() {
			profile.Keep = c.size(cell)
		} else if !keep.Given {
			c.problems.add(cell.where, "nothing says from what length on an offcut is kept",
				"fill it in, or set defaults.keep in "+settingsFile)
		}
		out = append(out, profile)
	}
	return out
}
