package page

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/runs"
)

// press is what was pressed at the bench about one cut, or about the stick it comes from.
type press struct {
	signature
	Do    string `json:"do"` // done, anyway (done, and out of its turn), short, torn, flaw, shorter or missing
	Stick string `json:"stick"`
	No    int    `json:"no"`   // of the cut
	Side  string `json:"side"` // its label's code
	From  string `json:"from"` // of a flaw; blank: where the stick is cut to
	To    string `json:"to"`
	Long  string `json:"length"` // of a stick that is shorter
	What  string `json:"what"`   // is wrong with the stick
}

// pressForm takes a press from a page without scripts.
func (c *call) pressForm() error {
	no, err := c.count("no", 0)
	if err != nil {
		return err
	}
	said, err := c.press(c.id, c.by, press{Do: c.form("do"), Stick: c.form("stick"), No: no, Side: c.form("side"), From: c.form("from"), To: c.form("to"), Long: c.form("length"), What: c.form("what")})
	path := runPath(c.id) + "?begin=1"
	if wait := c.form("wait"); wait != "" {
		path += "&wait=" + url.QueryEscape(wait)
	}
	return c.done(err, path, "%s", said)
}

// apiPress takes a press, and answers with the run as it then is.
func (c *call) apiPress() error {
	var sent press
	if err := c.body(&sent); err != nil {
		return err
	}
	by, err := sent.by(c)
	if err != nil {
		return err
	}
	said, err := c.press(c.id, by, sent)
	if err := unlessSent(err); err != nil {
		return err
	}
	return c.answerRun(c.id, said)
}

func (c *call) answerRun(id int64, said string) error {
	s, err := c.bench(id)
	if err != nil {
		return err
	}
	if s.Said = said; s.State == "open" {
		s.arrange(c.query("code"), strings.Split(c.query("wait"), ","))
		err = c.draw(s, mostCuts)
	} else {
		s.Cuts = []*benchCut{}
	}
	if err != nil {
		return err
	}
	c.json(http.StatusOK, s)
	return nil
}

// press writes down what was pressed, once for its key; after a mishap the rest of the run is planned anew in the same step.
func (c *call) press(id int64, by book.By, p press) (said string, err error) {
	if _, err := c.s.Book.Run(c.ctx, id); err != nil {
		return "", err
	}
	defer c.s.oneAtATime(id)() // a press that is decided by how the run stands is written before the next one looks
	if sent, err := c.s.Book.Sent(c.ctx, by.Key); err != nil || sent {
		return "", cmp.Or(err, error(book.ErrSent))
	}
	r, err := c.s.Book.Run(c.ctx, id)
	if err != nil {
		return "", err
	}
	if _, err := c.shop(); err != nil {
		return "", err
	}
	at := slices.IndexFunc(r.Sticks, func(s runs.Stick) bool {
		return s.Stick == p.Stick && (s.State == "open" || s.State == "cut" && (p.Do == runs.Torn || p.Do == runs.Short))
	})
	if at < 0 {
		return "", &answerError{http.StatusConflict, usage("stick "+model.Quote(p.Stick)+" is not in hand in run "+fmt.Sprint(id), "look which stick the page shows now")}
	}
	change, mishap, err := c.change(r, r.Sticks[at], p)
	if err != nil {
		return "", err
	}
	var mishaps []int64
	if mishap {
		mishaps = []int64{id}
	}
	o, err := c.s.options("", false, "", remakeTime, c.s.Book.Now())
	if err != nil {
		return "", err
	}
	remade, minds, err := round.WriteCuts(c.ctx, c.s.Book, by, []book.Change{change}, mishaps, o)
	if err != nil {
		return "", err
	}
	return told(remade, minds), nil
}

// told says in a line what a plan of the rest changes, and what there is to mind.
func told(remade []book.Remade, minds []string) (said string) {
	for _, m := range remade {
		again := "see Cut sheet of this run, below"
		if m.Labels > 0 {
			again = "see Cut sheet of this run and Labels that changed, below"
		}
		said += round.Remade(m, again) + ". "
		if m.Buy > 0 {
			said += text.Count(m.Buy, "stick is", "sticks are") + fmt.Sprintf(" to be ordered by plan %d; the button is below. ", m.Plan)
		}
	}
	for _, mind := range minds {
		said += "Mind: " + mind + ". "
	}
	return strings.TrimSpace(said)
}

// oneAtATime waits until nobody else is at a run, and gives what ends that.
func (s *Server) oneAtATime(run int64) (end func()) {
	m, _ := s.presses.LoadOrStore(run, &sync.Mutex{})
	lock := m.(*sync.Mutex)
	lock.Lock()
	return lock.Unlock
}

// change makes a change of a press, and tells whether it is a mishap.
func (c *call) change(r runs.Run, s runs.Stick, p press) (change book.Change, mishap bool, err error) {
	switch p.Do {
	case "done", "anyway", "short", "torn":
		if p.Do == "done" {
			if err := c.inTurn(r.ID, p); err != nil {
				return change, false, err
			}
		}
		if p.Do == "anyway" {
			p.Do = runs.Done
		}
		place, err := placeOf(s, p)
		return book.CutSides(r.ID, s.Number, []int{place}, p.Do), p.Do != runs.Done, err
	case "flaw":
		var at model.Span
		if p.From != "" || p.To != "" {
			if at.From, err = model.ParseLength(p.From, c.unit); err != nil {
				return change, true, err
			}
			if at.To, err = model.ParseLength(p.To, c.unit); err != nil {
				return change, true, err
			}
		}
		return book.FlawStick(r.ID, s.Number, at, p.What), true, nil
	case "shorter":
		long, err := model.ParseLength(p.Long, c.unit)
		return book.ShortenStick(r.ID, s.Number, long), true, err
	case "missing":
		return book.LoseStick(r.ID, s.Number), true, nil
	}
	return change, false, usage("it is not said what became of it", "press done, short or torn, or say what is wrong with the stick")
}

// inTurn refuses a cut as done while others come before it on its stick that are not made.
func (c *call) inTurn(run int64, p press) error {
	s, err := c.bench(run)
	if err != nil {
		return err
	}
	for _, cut := range s.Cuts {
		if cut.No == p.No && cut.Stick == p.Stick {
			if before := s.before(cut); before != "" {
				return &answerError{http.StatusConflict, usage(fmt.Sprintf("cut %d off %s is not next on its stick: ", p.No, p.Stick)+strings.TrimSuffix(before, "."),
					`if it is cut all the same, press "It is cut out of its turn" under that cut`)}
			}
		}
	}
	return nil
}

// placeOf finds the side that a press is about. It goes by the number of the cut: of a side that was spoilt and is to be made again off
// the same stick there are two.
func placeOf(s runs.Stick, p press) (int, error) {
	gone := &answerError{http.StatusConflict, usage(fmt.Sprintf("cut %d off %s is not to be made any more", p.No, s.Stick), "look which cut the page shows now")}
	id, ok := sheet.ParseSideID(p.Side)
	if !ok {
		return 0, usage(model.Quote(p.Side)+" is no code of a side", "send the code of its label")
	}
	found := -1
	for i, side := range s.Sides {
		if side.SideID != id || side.Became == runs.Before {
			continue
		}
		if side.No == p.No {
			spoilt := side.Became == runs.Short || side.Became == runs.Torn
			if spoilt && side.Became != p.Do {
				return 0, gone
			}
			return side.Place, nil
		}
		if side.Became == runs.ToCut {
			found = i
		}
	}
	if found < 0 {
		return 0, gone
	}
	return s.Sides[found].Place, nil
}
