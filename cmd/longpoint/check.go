package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/solver/check"
)

// checkAnswer is what "longpoint check --json" prints.
type checkAnswer struct {
	Format   string          `json:"format"`
	OK       bool            `json:"ok"`
	Checked  string          `json:"checked"` // one sentence: what was checked, and that it is right; empty unless OK
	Findings []audit.Finding `json:"findings"`
}

// check is "longpoint check": everything derived again.
func (p *program) check() *cobra.Command {
	var cutsOnly, jsonOut bool
	var mishap mishaps
	cmd := &cobra.Command{
		Use:   "check [DIR] PLAN.json",
		Short: "Check a plan against its workshop, from the jobs to the proof",
		Long: `Derive everything in the plan PLAN.json again from the workshop folder DIR: each
side once and as long as its job says, every stick as long as the rack or the
offer says and not too full, the buy list, the costs, the yields, and the proof
that no plan is cheaper. The plan is one written by "longpoint plan --out"; a
single dash reads it from standard input.

What is off is listed, and the exit status is then 5. With --cuts there is no
workshop: the only argument is a cuts document (the part of a plan called
"cuts"), and its plan, cost and proof are checked for themselves. A plan made
with --last and --after is checked with the same two.`,
		Example:     checkExample,
		Annotations: map[string]string{withoutStore: "cuts"},
		Args: func(cmd *cobra.Command, args []string) error {
			if cutsOnly {
				return arguments("CUTS.json, a cuts document,")(cmd, args)
			}
			return arguments("DIR, the workshop's folder,", "PLAN.json, the plan to check,")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			var answer *checkAnswer
			var err error
			if cutsOnly {
				answer, err = p.checkCuts(cmd.Context(), args[0])
			} else {
				answer, err = p.checkPlan(cmd.Context(), args[0], args[1], mishap)
			}
			if err != nil {
				return err
			}
			return p.showCheck(answer, jsonOut)
		},
	}
	mishap.addFlags(cmd)
	cmd.Flags().BoolVar(&cutsOnly, "cuts", false, "check a cuts document on its own, without a workshop")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the findings as JSON")
	return cmd
}

// checkPlan derives a plan again from its workshop.
func (p *program) checkPlan(ctx context.Context, dir, name string, mishap mishaps) (*checkAnswer, error) {
	if err := mishap.notOfBook(dir); err != nil {
		return nil, err
	}
	workshop, err := p.workshop(ctx, dir)
	if err != nil {
		return nil, err
	}
	if workshop, err = mishap.workshop(ctx, p, workshop); err != nil {
		return nil, err
	}
	document, err := p.readPlan(name)
	if err != nil {
		return nil, err
	}
	findings, err := audit.Check(ctx, workshop, document, auditTools)
	if err != nil {
		return nil, unfinished(err)
	}
	f, grade := document.Total.Figures, string(document.Total.Grade)
	if document.Total.Grade != plan.Proven {
		grade += fmt.Sprintf(" (bound %s)", document.Total.Bound.With(workshop.Currency))
	}
	return newCheckAnswer(findings, fmt.Sprintf("%s, %s for %s: right and %s", scope(document, workshop.Habits.Dates), count(f.Sides, "side", "sides"),
		f.Cost.With(workshop.Currency), grade)), nil
}

// checkCuts checks a cuts document on its own.
func (p *program) checkCuts(ctx context.Context, name string) (*checkAnswer, error) {
	if err := notOneOf(name, aCuts); err != nil {
		return nil, err
	}
	data, err := p.read(name)
	if err != nil {
		return nil, err
	}
	report, err := check.Document(ctx, data)
	if unread, ok := errors.AsType[*check.InputError](err); ok {
		return nil, &model.Error{Kind: model.BadInput, What: "this is no cuts document that can be read", Err: unread,
			Where: model.Place{File: name}}
	}
	if err != nil {
		return nil, unfinished(err)
	}
	var findings []audit.Finding
	for _, v := range report.Violations {
		findings = append(findings, audit.Finding{Code: string(v.Code), Where: v.Where, What: strings.TrimPrefix(v.Sentence, v.Where+": ")})
	}
	if !report.OK() && len(findings) == 0 {
		return nil, unfinished(errors.New("the checker did not say why"))
	}
	return newCheckAnswer(findings, fmt.Sprintf("%s for %d, bound %d, in the document's own units: right and %s",
		count(int(report.Sticks), "stick", "sticks"), report.Cost, report.Bound, report.Grade)), nil
}

// newCheckAnswer makes an answer of findings; right is the sentence for when there are none.
func newCheckAnswer(findings []audit.Finding, right string) *checkAnswer {
	a := &checkAnswer{Format: "longpoint-check/1", OK: len(findings) == 0, Findings: findings}
	if a.OK {
		a.Checked = right
		a.Findings = []audit.Finding{} // [] in JSON, not null
	}
	return a
}

// showCheck prints an answer. Findings make an error, so that no caller takes them for a pass.
func (p *program) showCheck(a *checkAnswer, jsonOut bool) error {
	text := "checked: " + a.Checked + "\n" // one line, however long: people search for it
	if !a.OK {
		lines := make([]string, len(a.Findings))
		for i, f := range a.Findings {
			lines[i] = paragraph(f.String(), "  ")
		}
		text = strings.Join(lines, "")
	}
	if jsonOut {
		var err error
		if text, err = asJSON(a); err != nil {
			return err
		}
	}
	if err := p.show(text); err != nil {
		return err
	}
	if a.OK {
		return nil
	}
	return &model.Error{Kind: model.CheckFailed, What: "the check found " + count(len(a.Findings), "thing", "things") + " off",
		Do: "do not cut by this plan; make a new one with \"longpoint plan\""}
}

// read reads a whole document from a file, or from standard input where its name is a dash.
func (p *program) read(name string) ([]byte, error) {
	from := p.stdin
	var data bytes.Buffer
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, unreadable(name, err)
		}
		defer f.Close()
		if info, err := f.Stat(); err == nil && info.Size() > plan.MaxDocument {
			return nil, unreadable(name, fmt.Errorf("%d bytes, more than %d", info.Size(), plan.MaxDocument))
		} else if err == nil {
			data.Grow(int(info.Size()) + bytes.MinRead) // or it would be twice as large while it grows
		}
		from = f
	}
	if _, err := data.ReadFrom(io.LimitReader(from, plan.MaxDocument+1)); err != nil {
		return nil, unreadable(name, err)
	}
	return data.Bytes(), nil
}

// readPlan reads a plan document, as read does.
func (p *program) readPlan(name string) (*plan.Document, error) {
	if err := notOneOf(name, aPlan); err != nil {
		return nil, err
	}
	data, err := p.read(name)
	if err != nil {
		return nil, err
	}
	d, err := plan.Decode(data)
	if err != nil {
		return nil, inFile(name, err)
	}
	return d, nil
}

// unreadable says that a file cannot be read.
func unreadable(name string, err error) error {
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		err = e.Err
	}
	return &model.Error{Kind: model.BadInput, What: "the file cannot be read", Err: err, Where: model.Place{File: name},
		Do: "check its name; \"longpoint plan --out\" writes one"}
}

// inFile puts a file's name to an error about what is in it.
func inFile(name string, err error) error {
	if e, ok := err.(*model.Error); ok {
		placed := *e
		placed.Where.File = name
		return &placed
	}
	return err
}

// unfinished says that nothing is known, because the check did not come to its end. That is never a pass.
func unfinished(err error) error {
	if errors.Is(err, context.Canceled) {
		return &model.Error{Kind: model.CheckFailed, What: "the check was stopped before its end: nothing is known", Do: `run "longpoint check" again and let it end`}
	}
	if e, ok := errors.AsType[*model.Error](err); ok {
		return e
	}
	return &model.Error{Kind: model.CheckFailed, What: "the check could not be finished: nothing is known", Err: err}
}
