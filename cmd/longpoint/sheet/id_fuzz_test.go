package sheet

import (
	"testing"

	"longpoint/model/plan"
)

// FuzzParseSideID reads any text as what a label's code names. Nothing may panic, and what is read is written and read as the same again.
func FuzzParseSideID(f *testing.F) {
	for _, text := range []string{"101/a/1/1/A", "a%2Fb/%25/12/3/B", "//1/1/A", "1/2/0/1/A", "1/2/3"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		id, ok := ParseSideID(text)
		if !ok {
			return
		}
		if again, ok := ParseSideID(SideID(plan.Side{SideID: id})); !ok || again != id {
			t.Errorf("%q is %+v, written %q, read back %+v, %t", text, id, SideID(plan.Side{SideID: id}), again, ok)
		}
	})
}
