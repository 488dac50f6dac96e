package model

// Matches lists the rules of matching, from the loosest to the strictest.
func Matches() []Match { return []Match{MatchFree, MatchLot, MatchPair, MatchStick} }

// MatchOf gives the rule for the frames of a job in a profile: the job's own, else the profile's, else that any sticks
// will do.
func (w *Workshop) MatchOf(job Job, p Profile) Match {
	switch {
	case job.Match != "":
		return job.Match
	case p.Match != "":
		return p.Match
	}
	return MatchFree
}

// known tells whether the rule is one, or not given.
func (m Match) known() bool {
	switch m {
	case "", MatchFree, MatchLot, MatchPair, MatchStick:
		return true
	}
	return false
}
