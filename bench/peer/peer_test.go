package peer

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestParseAnswers(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		parse      func([]byte) (Outcome, error)
		want       Outcome
		fails      string
	}{
		{name: "glpsol optimal", text: "c x\ns mip 7 8 o 47\ni 1\n", parse: parseGlpsol, want: Outcome{Status: Optimal, Cost: 47}},
		{name: "glpsol feasible only", text: "s mip 7 8 f 48\n", parse: parseGlpsol, want: Outcome{Status: Limit, Reason: "its status is f"}},
		{name: "glpsol relaxation only", text: "s bas 7 8 f f 46.25\n", parse: parseGlpsol, want: Outcome{Status: Limit, Reason: "its status is f"}},
		{name: "glpsol torn", text: "c x\n", parse: parseGlpsol, fails: "no status line"},
		{name: "glpsol bad cost", text: "s mip 7 8 o x\n", parse: parseGlpsol, fails: "invalid syntax"},
		{name: "cbc optimal", text: "Optimal - objective value 47.00000000\n 0 x0 1 0\n", parse: parseCbc, want: Outcome{Status: Optimal, Cost: 47}},
		{name: "cbc stopped", text: "Stopped on time - objective value 48.0\n", parse: parseCbc,
			want: Outcome{Status: Limit, Reason: `its status is "Stopped on time - objective value 48.0"`}},
		{name: "cbc infeasible", text: "Infeasible - objective value 0\n", parse: parseCbc,
			want: Outcome{Status: Limit, Reason: `its status is "Infeasible - objective value 0"`}},
		{name: "cbc bad cost", text: "Optimal - objective value x\n", parse: parseCbc, fails: "invalid syntax"},
		{name: "highs optimal", text: "noise\n{\"status\":\"Optimal\",\"cost\":47,\"nanoseconds\":5}\n", parse: parseHighs,
			want: Outcome{Status: Optimal, Cost: 47, Elapsed: 5}},
		{name: "highs stopped", text: `{"status":"Time limit reached","cost":48,"nanoseconds":5}`, parse: parseHighs,
			want: Outcome{Status: Limit, Elapsed: 5, Reason: "its status is Time limit reached"}},
		{name: "highs without a cost", text: `{"status":"Optimal","cost":null,"nanoseconds":5}`, parse: parseHighs,
			want: Outcome{Status: Limit, Elapsed: 5, Reason: "its status is Optimal"}},
		{name: "highs torn", text: `{"status":"Opt`, parse: parseHighs, fails: "unexpected end"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, err := tc.parse([]byte(tc.text))
			if tc.fails != "" {
				if err == nil || !strings.Contains(err.Error(), tc.fails) {
					t.Errorf("error %v in place of %q", err, tc.fails)
				}
				return
			}
			if err != nil || got != tc.want {
				t.Errorf("%+v, %v in place of %+v", got, err, tc.want)
			}
		})
	}
}

// What a program says after its limit is no proof within it, and what fails is not passed off as a limit.
func TestRunKeepsToTheLimit(t *testing.T) {
	says := func(o Outcome, err error) Program {
		return Program{Name: "said", run: func(context.Context, string, time.Duration) (Outcome, error) { return o, err }}
	}
	for _, tc := range []struct {
		name string
		says Program
		want Status
	}{
		{"in time", says(Outcome{Status: Optimal, Elapsed: time.Second}, nil), Optimal},
		{"late", says(Outcome{Status: Optimal, Elapsed: 3 * time.Second}, nil), Limit},
		{"failed", says(Outcome{}, errors.New("no licence")), Failed},
	} {
		if o, err := tc.says.Run(context.Background(), "", 2*time.Second); err != nil || o.Status != tc.want {
			t.Errorf("%s: %+v, %v", tc.name, o, err)
		}
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if _, err := says(Outcome{Status: Optimal}, nil).Run(stopped, "", time.Second); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: error %v", err)
	}
}

// Every program that is installed solves one small model, whose optimum is 2: of x + y ≥ 1.5 with whole x and y.
func TestProgramsThatAreInstalled(t *testing.T) {
	found := Find(context.Background(), filepath.Join("..", "out"))
	if len(found) == 0 {
		t.Skip("none of glpsol, cbc and highs is installed")
	}
	path := filepath.Join(t.TempDir(), "model.lp")
	model := "Minimize\n cost: + x0 + x1\nSubject To\n d0: + x0 + x1 >= 1.5\nBounds\n0 <= x0 <= 1\nGenerals\nx0\nx1\nEnd\n"
	if err := os.WriteFile(path, []byte(model), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, p := range found {
		o, err := p.Run(context.Background(), path, 20*time.Second)
		if err != nil || o.Status != Optimal || o.Cost != 2 {
			t.Errorf("%s (%s): %+v, %v", p.Name, p.Version, o, err)
		}
		if o.Elapsed <= 0 {
			t.Errorf("%s: took no time", p.Name)
		}
	}
	left, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(left) != 1 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
