package book

import (
	"context"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/runs"
	"longpoint/model/stock"
)

// Flaw writes down that a stick of an open run is no good from where it is cut to on.
func (b *Book) Flaw(ctx context.Context, run int64, stick int, what string, by By) (fresh bool, err error) {
	return b.Do(ctx, by, FlawStick(run, stick, model.Span{}, what))
}

// FlawStick writes down a flaw in a stick of an open run, from its head as it was before the first cut; no span is all of it from where it is
// cut to on. It is damage from then on: what is still to be cut from there is put off.
func FlawStick(run int64, stick int, flaw model.Span, what string) Change {
	return Change{"flaw", func(t *transaction) error {
		_, s, err := t.openStick(run, stick)
		if err != nil {
			return err
		}
		end, cut := s.CutEnd(), s.Begun()
		if !cut {
			end = 0
		}
		switch {
		case flaw == model.Span{} && slices.ContainsFunc(s.Damage, func(d model.Span) bool { return d.From <= end && d.To == s.Length }):
			return nil // that is known
		case flaw == model.Span{}:
			flaw = model.Span{From: end, To: s.Length}
		case flaw.From < 0 || flaw.From >= flaw.To || flaw.To > s.Length:
			return usageError(t.book.path, fmt.Sprintf("a flaw from %s to %s does not lie on %s, which is %s long", t.in(flaw.From), t.in(flaw.To), s.Stick, t.in(s.Length)),
				"measure both from the stick's head as it was before the first cut")
		case flaw.From < end:
			return usageError(t.book.path, fmt.Sprintf("the flaw begins at %s, and up to %s %s is cut", t.in(flaw.From), t.in(end), s.Stick),
				"measure from the stick's head as it was before the first cut")
		}
		if what = clean(what); what == "" {
			what = "flawed"
		}
		t.tell("run %d, %s: %s, from %s to %s", run, s.Stick, what, t.near(flaw.From), t.near(flaw.To))
		w, err := t.workshop()
		if err != nil {
			return err
		}
		damaged := stock.Damaged(w, s.Whole(), []model.Span{flaw})
		if _, err := t.exec("UPDATE stick SET damage_nm = ?, value_minor = ? WHERE name = ?", spansText(damaged.Damage), damaged.Value.Amount, s.Stick); err != nil {
			return err
		}
		return t.noteFlaw(run, s, what)
	}}
}

// noteFlaw adds to what was found wrong with a stick.
func (t *transaction) noteFlaw(run int64, s runs.Stick, what string) error {
	if s.Flaw != "" {
		what = s.Flaw + "; " + what
	}
	_, err := t.exec("UPDATE run_stick SET flaw = ? WHERE run = ? AND number = ?", what, run, s.Number)
	return err
}

// ShortenStick writes down that a stick of an open run is only so long, as it was before the first cut. The money in it stays.
func ShortenStick(run int64, stick int, length model.Length) Change {
	return Change{"measure", func(t *transaction) error {
		_, s, err := t.openStick(run, stick)
		if err != nil || s.Length == length {
			return err
		}
		if end := s.CutEnd(); s.Begun() && length < end {
			return usageError(t.book.path, fmt.Sprintf("the sides that are cut and the head trim take %s of %s, and it is to be %s long", t.in(end), s.Stick, t.in(length)),
				"give the length of the whole stick as it was before the first cut")
		}
		if length <= 0 || length > s.Length {
			return usageError(t.book.path, fmt.Sprintf("%s is not shorter than the %s that the book has for %s", t.in(length), t.in(s.Length), s.Stick),
				"give the length of the whole stick as it was before the first cut")
		}
		if was, err := t.stick(s.Stick); err != nil {
			return err
		} else if was.Of != "" {
			if err := t.measureOffcut(was, length); err != nil {
				return err
			}
		}
		t.tell("run %d: %s is %s long, not %s", run, s.Stick, t.in(length), t.in(s.Length))
		if _, err := t.exec("UPDATE stick SET length_nm = ?, damage_nm = ?, value_minor = NULL WHERE name = ?", length, spansText(damageWithin(s.Damage, length)), s.Stick); err != nil {
			return err
		}
		return t.noteFlaw(run, s, fmt.Sprintf("only %s long", t.near(length)))
	}}
}

// LoseStick writes down that a stick of an open run is not there.
func LoseStick(run int64, stick int) Change {
	return Change{"lose", func(t *transaction) error {
		_, s, err := t.openStick(run, stick)
		if err != nil {
			return err
		}
		if s.Begun() {
			return usageError(t.book.path, fmt.Sprintf("sides are cut from %s, so it is there", s.Stick), "say what is wrong with it with --flaw or --length")
		}
		t.tell("run %d: %s is missing", run, s.Stick)
		if _, err := t.exec("UPDATE stick SET state = 'discarded' WHERE name = ?", s.Stick); err != nil {
			return err
		}
		_, err = t.exec("UPDATE run_stick SET state = 'returned', planned = 0 WHERE run = ? AND number = ?", run, s.Number)
		return err
	}}
}
