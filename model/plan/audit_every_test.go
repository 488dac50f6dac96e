package plan_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestEveryValueCounts changes every single value of a document, one at a time: a number raised by one, or made as
// large as can be, a text added to, a yes made a no, a list's last element left out. Each must be refused by Decode or
// found by Audit. The certificates are the checker's business and the maker's name is nobody's. Some changes are harmless
// and left out: another free name for an offcut; no last day, and no list of chosen profiles, which both mean all; a millionth
// more off that takes no more off any price, and one case less, which the bound may do without.
func TestEveryValueCounts(t *testing.T) {
	w := tiny()
	everyValueCounts(t, w, mustMake(t, w, plan.Options{Until: dayOf("2027-01-08"), Profiles: []string{"ash-20"}}), 300)
}

// TestEveryValueOfTheMarketCounts does the same where there are bundles, terms, damage, lots and credits.
func TestEveryValueOfTheMarketCounts(t *testing.T) {
	w, d := marketPlan(t)
	everyValueCounts(t, w, d, 1000)
}

func everyValueCounts(t *testing.T, w *model.Workshop, d *plan.Document, least int) {
	var text bytes.Buffer
	if err := d.Encode(&text); err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(&text)
	dec.UseNumber()
	var root map[string]any
	if err := dec.Decode(&root); err != nil {
		t.Fatal(err)
	}
	offcut := regexp.MustCompile(`\.id = offcut [0-9]+x$`)
	fewer := regexp.MustCompile(`\.off_share = [0-9]{1,6}$|^\.together\[0\]\.cases = `)
	changes := 0
	try := func(at string) {
		changes++
		data, err := json.Marshal(root)
		if err != nil {
			t.Fatal(err)
		}
		changed, err := plan.Decode(data)
		if err != nil {
			return
		}
		if harmless := at == ".until = " || offcut.MatchString(at) || fewer.MatchString(at); !harmless && len(mustAudit(t, w, changed)) == 0 {
			t.Errorf("%s can be changed and nobody notices", at)
		}
	}
	everyValue(root, "", try)
	if changes < least {
		t.Errorf("only %d changes were tried", changes)
	}
}

// everyValue changes each value below v in turn, calls try, and puts the value back.
func everyValue(v any, at string, try func(at string)) {
	each := func(value any, at string, put func(any)) {
		for _, other := range otherValues(value) {
			put(other)
			try(fmt.Sprintf("%s = %v", at, other))
		}
		put(value)
		everyValue(value, at, try)
	}
	switch v := v.(type) {
	case map[string]any:
		for key, value := range v {
			if key != "cuts" && key != "made_with" && key != "only" {
				each(value, at+"."+key, func(other any) { v[key] = other })
			}
		}
	case []any:
		for i, value := range v {
			each(value, fmt.Sprintf("%s[%d]", at, i), func(other any) { v[i] = other })
		}
	}
}

// otherValues gives values that are not v.
func otherValues(v any) []any {
	switch v := v.(type) {
	case json.Number:
		n, err := v.Int64()
		if err != nil {
			panic(err)
		}
		return []any{n + 1, int64(math.MaxInt64)}
	case string:
		return []any{v + "x", ""}
	case bool:
		return []any{!v}
	case []any:
		if len(v) > 0 {
			return []any{v[:len(v)-1]}
		}
	}
	return nil
}
