package check

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// withLeaves is a document with these leaves.
func withLeaves(leaves string) []byte {
	return []byte(`{"format": "longpoint-cuts/2", "kinds": [], "items": [], "patterns": [], "cost": 0, "lower": 0, "grade": "open",
		"certificate": {"scale": 1, "leaves": [` + leaves + `]}}`)
}

// TestSharedLeaves reads leaves that share entries and dual values, and the same written out.
func TestSharedLeaves(t *testing.T) {
	shared := withLeaves(`
		{"branch": [{"kind": 0, "most": 3, "dual_value": -5}, {"kind": 1, "most": 0, "dual_value": 0}], "dual_values": [7, 8], "limit_dual_values": [9]},
		{"same": 1, "branch": [{"kind": 1, "least": 1, "dual_value": 6}], "as": 0},
		{"same": 0, "branch": [{"kind": 0, "least": 4, "dual_value": 1}, {"kind": 2, "most": 1, "dual_value": -2}], "dual_values": [1, 2], "limit_dual_values": [0], "row_dual_values": [3]},
		{"branch": [{"kind": 2, "least": 2, "dual_value": 4}], "same_dual_values": [[0, 12]], "same": 1, "as": 2},
		{"same": 2, "branch": [], "as": 1}`)
	written := withLeaves(`
		{"branch": [{"kind": 0, "most": 3, "dual_value": -5}, {"kind": 1, "most": 0, "dual_value": 0}], "dual_values": [7, 8], "limit_dual_values": [9]},
		{"branch": [{"kind": 0, "most": 3, "dual_value": 0}, {"kind": 1, "least": 1, "dual_value": 6}], "dual_values": [7, 8], "limit_dual_values": [9]},
		{"branch": [{"kind": 0, "least": 4, "dual_value": 1}, {"kind": 2, "most": 1, "dual_value": -2}], "dual_values": [1, 2], "limit_dual_values": [0], "row_dual_values": [3]},
		{"branch": [{"kind": 0, "least": 4, "dual_value": 12}, {"kind": 2, "least": 2, "dual_value": 4}], "dual_values": [1, 2], "limit_dual_values": [0], "row_dual_values": [3]},
		{"branch": [{"kind": 0, "least": 4, "dual_value": 0}, {"kind": 2, "least": 2, "dual_value": 0}], "dual_values": [7, 8], "limit_dual_values": [9]}`)
	got, err := Parse(shared)
	if err != nil {
		t.Fatal(err)
	}
	want, err := Parse(written)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// TestWrongSharing: what shares something that is not there is refused.
func TestWrongSharing(t *testing.T) {
	const first = `{"branch": [{"kind": 0, "most": 3, "dual_value": 0}], "dual_values": [], "limit_dual_values": []}`
	for _, row := range []struct{ leaves, says string }{
		{`{"same": 1, "branch": [], "dual_values": [], "limit_dual_values": []}`, "shares 1 branch entries with the leaf before, which has 0"},
		{first + `, {"same": 2, "branch": [], "as": 0}`, "shares 2 branch entries with the leaf before, which has 1"},
		{first + `, {"same": -1, "branch": [], "as": 0}`, "shares -1 branch entries"},
		{first + `, {"same": 1, "same_dual_values": [[1, 5]], "branch": [], "as": 0}`, "gives a dual value to shared entry 1"},
		{first + `, {"same": 1, "same_dual_values": [[-1, 5]], "branch": [], "as": 0}`, "gives a dual value to shared entry -1"},
		{first + `, {"same": 1, "same_dual_values": [[0, 5], [0, 6]], "branch": [], "as": 0}`, "the shared entry 0 has two dual values"},
		{first + `, {"branch": [], "as": 1}`, "takes the dual values of leaf 1, which is not before it"},
		{first + `, {"branch": [], "as": -1}`, "takes the dual values of leaf -1"},
		{first + `, {"branch": [], "as": 0, "limit_dual_values": []}`, "takes those of leaf 0 as well"},
		{first + `, {"branch": []}`, `a leaf lacks "dual_values"`},
		{first + `, {"branch": [], "dual_values": []}`, `a leaf lacks "limit_dual_values"`},
		{first + `, {"same": 1, "as": 0}`, `a leaf lacks "branch"`},
	} {
		if _, err := Parse(withLeaves(row.leaves)); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: %v, want %q", row.leaves, err, row.says)
		}
	}
}

// TestEntriesLimit: a small document whose leaves would fill the memory, written out, is refused before they do.
func TestEntriesLimit(t *testing.T) {
	leaves := `[{"branch": [` + strings.Repeat(`{"kind": 0, "most": 3, "dual_value": 0}, `, 9) + `{"kind": 0, "most": 3, "dual_value": 0}], "dual_values": [], "limit_dual_values": []}` +
		strings.Repeat(`, {"same": 10, "branch": [], "as": 0}`, 9) + `]`
	for room, fits := range map[int]bool{99: false, 100: true} {
		err := read([]byte(leaves), func(r *reader) {
			l := leafReader{reader: r, room: room}
			r.list("leaves", l.next)
		})
		if fits != (err == nil) {
			t.Errorf("room for %d branch entries of 100: %v", room, err)
		}
	}
}
