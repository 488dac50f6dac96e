package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

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

// line is what there is to say now, no wider than the page.
func (p *progress) line() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	const nameWidth = 16
	at, c := p.last, p.currency
	s := "planning"
	if at.Proving != "" {
		s = "proving " + cutShort(plain(at.Proving), nameWidth)
	}
	if at.Step != "" {
		s = plain(at.Step) + ", " + s
	}
	if at.All > 0 {
		s += fmt.Sprintf(", %d of %d done", at.Done, at.All)
	}
	switch {
	case at.HasPlan:
		s += fmt.Sprintf(": best %s, bound %s, gap %s", at.Cost.With(c), at.Bound.In(c), text.Gap(at.Gap, at.Cost))
	case at.All > 0:
		s += fmt.Sprintf(": no plan yet, bound %s", at.Bound.With(c))
	}
	return cutShort(fmt.Sprintf("%s, %.0f s", s, time.Since(p.start).Seconds()), pageWidth-1)
}
