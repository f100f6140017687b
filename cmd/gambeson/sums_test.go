package main

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// While parts come and come, SUIT.md of a large suit is written now and then;
// after the last of them at once, and not many minutes later.
func TestBreathBetweenSummaries(t *testing.T) {
	const took = 6 * time.Second
	for _, c := range []struct {
		name  string
		wakes []time.Duration // when something came of a part
		left  int             // how many are queued then, one less each time
		want  time.Duration
		asked bool
	}{
		{"nothing came", nil, 0, 20 * took, false},
		{"one part that was the last, at once", []time.Duration{time.Second}, 0, took, true},
		{"one part that was the last, later", []time.Duration{30 * time.Second}, 0, 30 * time.Second, true},
		{"the last of three", []time.Duration{time.Second, 2 * time.Second, 50 * time.Second}, 2, 50 * time.Second, true},
		{"many more to come", []time.Duration{time.Second, 2 * time.Second, 50 * time.Second}, 1000, 20 * took, true},
	} {
		synctest.Test(t, func(t *testing.T) {
			wake := make(chan struct{}, 1)
			began, left := time.Now(), c.left+1
			go func() {
				for _, at := range c.wakes {
					time.Sleep(time.Until(began.Add(at))) // in the bubble
					wake <- struct{}{}
				}
			}()
			came := 0
			asked := breath(t.Context(), took, wake, func() int {
				for ; came < len(c.wakes) && time.Since(began) >= c.wakes[came]; came++ {
					left--
				}
				return left
			})
			require.Equal(t, c.asked, asked, c.name)
			require.Equal(t, c.want, time.Since(began), c.name)
		})
	}
}
