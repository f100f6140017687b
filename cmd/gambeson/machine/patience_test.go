package machine

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// Work is given up when the time that it may take is over, and not before, and
// by nobody's wish but its own: the caller's context goes on.
func TestPatient(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		ctx, end := Patient(t.Context(), time.Minute)
		defer end()
		<-ctx.Done()
		require.InDelta(t, 60, time.Since(began).Seconds(), 1)
		require.ErrorIs(t, context.Cause(ctx), ErrTooLong)
		require.NoError(t, t.Context().Err())
	})
	synctest.Test(t, func(t *testing.T) {
		ctx, end := Patient(t.Context(), time.Minute)
		time.Sleep(50 * time.Second) // in the bubble
		end()
		require.NotErrorIs(t, context.Cause(ctx), ErrTooLong, "it was done in time")
	})
}

// A program that was stopped for an hour in the middle of a part, by a terminal
// or because the machine slept, has not taken an hour for it.
func TestTimeInWhichTheProgramIsStoppedDoesNotCount(t *testing.T) {
	now := time.Date(2026, 11, 28, 23, 0, 0, 0, time.UTC)
	a := allowance{left: time.Minute, last: now}
	run := func(seconds int) (over bool) {
		for range seconds {
			now = now.Add(beat)
			over = a.over(now)
		}
		return over
	}
	require.False(t, run(30))
	now = now.Add(time.Hour)
	require.False(t, run(28))
	require.True(t, run(2), "but it has run for a minute")
}
