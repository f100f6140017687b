package main

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// Work that nobody wants any more is left behind soon, a fault in it is an
// error, and work that is wanted is waited for however long it takes.
func TestAside(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		got, err := aside(t.Context(), meanwhile{}, func() (int, error) { time.Sleep(time.Hour); return 3, nil })
		require.NoError(t, err)
		require.Equal(t, 3, got)
		require.Equal(t, time.Hour, time.Since(began))

		_, err = aside(t.Context(), meanwhile{}, func() (int, error) { panic("a fault") })
		require.ErrorIs(t, err, errFailed)
		require.ErrorContains(t, err, "a fault")

		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		defer cancel()
		began = time.Now()
		_, err = aside(ctx, meanwhile{}, func() (int, error) { time.Sleep(time.Hour); return 3, errors.New("too late") })
		require.ErrorIs(t, err, context.DeadlineExceeded)
		require.Equal(t, time.Minute+leftBehind, time.Since(began))
		time.Sleep(2 * time.Hour) // it ends by itself
	})
}

// While work is waited for, the one who waits does what else is asked of them, as
// often as that is.
func TestAsideMeanwhile(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		asked := make(chan struct{})
		var at []time.Duration
		began := time.Now()
		m := meanwhile{asked: asked, do: func() { at = append(at, time.Since(began)) }}
		go func() {
			for range 3 {
				time.Sleep(time.Minute)
				asked <- struct{}{}
			}
		}()
		got, err := aside(t.Context(), m, func() (int, error) { time.Sleep(time.Hour); return 3, nil })
		require.NoError(t, err)
		require.Equal(t, 3, got)
		require.Equal(t, []time.Duration{time.Minute, 2 * time.Minute, 3 * time.Minute}, at)
	})
}
