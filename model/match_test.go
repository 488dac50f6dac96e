package model

import "testing"

func TestMatchOf(t *testing.T) {
	for _, row := range []struct {
		name         string
		job, profile Match
		want         Match
	}{
		{"neither says", "", "", MatchFree},
		{"the profile's", "", MatchLot, MatchLot},
		{"the job's", MatchStick, "", MatchStick},
		{"the job's before the profile's", MatchFree, MatchPair, MatchFree},
	} {
		w := Workshop{}
		if got := w.MatchOf(Job{Match: row.job}, Profile{Match: row.profile}); got != row.want {
			t.Errorf("%s: got %s, want %s", row.name, got, row.want)
		}
	}
}

func TestEveryMatchIsKnown(t *testing.T) {
	for _, m := range append(Matches(), "") {
		if !m.known() {
			t.Errorf("%q is not known", m)
		}
	}
	if Match("twin").known() {
		t.Error("twin is known")
	}
}
