package planner

import (
	"errors"
	"strings"
	"testing"

	"longpoint/model"
)

func TestAPanicIsAFaultOfOurs(t *testing.T) {
	b := &batch{tasks: []*task{{group: group{profile: model.Profile{Name: "oak"}}}}}
	err := b.caught(func() error { panic("what should not be") })
	var fault *model.Error
	if !errors.As(err, &fault) || fault.Kind != model.Fault {
		t.Fatalf("got %v, want a fault of ours", err)
	}
	for _, part := range []string{"profile oak", "what should not be", "search_recover_test.go"} {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q does not say %q", err, part)
		}
	}
}
