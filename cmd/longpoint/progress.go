package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"

	"longpoint/model"
	"longpoint/model/planner"
)

const (
	progressAfter = time.Second            // work that is over sooner shows nothing
	progressEvery = 200 * time.Millisecond // often enough to look alive, seldom enough to read
	clearLine     = "\r\x1b[K"             // ECMA-48: back to the first column, erase the line
)

// progress is the one line that a long search shows on a terminal: of the profile that is furthest from done, the best
// plan, the bound and the gap.
type progress struct {
	to       io.Writer
	currency model.Currency
	quit     chan struct{}
	finished sync.WaitGroup

	mu    sync.Mutex
	order []string // profiles as they were first heard of
	last  map[string]planner.Progress
}

// startProgress begins to show progress, if to is a terminal.
func startProgress(to io.Writer, c model.Currency) *progress {
	p := &progress{to: to, currency: c, quit: make(chan struct{}), last: map[string]planner.Progress{}}
	if f, ok := to.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.finished.Go(p.show)
	}
	return p
}

// update takes note of a profile's state.
func (p *progress) update(at planner.Progress) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if _, known := p.last[at.Profile]; !known {
		p.order = append(p.order, at.Profile)
	}
	p.last[at.Profile] = at
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

// line is what there is to say now, shorter than the page is wide.
func (p *progress) line() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	done := 0
	var worst *planner.Progress
	for _, name := range p.order {
		at := p.last[name]
		switch {
		case at.Done:
			done++
		case worst == nil, !at.HasPlan && worst.HasPlan, at.HasPlan == worst.HasPlan && at.Gap > worst.Gap:
			worst = &at
		}
	}
	s := fmt.Sprintf("planning; %s done", count(done, "profile", "profiles"))
	switch {
	case worst == nil:
	case !worst.HasPlan:
		s = fmt.Sprintf("%s: no plan yet, bound %s; %s done", worst.Profile, worst.Bound.With(p.currency),
			count(done, "profile", "profiles"))
	default:
		s = fmt.Sprintf("%s: best %s, bound %s, gap %s; %s done", worst.Profile, worst.Cost.With(p.currency),
			worst.Bound.In(p.currency), worst.Gap.In(p.currency), count(done, "profile", "profiles"))
	}
	return cutShort(plain(s), pageWidth-1)
}
