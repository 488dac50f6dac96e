package round

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/quote"
)

// SoFar says of a job of which a part is left to plan what the rest of it comes to: what was cut of it before, what open runs cut of it, and the whole job
// where the last plan tells. It says nothing where all of the job is left.
func SoFar(ctx context.Context, b *book.Book, job string, c model.Currency) (said string, err error) {
	d, err := b.Job(ctx, job)
	if err != nil {
		return "", err
	}
	runs, err := b.JobRuns(ctx, job)
	if err != nil || d.Cost == 0 && len(runs) == 0 {
		return "", err
	}
	said = cutBefore(inRuns(runs, c), d, runs, c)
	whole, err := b.WholeCosts(ctx)
	if comes, known := whole[job]; known {
		return fmt.Sprintf("%s; by the last plan the whole job comes to %s", said, comes.With(c)), err
	}
	return said + "; what is left comes on top of that", err
}

// cutBefore adds to what is said of a job's open runs what the other sides come to that are cut.
func cutBefore(said string, d book.JobDetails, runs []book.JobRun, c model.Currency) string {
	before := d.Cost
	for _, r := range runs {
		before -= r.Charged
	}
	if before == 0 {
		return said
	}
	if said != "" {
		said += "; "
	}
	return said + fmt.Sprintf("what was cut of it before comes to %s", before.With(c))
}

func inRuns(runs []book.JobRun, c model.Currency) string {
	var parts []string
	for _, r := range runs {
		parts = append(parts, fmt.Sprintf("run %d, of %s, has %d of its %s done, and its share of plan %d, by which that was started, is %s",
			r.Run, r.Profile, r.Cut, text.Count(r.Sides, "side", "sides"), r.Plan, r.Share.With(c)))
	}
	return strings.Join(parts, "; ")
}

// Ordered fills in what a quotation says of what is ordered for its job, and of sides of the job that it knows nothing of.
func Ordered(q *quote.Quotation, lines []book.Ordered, sides int) {
	q.Gone = max(0, sides-q.Sides)
	for _, l := range lines {
		if slices.ContainsFunc(q.Profiles, func(p quote.Profile) bool { return p.Name == l.Profile }) {
			q.Marginal.Ordered += l.Cost
			if l.Sent {
				q.Marginal.Sent += l.Cost
			}
		}
	}
}

// NoQuotation is the refusal for a job of a book of which nothing is left to plan. It says where the job is and what it comes to, runs that are
// finished and runs that are open together.
func NoQuotation(ctx context.Context, b *book.Book, job string, c model.Currency) (*model.Error, error) {
	d, err := b.Job(ctx, job)
	if err != nil {
		return nil, err
	}
	runs, err := b.JobRuns(ctx, job)
	if err != nil {
		return nil, err
	}
	const do = `charge by that; "longpoint quote" with --profile and a size, and without --job, says what a new frame like it comes to`
	if len(runs) == 0 {
		return &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("job %s is %s and nothing of it is left to plan: %d of its %s are cut, and its share of the plans they were cut by is %s",
			job, d.State, d.Cut, text.Count(d.Sides, "side", "sides"), d.Cost.With(c)), Do: do}, nil
	}
	said, comes := cutBefore(inRuns(runs, c), d, runs, c), d.Cost
	for _, r := range runs {
		comes += r.Share - r.Charged
	}
	if comes != runs[0].Share {
		said += fmt.Sprintf("; the whole job comes to %s", comes.With(c))
	}
	return &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("job %s is being cut: %s", job, said), Do: do}, nil
}
