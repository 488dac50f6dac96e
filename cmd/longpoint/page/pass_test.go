package page

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// TestPass lets in who has the pass phrase, for as long as is said, and nobody else.
func TestPass(t *testing.T) {
	const phrase = "three invented words"
	p, err := NewPass(phrase)
	if err != nil {
		t.Fatal(err)
	}
	read, err := ParsePass("\n" + p.String() + "\n")
	if err != nil {
		t.Fatal(err)
	}
	for try, want := range map[string]bool{phrase: true, phrase + " ": false, "Three invented words": false, "": false, strings.Repeat("a", MostPass+1): false} {
		if got := read.is(try); got != want {
			t.Errorf("%.30q is the pass phrase: %t", try, got)
		}
	}
	other, err := NewPass(phrase)
	if err != nil || other.String() == p.String() {
		t.Errorf("two hashes of one phrase are the same: %v", err)
	}
	for phrase, good := range map[string]bool{strings.Repeat("a", LeastPass-1): false, strings.Repeat("a", LeastPass): true, strings.Repeat("a", MostPass): true, strings.Repeat("a", MostPass+1): false} {
		if _, err := NewPass(phrase); (err == nil) != good {
			t.Errorf("a phrase of %d: %v", len(phrase), err)
		}
	}
	salt, hash, _ := strings.Cut(strings.TrimPrefix(p.String(), passForm), "$")
	for name, bad := range map[string]string{
		"no salt": passForm + "$" + hash, "a salt that is none": passForm + "*" + salt[1:] + "$" + hash, "a short salt": passForm + salt[4:] + "$" + hash,
		"no hash": passForm + salt, "a hash that is none": passForm + salt + "$*" + hash[1:], "a short hash": passForm + salt + "$" + hash[4:],
		"another form": strings.Replace(p.String(), "argon2id", "argon2i", 1), "nothing": "",
	} {
		if got, err := ParsePass(bad); err == nil || got != nil {
			t.Errorf("%s is taken", name)
		}
	}
	now := time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
	cookie := p.sign(now.Add(time.Hour))
	text, mac, _ := strings.Cut(cookie, ".")
	for name, c := range map[string]struct {
		value string
		at    time.Time
		by    *Pass
		want  bool
	}{
		"in time":            {cookie, now, p, true},
		"the last second":    {cookie, now.Add(time.Hour - time.Second), p, true},
		"too late":           {cookie, now.Add(time.Hour), p, false},
		"a year late":        {cookie, now.AddDate(1, 0, 0), p, false},
		"of another salt":    {cookie, now, other, false},
		"a later time":       {"9" + text[1:] + "." + mac, now, p, false},
		"no signature":       {text, now, p, false},
		"an empty signature": {text + ".", now, p, false},
		"no number":          {"x." + p.mac("x"), now, p, false},
		"nothing":            {"", now, p, false},
	} {
		if got := c.by.signed(c.value, c.at); got != c.want {
			t.Errorf("%s: signed in: %t", name, got)
		}
	}
}

// TestGuessing makes who guesses wait, and says for how long.
func TestGuessing(t *testing.T) {
	p, err := NewPass("three invented words")
	if err != nil {
		t.Fatal(err)
	}
	s := &Server{Config: Config{Pass: p}}
	s.guesses.from = map[string]guess{}
	try := func(phrase string) (string, error) {
		w := httptest.NewRecorder()
		r := httptest.NewRequest(http.MethodPost, "/", nil)
		c := &call{s: s, w: w, r: r}
		err := c.passed(phrase)
		return w.Header().Get("Retry-After"), err
	}
	if after, err := try("something else"); after != "" || err == nil || !strings.Contains(err.Error(), "the pass phrase is wrong") {
		t.Errorf("the first guess: %q, %v", after, err)
	}
	s.guesses.from["192.0.2.1"] = guess{wrong: 6, until: time.Now().Add(time.Minute)}
	if after, err := try("three invented words"); after == "" || after == "0" || err == nil || !strings.Contains(err.Error(), "wait "+after+" s") {
		t.Errorf("the right one, too soon: %q, %v", after, err)
	}
}

// TestParted takes a list apart.
func TestParted(t *testing.T) {
	if got := parted(" a;b \n\n ; c d;"); !slices.Equal(got, []string{"a", "b", "c d"}) {
		t.Errorf("parts %q", got)
	}
	if got := parted(" \n;"); got != nil {
		t.Errorf("of nothing: %q", got)
	}
}

// TestLies draws a stick of 2 m with sides of 600 mm, mitred by 45° over a width of 40 mm: a millimetre is half a unit.
func TestLies(t *testing.T) {
	mm := model.Millimetre
	side := func(letter string, start, long model.Length) plan.Side {
		return plan.Side{SideID: model.SideID{Letter: letter}, LongPoint: long, Start: start, Angle: 45 * model.Degree}
	}
	d := &runs.Document{Plan: &plan.Document{Profiles: []plan.ProfilePlan{{Width: 40 * mm, Sticks: []plan.Stick{{ID: "S<1", Length: 2000 * mm,
		Sides: []plan.Side{side("A", 100*mm, 600*mm), side("B", 700*mm, 600*mm), side("C", 1400*mm, 100*mm)}}}}}},
		Became: [][][]string{{{runs.Done, runs.ToCut, runs.ToCut}}}}
	got := string((&call{unit: model.Millimetres}).lies(d, &benchCut{at: [2]int{0, 1}, Letter: "B", At: "stop 1"}))
	for _, want := range []string{
		`viewBox="-2 -2 1004 158"`, `aria-label="Stick S&lt;1, 2000 mm, long point up. To cut now: side B, stop 1, from 700 mm to 1300 mm."`,
		`<path class="wood" d="M0 0H1000V110H0Z"/>`,
		`<path class="side gone" d="M50.00 0L350.00 0L330.00 110L70.00 110Z"/>`, `<text class="on gone" x="200.00" y="44">A 600</text>`, `x="200.00" y="82">done</text>`,
		`<path class="side now" d="M350.00 0L650.00 0L630.00 110L370.00 110Z"/>`, `<text class="on now" x="500.00" y="44">B 600</text>`, `x="500.00" y="82">now</text>`,
		`<path class="side" d="M700.00 0L750.00 0L730.00 110L720.00 110Z"/>`, `<text class="on" x="725.00" y="44">C</text>`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("it lacks %s:\n%s", want, got)
		}
	}
}
