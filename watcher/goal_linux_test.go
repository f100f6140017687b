package watcher

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// The figures that the watcher has to reach, each with what the machine itself
// allows beside it, measured in the same run:
//
//	go test ./watcher -run '^$' -bench Goal -benchtime 1x -v
//
// A figure that depends on other programs on the machine is only reported; a
// file that is lost, or handed over before it is whole, fails.

// goal is a watcher at its own pace on a new folder.
type goal struct {
	b    *testing.B
	root string
	w    *Watcher

	mu    sync.Mutex
	last  map[string]Event
	times map[string]time.Time // of the first hand-over
	count int
	news  chan struct{}
}

func newGoal(b *testing.B, o Options, prepare func(*Watcher)) *goal {
	g := &goal{b: b, root: b.TempDir(), last: map[string]Event{}, times: map[string]time.Time{}, news: make(chan struct{}, 1)}
	ready := make(chan int, 1)
	o.Roots, o.Ready = []string{g.root}, func(n int) { ready <- n }
	w, err := New(o)
	require.NoError(b, err)
	if prepare != nil {
		prepare(w)
	}
	g.w = w
	ctx, cancel := context.WithCancel(context.Background())
	var all sync.WaitGroup
	all.Go(func() {
		if err := w.Run(ctx, g.handle); err != nil {
			b.Error(err)
		}
	})
	b.Cleanup(func() { cancel(); all.Wait() })
	<-ready
	return g
}

func (g *goal) handle(_ context.Context, e Event) time.Duration {
	now := time.Now()
	g.mu.Lock()
	defer g.mu.Unlock()
	g.count++
	g.last[e.Path] = e
	if _, again := g.times[e.Path]; !again {
		g.times[e.Path] = now
	}
	select {
	case g.news <- struct{}{}:
	default:
	}
	return 0
}

// until waits for hand-overs until a thing is so.
func (g *goal) until(what string, so func() bool) {
	g.b.Helper()
	guard := time.After(5 * time.Minute)
	for {
		g.mu.Lock()
		done := so()
		g.mu.Unlock()
		if done {
			return
		}
		select {
		case <-g.news:
		case <-guard:
			g.mu.Lock()
			defer g.mu.Unlock()
			g.b.Fatalf("%s: not so; %d handed over, status %+v", what, len(g.last), g.w.Status())
		}
	}
}

// lost counts the files that are there and of which the last event is not of
// their present bytes.
func (g *goal) lost() (lost, there int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	_ = filepath.WalkDir(g.root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return nil
		}
		there++
		if s, _, err := stampOf(g.root, path); err != nil || g.last[path].Stamp != s {
			lost++
		}
		return nil
	})
	return lost, there
}

// looked is the time of one walk with a stat of each file: what finding out
// takes at least.
func (g *goal) looked() time.Duration {
	began := time.Now()
	g.lost()
	return time.Since(began)
}

// tell reports the middle, the 99th in a hundred and the slowest of some times.
func tell(b *testing.B, name string, times []time.Duration) {
	slices.Sort(times)
	for _, at := range []struct {
		name  string
		share float64
	}{{"p50", 0.5}, {"p99", 0.99}, {"max", 1}} {
		i := min(len(times)-1, int(at.share*float64(len(times))))
		b.ReportMetric(float64(times[i].Microseconds())/1000, name+"-"+at.name+"-ms")
	}
	b.ReportMetric(0, "ns/op")
}

// From the moment that the writer closes a file to the start of its handling:
// at most 0.5 s where the lease is free and the structure is whole, at most
// 2.5 s by quiet time.
func BenchmarkGoalClosedToStarted(b *testing.B) {
	for _, way := range []struct {
		name string
		look Look
		n    int
	}{{"lease", Whole, 200}, {"quiet", Unsure, 50}} {
		b.Run(way.name, func(b *testing.B) {
			g := newGoal(b, Options{Look: func(string) (Look, string) { return way.look, "" }}, nil)
			closed := map[string]time.Time{}
			random := rand.New(rand.NewPCG(1, 2))
			for b.Loop() {
				for n := range way.n {
					path := filepath.Join(g.root, fmt.Sprint(len(closed)))
					f, err := os.Create(path)
					require.NoError(b, err)
					for range 3 { // a copy that takes a while
						_, err = f.Write(make([]byte, 4096))
						require.NoError(b, err)
						time.Sleep(time.Duration(random.IntN(20)) * time.Millisecond)
					}
					require.NoError(b, f.Close())
					closed[path] = time.Now()
					if n%10 == 9 {
						g.until("all handed over", func() bool { return len(g.times) == len(closed) })
					}
				}
			}
			var took []time.Duration
			for path, at := range closed {
				took = append(took, g.times[path].Sub(at))
			}
			tell(b, "started", took)
			tell(b, "limit", rawLatency(b, 200))
		})
	}
}

// rawLatency is how long the machine takes from the rename of a file to a
// reader of the kernel's own queue that does nothing else.
func rawLatency(b *testing.B, n int) []time.Duration {
	dir, out := b.TempDir(), filepath.Join(b.TempDir(), "x")
	fd, err := unix.InotifyInit1(unix.IN_CLOEXEC)
	require.NoError(b, err)
	defer unix.Close(fd)
	_, err = unix.InotifyAddWatch(fd, dir, unix.IN_MOVED_TO)
	require.NoError(b, err)
	var times []time.Duration
	came := make(chan time.Time)
	var reader sync.WaitGroup
	reader.Go(func() {
		buf := make([]byte, 4096)
		for range n {
			if _, err := unix.Read(fd, buf); err != nil {
				return
			}
			came <- time.Now()
		}
	})
	require.NoError(b, os.WriteFile(out, nil, 0o644))
	for range n {
		began := time.Now()
		require.NoError(b, os.Rename(out, filepath.Join(dir, "x")))
		times = append(times, (<-came).Sub(began))
		require.NoError(b, os.Rename(filepath.Join(dir, "x"), out))
	}
	reader.Wait()
	return times
}

// No file is handed over before its writer is done: of 1,000 that are written
// slowly, with pauses, into room made before, or through memory.
func BenchmarkGoalPremature(b *testing.B) {
	const each, size = 250, 4000
	whole := bytes.Repeat([]byte("x"), size)
	var early atomic.Int32
	for b.Loop() {
		g := newGoal(b, Options{Look: func(path string) (Look, string) {
			text, err := os.ReadFile(path)
			if err != nil || len(text) < size || bytes.IndexByte(text, 0) >= 0 {
				return Cut, "half a file"
			}
			return Whole, ""
		}}, nil)
		ways := []func(path string, pause func()){
			func(path string, pause func()) { // slow, held open
				f, err := os.Create(path)
				require.NoError(b, err)
				for at := 0; at < size; at += size / 4 {
					_, err = f.Write(whole[at : at+size/4])
					require.NoError(b, err)
					pause()
				}
				require.NoError(b, f.Close())
			},
			func(path string, pause func()) { // opened anew for each piece
				for at := 0; at < size; at += size / 4 {
					f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644)
					require.NoError(b, err)
					_, err = f.Write(whole[at : at+size/4])
					require.NoError(b, err)
					require.NoError(b, f.Close())
					pause()
				}
			},
			func(path string, pause func()) { // full size from the start
				f, err := os.Create(path)
				require.NoError(b, err)
				require.NoError(b, unix.Fallocate(int(f.Fd()), 0, 0, size))
				for at := 0; at < size; at += size / 4 {
					pause()
					_, err = f.Write(whole[at : at+size/4])
					require.NoError(b, err)
				}
				require.NoError(b, f.Close())
			},
			func(path string, pause func()) { // mapped, and closed before the bytes come
				f, err := os.Create(path)
				require.NoError(b, err)
				require.NoError(b, f.Truncate(size))
				memory, err := unix.Mmap(int(f.Fd()), 0, size, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
				require.NoError(b, err)
				require.NoError(b, f.Close())
				for at := 0; at < size; at += size / 4 {
					pause()
					copy(memory[at:at+size/4], whole)
				}
				pause()
				require.NoError(b, unix.Munmap(memory))
			},
		}
		var writers sync.WaitGroup
		turns := make(chan int)
		var finished sync.Map // path: when its writer was about to let go
		for seed := range uint64(100) {
			writers.Go(func() {
				random := rand.New(rand.NewPCG(seed, 0))
				pause := func() { time.Sleep(time.Duration(random.IntN(400)) * time.Millisecond) }
				for n := range turns {
					path := filepath.Join(g.root, fmt.Sprint(n))
					last := time.Time{}
					ways[n%len(ways)](path, func() { pause(); last = time.Now() })
					finished.Store(path, last)
				}
			})
		}
		for n := range 4 * each {
			turns <- n
		}
		close(turns)
		writers.Wait()
		g.until("all handed over", func() bool { return len(g.times) == 4*each })
		finished.Range(func(path, at any) bool {
			// The last pause of a writer that opens anew comes after its last byte.
			if g.times[path.(string)].Before(at.(time.Time)) && !wholeAt(g, path.(string), size) {
				early.Add(1)
			}
			return true
		})
	}
	b.ReportMetric(float64(early.Load()), "premature")
	b.ReportMetric(0, "ns/op")
	if early.Load() > 0 {
		b.Errorf("%d files were handed over too early", early.Load())
	}
}

// wholeAt tells whether a file was handed over with all its bytes: it was not
// handed over again.
func wholeAt(g *goal, path string, size int64) bool {
	s, _, err := stampOf(g.root, path)
	return err == nil && g.last[path].Stamp == s && s.Size == size
}

// None of 10,000 files is lost that come in 2,000 new folders.
func BenchmarkGoalNested(b *testing.B) {
	const folders, files = 2000, 5
	for b.Loop() {
		g := newGoal(b, Options{Look: whole}, nil)
		began := time.Now()
		for n := range folders {
			dir := filepath.Join(g.root, fmt.Sprintf("%d/x/y", n))
			require.NoError(b, os.MkdirAll(dir, 0o755))
			for f := range files {
				require.NoError(b, os.WriteFile(filepath.Join(dir, fmt.Sprint(f)), []byte("x"), 0o644))
			}
		}
		made := time.Since(began)
		g.caughtUp(folders * files)
		b.ReportMetric(made.Seconds(), "limit-made-s")
	}
}

// None of 100,000 files is lost that come while nobody empties the system's
// queue, and all are in ours within 5 s afterwards.
func BenchmarkGoalStopped(b *testing.B) {
	const files = 100_000
	for b.Loop() {
		held := make(chan struct{})
		g := newGoal(b, Options{Look: whole}, func(w *Watcher) { w.open = func() (notifier, error) { return stopped(held) } })
		for n := range files {
			f, err := os.Create(filepath.Join(g.root, fmt.Sprintf("%d.stl", n)))
			require.NoError(b, err)
			_, err = f.WriteString("x")
			require.NoError(b, err)
			require.NoError(b, f.Close())
		}
		began := time.Now()
		close(held)
		for g.w.Status().Files < files {
			time.Sleep(10 * time.Millisecond)
		}
		b.ReportMetric(time.Since(began).Seconds(), "queued-s")
		g.caughtUp(files)
		b.ReportMetric(float64(g.w.Status().Overflows), "overflows")
	}
}

// stopped is a notifier whose events nobody reads until held is closed, as
// those of a process that was stopped.
func stopped(held chan struct{}) (notifier, error) {
	n, err := openNotifier()
	if err != nil {
		return n, err
	}
	from, events := n.events, make(chan fsnotify.Event)
	var forward sync.WaitGroup
	forward.Go(func() {
		<-held
		for e := range from {
			events <- e
		}
		close(events)
	})
	shut := n.close
	n.events, n.close = events, func() error { err := shut(); forward.Wait(); return err }
	return n, nil
}

func whole(string) (Look, string) { return Whole, "" }

// caughtUp waits until so many files were handed over, tells how long that took
// beside one look at each, and fails where one is lost.
func (g *goal) caughtUp(files int) {
	began := time.Now()
	g.until("all seen", func() bool { return len(g.times) >= files })
	took := time.Since(began)
	lost, there := g.lost()
	g.b.ReportMetric(took.Seconds(), "caught-up-s")
	g.b.ReportMetric(g.looked().Seconds(), "limit-walk-s")
	g.b.ReportMetric(float64(lost), "lost")
	g.b.ReportMetric(float64(there), "files")
	g.b.ReportMetric(0, "ns/op")
	if lost > 0 || there != files {
		g.b.Errorf("%d of %d files are lost, want %d", lost, there, files)
	}
}

// No file is lost of folders that are renamed again and again while files are
// written into them.
func BenchmarkGoalRenames(b *testing.B) {
	const folders, rounds = 20, 25
	for b.Loop() {
		g := newGoal(b, Options{Look: whole}, nil)
		random := rand.New(rand.NewPCG(19171205, 0))
		at := make([]string, folders)
		for n := range at {
			at[n] = filepath.Join(g.root, fmt.Sprintf("%d-0", n))
			require.NoError(b, os.MkdirAll(filepath.Join(at[n], "in/deep"), 0o755))
		}
		made := 0
		for round := range rounds {
			for n := range at {
				to := filepath.Join(g.root, fmt.Sprintf("%d-%d", n, round+1))
				require.NoError(b, os.Rename(at[n], to))
				at[n] = to
				sub := []string{"", "in", "in/deep"}[random.IntN(3)]
				require.NoError(b, os.WriteFile(filepath.Join(to, sub, fmt.Sprint(made)), []byte("x"), 0o644))
				made++
			}
		}
		began := time.Now()
		want := map[string]bool{}
		_ = filepath.WalkDir(g.root, func(path string, d fs.DirEntry, err error) error {
			if err == nil && d.Type().IsRegular() {
				want[path] = true
			}
			return nil
		})
		limit := time.Since(began)
		g.until("all seen where they are now", func() bool {
			for path := range want {
				if e, seen := g.last[path]; !seen || e.Gone {
					return false
				}
			}
			return true
		})
		lost, there := g.lost()
		b.ReportMetric(time.Since(began).Seconds(), "caught-up-s")
		b.ReportMetric(limit.Seconds(), "limit-walk-s")
		b.ReportMetric(float64(lost), "lost")
		b.ReportMetric(float64(there), "files")
		b.ReportMetric(0, "ns/op")
		if lost > 0 || there != made {
			b.Errorf("%d of %d files are lost, want %d", lost, there, made)
		}
	}
}

// From what happens to its place in the queue: at most 10 ms for 99 in a
// hundred while idle, 250 ms while all processors but one are at work, as
// during an analysis.
func BenchmarkGoalQueued(b *testing.B) {
	for _, state := range []struct {
		name string
		busy int
	}{{"idle", 0}, {"analysing", max(1, runtime.GOMAXPROCS(0)-1)}} {
		b.Run(state.name, func(b *testing.B) {
			ctx, cancel := context.WithCancel(context.Background())
			var all sync.WaitGroup
			defer all.Wait()
			defer cancel()
			for range state.busy {
				all.Go(func() { grind(ctx) })
			}
			t := benchTree(b, 1)
			touches := make(chan []touch)
			all.Go(func() { t.run(ctx, touches) })
			<-touches
			one, two := filepath.Join(t.roots[0].path, "one"), filepath.Join(b.TempDir(), "two")
			require.NoError(b, os.WriteFile(two, []byte("x"), 0o644))
			var took []time.Duration
			for b.Loop() {
				for range 2000 {
					began := time.Now()
					require.NoError(b, os.Rename(two, one))
					<-touches
					took = append(took, time.Since(began))
					require.NoError(b, os.Rename(one, two))
					<-touches
				}
			}
			tell(b, "queued", took)
			tell(b, "limit", rawLatency(b, 2000))
		})
	}
}

// grind keeps a processor busy and makes garbage, as an analysis does.
func grind(ctx context.Context) {
	var keep [][]byte
	for n := 0; ctx.Err() == nil; n++ {
		if n%1000 == 0 {
			keep = append(keep[max(0, len(keep)-50):], make([]byte, 64<<10))
		}
		for i := range 10_000 {
			keep[len(keep)-1][i]++
		}
	}
}
