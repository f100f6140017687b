package main

import (
	"bytes"
	"testing"
	"testing/synctest"
	"time"

	"gambeson/watcher"

	"github.com/stretchr/testify/require"
)

// The daemon is ready when its folders are watched, however long the part takes
// that it is looking into.
func TestReadyWaitsForNoPart(t *testing.T) {
	var log bytes.Buffer
	d := newDaemon(newConsole(nil, &log, "json", "info"), "watch", nil)
	d.mu.Lock() // as while a part is looked into
	defer d.mu.Unlock()
	d.ready(3)
	require.Contains(t, log.String(), `"event":"ready"`)
}

// The first part waits a while for the first walk to end; those after it, and what is
// changed in TOML files, do not: a walk may take long where the disk is slow.
func TestOnlyTheFirstPartWaitsForTheWalk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := newDaemon(newConsole(nil, &bytes.Buffer{}, "json", "info"), "watch", nil)
		began := time.Now()
		for _, c := range []struct {
			name string
			want time.Duration // since it began, to the dot in the bubble
		}{
			{"suit.toml", 0}, {"suit.toml.txt", 0}, {"greave.stl", walkPatience},
			{"thigh.stl", walkPatience}, {"suit.toml", walkPatience}, {"boot.stl", walkPatience},
		} {
			d.awaitWalk(t.Context(), watcher.Event{Path: "/suit/" + c.name})
			if got := time.Since(began); got != c.want {
				t.Errorf("%s: handed on after %v, want %v", c.name, got, c.want)
			}
		}
	})
	synctest.Test(t, func(t *testing.T) { // a walk that ends in time
		d := newDaemon(newConsole(nil, &bytes.Buffer{}, "json", "info"), "watch", nil)
		began := time.Now()
		go func() {
			time.Sleep(walkPatience / 4) // in the bubble
			close(d.settled)
		}()
		d.awaitWalk(t.Context(), watcher.Event{Path: "/suit/greave.stl"})
		if got := time.Since(began); got != walkPatience/4 {
			t.Errorf("waited %v, want %v", got, walkPatience/4)
		}
	})
}
