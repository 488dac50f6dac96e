package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"longpoint/bench/instances"
	"longpoint/solver"
	"longpoint/solver/check"
)

// TestMain lets the test's own program stand in for bench where a child process is started.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == oneName {
		if err := solveOne(os.Stdin, os.Stdout); err != nil {
			os.Stderr.WriteString(err.Error())
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// A few instances of every class, each to be proven and accepted by the checker. Those are named that take a second or
// two at most; the whole classes are for "bench solve".
func TestAFewOfEveryClass(t *testing.T) {
	few := map[string]int{"textbook": 29, "falkenauer-u": 4, "scholl1": 8, "scholl2": 4, "cutgen": 18, "schwerin": 4, "waescher": 2}
	named := map[string][]string{
		"falkenauer-t": {"falkenauer-t/t60_00", "falkenauer-t/t120_19"},
		"scholl3":      {"scholl3/hard9"},
		"hard28":       {"Hard28/Hard28_BPP13.txt", "Hard28/Hard28_BPP716.txt"}, // the second is one above its relaxation rounded up
		"ai201":        {"AI/201_2500_DI_20.txt"},
		"ani201":       {"ANI/201_2500_NR_30.txt"},

		"vsbpp-concave": {"vsbpp/hs_conc100-1-1.txt"},
		"vsbpp-convex":  {"vsbpp/hs_conv500-1-1.txt"},
		"vsbpp-linear":  {"vsbpp/hs_lin100-2-1.txt"},
		"vsbpp-monaci":  {"vsbpp/monaci_100_1.txt"},
	}
	// Two least costs that are known from a general integer program on an arc-flow model, as the folder's README has them.
	costs := map[string]int64{"vsbpp/hs_conc100-1-1.txt": 8185, "vsbpp/hs_conv500-1-1.txt": 87673}
	for _, c := range instances.Classes() {
		if few[c.Name] == 0 && named[c.Name] == nil {
			continue // AI and ANI 402: every instance takes longer than a test may
		}
		t.Run(c.Name, func(t *testing.T) {
			ins, err := c.Load()
			if errors.Is(err, instances.ErrAbsent) {
				t.Skip(err)
			}
			if err != nil {
				t.Fatal(err)
			}
			if names := named[c.Name]; names != nil {
				ins = slices.DeleteFunc(ins, func(in instances.Instance) bool { return !slices.Contains(names, in.Name) })
				if len(ins) != len(names) {
					t.Fatalf("%d instances found of %v", len(ins), names)
				}
			}
			for _, in := range instances.Spread(ins, few[c.Name]) {
				if row, why := judge(context.Background(), in, solved(t, in.Problem)); row.Status != proven {
					t.Errorf("%s: %s, bound %d, cost %+v: %s", in.Name, row.Status, row.Lower, row.Upper, why)
				} else if want := costs[in.Name]; want != 0 && row.Lower != want {
					t.Errorf("%s: cost %d in place of %d", in.Name, row.Lower, want)
				}
			}
		})
	}
}

// solved gives what a child would answer.
func solved(t *testing.T, p solver.Problem) answer {
	t.Helper()
	question, err := json.Marshal(task{Problem: p, Limit: time.Minute})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := solveOne(bytes.NewReader(question), &out); err != nil {
		t.Fatal(err)
	}
	var a answer
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// small has the optimum 3: 6 + 4, 6 + 4 and 5.
func small() instances.Instance {
	return instances.Instance{Name: "set/small", Problem: solver.Problem{
		Items: []solver.Item{{Length: 6, Demand: 2}, {Length: 4, Demand: 2}, {Length: 5, Demand: 1}},
		Kinds: []solver.Kind{{Length: 10, Cost: 1}},
	}}
}

// Every fault that is planted is caught, and called what it is.
func TestJudgeCatches(t *testing.T) {
	edit := func(old, new string) func(*instances.Instance, *answer) {
		return func(_ *instances.Instance, a *answer) {
			text := strings.Replace(string(a.Document), old, new, 1)
			if text == string(a.Document) {
				t.Fatalf("no %s in %s", old, text)
			}
			a.Document = []byte(text)
		}
	}
	for _, tc := range []struct {
		name   string
		plant  func(*instances.Instance, *answer)
		status string
		why    string
	}{
		{"nothing", func(*instances.Instance, *answer) {}, proven, ""},
		{"known and right", func(in *instances.Instance, _ *answer) { in.Known = instances.Known{Given: true, Lower: 3, Upper: 3} }, proven, ""},
		{"no document", func(_ *instances.Instance, a *answer) { a.Document = nil }, rejected, ""},
		{"document torn", func(_ *instances.Instance, a *answer) { a.Document = a.Document[:len(a.Document)/2] }, rejected, ""},
		{"cost in the document", edit(`"cost":3`, `"cost":2`), rejected, "cost"},
		{"cost in the answer", func(_ *instances.Instance, a *answer) { a.Cost = 2 }, rejected, "the search says that its plan costs 2"},
		{"another demand", edit(`"demand":2`, `"demand":1`), rejected, "another item 0"},
		{"another capacity", edit(`"length":10`, `"length":11`), rejected, "another kind 0"},
		{"a limit", edit(`"length":10`, `"limit":9,"length":10`), rejected, "another kind 0"},
		{"an item less", func(in *instances.Instance, _ *answer) { in.Problem.Items = in.Problem.Items[:2] }, rejected, "another number of items"},
		{"grade below the status", edit(`"grade":"proven"`, `"grade":"open"`), rejected, "graded open"},
		{"status below the grade", func(_ *instances.Instance, a *answer) { a.Status = solver.Stopped }, rejected, "graded proven"},
		{"published plan cheaper than the bound", func(in *instances.Instance, _ *answer) { in.Known = instances.Known{Given: true, Lower: 2, Upper: 2} }, wrong, "claimed bound 3"},
		{"published bound above the plan", func(in *instances.Instance, _ *answer) { in.Known = instances.Known{Given: true, Lower: 4, Upper: 4} }, wrong, "plan of cost 3"},
		{"a bound claimed without a certificate", func(in *instances.Instance, a *answer) {
			in.Known, a.Lower = instances.Known{Given: true, Lower: 3, Upper: 3}, 4
		}, wrong, "claimed bound 4"},
		{"called impossible", func(in *instances.Instance, a *answer) {
			in.Known = instances.Known{Given: true, Lower: 3, Upper: 3}
			*a = answer{Status: solver.Infeasible}
		}, wrong, "claimed impossible"},
		{"impossible", func(_ *instances.Instance, a *answer) { *a = answer{Status: solver.Infeasible, Reason: "too long"} }, impossible, "too long"},
		{"stopped without a plan", func(_ *instances.Instance, a *answer) { *a = answer{Status: solver.Stopped, Reason: "late"} }, open, "late"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			in := small()
			a := solved(t, in.Problem)
			tc.plant(&in, &a)
			row, why := judge(context.Background(), in, a)
			if row.Status != tc.status || !strings.Contains(why, tc.why) {
				t.Errorf("%s (%s) in place of %s (%s)", row.Status, why, tc.status, tc.why)
			}
			if row.Status == rejected && row.Lower != 0 {
				t.Errorf("a bound of %d is kept of what was rejected", row.Lower)
			}
		})
	}
}

func TestJudgeStopsWithItsContext(t *testing.T) {
	in := small()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if row, _ := judge(ctx, in, solved(t, in.Problem)); row.Status == proven {
		t.Error("proven though the check was stopped")
	}
}

func TestSolveApart(t *testing.T) {
	ctx := context.Background()
	a, lived, err := solveApart(ctx, task{Problem: small().Problem, Limit: time.Minute})
	if err != nil || a.Cost != 3 || a.Status != solver.Certified || a.Peak < 1<<20 || lived <= a.Elapsed || a.Elapsed <= 0 {
		t.Errorf("%+v, lived %v, %v", a, lived, err)
	}
	broken := small().Problem
	broken.Items = []solver.Item{{Length: 0, Demand: 1}}
	if _, _, err := solveApart(ctx, task{Problem: broken, Limit: time.Minute}); err == nil || !strings.Contains(err.Error(), "item 0 has length 0") {
		t.Errorf("error %v", err)
	}
	if _, _, err := solveApart(ctx, task{Problem: small().Problem, Limit: time.Microsecond - graceful}); !errors.Is(err, errKilled) {
		t.Errorf("error %v", err)
	}
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, _, err := solveApart(stopped, task{Problem: small().Problem, Limit: time.Minute}); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

func TestSolveWritesAndGoesOn(t *testing.T) {
	dir := t.TempDir()
	set, table, solutions := filepath.Join(dir, "set"), filepath.Join(dir, "out.csv"), filepath.Join(dir, "plans")
	if err := os.Mkdir(set, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"one.txt": "1 10 4", "two.txt": "2 10 6 3 4 3", "long.txt": "1 10 11"} {
		if err := os.WriteFile(filepath.Join(set, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out, notes bytes.Buffer
	run := solveRun{measuring: measuring{table, &out, &notes}, choice: choice{names: []string{set}}, limit: time.Minute, solutions: solutions}
	again := func(want string) {
		t.Helper()
		notes.Reset()
		out.Reset()
		if err := run.run(context.Background()); err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(table)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSpace(string(data)), "\n")
		if lines[0] != "file,items,demand,capacity,root_bound,lower,upper,status,seconds,columns,nodes,peak_mb" {
			t.Errorf("columns %s", lines[0])
		}
		var got []string
		for _, l := range lines[1:] {
			f := strings.Split(l, ",")
			got = append(got, strings.Join(append(f[:4:4], f[5:8]...), " "))
		}
		if d := cmp.Diff(strings.Split(want, "\n"), got); d != "" {
			t.Error(d)
		}
	}
	const all = "set/long.txt 1 1 10 0  impossible\nset/one.txt 1 1 10 1 1 proven\nset/two.txt 2 6 10 3 3 proven"
	again(all)
	if n := strings.Count(notes.String(), " s\n"); n != 3 {
		t.Errorf("%d instances told of in %q", n, notes.String())
	}
	again(all)
	if notes.Len() > 0 {
		t.Errorf("solved again: %s", notes.String())
	}
	if !strings.Contains(out.String(), "| set ") {
		t.Errorf("summary %s", out.String())
	}

	data, err := os.ReadFile(table)
	if err != nil {
		t.Fatal(err)
	}
	kept := data[:bytes.Index(data, []byte("set/two"))+4] // a stop in the middle of a line
	if err := os.WriteFile(table, kept, 0o644); err != nil {
		t.Fatal(err)
	}
	again(all)
	if !strings.HasPrefix(notes.String(), "1/1 set/two") {
		t.Errorf("notes %s", notes.String())
	}

	for _, name := range []string{"one", "two"} {
		data, err := os.ReadFile(filepath.Join(solutions, "set", name+".json"))
		if err != nil {
			t.Fatal(err)
		}
		if report, err := check.Document(context.Background(), data); err != nil || !report.OK() || report.Grade != check.Proven {
			t.Errorf("%s: %v, %v", name, report, err)
		}
	}
	if _, err := os.Stat(filepath.Join(solutions, "set", "long.json")); err == nil {
		t.Error("a plan for what cannot be cut")
	}
}

func TestSolveFailsOnAFault(t *testing.T) {
	table := filepath.Join(t.TempDir(), "out.csv")
	row := solveRow{File: "textbook/chvatal", Status: crashed}
	text := strings.Join(solveHeader, ",") + "\n" + strings.Join(row.fields(), ",") + "\n"
	if err := os.WriteFile(table, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, notes bytes.Buffer
	run := solveRun{measuring: measuring{table, &out, &notes}, choice: choice{names: []string{"textbook"}, each: 1}, limit: time.Minute}
	if err := run.run(context.Background()); err == nil || !strings.Contains(err.Error(), "1 instances ended in a fault") {
		t.Errorf("error %v", err)
	}
}
