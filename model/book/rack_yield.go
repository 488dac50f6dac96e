package book

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// YieldBy is what yields are added up by.
type YieldBy string

// What yields can be added up by.
const (
	ByProfile  YieldBy = "profile"
	ByWeek     YieldBy = "week" // of ISO 8601, in which the run was finished or the stick discarded
	BySupplier YieldBy = "supplier"
)

// Yield is what became of moulding: of finished runs, and of what was discarded.
type Yield struct {
	Of         string       `json:"of"`     // the profile, week or supplier; empty: not known
	Sticks     int          `json:"sticks"` // opened
	UsedUp     model.Length `json:"used_up_nm"`
	LongPoints model.Length `json:"long_points_nm"`
	Waste      model.Length `json:"waste_nm"` // discarded sticks are waste
	Spoilt     int          `json:"spoilt"`   // sides
	WasteCost  model.Money  `json:"waste_cost"`
	Yield      int64        `json:"yield_ppm"` // LongPoints ÷ UsedUp, rounded down
}

// Yields adds up what became of moulding.
func (b *Book) Yields(ctx context.Context, by YieldBy) (all []Yield, err error) {
	group, discarded := "", ""
	switch by {
	case ByProfile:
		group, discarded = "u.profile", "s.profile"
	case BySupplier:
		group, discarded = "s.supplier", "s.supplier"
	case ByWeek:
		group = "strftime('%G-W%V', u.finished)"
		discarded = `strftime('%G-W%V', (SELECT max(p.at) FROM change AS c JOIN step AS p ON p.id = c.step WHERE c.tab = 'stick' AND c.row = s.id))`
	default:
		return nil, usageError(b.path, fmt.Sprintf("yields are not added up by %q", by), "write profile, week or supplier")
	}
	sums := map[string]*Yield{}
	add := func(y Yield) {
		if sums[y.Of] == nil {
			sums[y.Of] = &Yield{Of: y.Of}
		}
		s := sums[y.Of]
		s.Sticks, s.UsedUp, s.LongPoints = s.Sticks+y.Sticks, s.UsedUp+y.UsedUp, s.LongPoints+y.LongPoints
		s.Waste, s.Spoilt, s.WasteCost = s.Waste+y.Waste, s.Spoilt+y.Spoilt, s.WasteCost+y.WasteCost
	}
	query := `SELECT ` + group + `, count(*), sum(s.length_nm - r.kept_nm), sum(s.length_nm - r.kept_nm - r.waste_nm), sum(r.waste_nm),
			sum((SELECT count(*) FROM cut AS c WHERE c.run = r.run AND c.number = r.number AND spoilt > 0)), sum(r.waste_minor)
		FROM run_stick AS r JOIN run AS u ON u.id = r.run JOIN stick AS s ON s.name = r.stick WHERE r.state = 'cut' GROUP BY 1
		UNION ALL SELECT ` + discarded + `, count(*), sum(length_nm), 0, sum(length_nm), 0, sum(cost_minor) FROM stick AS s WHERE state = 'discarded' GROUP BY 1`
	err = b.read(ctx, func(t *transaction) error {
		return t.each(query, nil, func(scan func(...any) error) error {
			var y Yield
			if err := scan(&y.Of, &y.Sticks, &y.UsedUp, &y.LongPoints, &y.Waste, &y.Spoilt, &y.WasteCost); err != nil {
				return err
			}
			add(y)
			return nil
		})
	})
	for _, s := range sums {
		s.Yield = plan.PerMillion(s.LongPoints, s.UsedUp)
		all = append(all, *s)
	}
	slices.SortFunc(all, func(a, b Yield) int { return strings.Compare(a.Of, b.Of) })
	return all, err
}
