package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/term"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/planner"
)

const (
	progressAfter = time.Second            // work that is over sooner shows nothing
	progressEvery = 200 * time.Millisecond // often enough to look alive, seldom enough to read
	clearLine     = "\r\x1b[K"             // ECMA-48: back to the first column, erase the line
)

// progress is the one line that a long search shows on a terminal: what is being proven, how many profiles are done, and of all of them the best
// plan, the bound, the gap and the seconds gone.
type progress struct {
	to       io.Writer
	currency model.Currency
	start    time.Time
	quit     chan struct{}
	finished sync.WaitGroup

	mu   sync.Mutex
	last planner.Progress
}

// startProgress begins to show progress, if to is a terminal.
func startProgress(to io.Writer, c model.Currency) *progress {
	p := &progress{to: to, currency: c, start: time.Now(), quit: make(chan struct{})}
	if f, ok := to.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.finished.Go(p.show)
	}
	return p
}

// update takes note of how planning stands.
func (p *progress) update(now planner.Progress) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.last = now
}

// stop ends the showing and wipes the line.
func (p *progress) stop() {
	close(p.quit)
	p.finished.Wait()
}

// show writes the line over and over until it is told to stop.
func (p *progress) show() {
	next := time.NewTimer(progressAfter)
	defer next.Stop()
	shown := false
	for {
		select {
		case <-p.quit:
			if shown {
				fmt.Fprint(p.to, clearLine)
			}
			return
		case <-next.C:
			fmt.Fprint(p.to, clearLine+p.line())
			shown = true
			next.Reset(progressEvery)
		}
	}
}

// line is what there is to say now, no wider than the page: where there is little room, names are cut short or left out, and no figure is.
func (p *progress) line() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	const nameWidth, leastName = 16, 5
	at, c := p.last, p.currency
	done, known := "", ""
	if at.All > 0 {
		done = fmt.Sprintf(", %d of %d done", at.Done, at.All)
	}
	switch {
	case at.HasPlan:
		known = fmt.Sprintf(": best %s, bound %s, gap %s", at.Cost.With(c), at.Bound.In(c), text.Gap(at.Gap, at.Cost))
	case at.All > 0:
		known = fmt.Sprintf(": no plan yet, bound %s", at.Bound.With(c))
	}
	known += fmt.Sprintf(", %.0f s", time.Since(p.start).Seconds())
	doing, least := "planning", len("planning")
	if at.Proving != "" {
		doing, least = "proving "+cutShort(plain(at.Proving), nameWidth), len("proving ")+leastName
	}
	if at.Step == "" {
		return cutShort(cutShort(doing, max(leastName, pageWidth-1-utf8.RuneCountInString(done+known)))+done+known, pageWidth-1)
	}
	step := plain(at.Step)
	if room := pageWidth - 1 - utf8.RuneCountInString(step+", "+done+known); room >= least {
		step += ", " + cutShort(doing, room) + done
	}
	return cutShort(step+known, pageWidth-1)
}
