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
	"longpoint/model/planner"
)

// planned is a workshop with its plan.
type planned struct {
	*model.Workshop
	*plan.Document
}

// demo and plain are workshops and their plans, made once for all tests, which must leave them as they are. The demo has
// everything that workshops can have: damage, patterns, lots, bundles, random lengths, terms.
var (
	demo  = sync.OnceValues(func() (planned, error) { return planOf("../../../model/folder/demo") })
	plain = sync.OnceValues(func() (planned, error) { return planOf("../../../model/folder/testdata/plain") })
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
	p.Document, err = planner.Make(context.Background(), p.Workshop, planner.Options{TimeLimit: time.Minute, MadeWith: "a test"})
	return p, err
}

// demoPlan gives the demo workshop and its plan.
func demoPlan(t testing.TB) planned {
	t.Helper()
	return must(t, demo)
}

// bothShops gives the demo and the plain workshop, and their plans.
func bothShops(t testing.TB) []planned {
	t.Helper()
	return []planned{must(t, demo), must(t, plain)}
}

func must(t testing.TB, make func() (planned, error)) planned {
	t.Helper()
	p, err := make()
	if err != nil {
		t.Fatal(err)
	}
	return p
}
