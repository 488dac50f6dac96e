package audit

// Finding is one thing that is off in a plan document.
type Finding struct {
	Code  string `json:"code"`  // a short stable word for the kind of finding
	Where string `json:"where"` // "profile oak-32, stick new 2, side 3"
	What  string `json:"what"`  // one sentence with the amount, no full stop
}

// String gives "where: what".
func (f Finding) String() string {
	if f.Where == "" {
		return f.What
	}
	return f.Where + ": " + f.What
}
