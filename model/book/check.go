package book

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
)

// Finding is one thing that is wrong with a book.
type Finding struct {
	Where string `json:"where"` // the table, and the row as people know it
	What  string `json:"what"`
}

// String gives "where: what".
func (f Finding) String() string { return f.Where + ": " + f.What }

// MaxFindings is how many findings of one rule are given.
const MaxFindings = 20

// Check says what is wrong with the book: SQLite's own check of the file, its tables and triggers, references between tables, the seals of its steps, and the
// rules of the shop. The error is that it could not be checked.
func (b *Book) Check(ctx context.Context) ([]Finding, error) {
	found, err := look(ctx, b, (*transaction).check)
	return append(slices.Clone(b.off), found...), err
}

// check looks at everything, within the transaction.
func (t *transaction) check() ([]Finding, error) {
	found, err := t.checkFile()
	if err != nil || len(found) > 0 {
		return found, err // on a damaged file the rules say nothing
	}
	found, err = t.checkSchema()
	if err != nil {
		return nil, err
	}
	off := len(found) > 0
	for _, check := range []func(*transaction) ([]Finding, error){(*transaction).checkReferences, (*transaction).checkOpen, (*transaction).checkSeals, (*transaction).checkShop} {
		more, err := check(t)
		found = append(found, more...)
		if err != nil && off && t.ctx.Err() == nil {
			return found, nil // what is off with the tables is why
		} else if err != nil {
			return nil, err
		}
	}
	return found, nil
}

// checkOpen finds a step that was left open: a later one could not be written.
func (t *transaction) checkOpen() (found []Finding, err error) {
	var step int64
	if left, err := t.one("SELECT step FROM open_step", nil, &step); err != nil || !left {
		return nil, err
	}
	return []Finding{{fmt.Sprintf("step %d", step), "it was left open"}}, nil
}

// checkShop holds the book against the rules of the shop.
func (t *transaction) checkShop() (found []Finding, err error) {
	ranges, err := t.ranges()
	if err != nil {
		return nil, err
	}
	for _, r := range append(ranges, rules...) {
		if known, err := t.has(r.needs); err != nil {
			return nil, err
		} else if !known {
			continue
		}
		broken, err := t.broken(r)
		if err != nil {
			return nil, fmt.Errorf("rule %q: %w", r.what, err)
		}
		found = append(found, broken...)
	}
	documents, err := t.checkDocuments()
	return append(found, documents...), err
}

// days are the columns that hold a day, or nothing.
var days = map[string][]string{"offer": {"until"}, "job": {"due"}, "plan": {"until"}, "purchase": {"placed", "expected"}, "delivery": {"arrived"},
	"stock_count": {"day"}, "blade": {"came"}, "sharpening": {"day"}, "run": {"started", "finished"}}

// ranges gives a rule for every table: its lengths and money are such as may be given, and its days are days.
func (t *transaction) ranges() (all []rule, err error) {
	tables, err := tablesIn(t.ctx, t.tx)
	if err != nil {
		return nil, err
	}
	for _, tb := range tables {
		var wrong []string
		for _, c := range tb.columns {
			switch greatest := int64(mostMoney); {
			case c.kind == length:
				greatest = int64(mostLength)
				fallthrough
			case c.kind == money:
				wrong = append(wrong, fmt.Sprintf("%s NOT BETWEEN %d AND %d", c.name, -greatest, greatest))
			case slices.Contains(days[tb.name], c.name):
				wrong = append(wrong, fmt.Sprintf("%[1]s <> '' AND (%[1]s NOT GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' OR date(%[1]s) IS NOT %[1]s)", c.name))
			}
		}
		if len(wrong) > 0 {
			all = append(all, rule{what: "lengths, money and days are within their bounds",
				query: fmt.Sprintf("SELECT '%s, row ' || id, '' FROM %s WHERE %s", tb.name, tb.name, strings.Join(wrong, " OR "))})
		}
	}
	return all, nil
}

// mostLength and mostMoney bound what is in a column: a sum of what is given may be more than any of it.
const (
	mostLength = 1000 * model.MaxLength
	mostMoney  = 1000 * model.MaxMoney
)

// checkFile runs SQLite's own check.
func (t *transaction) checkFile() (found []Finding, err error) {
	err = t.each(fmt.Sprintf("PRAGMA integrity_check(%d)", MaxFindings), nil, func(scan func(...any) error) error {
		var text string
		if err := scan(&text); err != nil {
			return err
		}
		if text != "ok" {
			found = append(found, Finding{"the file", text})
		}
		return nil
	})
	return found, err
}

// checkReferences finds rows that refer to none.
func (t *transaction) checkReferences() (found []Finding, err error) {
	err = t.each("SELECT \"table\", rowid, parent FROM pragma_foreign_key_check LIMIT ?", []any{MaxFindings}, func(scan func(...any) error) error {
		var table, parent string
		var row int64
		if err := scan(&table, &row, &parent); err != nil {
			return err
		}
		found = append(found, Finding{fmt.Sprintf("%s, row %d", table, row), "it refers to a " + parent + " that is not there"})
		return nil
	})
	return found, err
}

// rule is something that holds in every book. query gives a row for each place where it does not: the place, and what there is.
type rule struct {
	what  string
	query string
	needs string // a table's column, as "table.column": a book of an older version, which has it not, is not asked
}

// countSides adds up the sides of frames f that are not dropped: those of the innermost ring, for each ring and each copy.
const countSides = `sum(iif(f.dropped, 0, f.quantity) * (SELECT max(sides) * count(*) FROM ring AS r WHERE r.job = f.job AND r.frame = f.name))`

var rules = []rule{
	{what: "a shop has its settings",
		query: `SELECT 'the workshop', '' WHERE NOT EXISTS (SELECT 1 FROM workshop) AND (EXISTS (SELECT 1 FROM job) OR EXISTS (SELECT 1 FROM stick) OR EXISTS (SELECT 1 FROM offer))`},
	{what: "the length of a stick is that of its sides, what was kept and the waste",
		query: `SELECT 'stick ' || s.name, s.length_nm || ' nm, and ' || (x.kept_nm + x.waste_nm + x.done) || ' nm'
		 FROM (SELECT r.*, (SELECT coalesce(sum(long_point_nm), 0) FROM cut AS c WHERE c.run = r.run AND c.number = r.number AND spoilt = 0) AS done
		       FROM run_stick AS r WHERE r.state = 'cut') AS x JOIN stick AS s ON s.name = x.stick
		 WHERE s.length_nm <> x.kept_nm + x.waste_nm + x.done`},
	{what: "the money in a stick is that of its sides, what was kept and the waste",
		query: `SELECT 'stick ' || s.name, s.cost_minor || ', and ' || (x.waste_minor + x.done + x.kept)
		 FROM (SELECT r.*, (SELECT coalesce(sum(cost_minor), 0) FROM cut AS c WHERE c.run = r.run AND c.number = r.number) AS done,
		              (SELECT coalesce(sum(cost_minor), 0) FROM stick AS k WHERE k.parent = r.stick) AS kept
		       FROM run_stick AS r WHERE r.state = 'cut') AS x JOIN stick AS s ON s.name = x.stick
		 WHERE s.cost_minor <> x.waste_minor + x.done + x.kept`},
	{what: "what was kept of a stick is its offcut",
		query: `SELECT 'stick ' || r.stick, r.kept_nm || ' nm kept' FROM run_stick AS r
		 WHERE r.state <> 'returned' AND r.kept_nm <> (SELECT coalesce(sum(length_nm), 0) FROM stick AS k WHERE k.parent = r.stick)`},
	{what: "an offcut is one of a stick that was cut",
		query: `SELECT 'stick ' || k.name, 'offcut of ' || k.parent FROM stick AS k
		 WHERE k.parent IS NOT NULL AND NOT EXISTS (SELECT 1 FROM run_stick AS r WHERE r.stick = k.parent AND r.state = 'cut')`},
	{what: "what came off a stick was on it",
		query: `SELECT 'stick ' || s.name, s.length_nm || ' nm' FROM run_stick AS r JOIN stick AS s ON s.name = r.stick
		 WHERE r.state <> 'returned' AND s.length_nm < r.kept_nm +
		   (SELECT coalesce(sum(takes_nm), 0) FROM cut AS c WHERE c.run = r.run AND c.number = r.number)`},
	{what: "a stick is in one run at most",
		query: `SELECT 'stick ' || stick, count(*) || ' runs' FROM run_stick WHERE state <> 'returned' GROUP BY stick HAVING count(*) > 1`},
	{what: "a stick is where its run says",
		query: `SELECT 'stick ' || s.name, s.state FROM stick AS s LEFT JOIN run_stick AS r ON r.stick = s.name AND r.state <> 'returned'
		 WHERE s.state <> CASE r.state WHEN 'open' THEN 'run' WHEN 'cut' THEN 'used' ELSE iif(s.state = 'discarded', s.state, 'rack') END`},
	{what: "a finished run has no stick left to cut",
		query: `SELECT 'run ' || u.id, 'stick ' || r.stick FROM run AS u JOIN run_stick AS r ON r.run = u.id
		 WHERE u.state = 'finished' AND r.state = 'open'`},
	{what: "what earlier plans had cut from a stick stands in its first places", needs: "run_stick.earlier",
		query: `SELECT 'run ' || r.run, 'stick ' || r.stick FROM run_stick AS r
		 WHERE r.earlier <> (SELECT count(*) FROM cut AS c WHERE c.run = r.run AND c.number = r.number AND c.place <= r.earlier)`},
	{what: "the plan of a run's rest is one of that run's profile", needs: "plan.rest_of",
		query: `SELECT 'plan ' || p.id, 'run ' || p.rest_of FROM plan AS p WHERE p.rest_of IS NOT NULL AND NOT EXISTS (SELECT 1 FROM run WHERE id = p.rest_of)`},
	{what: "a side is one of its frame",
		query: `SELECT 'cut ' || c.id, 'job ' || c.job || ', frame ' || c.frame || ', copy ' || c.copy || ', ring ' || c.ring || ', side ' || c.letter
		 FROM cut AS c JOIN frame AS f ON f.job = c.job AND f.name = c.frame JOIN ring AS one ON one.job = c.job AND one.frame = c.frame AND one.number = 1
		 WHERE c.spoilt = 0 AND (c.copy > f.quantity OR NOT length(c.letter) = 1 OR NOT unicode(c.letter) BETWEEN 65 AND 64 + one.sides
		   OR NOT EXISTS (SELECT 1 FROM ring AS r WHERE r.job = c.job AND r.frame = c.frame AND r.number = c.ring))`},
	{what: "every side of a finished job has been cut", needs: "frame.dropped",
		query: `SELECT 'job ' || w.job, w.sides || ' sides, ' || w.cut || ' cut'
		 FROM (SELECT f.job AS job, ` + countSides + ` AS sides, sum(iif(f.dropped, 0,
		         (SELECT count(*) FROM cut AS c WHERE c.job = f.job AND c.frame = f.name AND c.spoilt = 0))) AS cut
		       FROM frame AS f GROUP BY f.job) AS w JOIN job AS j ON j.name = w.job
		 WHERE j.state IN ('ready', 'collected') AND w.sides <> w.cut`},
	{what: "a job has a frame, and a frame a ring",
		query: `SELECT 'job ' || name, 'no frame' FROM job AS j WHERE NOT EXISTS (SELECT 1 FROM frame WHERE job = j.name)
		 UNION ALL SELECT 'job ' || job || ', frame ' || name, 'no ring' FROM frame AS f
		   WHERE NOT EXISTS (SELECT 1 FROM ring AS r WHERE r.job = f.job AND r.frame = f.name AND r.number = 1)`},
	{what: "no more has arrived than was ordered, and for no more money",
		query: `SELECT 'purchase ' || l.purchase || ', line ' || l.number, n || ' sticks, ' || cost || ' in money'
		 FROM purchase_line AS l JOIN (SELECT d.purchase AS purchase, s.line AS line, count(*) AS n, sum(s.cost_minor) AS cost
		   FROM stick AS s JOIN delivery AS d ON d.id = s.delivery GROUP BY d.purchase, s.line) AS x
		   ON x.purchase = l.purchase AND x.line = l.number
		 WHERE x.n > l.sticks - l.gone + l.extra OR x.cost > l.cost_minor + l.extra_cost_minor`, needs: "purchase_line.extra"},
	{what: "a change belongs to a step",
		query: `SELECT 'change ' || c.id, 'step ' || c.step FROM change AS c WHERE NOT EXISTS (SELECT 1 FROM step WHERE id = c.step)`},
	{what: "a plan has its document",
		query: `SELECT 'plan ' || id, 'no document' FROM plan AS p WHERE NOT EXISTS (SELECT 1 FROM plan_part WHERE plan = p.id)`},
}

// has tells whether the book has a column; nothing needed is there.
func (t *transaction) has(needed string) (found bool, err error) {
	table, column, _ := strings.Cut(needed, ".")
	err = t.row("SELECT ?1 = '' OR EXISTS (SELECT 1 FROM pragma_table_info(?1) WHERE name = ?2)", table, column).Scan(&found)
	return found, err
}

// broken finds where a rule does not hold.
func (t *transaction) broken(r rule) (found []Finding, err error) {
	err = t.each(r.query+fmt.Sprintf(" LIMIT %d", MaxFindings), nil, func(scan func(...any) error) error {
		var where, what string
		if err := scan(&where, &what); err != nil {
			return err
		}
		f := Finding{where, "against the rule that " + r.what}
		if what != "" {
			f.What += ": " + what
		}
		found = append(found, f)
		return nil
	})
	return found, err
}

// checkDocuments finds plans whose document is not what it was.
func (t *transaction) checkDocuments() (found []Finding, err error) {
	var ids []int64
	if err := t.each("SELECT id FROM plan ORDER BY id", nil, func(scan func(...any) error) error {
		var id int64
		defer func() { ids = append(ids, id) }()
		return scan(&id)
	}); err != nil {
		return nil, err
	}
	for _, id := range ids {
		if _, err := t.document(id); err != nil && t.ctx.Err() == nil {
			what := err.Error()
			if e, ok := errors.AsType[*model.Error](err); ok {
				what = e.What
			}
			found = append(found, Finding{fmt.Sprintf("plan %d", id), what})
		}
		if len(found) == MaxFindings {
			break
		}
	}
	return found, t.ctx.Err()
}

// sound is an error where a rule of the shop is broken within the transaction.
func (t *transaction) sound(do string) error {
	found, err := t.checkShop()
	if err != nil {
		return err
	}
	var errs model.Errors
	for _, f := range found {
		errs = append(errs, inputError(t.book.path, f.String(), do))
	}
	return errs.AsError()
}
