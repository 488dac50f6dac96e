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

// demo is the demo workshop and its plan, made once for all tests, which must leave it as it is.
var demo = sync.OnceValues(func() (planned, error) {
	var p planned
	dir, err := filepath.Abs("../../../model/folder/demo")
	if err != nil {
		return p, err
	}
	if p.Workshop, err = folder.Read(dir); err != nil {
		return p, err
	}
	p.Document, err = plan.Make(context.Background(), p.Workshop, plan.Options{TimeLimit: time.Minute, MadeWith: "a test"})
	return p, err
})

// demoPlan gives the demo workshop and its plan.
func demoPlan(t testing.TB) planned {
	t.Helper()
	p, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	return p
}
