package book

import (
	"testing"
	"time"
	_ "time/tzdata" // the zones, whatever the machine has

	"longpoint/model"
)

// TestClocks works on a book by clocks of several zones: around midnight, where summer time begins and ends, and as the clock is put back. Days are those of the
// shop's clock, moments are kept as they are, and the order of steps is that in which they were made.
func TestClocks(t *testing.T) {
	for _, zone := range []string{"UTC", "Europe/Berlin", "America/Los_Angeles", "Asia/Kathmandu", "Pacific/Kiritimati", "Etc/GMT+12", "Australia/Lord_Howe"} {
		t.Run(zone, func(t *testing.T) {
			at, err := time.LoadLocation(zone)
			must(t, err)
			before := time.Local
			time.Local = at
			t.Cleanup(func() { time.Local = before })
			b := newShop(t)
			clock := time.Date(2027, 3, 27, 23, 59, 59, 0, at) // the night before Europe's summer time begins
			b.Now = func() time.Time { return clock }
			id := keepPlan(t, b, planOf(t, b))
			do(t, b, AddBlade(Blade{Name: "set A", Height: 30 * model.Millimetre, Edges: make([]Edge, 2), RemindDays: 2}))
			do(t, b, MountBlade("set A"))
			orders := placeOrders(t, b, id, true)
			for _, then := range []struct {
				now  time.Time
				days int // since the blades came
			}{
				{clock, 0},
				{time.Date(2027, 3, 28, 0, 0, 0, 0, at), 1},     // midnight
				{time.Date(2027, 3, 29, 0, 0, 1, 0, at), 2},     // in Berlin 47 hours after the first midnight
				{time.Date(2027, 3, 20, 12, 0, 0, 0, at), 0},    // put back
				{time.Date(2027, 10, 31, 2, 30, 0, 0, at), 218}, // twice that night, in Berlin
				{time.Date(2027, 10, 31, 23, 30, 0, 0, at), 218},
				{time.Date(2028, 2, 29, 23, 59, 59, 0, at), 339},
			} {
				clock = then.now
				holdDay(t, b, then.days)
			}
			if placed, err := b.Purchase(t.Context(), orders[0].ID); err != nil || placed.Placed != "2027-03-27" {
				t.Errorf("ordered on %s, %v", placed.Placed, err)
			}
			sound(t, b)
			undone, err := b.Undo(t.Context(), 0, tester)
			must(t, err)
			if steps, err := b.Steps(t.Context(), 100); err != nil || undone.ID != steps[len(steps)-2].ID {
				t.Errorf("step %d was taken back, which is not the last, %v", undone.ID, err)
			}
			sound(t, b)
		})
	}
}

// holdDay makes a step and looks at the days by which the book tells of it.
func holdDay(t *testing.T, b *Book, days int) {
	t.Helper()
	now, today := b.Now(), b.Now().Format(time.DateOnly)
	stick := ""
	do(t, b, AddSticks(model.Stick{Profile: "oak-40", Length: model.Metre}, 1, func(name string) { stick = name }))
	steps, err := b.Steps(t.Context(), 1)
	must(t, err)
	if at, err := time.Parse(time.RFC3339, steps[0].At); err != nil || !at.Equal(now.Truncate(time.Second)) {
		t.Errorf("%s: the step is of %s, %v", now, steps[0].At, err)
	}
	if day := localDay(steps[0].At); day != today {
		t.Errorf("%s: the step's day is %s", now, day)
	}
	ages, err := b.Ages(t.Context())
	must(t, err)
	if since := ages.Sticks[stick].Since; since != today {
		t.Errorf("%s: the stick lies there since %s", now, since)
	}
	blades, err := b.Blades(t.Context())
	must(t, err)
	if blades[0].Days != days || (len(blades[0].Due) > 0) != (days >= 2) {
		t.Errorf("%s: the blades are in for %d days, want %d, and %q is due", now, blades[0].Days, days, blades[0].Due)
	}
}
