package main

import (
	"context"
	"fmt"
	"time"

	"gambeson/analysis/pages"
	"gambeson/report/suit"
)

// sumUp asks for SUIT.md to be written again.
func (d *daemon) sumUp() {
	select {
	case d.wake <- struct{}{}:
	default:
	}
}

// longestLastSum is how long the summary may have taken for a stop to wait for
// one more: a stop takes 2 s at most, and the next start writes it anyway.
const longestLastSum = 500 * time.Millisecond

// keepSummed writes SUIT.md of every folder, and the daemon's state, when
// something came of a part, with a breath in between. What could not be written
// is tried again.
func (d *daemon) keepSummed(ctx context.Context) {
	var again, idle, gone <-chan time.Time
	var took time.Duration
	for {
		select {
		case <-ctx.Done():
			if took < longestLastSum {
				d.sumAll()
			}
			return
		case <-d.wake:
		case <-again:
		case <-idle: // for weeks, perhaps: give back what the work took
			d.rest()
			idle = nil
			continue
		case <-gone:
			if gone = d.whenGone(); !d.saysTooMuch() {
				continue
			}
		}
		var failed bool
		took, failed = d.sumAll()
		again, idle = nil, time.After(untilIdle)
		if failed {
			again = time.After(d.again)
		}
		gone = d.whenGone()
		if breath(ctx, took, d.wake, func() int { return d.watcher.Status().Queued }) {
			d.sumUp()
		}
	}
}

// breath waits after a summary that took so long, and tells whether another was
// asked for meanwhile. As long as parts are queued, summing up takes a twentieth
// of the time; after the last of them half of it at most, since then somebody
// may wait for it.
func breath(ctx context.Context, took time.Duration, wake <-chan struct{}, queued func() int) (asked bool) {
	short, long := time.After(took), time.After(20*took)
	for short != nil || !asked || queued() > 0 {
		select {
		case <-ctx.Done():
			return asked
		case <-long:
			return asked
		case <-short:
			short = nil
		case <-wake:
			asked = true
		}
	}
	return asked
}

// goneAfter is how often is looked for what SUIT.md says is to come or was taken away: of
// a file that went before its turn, and of bed loads that are laid out again, nobody
// tells (a guess).
const goneAfter = 5 * time.Second

// whenGone tells when to look for that, nil where SUIT.md speaks of none.
func (d *daemon) whenGone() <-chan time.Time {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, f := range d.folders {
		if f.said > 0 || f.missed {
			return time.After(goneAfter)
		}
	}
	return nil
}

// saysTooMuch tells whether fewer files are to come than some SUIT.md says, or bed loads
// that it says were taken away are laid out again.
func (d *daemon) saysTooMuch() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, f := range d.folders {
		if f.said > 0 && len(f.toCome().looked) < f.said || f.missed && !suit.LoadsMissed(f.root) {
			return true
		}
	}
	return false
}

// sayToCome says in SUIT.md, and to those who ask how things stand, how many files are
// to come, where more are than they were told. It is called by whoever looks into a
// part, as peek is, and takes a twentieth of the time.
func (d *daemon) sayToCome() {
	began := time.Now()
	queued := d.watcher.Status().Queued
	if !d.walked || queued == d.counted || began.Before(d.recount) {
		return
	}
	d.counted = queued
	for _, f := range d.folders {
		come := f.toCome()
		if len(come.looked) <= f.said {
			continue
		}
		if _, err := f.sumAtWork(come); err == nil { // else it is said with the next summary
			d.writeState(f)
		}
	}
	d.recount = time.Now().Add(20 * time.Since(began))
}

// untilIdle is how long nothing may have come of a part for the daemon to count
// as idle (a guess).
const untilIdle = 10 * time.Second

// rest gives back all memory that the work took.
func (d *daemon) rest() {
	d.mu.Lock()
	for _, f := range d.folders {
		f.rest()
	}
	d.mu.Unlock()
	pages.Rest()
}

func (d *daemon) sumAll() (took time.Duration, failed bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.walked {
		return 0, false // what is known of the parts is from before
	}
	began := time.Now()
	for _, f := range d.folders {
		failed = !d.sumOrSay(f) || failed
		d.writeState(f)
		if err := f.keepSnapshot(); err != nil {
			d.log.Debug().Str("event", "state_failed").Err(err).Msg("cannot write down what is known")
		}
	}
	d.service.status(d.line())
	return time.Since(began), failed
}

// sumOrSay writes SUIT.md of a folder, or says once why it cannot.
func (d *daemon) sumOrSay(f *folder) bool {
	lost, err := f.sum()
	if len(lost) > 0 && d.watcher != nil && d.seen == nil { // somebody took their reports away: they are made again
		for _, part := range lost {
			delete(f.seen, part)
		}
		d.watcher.Rescan()
	}
	delete(f.unwritten, suitReport)
	if err != nil {
		f.unwritten[suitReport] = unwritten{why: err}
	}
	d.sayUnwritten(f)
	return err == nil
}

// line says in one line what the daemon is doing.
func (d *daemon) line() string {
	if d.watcher == nil {
		return "beginning"
	}
	now := d.watcher.Status()
	polling := "no"
	if now.Polled > 0 {
		polling = fmt.Sprintf("%d of them", now.Polled)
	}
	return fmt.Sprintf("watching %s with %s, %d to be looked into, polling: %s", things(now.Folders, "folder"), things(now.Files, "file"), now.Queued, polling)
}
