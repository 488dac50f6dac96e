package planner

import (
	"errors"
	"strings"
	"testing"

	"longpoint/model"
)

func TestAPanicIsAFaultOfOurs(t *testing.T) {
	jp := &jointProblem{profiles: []*profileProblem{{profileSides: profileSides{profile: model.Profile{Name: "oak"}}}}}
	err := jp.recovered(func() error { panic("what should not be") })
	var fault *model.Error
	if !errors.As(err, &fault) || fault.Kind != model.Fault {
		t.Fatalf("got %v, want a fault of ours", err)
	}
	if strings.Contains(err.Error(), "/") {
		t.Errorf("%q names a folder of the machine", err)
	}
	for _, part := range []string{"profile oak", "what should not be", "recover_test.go"} {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q does not say %q", err, part)
		}
	}
}
