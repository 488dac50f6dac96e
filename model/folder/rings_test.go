package folder

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
)

// TestOuterRingSaysTheSame: what the rows of outer rings repeat of the innermost one's means nothing more.
func TestOuterRingSaysTheSame(t *testing.T) {
	w, err := Read(place(t, "", "", ""))
	if err != nil {
		t.Fatal(err)
	}
	read := func(rows string) []model.Job {
		t.Helper()
		jobs, _, err := JobsOf("jobs.csv", []byte("job,due,ring,profile,quantity,sides,given_by,width,height\n"+rows), w)
		if err != nil {
			t.Fatal(err)
		}
		return jobs
	}
	for _, c := range []struct{ name, inner, outer string }{
		{"all of it", "1,none,1,oak,2,4,sight,300,400\n", "1,,2,ash,2,4,Sight,,\n"},
		{"what a blank cell means", "1,none,1,oak,,,,300,400\n", "1,,2,ash,1,4,content,,\n"},
	} {
		blank := c.outer[:strings.Index(c.outer, "ash")] + "ash,,,,,\n"
		if diff := cmp.Diff(read(c.inner+blank), read(c.inner+c.outer), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}
