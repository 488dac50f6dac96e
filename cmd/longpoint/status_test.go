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
	for _, c := range []struct {
		name   string
		err    error
		status int
		text   string
	}{
		{"nothing wrong", nil, 0, ""},
		{"one", bad, 3, "longpoint: jobs.csv:3, column width: “4oo” is not a length; write a number\n"},
		{"several, of two kinds", model.Errors{cannot, bad}, 3,
			"longpoint: too long\nlongpoint: jobs.csv:3, column width: “4oo” is not a length; write a number\n"},
		{"wrapped", fmt.Errorf("while planning: %w", model.Errors{cannot}), 4, "longpoint: too long\n"},
		{"joined", errors.Join(usage("what", "do"), cannot), 2, "longpoint: what; do\nlongpoint: too long\n"},
		{"a failed check", &model.Error{Kind: model.CheckFailed, What: "off"}, 5, "longpoint: off\n"},
		{"unknown errors are faults of ours", errors.New("index 7"), 1,
			"longpoint: a fault of ours: index 7; please report this line together with the command you typed\n"},
		{"text from outside stays on its line", &model.Error{Kind: model.BadInput, What: "a\nb\x1b[2J\tc"}, 3, "longpoint: a b [2J c\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var stderr bytes.Buffer
			if got := report(&stderr, c.err); got != c.status {
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
	status := report(&stderr, caught(func() error { panic("the stick is gone") }))
	if text := stderr.String(); status != statusFault || !strings.Contains(text, "a fault of ours: the stick is gone") ||
		!strings.Contains(text, "status_test.go") {
		t.Errorf("status %d, and it says %q", status, text)
	}
	if err := caught(func() error { return nil }); err != nil {
		t.Errorf("without a panic the error is %v", err)
	}
}
