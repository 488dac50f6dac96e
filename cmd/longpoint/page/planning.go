package page

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"sync"
	"time"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/planner"
)

// making is the plan that is being made, or was made last. One is made at a time.
type making struct {
	mu      sync.Mutex
	last    *task
	planner sync.Mutex // whoever plans, for the book or without one, waits for the one before
}

// task is a plan in the making.
type task struct {
	who     string
	started time.Time
	cancel  context.CancelFunc
	in      model.Currency
	made    chan struct{} // closed once it is over

	mu     sync.Mutex
	last   planner.Progress
	ended  time.Time // zero: it goes on
	kept   int64     // the plan's number in the book
	failed error
	minds  []string // what there is to mind, besides what stands in the plan
}

// wait waits until the plan in the making is made.
func (m *making) wait() {
	m.mu.Lock()
	t := m.last
	m.mu.Unlock()
	if t != nil {
		<-t.made
	}
}

// startPlan begins a plan, or says whose is in the making.
func (c *call) startPlan(o planner.Options, by book.By) error {
	w, _, err := c.s.Book.Rest(c.ctx)
	if err != nil {
		return err
	}
	m := &c.s.making
	m.mu.Lock()
	defer m.mu.Unlock()
	if c.s.stop.Err() != nil {
		return &answerError{http.StatusServiceUnavailable, usage("the server is stopping", "ask again when it is back")}
	}
	if t := m.last; t != nil && !t.over() {
		return &answerError{http.StatusConflict, usage(fmt.Sprintf("%s has a plan in the making since %s", t.who, t.started.Format("15:04:05")),
			"wait for it, or stop it: what it has found by then is kept")}
	}
	ctx, cancel := context.WithCancel(c.s.stop)
	t := &task{who: by.Who, started: time.Now(), cancel: cancel, in: w.Currency, made: make(chan struct{})}
	m.last = t
	o.Progress = t.update
	go func() {
		defer close(t.made)
		defer cancel()
		m.planner.Lock()
		defer m.planner.Unlock()
		t.make(ctx, c.s, w, o, by)
	}()
	return nil
}

// make plans, and keeps the plan in the book.
func (t *task) make(ctx context.Context, s *Server, w *model.Workshop, o planner.Options, by book.By) {
	var id int64
	var d *plan.Document
	marked, err := round.Marked(ctx, s.Book, o)
	if err == nil {
		d, err = round.Plan(ctx, w, marked, o)
	}
	if err == nil {
		id, err = s.Book.KeepPlan(context.WithoutCancel(ctx), d, by)
	}
	var minds []string
	if err == nil {
		var cutFrom map[model.SideID][]string
		cutFrom, err = s.Book.CutFrom(context.WithoutCancel(ctx))
		minds = planner.UnmatchedFrames(w, d.Profiles, cutFrom)
		for _, pp := range d.Profiles {
			profile, _ := w.ProfileByName(pp.Name)
			if warning, ok := w.Machine.ReviewBlades(profile); !ok {
				minds = append(minds, warning)
			}
		}
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.ended, t.kept, t.failed, t.minds = time.Now(), id, err, minds
}

// update takes note of how planning stands.
func (t *task) update(now planner.Progress) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.last = now
}

func (t *task) over() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return !t.ended.IsZero()
}

// planState is how far a plan in the making is, for page and JSON. Money is in words.
type planState struct {
	Who     string     `json:"who"`
	Seconds float64    `json:"seconds"`
	Over    bool       `json:"over"`
	Plan    int64      `json:"plan,omitempty"` // its number, once it is kept
	Errors  []apiError `json:"errors,omitempty"`
	Proving string     `json:"proving"`  // the profiles whose plan is furthest from its bound
	Done    int        `json:"done"`     // profiles that are finished
	All     int        `json:"profiles"` // that there are
	Best    string     `json:"best"`
	Bound   string     `json:"bound"`
	Gap     string     `json:"gap"`
	Share   float64    `json:"share"` // of the cost that is proven, from 0 to 1
	Line    string     `json:"line"`  // all of it in a sentence
}

// now gives how far it is.
func (t *task) now() planState {
	t.mu.Lock()
	defer t.mu.Unlock()
	until := t.ended
	if until.IsZero() {
		until = time.Now()
	}
	p := t.last
	s := planState{Who: t.who, Seconds: until.Sub(t.started).Round(100 * time.Millisecond).Seconds(), Over: !t.ended.IsZero(), Plan: t.kept, Proving: p.Proving, Done: p.Done, All: p.All,
		Best: "none yet", Bound: p.Bound.With(t.in), Gap: "not known yet"}
	if p.HasPlan {
		s.Best, s.Gap = p.Cost.With(t.in), text.Gap(p.Gap, p.Cost)
		if p.Cost > 0 {
			s.Share = float64(p.Bound) / float64(p.Cost)
		}
	}
	s.Line = fmt.Sprintf("Planning for %.0f s: %d of %s done", s.Seconds, p.Done, text.Count(p.All, "profile", "profiles"))
	if p.Proving != "" {
		s.Line += ", proving " + p.Proving
	}
	s.Line += "."
	if s.Over {
		s.Line = fmt.Sprintf("Planned in %.1f s.", s.Seconds)
	}
	if t.failed != nil {
		s.Line, s.Errors = "There is no plan.", apiErrors(onPages(text.Leaves(t.failed))).Errors
	}
	return s
}

// lastTask gives the plan in the making, or nil.
func (s *Server) lastTask() *task {
	s.making.mu.Lock()
	defer s.making.mu.Unlock()
	return s.making.last
}

// planEvents tells how far the plan is, over and over, until it is made.
func (c *call) planEvents() error {
	t := c.s.lastTask()
	if t == nil {
		return notFound("no plan is in the making", "start one")
	}
	return c.events(func() (any, bool) {
		s := t.now()
		return s, s.Over
	})
}

// events sends what a function gives whenever it has changed, until it says that this was the last.
func (c *call) events(next func() (v any, last bool)) error {
	const mostTime = 10 * time.Minute // a browser asks again by itself
	control := http.NewResponseController(c.w)
	c.w.Header().Set("Content-Type", "text/event-stream")
	end := time.Now().Add(mostTime)
	before := ""
	tick := time.NewTicker(eventsPeriod)
	defer tick.Stop()
	for time.Now().Before(end) {
		v, last := next()
		data, err := json.Marshal(v)
		if err != nil {
			return err
		}
		if string(data) != before || last {
			before = string(data)
			control.SetWriteDeadline(time.Now().Add(writeTime))
			if _, err := fmt.Fprintf(c.w, "data: %s\n\n", data); err != nil {
				return nil // nobody listens any more
			}
			control.Flush()
		}
		if last {
			return nil
		}
		select {
		case <-c.ctx.Done():
			return nil
		case <-c.s.stop.Done():
			return nil
		case <-tick.C:
		}
	}
	return nil
}

// options are the planner's, of what a form or a request says.
func (s *Server) options(until string, here bool, order string, limit time.Duration, now time.Time) (planner.Options, error) {
	o := planner.Options{Here: here, TimeLimit: limit, Verify: s.Verify, MadeWith: s.MadeWith, Known: planner.NewKnown(), CutOrder: plan.StickByStick}
	var err error
	if o.On, err = model.ParseDate(now.Format(time.DateOnly)); err != nil {
		return o, err
	}
	if until != "" {
		if o.Until, err = model.ParseDate(until); err != nil {
			return o, err
		}
	}
	switch order {
	case "", "sticks":
	case "stops":
		o.CutOrder = plan.StopByStop
	default:
		return o, usage("there is no order of cuts "+model.Quote(order), "choose sticks or stops")
	}
	return o, nil
}
