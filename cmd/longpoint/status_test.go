package main

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"longpoint/model"
)

func TestReport(t *testing.T) {
	bad := &model.Error{Kind: model.BadInput, What: "“4oo” is not a length", Where: model.Place{File: "jobs.csv", Line: 3, Column: "width"}, Do: "write a number"}
	cannot := &model.Error{Kind: model.CannotCut, What: "too long"}
	const (
		tables  = "longpoint: what every column and setting takes: longpoint help tables\n"
		examine = "longpoint: what else is odd in the shop: longpoint examine shop\n"
	)
	for _, c := range []struct {
		name   string
		err    error
		status int
		text   string
	}{
		{"nothing wrong", nil, 0, ""},
		{"one", bad, 3, "longpoint: jobs.csv:3, column width: “4oo” is not a length; write a number\n" + tables},
		{"several, of two kinds", model.Errors{cannot, bad}, 3,
			"longpoint: too long\nlongpoint: jobs.csv:3, column width: “4oo” is not a length; write a number\n" + examine + tables},
		{"the same command once", model.Errors{bad, bad}, 3, strings.Repeat("longpoint: jobs.csv:3, column width: “4oo” is not a length; write a number\n", 2) + tables},
		{"a command of its own", usage("no run is open", `start one with "longpoint run"`), 2, "longpoint: no run is open; start one with \"longpoint run\"\n"},
		{"wrapped", fmt.Errorf("while planning: %w", model.Errors{cannot}), 4, "longpoint: too long\n" + examine},
		{"joined", errors.Join(usage("what", "do"), cannot), 2, "longpoint: what; do\nlongpoint: too long\nlongpoint: how this is called: longpoint plan --help\n" + examine},
		{"a failed check", &model.Error{Kind: model.CheckFailed, What: "off"}, 5, "longpoint: off\nlongpoint: a new plan: longpoint plan shop\n"},
		{"unknown errors are faults of ours", errors.New("index 7"), 1,
			"longpoint: a fault of ours: index 7; please report this line together with the command you typed\n" +
				"longpoint: which program this is, for the report: longpoint --version\n"},
		{"text from outside stays on its line", &model.Error{Kind: model.BadInput, What: "a\nb\x1b[2J\tc"}, 3, "longpoint: a b [2J c\nlongpoint: why something is refused, and what to do: longpoint help refused\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var stderr bytes.Buffer
			if got := (&program{stderr: &stderr}).report(c.err, "longpoint plan", " shop"); got != c.status {
				t.Errorf("status %d, want %d", got, c.status)
			}
			if got := stderr.String(); got != c.text {
				t.Errorf("got %q, want %q", got, c.text)
			}
		})
	}
}

func TestCaught(t *testing.T) {
	var stderr bytes.Buffer
	status := (&program{stderr: &stderr}).report(caught(func() error { panic("the stick is gone") }), "longpoint", "")
	if text := stderr.String(); status != statusFault || !strings.Contains(text, "a fault of ours: the stick is gone") ||
		!strings.Contains(text, "status_test.go") {
		t.Errorf("status %d, and it says %q", status, text)
	}
	if err := caught(func() error { return nil }); err != nil {
		t.Errorf("without a panic the error is %v", err)
	}
}
