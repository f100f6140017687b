package watcher

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// world is what settle asks, with files from a table instead of a disk.
type world struct {
	mu    sync.Mutex
	files map[string]*made
	looks int // how often a structure was looked at
	asked int // how often a path was looked at
}

// made is a file that does not exist.
type made struct {
	size  int64
	mtime time.Time
	lease lease
	look  Look
	why   string
	lost  bool // its root is missing
}

// stage is a settle running in a bubble, with its worker.
type stage struct {
	t       *testing.T
	world   *world
	board   board
	touches chan []touch
	events  []handing     // handed over so far
	work    time.Duration // how long the worker takes
	again   time.Duration // what the worker asks for, once
	ahead   []handing     // told ahead of their turn
	start   time.Time
}

// handing is an event and when it came.
type handing struct {
	Event
	at time.Duration
}

// play runs a scene in a bubble where settle has the default pace.
func play(t *testing.T, scene func(s *stage)) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		w, err := New(Options{Roots: []string{"/suit"}, First: func(p string) bool { return strings.HasSuffix(p, ".toml") }})
		require.NoError(t, err)
		s := &stage{t: t, world: &world{files: map[string]*made{}}, touches: make(chan []touch), start: time.Now()}
		s.board.start()
		q := emptySettle(settle{pace: w.pace, stat: s.world.stat, lease: s.world.lease, look: s.world.look,
			first: w.o.First, ahead: s.tellAhead, root: w.rootOf, board: &s.board})
		next, done := make(chan Event), make(chan time.Duration)
		var all sync.WaitGroup
		all.Go(func() { q.run(ctx, s.touches, next, done) })
		all.Go(func() { work(ctx, next, done, s.handle) })
		scene(s)
		cancel()
		all.Wait()
	})
}

func (s *stage) handle(_ context.Context, e Event) time.Duration {
	s.world.mu.Lock()
	s.events = append(s.events, handing{e, time.Since(s.start)})
	again, work := s.again, s.work
	s.again = 0
	s.world.mu.Unlock()
	time.Sleep(work) // in the bubble
	return again
}

func (s *stage) tellAhead(path string) {
	s.world.mu.Lock()
	defer s.world.mu.Unlock()
	s.ahead = append(s.ahead, handing{Event{Path: path}, time.Since(s.start)})
}

func (w *world) stat(path string) (Stamp, presence) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.asked++
	f := w.files[path]
	switch {
	case f == nil:
		return Stamp{}, gone
	case f.lost:
		return Stamp{}, nowhere
	}
	return f.stamp(), here
}

func (w *world) lease(path string) lease {
	w.mu.Lock()
	defer w.mu.Unlock()
	if f := w.files[path]; f != nil {
		return f.lease
	}
	return unknown // it went between two questions, as it may on a disk
}

func (w *world) look(path string) (Look, string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.looks++
	if f := w.files[path]; f != nil {
		return f.look, f.why
	}
	return Unsure, "cannot be opened"
}

func (f *made) stamp() Stamp {
	return Stamp{Size: f.size, Mtime: f.mtime.UnixNano() + 1, Ctime: f.mtime.UnixNano() + 1, Inode: 1}
}

// set puts a file into the world without telling settle.
func (s *stage) set(path string, f made) {
	s.world.mu.Lock()
	defer s.world.mu.Unlock()
	if f.mtime.IsZero() {
		f.mtime = time.Now()
	}
	s.world.files[path] = &f
}

// write puts a file into the world and tells settle.
func (s *stage) write(path string, f made) {
	s.set(path, f)
	stamp, _ := s.world.stat(path)
	s.touches <- []touch{{path: path, stamp: stamp}}
}

// change alters a file without telling settle.
func (s *stage) change(path string, how func(f *made)) {
	s.world.mu.Lock()
	defer s.world.mu.Unlock()
	how(s.world.files[path])
}

func (s *stage) remove(path string) {
	s.world.mu.Lock()
	delete(s.world.files, path)
	s.world.mu.Unlock()
	s.touches <- []touch{{path: path}}
}

// pass lets time go by.
func (s *stage) pass(d time.Duration) {
	time.Sleep(d) // in the bubble
	synctest.Wait()
}

// want checks what has been handed over since the last want: "path", "-path"
// for gone, "path: why" for unfinished.
func (s *stage) want(paths ...string) {
	s.t.Helper()
	s.world.mu.Lock()
	defer s.world.mu.Unlock()
	got := []string{}
	for _, e := range s.events {
		name := strings.TrimPrefix(e.Path, "/suit/")
		if e.Gone {
			name = "-" + name
		}
		if e.Unfinished != "" {
			name += ": " + e.Unfinished
		}
		got = append(got, name)
	}
	if !slices.Equal(got, paths) && len(got)+len(paths) > 0 {
		s.t.Errorf("handed over %q, want %q", got, paths)
	}
	s.events = nil
}

// taken returns what has been handed over since the last want, and forgets it.
func (s *stage) taken() []handing {
	s.world.mu.Lock()
	defer s.world.mu.Unlock()
	events := s.events
	s.events = nil
	return events
}

// toldAhead returns what was told ahead of its turn since the last time, and
// forgets it.
func (s *stage) toldAhead() []handing {
	s.world.mu.Lock()
	defer s.world.mu.Unlock()
	ahead := s.ahead
	s.ahead = nil
	return ahead
}

// last is the time at which the last event came.
func (s *stage) last() time.Duration {
	s.world.mu.Lock()
	defer s.world.mu.Unlock()
	require.NotEmpty(s.t, s.events)
	return s.events[len(s.events)-1].at
}

// waits checks the reason that the board gives for a path.
func (s *stage) waits(path, why string) {
	s.t.Helper()
	got := ""
	for _, w := range s.board.status().Waiting {
		if w.Path == path {
			got = w.Why
		}
	}
	if got != why {
		s.t.Errorf("%s waits because %q, want %q", path, got, why)
	}
}

const part = "/suit/greave.stl"

func TestQuietTime(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9})
		s.pass(1900 * time.Millisecond)
		s.want()
		s.waits(part, "changed a moment ago")
		s.pass(100 * time.Millisecond)
		if got := s.last(); got != 2*time.Second {
			t.Errorf("handed over after %v, want 2 s", got)
		}
		s.want("greave.stl")
		s.waits(part, "")
		s.pass(time.Hour)
		s.want()
	})
}

func TestQuietTimeStartsAgainWithEachChange(t *testing.T) {
	play(t, func(s *stage) {
		for range 30 {
			s.write(part, made{size: 9})
			s.pass(1500 * time.Millisecond)
		}
		s.want()
		s.pass(500 * time.Millisecond)
		s.want("greave.stl")
	})
}

func TestChangesNobodyTellsOf(t *testing.T) {
	play(t, func(s *stage) { // a mapped file grows old without an event
		s.write(part, made{size: 9})
		s.pass(1500 * time.Millisecond)
		s.set(part, made{size: 9})
		s.pass(1000 * time.Millisecond)
		s.want()
		s.pass(2500 * time.Millisecond)
		s.want("greave.stl")
	})
}

func TestFreeLeaseAndWholeGoesAtOnce(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: free, look: Whole})
		s.pass(500 * time.Millisecond)
		if got := s.last(); got != 100*time.Millisecond {
			t.Errorf("handed over after %v, want a breath of 100 ms", got)
		}
		s.want("greave.stl")
	})
}

func TestWholeWithoutLeaseWaitsForQuiet(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: unknown, look: Whole})
		s.pass(1999 * time.Millisecond)
		s.want()
		s.pass(time.Millisecond)
		s.want("greave.stl")
	})
}

func TestFreeLeaseAndUnsureWaitsForQuiet(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: free})
		s.pass(1999 * time.Millisecond)
		s.want()
		s.pass(time.Millisecond)
		s.want("greave.stl")
	})
}

func TestBusyLeaseWaitsHoweverLong(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: taken, look: Whole})
		s.pass(7*time.Hour + 77*time.Millisecond)
		s.want()
		s.waits(part, "still open for writing")
		require.Zero(t, s.world.looks, "the structure of a file that is being written means nothing")
		s.change(part, func(f *made) { f.lease = free })
		closed := time.Since(s.start)
		s.pass(500 * time.Millisecond)
		if got := s.last() - closed; got > 500*time.Millisecond {
			t.Errorf("handed over %v after the close, want 0.5 s at most", got)
		}
		s.want("greave.stl")
	})
}

func TestPatienceCountsFromTheClose(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: taken, look: Cut, why: "11 of 12"})
		s.pass(time.Hour)
		s.change(part, func(f *made) { f.lease = free })
		s.pass(9*time.Minute + 59*time.Second)
		s.want()
		s.waits(part, "11 of 12")
		s.pass(2 * time.Second)
		s.want("greave.stl: 11 of 12")
	})
}

func TestPatienceStartsAgainAndTheRestComes(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: free, look: Cut, why: "cut"})
		s.pass(9 * time.Minute)
		s.write(part, made{size: 10, lease: free, look: Cut, why: "cut"})
		s.pass(9 * time.Minute)
		s.want()
		s.write(part, made{size: 12, lease: free, look: Whole})
		s.pass(time.Second)
		s.want("greave.stl")
		s.pass(time.Hour)
		s.want()
	})
}

func TestAfterARefusalTheRestComes(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: free, look: Cut, why: "cut"})
		s.pass(10 * time.Minute)
		s.want("greave.stl: cut")
		s.pass(3 * time.Hour)
		s.want()
		s.write(part, made{size: 12, lease: free, look: Whole})
		s.pass(time.Second)
		s.want("greave.stl")
	})
}

func TestLooksAtACutFileAreFew(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 9, lease: free, look: Cut, why: "cut"})
		s.pass(10 * time.Minute)
		s.want("greave.stl: cut")
		require.Equal(t, 1, s.world.looks, "its bytes have not changed")
		require.Less(t, s.world.asked, 40)
	})
}

func TestEmptyFile(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{lease: free, look: Whole})
		s.pass(59 * time.Second)
		s.want()
		s.pass(time.Second)
		s.want("greave.stl: the file is empty")
		require.Zero(t, s.world.looks)
	})
	play(t, func(s *stage) { // a browser's placeholder
		s.write(part, made{lease: free})
		s.pass(30 * time.Second)
		s.write(part, made{size: 9, lease: free, look: Whole})
		s.pass(time.Second)
		s.want("greave.stl")
	})
}

func TestHundredSavesInOneAnalysisMakeOneMore(t *testing.T) {
	play(t, func(s *stage) {
		s.work = time.Minute
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(time.Second)
		for n := range 100 {
			s.write(part, made{size: int64(n + 2), lease: free, look: Whole})
			s.pass(100 * time.Millisecond)
		}
		s.pass(time.Hour)
		require.Len(t, s.events, 2)
		require.Equal(t, int64(101), s.events[1].Stamp.Size, "the last one sees the last bytes")
		s.want("greave.stl", "greave.stl")
	})
}

func TestDoubledTouchesAreFree(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(time.Minute)
		s.want("greave.stl")
		stamp, _ := s.world.stat(part)
		for range 10 {
			s.touches <- []touch{{path: part, stamp: stamp}, {path: part, stamp: stamp}}
			s.pass(time.Minute)
		}
		s.want()
		require.Zero(t, s.board.status().Queued)
	})
}

func TestForceHandsOverWhatHasNotChanged(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1, lease: unknown})
		s.pass(time.Minute)
		s.want("greave.stl")
		stamp, _ := s.world.stat(part)
		s.touches <- []touch{{path: part, stamp: stamp, force: true}}
		s.pass(0)
		s.want("greave.stl")
		s.pass(time.Hour)
		s.want()
	})
}

func TestRestKnownFromTheStart(t *testing.T) {
	play(t, func(s *stage) {
		for path, rest := range map[string]time.Duration{"/suit/old": time.Hour, "/suit/fresh": time.Second, "/suit/cut": 8 * time.Minute, "/suit/long": time.Hour} {
			f := made{size: 1, mtime: time.Now().Add(-rest)}
			if path == "/suit/cut" || path == "/suit/long" {
				f.look, f.why = Cut, "cut"
			}
			s.set(path, f)
			stamp, _ := s.world.stat(path)
			s.touches <- []touch{{path: path, stamp: stamp, old: true, rest: rest}}
		}
		s.pass(0)
		s.world.mu.Lock()
		slices.SortFunc(s.events, func(a, b handing) int { return strings.Compare(a.Path, b.Path) })
		s.world.mu.Unlock()
		s.want("long: cut", "old")
		s.pass(time.Second)
		s.want("fresh")
		s.pass(118 * time.Second)
		s.want()
		s.pass(time.Second)
		s.want("cut: cut")
	})
}

func TestGoneAfterAGrace(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1})
		s.pass(time.Minute)
		s.want("greave.stl")
		s.remove(part)
		s.pass(1900 * time.Millisecond)
		s.want()
		s.pass(100 * time.Millisecond)
		s.want("-greave.stl")
		s.pass(time.Hour)
		s.want()
	})
}

func TestSaveByDeleteAndRenameIsNotGone(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(time.Minute)
		s.want("greave.stl")
		s.remove(part)
		s.pass(time.Second)
		s.write(part, made{size: 2, lease: free, look: Whole})
		s.pass(time.Minute)
		s.want("greave.stl")
	})
}

func TestNeverHandedOverIsNeverGone(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1})
		s.pass(time.Second)
		s.remove(part)
		s.pass(time.Hour)
		s.want()
		require.Zero(t, s.board.status().Queued)
	})
}

// Of a file from before there may be a report from before: that it went ahead
// of its turn must be told.
func TestGoneBeforeItsFirstTurn(t *testing.T) {
	play(t, func(s *stage) {
		s.set(part, made{size: 1})
		stamp, _ := s.world.stat(part)
		s.touches <- []touch{{path: part, stamp: stamp, old: true}}
		s.remove(part)
		s.pass(time.Hour)
		s.want("-greave.stl")
		require.Zero(t, s.board.status().Queued)
	})
}

// A file that is back before the tree has noticed waits for that: else it could
// go again, and nobody would know that it had been handed over.
func TestBackBeforeTheTreeKnows(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1, look: Whole, lease: free})
		s.pass(time.Second)
		s.want("greave.stl")
		s.remove(part)
		s.set(part, made{size: 2, look: Whole, lease: free})
		s.pass(time.Minute)
		s.want()
		s.write(part, made{size: 2, look: Whole, lease: free})
		s.pass(time.Second)
		s.want("greave.stl")
		require.Zero(t, s.board.status().Queued)
	})
}

func TestDeletedWhileHandled(t *testing.T) {
	play(t, func(s *stage) {
		s.work = time.Minute
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(10 * time.Second)
		s.remove(part)
		s.pass(10 * time.Second)
		s.want("greave.stl")
		s.pass(time.Minute)
		s.want("-greave.stl")
	})
}

func TestNothingIsGoneWhileTheRootIsMissing(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1})
		s.pass(time.Minute)
		s.want("greave.stl")
		mtime := s.world.files[part].mtime
		s.change(part, func(f *made) { f.lost = true })
		s.touches <- []touch{{path: part}}
		s.pass(24 * time.Hour)
		s.want()
		require.Less(t, s.world.asked, 24*60+60, "it is asked after once a minute at most")
		s.set(part, made{size: 1, mtime: mtime})
		s.pass(2 * time.Minute)
		s.want() // back as it was
	})
	play(t, func(s *stage) {
		s.write(part, made{size: 1})
		s.pass(time.Minute)
		s.want("greave.stl")
		s.change(part, func(f *made) { f.lost = true })
		s.touches <- []touch{{path: part}}
		s.pass(time.Hour)
		s.world.mu.Lock()
		delete(s.world.files, part) // the root is back, without it
		s.world.mu.Unlock()
		s.pass(2 * time.Minute)
		s.want("-greave.stl")
	})
}

func TestHandledWantsItAgain(t *testing.T) {
	play(t, func(s *stage) {
		s.again = 30 * time.Second
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(30 * time.Second)
		s.want("greave.stl")
		s.pass(time.Second)
		s.want("greave.stl")
		s.pass(time.Hour)
		s.want()
	})
	play(t, func(s *stage) { // what changes meanwhile comes once, not twice
		s.again = 30 * time.Second
		s.work = 10 * time.Second
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(5 * time.Second)
		s.write(part, made{size: 2, lease: free, look: Whole})
		s.pass(time.Hour)
		s.want("greave.stl", "greave.stl")
	})
}

func TestCoarseTimesAreLookedAtTwice(t *testing.T) {
	play(t, func(s *stage) {
		second := time.Now().Truncate(time.Second)
		s.set(part, made{size: 1, lease: free, look: Whole, mtime: second.Add(-1)}) // stamp() adds 1 ns
		stamp, _ := s.world.stat(part)
		s.touches <- []touch{{path: part, stamp: stamp}}
		s.pass(time.Second)
		s.want("greave.stl")
		s.pass(2 * time.Second)
		s.want("greave.stl")
		s.pass(time.Hour)
		s.want()
	})
}

// Under load the tree may be so slow that it tells of a change after the next
// one has been handed over. The second look that is due comes when it is due.
func TestLateWordOfAChangeBringsNoSecondLookForward(t *testing.T) {
	play(t, func(s *stage) {
		second := time.Now().Truncate(time.Second).Add(-1) // coarse, as stamp() adds 1 ns
		file := made{size: 57, lease: free, look: Whole, mtime: second}
		s.set(part, file)
		late, _ := s.world.stat(part)
		file.size = 101
		s.write(part, file)
		s.pass(time.Second)
		s.want("greave.stl")
		s.touches <- []touch{{path: part, stamp: late}}
		s.pass(time.Second)
		s.want()
		s.waits(part, "")
		s.pass(200 * time.Millisecond) // 2.1 s after the first
		s.want("greave.stl")
		s.touches <- []touch{{path: part, stamp: late}}
		s.pass(time.Hour)
		s.want()
		require.Zero(t, s.board.status().Queued)
	})
	play(t, func(s *stage) { // a true change meanwhile does not wait for it
		s.again = time.Hour
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(time.Minute)
		s.want("greave.stl")
		s.write(part, made{size: 2, lease: free, look: Whole})
		s.pass(time.Second)
		s.want("greave.stl")
		s.pass(2 * time.Hour)
		s.want()
	})
}

func TestOrder(t *testing.T) {
	play(t, func(s *stage) {
		day := time.Now().Add(-24 * time.Hour)
		s.write("/suit/was.stl", made{size: 1, mtime: day})
		s.pass(time.Minute)
		s.want("was.stl")
		s.work = time.Minute
		s.write("/suit/busy.stl", made{size: 1, lease: free, look: Whole})
		s.pass(time.Second)
		s.write("/suit/large.stl", made{size: 400 << 20, mtime: day})
		s.write("/suit/middle.stl", made{size: 3 << 20, mtime: day})
		s.write("/suit/older.stl", made{size: 5, mtime: day.Add(-time.Hour)})
		s.write("/suit/newer.stl", made{size: 900 << 10, mtime: day})
		s.write("/suit/newer-b.stl", made{size: 7, mtime: day})
		s.remove("/suit/was.stl")
		s.write("/suit/suit.toml", made{size: 2 << 20, mtime: day})
		s.pass(time.Hour)
		s.want("busy.stl", "suit.toml", "-was.stl", "newer-b.stl", "newer.stl", "older.stl", "middle.stl", "large.stl")
	})
}

// Configuration that comes to rest while a part is being handled is told at once,
// once for each change, and handed over in its turn all the same. While it is
// still being written, nothing is told; nor of other files, nor where nothing is
// being handled.
func TestConfigurationIsToldAhead(t *testing.T) {
	const settings = "/suit/suit.toml"
	play(t, func(s *stage) {
		s.write(settings, made{size: 1, lease: free, look: Whole})
		s.pass(time.Minute)
		s.want("suit.toml")
		require.Empty(t, s.toldAhead())

		s.work = time.Hour
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(time.Second)
		told := func(d time.Duration) {
			t.Helper()
			began := time.Since(s.start)
			s.pass(time.Minute)
			if d == 0 {
				require.Empty(t, s.toldAhead())
			} else {
				require.Equal(t, []handing{{Event{Path: settings}, began + d}}, s.toldAhead())
			}
		}
		s.write(settings, made{size: 2, lease: taken, look: Whole})
		s.write("/suit/boot.stl", made{size: 1, lease: free, look: Whole})
		told(0)
		s.write(settings, made{size: 3, lease: free, look: Whole})
		told(100 * time.Millisecond)
		s.write(settings, made{size: 4, lease: free, look: Whole})
		told(100 * time.Millisecond)
		s.write(settings, made{size: 4, lease: free, look: Whole, mtime: time.Now().Add(-time.Minute)}) // as it was
		told(0)
		s.remove(settings)
		told(2 * time.Second)
		s.want("greave.stl")
		s.pass(4 * time.Hour)
		s.want("-suit.toml", "boot.stl")
		require.Empty(t, s.toldAhead())
	})
}

func TestWaitingFilesDoNotHoldUpOthers(t *testing.T) {
	play(t, func(s *stage) {
		for n := range 200 {
			s.write(fmt.Sprintf("/suit/%d.stl", n), made{size: 1, lease: taken})
		}
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(100 * time.Millisecond)
		s.want("greave.stl")
		require.Equal(t, 200, s.board.status().Queued)
	})
}

// A file that becomes older is as new as one that becomes younger, or that is
// of a time to come.
func TestAnyOtherTimeIsNews(t *testing.T) {
	play(t, func(s *stage) {
		now := time.Now()
		for _, days := range []int{-1, -2, -10_000, -3, 30_000, 20_000, -1} {
			s.write(part, made{size: 9, mtime: now.Add(time.Duration(days) * 24 * time.Hour), lease: free, look: Whole})
			s.pass(time.Hour)
			s.want("greave.stl")
		}
	})
}

// A file that is saved faster than it can be looked into does not keep the others
// from their turn, however large and old these are, nor do several such files
// keep each other from it. A person's second save of the same part waits for one
// other at most.
func TestFilesSavedOverAndOverLetOthersGo(t *testing.T) {
	for _, hot := range []int{1, 3} {
		play(t, func(s *stage) {
			s.work = 20 * time.Second
			save := func(n, size int) {
				s.write(fmt.Sprintf("/suit/hot-%d.stl", n), made{size: int64(size), lease: free, look: Whole})
			}
			for n := range hot {
				save(n, 1)
			}
			s.pass(time.Second)
			for n := range 4 {
				s.write(fmt.Sprintf("/suit/large-%d.stl", n), made{size: 400 << 20, mtime: time.Now().Add(-time.Hour), lease: free, look: Whole})
			}
			for second := range 600 { // ten saves a minute of each
				if n := second % 6; n < hot {
					save(n, second+2)
				}
				s.pass(time.Second)
			}
			turns, events := map[string]int{}, s.taken()
			for _, e := range events {
				turns[e.Path]++
			}
			for n := range 4 {
				require.Equal(t, 1, turns[fmt.Sprintf("/suit/large-%d.stl", n)], "of %d files that are saved over and over", hot)
			}
			for n := range hot {
				path := fmt.Sprintf("/suit/hot-%d.stl", n)
				require.GreaterOrEqual(t, turns[path], 26/hot-2, "600 s hold 30 turns, and four were the others'")
			}
			last := 0
			for _, e := range events {
				if strings.Contains(e.Path, "large") {
					last = int(e.at / time.Second)
				}
			}
			require.Less(t, last, 20*(2*4+hot+2), "every second turn was theirs")
			s.pass(time.Hour)
			require.Zero(t, s.board.status().Queued)
		})
	}
}

// A file of which nothing tells whether it is whole, and which is never at rest,
// waits, and the status says so; it goes as soon as it rests.
func TestNeverAtRest(t *testing.T) {
	play(t, func(s *stage) {
		for n := range 600 {
			s.write(part, made{size: int64(n + 1), lease: free})
			s.pass(time.Second)
		}
		s.want()
		s.waits(part, "changed a moment ago")
		s.pass(2 * time.Second)
		s.want("greave.stl")
		s.waits(part, "")
	})
}

func TestNothingToDoTakesNoTime(t *testing.T) {
	play(t, func(s *stage) {
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.pass(time.Minute)
		asked := s.world.asked
		s.pass(1000 * time.Hour)
		require.Equal(t, asked, s.world.asked)
	})
}

func TestEndsInTheMiddleOfAHandling(t *testing.T) {
	play(t, func(s *stage) {
		s.work = time.Hour
		s.write(part, made{size: 1, lease: free, look: Whole})
		s.write("/suit/other.stl", made{size: 1, lease: free, look: Whole})
		s.pass(time.Minute)
	}) // play waits for all goroutines, and the bubble reports any that is left
}

// TestAtRest plays random scenes and checks what must be true when all is at
// rest: the last thing handed over of each path is what is there.
func TestAtRest(t *testing.T) {
	const seed = 20240229
	for scene := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, scene))
		play(t, func(s *stage) {
			s.work = time.Duration(random.IntN(3000)) * time.Millisecond
			for range 150 {
				path := fmt.Sprintf("/suit/%d.stl", random.IntN(6))
				f := made{size: int64(random.IntN(4)), lease: lease(random.IntN(3)), look: Look(random.IntN(3)), why: "cut"}
				switch random.IntN(5) {
				case 0:
					s.remove(path)
				default:
					s.write(path, f)
				}
				s.pass(time.Duration(random.IntN(2500)) * time.Millisecond)
			}
			for path := range s.world.files {
				s.change(path, func(f *made) { f.lease = free })
			}
			s.pass(time.Hour)
			last := map[string]handing{}
			for _, e := range s.events {
				was, ok := last[e.Path]
				if ok && was.Stamp == e.Stamp && !was.Stamp.Racy(s.start.Add(was.at)) {
					t.Errorf("scene %d of seed %d: %s handed over twice as it was", scene, seed, e.Path)
				}
				last[e.Path] = e
			}
			for path, e := range last {
				stamp, where := s.world.stat(path)
				if e.Gone != (where == gone) || e.Stamp != stamp {
					t.Errorf("scene %d of seed %d: last handed over %+v, there is %+v", scene, seed, e, stamp)
				}
			}
			for path := range s.world.files {
				if _, ok := last[path]; !ok {
					t.Errorf("scene %d of seed %d: %s was never handed over", scene, seed, path)
				}
			}
			require.Zero(t, s.board.status().Queued)
			require.Empty(t, s.board.status().Waiting)
		})
	}
}
