package book

import (
	"slices"
	"testing"

	"longpoint/model"
)

// TestSince: a plan is right for the shop it was made of. What was changed since is told, and where the plan would be cut or ordered wrong by it no run
// begins and nothing is ordered; put back as it was it is no change.
func TestSince(t *testing.T) {
	for _, c := range []struct {
		name, sql, back string
		what            string
		starts, orders  bool
	}{
		{"kerf", "UPDATE workshop SET overrun_nm = overrun_nm + 1000", "UPDATE workshop SET overrun_nm = overrun_nm - 1000", "the overrun was changed", false, false},
		{"profile", "UPDATE profile SET width_nm = width_nm + 1000 WHERE name = 'oak-40'", "UPDATE profile SET width_nm = width_nm - 1000 WHERE name = 'oak-40'", "profile oak-40 was changed", false, false},
		{"the other profile", "UPDATE profile SET tail_trim_nm = 1000 WHERE name = 'black-22'", "UPDATE profile SET tail_trim_nm = 0 WHERE name = 'black-22'", "profile black-22 was changed", true, false},
		{"how a job matches", "UPDATE job SET match = 'stick' WHERE name = '101'", "UPDATE job SET match = '' WHERE name = '101'", "job 101 was changed", false, false},
		{"a frame more", "UPDATE frame SET quantity = 2 WHERE job = '101'", "UPDATE frame SET quantity = 1 WHERE job = '101'", "job 101 was changed", true, false},
		{"job dropped", "UPDATE job SET state = 'dropped' WHERE name = '103'", "UPDATE job SET state = 'open' WHERE name = '103'", "job 103 was dropped", true, false},
		{"due day", "UPDATE job SET due = '2027-05-01' WHERE name = '101'", "UPDATE job SET due = '2027-04-06' WHERE name = '101'", "job 101 is due on another day", true, true},
		{"price", "UPDATE offer SET price_minor = price_minor + 1", "UPDATE offer SET price_minor = price_minor - 1", "prices of Invented Timber were changed", true, true},
		{"customer", "UPDATE job SET customer = 'another', note = '' WHERE name = '103'", "", "", true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newShop(t)
			id := keepPlan(t, b, planOf(t, b))
			set := func(sql string) {
				_, err := b.write(t.Context(), "set", tester, func(t *transaction) error {
					_, err := t.exec(sql)
					return err
				})
				must(t, err)
			}
			set(c.sql)
			news, err := b.Since(t.Context(), id)
			must(t, err)
			if c.what == "" != (len(news) == 0) || c.what != "" && news[0].What != c.what {
				t.Errorf("told %+v, want %q", news, c.what)
			}
			_, _, err = b.StartRun(t.Context(), "oak-40", id, tester)
			demand(t, "starting", err, c.starts, c.what)
			_, _, err = b.PlaceOrders(t.Context(), id, false, tester)
			demand(t, "ordering", err, c.orders, c.what)
			if c.back == "" || c.starts {
				return
			}
			set(c.back)
			if news, err = b.Since(t.Context(), id); err != nil || len(news) > 0 {
				t.Errorf("put back, told %+v, error %v", news, err)
			}
			startRun(t, b, "oak-40", id)
		})
	}
}

// demand demands that something is done, or refused in these words.
func demand(t *testing.T, what string, err error, done bool, words string) {
	t.Helper()
	if done != (err == nil) {
		t.Errorf("%s: %v", what, err)
	}
	if !done && err != nil {
		wantError(t, err, model.BadUsage, words, "plan again")
	}
}

// TestSinceJobs: jobs that come in are told where the plan is of all days, and ordering a second time what is ordered is no ordering.
func TestSinceJobs(t *testing.T) {
	b := newShop(t)
	id := keepPlan(t, b, planOf(t, b))
	placeOrders(t, b, id, true)
	_, err := b.write(t.Context(), "take", tester, func(t *transaction) error {
		_, err := t.insert("job", "name", "104")
		return err
	})
	must(t, err)
	news, err := b.Since(t.Context(), id)
	must(t, err)
	if !slices.Equal(news, []News{{What: "job 104 came in"}}) {
		t.Errorf("told %+v", news)
	}
	_, err = b.write(t.Context(), "set", tester, func(t *transaction) error {
		_, err := t.exec("UPDATE workshop SET shave_nm = shave_nm + 1")
		return err
	})
	must(t, err)
	if _, fresh, err := b.PlaceOrders(t.Context(), id, true, tester); err != nil || fresh {
		t.Errorf("ordered again: %t, %v", fresh, err)
	}
}
