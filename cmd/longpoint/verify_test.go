package main

import (
	"context"
	"strings"
	"testing"
)

// oneStick is a cuts document: two pieces of 4 from one stick of 10 that costs 7. The certificate: the dual value of each piece is
// 7 of 14 (scale 2), and no more than two fit.
const oneStick = `{"format": "longpoint-cuts/2", "kinds": [{"length": 10, "cost": 7}], "items": [{"length": 4, "demand": 2}],
"patterns": [{"kind": 0, "count": 1, "take": [[0, 2]]}], "cost": 7, "lower": 7, "grade": "proven",
"certificate": {"scale": 2, "leaves": [{"branch": [], "dual_values": [7], "limit_dual_values": [0]}]}}`

func TestVerify(t *testing.T) {
	for _, c := range []struct {
		name     string
		old, new string
		grade    string
		lower    int64
		err      string
	}{
		{"right", "", "", "proven", 7, ""},
		{"a grade that promises less", `"proven"`, `"open"`, "open", 7, ""},
		{"a wrong cost", `"cost": 7, "lower"`, `"cost": 6, "lower"`, "", 0, "cost"},
		{"a dual value raised", `"dual_values": [7]`, `"dual_values": [8]`, "", 0, "dual value"},
		{"an empty certificate", `{"branch": [], "dual_values": [7], "limit_dual_values": [0]}`, "", "", 0, "certif"},
		{"cut off", `[7], "limit_dual_values": [0]}]}}`, "", "", 0, "line"},
	} {
		t.Run(c.name, func(t *testing.T) {
			data := oneStick
			if c.old != "" {
				data = strings.Replace(data, c.old, c.new, 1)
			}
			grade, lower, err := verify(context.Background(), []byte(data))
			if grade != c.grade || lower != c.lower || (err == nil) != (c.err == "") {
				t.Fatalf("got %q, %d, %v", grade, lower, err)
			}
			if err != nil && !strings.Contains(err.Error(), c.err) {
				t.Errorf("the error says %q, not a word of %q", err, c.err)
			}
		})
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if grade, _, err := verify(stopped, []byte(oneStick)); err == nil {
		t.Errorf("a check that was stopped gives %q", grade)
	}
}
