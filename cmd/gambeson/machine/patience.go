package machine

import (
	"context"
	"errors"
	"sync"
	"time"
)

// Patience is how long one part may take: the time of a hundredfold slower
// machine, so that only a part that would never end is given up.
func Patience(size int64) time.Duration {
	return time.Minute + time.Duration(size>>20)*time.Second
}

var ErrTooLong = errors.New("it took too long")

// beat is how often the time is looked at that work takes.
const beat = time.Second

// allowance is the time that work may still take.
type allowance struct {
	left time.Duration
	last time.Time
}

// over takes off what has passed by now, and tells whether nothing is left. More
// than two beats at once are a gap in which the program did not run: a terminal
// or a container held it, or the machine slept. It counts as one beat.
func (a *allowance) over(now time.Time) bool {
	passed := now.Sub(a.last)
	if passed > 2*beat {
		passed = beat
	}
	a.left, a.last = a.left-passed, now
	return a.left <= 0
}

// Patient returns a context that ends with ErrTooLong once the program has run
// for so long. end is to be called when the work is done.
func Patient(ctx context.Context, most time.Duration) (within context.Context, end func()) {
	within, cancel := context.WithCancelCause(ctx)
	var clock sync.WaitGroup
	clock.Go(func() {
		a := allowance{left: most, last: time.Now()}
		ticks := time.NewTicker(beat)
		defer ticks.Stop()
		for {
			select {
			case <-within.Done():
				return
			case <-ticks.C:
				if a.over(time.Now()) {
					cancel(ErrTooLong)
				}
			}
		}
	})
	return within, func() {
		cancel(nil)
		clock.Wait()
	}
}
