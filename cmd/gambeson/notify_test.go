package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// wall is a desktop that remembers what it showed.
type wall struct {
	shown []note
	at    []time.Time
	fails int // so many notes to come
}

func (w *wall) show(_ context.Context, n note) (uint32, error) {
	if w.fails > 0 {
		w.fails--
		return 0, errors.New("no server of notes")
	}
	w.shown, w.at = append(w.shown, n), append(w.at, time.Now())
	if n.withdrawnOnly {
		return 0, nil
	}
	return 7, nil
}

func (*wall) close() {}

// bubbled runs bubbles in a bubble of time.
func bubbled(t *testing.T, w *wall, act func(b *bubbles)) {
	synctest.Test(t, func(t *testing.T) {
		b := newBubbles(newConsole(&lines{}, &lines{}, "json", "debug").log)
		b.open = func(context.Context) (desktop, error) { return w, nil }
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { b.run(ctx); close(done) }()
		act(b)
		synctest.Wait()
		cancel()
		<-done
	})
}

func worry(n int) concern {
	return concern{About: fmt.Sprintf("part-%02d.stl", n), What: "bed-overflow", Text: "No longer fits the bed."}
}

// A note a folder, in place of the one before, at most every 10 s, of three
// concerns and a count.
func TestOneNoteAFolder(t *testing.T) {
	w := &wall{}
	bubbled(t, w, func(b *bubbles) {
		b.tell("/suits/heron", []concern{worry(0)}, nil, false)
		synctest.Wait()
		for n := range 20 {
			b.tell("/suits/heron", []concern{worry(n + 1)}, nil, false)
			time.Sleep(time.Second / 4)
		}
		b.tell("/suits/heron", nil, []concern{worry(20)}, false) // over before it was shown
		b.tell("/suits/other", []concern{worry(1)}, nil, false)
		time.Sleep(time.Minute)
	})
	require.Len(t, w.shown, 3)
	require.Equal(t, "gambeson: heron", w.shown[0].title)
	require.Equal(t, []string{"part-00.stl: No longer fits the bed."}, w.shown[0].lines)
	require.Equal(t, "gambeson: other", w.shown[1].title)
	require.Zero(t, w.shown[1].id)
	last := w.shown[2]
	require.Equal(t, uint32(7), last.id, "it does not take the place of the one before")
	require.Len(t, last.lines, 4)
	require.Equal(t, "and 16 more: see SUIT.md", last.lines[3])
	require.Equal(t, bubbleRest, w.at[2].Sub(w.at[0]))
}

// When nothing holds any more the note is taken away; without a note nothing is.
func TestNoteIsTakenAway(t *testing.T) {
	w := &wall{}
	bubbled(t, w, func(b *bubbles) {
		b.tell("/suits/heron", []concern{worry(1)}, nil, false)
		time.Sleep(time.Second)
		b.tell("/suits/heron", nil, []concern{worry(1)}, true)
		time.Sleep(time.Second)
		b.tell("/suits/other", []concern{worry(1)}, []concern{worry(1)}, true)
		time.Sleep(time.Minute)
	})
	require.Len(t, w.shown, 2)
	require.True(t, w.shown[1].withdrawnOnly)
	require.Equal(t, uint32(7), w.shown[1].id)
}

// A server of notes that fails costs a note, and is asked again with the next.
func TestServerOfNotesFails(t *testing.T) {
	w := &wall{fails: 1}
	bubbled(t, w, func(b *bubbles) {
		b.tell("/suits/heron", []concern{worry(1)}, nil, false)
		time.Sleep(time.Second)
		b.tell("/suits/heron", []concern{worry(2)}, nil, false)
		time.Sleep(time.Minute)
	})
	require.Len(t, w.shown, 1)
	require.Equal(t, []string{"part-02.stl: No longer fits the bed."}, w.shown[0].lines)
}

// Nothing is started, nor waited for, where no session is.
func TestNoSession(t *testing.T) {
	t.Setenv("DBUS_SESSION_BUS_ADDRESS", "")
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	desk, err := sessionBus(t.Context())
	require.NoError(t, err)
	require.Nil(t, desk)
}

// What a person should know is said when it begins and when it is over, and not
// again by the next daemon.
func TestConcernsAreSaidOnce(t *testing.T) {
	var r raised
	two := []concern{{What: "too-tight", Text: "a"}, {What: "mesh-open", Text: "b"}}
	begun, ended := r.settle("a.stl", two)
	require.Len(t, begun, 2)
	require.Empty(t, ended)
	begun, ended = r.settle("a.stl", two)
	require.Empty(t, begun)
	require.Empty(t, ended)
	require.True(t, r.begin(concern{About: "a.stl.2", What: "mesh-open"}))
	require.False(t, r.begin(concern{About: "a.stl.2", What: "mesh-open"}))

	var next raised
	for _, c := range r.all() {
		next.begin(c)
	}
	begun, ended = next.settle("a.stl", two[:1])
	require.Empty(t, begun)
	require.Len(t, ended, 1)
	require.Equal(t, "mesh-open", ended[0].What)
	require.True(t, next.end("a.stl.2", "mesh-open"))
	require.False(t, next.end("a.stl.2", "mesh-open"))
	next.begin(concern{About: "kit.zip/b.stl", What: "x"})
	next.drop("kit.zip")
	next.drop("a.st")
	require.Len(t, next.all(), 1)
	next.drop("a.stl")
	require.True(t, next.none())
}

// Only texts that were looked through for it are said outside of reports.
func TestTextsWithMeasuresStayInReports(t *testing.T) {
	for code := range impersonal {
		if strings.Contains(code, "too-") || strings.Contains(code, "enter") || strings.Contains(code, "wearer") || strings.Contains(code, "try-on") {
			t.Errorf("%s tells a measure", code)
		}
	}
}
