package sheet

import (
	"context"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/folder"
	"longpoint/model/plan"
)

// planned is a workshop with its plan.
type planned struct {
	*model.Workshop
	*plan.Document
}

// demo and demoNext are the demo workshops and their plans, made once for all tests, which must leave them as they are. The second
// has everything that workshops can have: damage, patterns, lots, bundles, random lengths, terms.
var (
	demo     = sync.OnceValues(func() (planned, error) { return planOf("../../../model/folder/demo") })
	demoNext = sync.OnceValues(func() (planned, error) { return planOf("../../../model/folder/demo-next") })
)

// planOf reads a workshop and plans it.
func planOf(name string) (p planned, err error) {
	dir, err := filepath.Abs(name)
	if err != nil {
		return p, err
	}
	if p.Workshop, err = folder.Read(dir); err != nil {
		return p, err
	}
	p.Document, err = plan.Make(context.Background(), p.Workshop, plan.Options{TimeLimit: time.Minute, MadeWith: "a test"})
	return p, err
}

// demoPlan gives the demo workshop and its plan.
func demoPlan(t testing.TB) planned {
	t.Helper()
	return must(t, demo)
}

// bothDemos gives the two demo workshops and their plans.
func bothDemos(t testing.TB) []planned {
	t.Helper()
	return []planned{must(t, demo), must(t, demoNext)}
}

func must(t testing.TB, make func() (planned, error)) planned {
	t.Helper()
	p, err := make()
	if err != nil {
		t.Fatal(err)
	}
	return p
}
