package book

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// partBytes is the size of the parts that a packed document is stored in: in hexadecimal it still goes in a cell of a
// spreadsheet, which takes 32,767 characters (ISO/IEC 29500 sets no limit; this one is common practice, no source).
const partBytes = 12_000

// Kept is a plan that is in the book.
type Kept struct {
	ID    int64       `json:"plan"`
	Made  string      `json:"made"` // UTC
	Until string      `json:"until,omitempty"`
	Grade string      `json:"grade"`
	Sides int         `json:"sides"`
	Cost  model.Money `json:"cost"`
}

// KeepPlan puts a plan into the book and gives its number: that of the last plan where it is the same, and nothing that it follows from was changed since.
func (b *Book) KeepPlan(ctx context.Context, d *plan.Document, by By) (id int64, err error) {
	_, err = b.write(ctx, "plan", by, func(t *transaction) error {
		id, err = t.keep(d, 0)
		return err
	})
	return id, err
}

// keep puts a plan into the book, of a run's rest or of no run's (0), and gives its number: that of the last of no run's where it is the same.
func (t *transaction) keep(d *plan.Document, restOf int64) (id int64, err error) {
	var text bytes.Buffer
	if err := d.Encode(&text); err != nil {
		return 0, err
	}
	if text.Len() > plan.MaxDocument {
		return 0, inputError(t.book.path, "the plan is too large to keep", `plan the jobs of fewer days at a time with "longpoint plan --until DAY"`)
	}
	digest := sha256.Sum256(text.Bytes())
	sum := hex.EncodeToString(digest[:])
	if restOf == 0 {
		var last string
		if _, err := t.one("SELECT id, digest FROM plan WHERE rest_of IS NULL ORDER BY id DESC LIMIT 1", nil, &id, &last); err != nil {
			return id, err
		}
		if last == sum {
			if news, err := t.since(d, id); err != nil || len(news) == 0 {
				return id, err
			}
		}
	}
	f := d.Total.Figures
	if id, err = t.insert("plan", "made", t.now.UTC().Format(time.RFC3339), "format", d.Format, "until", d.Until, "grade", string(d.Total.Grade),
		"sides", f.Sides, "cost_minor", f.Cost, "bound_minor", d.Total.Bound, "digest", sum, "rest_of", orNull(restOf, restOf != 0)); err != nil {
		return 0, err
	}
	t.tell("plan %d: %s for %s, %s; %s off the rack, %d to buy", id, count(f.Sides, "side"), t.money(f.Cost), d.Total.Grade,
		count(f.RackSticks, "stick"), f.NewSticks)
	return id, t.keepParts(id, text.Bytes())
}

// keepParts stores a document, packed.
func (t *transaction) keepParts(id int64, text []byte) error {
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return err
	}
	if _, err := z.Write(text); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	for n := 1; packed.Len() > 0; n++ {
		if _, err := t.insert("plan_part", "plan", id, "number", n, "data", bytes.Clone(packed.Next(partBytes))); err != nil {
			return err
		}
	}
	return nil
}

// document gives the text of a plan, whose digest is held against it.
func (t *transaction) document(id int64) ([]byte, error) {
	var sum string
	if found, err := t.one("SELECT digest FROM plan WHERE id = ?", []any{id}, &sum); err != nil {
		return nil, err
	} else if !found {
		return nil, usageError(t.book.path, fmt.Sprintf("there is no plan %d in the book", id), `see "longpoint history" for those there are`)
	}
	var packed bytes.Buffer
	if err := t.each("SELECT data FROM plan_part WHERE plan = ? ORDER BY number", []any{id}, func(scan func(...any) error) error {
		var part []byte
		err := scan(&part)
		packed.Write(part)
		return err
	}); err != nil {
		return nil, err
	}
	z, err := gzip.NewReader(&packed)
	if err != nil {
		return nil, t.spoilt(id, "its document cannot be unpacked", err)
	}
	text, err := io.ReadAll(io.LimitReader(z, plan.MaxDocument+1))
	if err != nil {
		return nil, t.spoilt(id, "its document cannot be unpacked", err)
	}
	if digest := sha256.Sum256(text); hex.EncodeToString(digest[:]) != sum {
		return nil, t.spoilt(id, "its document is not the one that was kept", nil)
	}
	return text, nil
}

// spoilt is the error of a plan that is damaged.
func (t *transaction) spoilt(id int64, what string, err error) error {
	return &model.Error{Kind: model.BadInput, What: fmt.Sprintf("plan %d is damaged: %s", id, what), Where: model.Place{File: t.book.path}, Err: err, Do: checkIt(t.book.path)}
}

// Plan gives a plan of the book, for 0 the last that is of no run's rest, with its number. The document is not to be changed.
func (b *Book) Plan(ctx context.Context, id int64) (d *plan.Document, number int64, err error) {
	err = b.read(ctx, func(t *transaction) error {
		d, number, err = t.plan(id)
		return err
	})
	return d, number, err
}

// plan gives a plan; for 0 the last, but not one of a run's rest.
func (t *transaction) plan(id int64) (*plan.Document, int64, error) {
	if id == 0 {
		if found, err := t.one("SELECT id FROM plan WHERE rest_of IS NULL ORDER BY id DESC LIMIT 1", nil, &id); err != nil {
			return nil, 0, err
		} else if !found {
			return nil, 0, usageError(t.book.path, "there is no plan in the book yet", `make one with "longpoint plan"`)
		}
	}
	var sum string
	if _, err := t.one("SELECT digest FROM plan WHERE id = ?", []any{id}, &sum); err != nil {
		return nil, 0, err
	}
	if last := t.book.lastPlan.Load(); last != nil && last.digest == sum {
		return last.document, id, nil
	}
	text, err := t.document(id)
	if err != nil {
		return nil, 0, err
	}
	d := &plan.Document{}
	if err := json.Unmarshal(text, d); err != nil { // its digest says that it is what this program wrote
		return nil, 0, t.spoilt(id, "it is no plan", err)
	}
	t.book.lastPlan.Store(&unpacked{sum, d})
	return d, id, nil
}

// RestOf gives the run of which a plan is what was left after a mishap, and whether that run is open; 0: of none.
func (b *Book) RestOf(ctx context.Context, planID int64) (run int64, open bool, err error) {
	err = b.read(ctx, func(t *transaction) error {
		_, err := t.one("SELECT r.id, r.state = 'open' FROM plan AS p JOIN run AS r ON r.id = p.rest_of WHERE p.id = ?", []any{planID}, &run, &open)
		return err
	})
	return run, open, err
}

// ToStart gives the profiles of a plan of which no run is open or has begun by this plan, and that have sides which are not cut.
func (b *Book) ToStart(ctx context.Context, planID int64) (profiles []string, err error) {
	err = b.read(ctx, func(t *transaction) error {
		d, id, err := t.plan(planID)
		if err != nil {
			return err
		}
		for _, p := range d.Profiles {
			var begun bool
			if err := t.row("SELECT EXISTS (SELECT 1 FROM run WHERE profile = ? AND (state = 'open' OR plan = ? AND "+hasBegun+"))", p.Name, id).Scan(&begun); err != nil {
				return err
			}
			uncut, err := t.anyUncut(p)
			if err != nil {
				return err
			}
			if uncut && !begun {
				profiles = append(profiles, p.Name)
			}
		}
		return nil
	})
	return profiles, err
}

// anyUncut tells whether a plan has sides of a profile that are not cut.
func (t *transaction) anyUncut(p plan.ProfilePlan) (uncut bool, err error) {
	for _, s := range p.Sticks {
		for _, side := range s.Sides {
			if in, err := t.doneIn(side.SideID); err != nil || in == 0 {
				return err == nil, err
			}
		}
	}
	return false, nil
}

// unpacked is the plan that was last taken out of the book: most commands ask for one several times.
type unpacked struct {
	digest   string
	document *plan.Document
}
