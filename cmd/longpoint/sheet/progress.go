package sheet

// Progress is how far a plan is cut. The zero Progress: nothing is known of that.
type Progress struct {
	Of          string       // what is being cut, such as "run 3"
	Became      [][][]string // of the profiles' sticks' sides; "" or a word of which done, short, torn and waits are known here
	Changed     [][]bool     // the profiles' sticks that labels were last asked for of
	Anew        [][][]bool   // their sides that have no label yet
	OnlyChanged bool         // labels are wanted of those alone
}

// What became of a side.
const (
	done  = "done"
	short = "short"
	torn  = "torn"
	waits = "waits" // for its stick
)

// became is what became of the side that a cut of a profile gives.
func (p Progress) became(profile int, c cut) string {
	if profile >= len(p.Became) {
		return ""
	}
	return p.Became[profile][c.stick][c.side]
}

// spoilt tells whether a side is to be made again, by another cut.
func (p Progress) spoilt(profile int, c cut) bool {
	b := p.became(profile, c)
	return b == short || b == torn
}

// changed tells whether labels were last asked for of the stick of a cut.
func (p Progress) changed(profile int, c cut) bool {
	return profile < len(p.Changed) && p.Changed[profile][c.stick]
}

// labelled tells whether the side of a cut gets a label: not one that is spoilt or of a stick that is not here yet, and where only new ones are
// wanted not one that is done or has the label that it had.
func (p Progress) labelled(profile int, c cut) bool {
	if p.OnlyChanged && (!p.changed(profile, c) || !p.Anew[profile][c.stick][c.side] || p.became(profile, c) == done) {
		return false
	}
	return !p.spoilt(profile, c) && p.became(profile, c) != waits
}
