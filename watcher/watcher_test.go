package watcher

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
	"github.com/stretchr/testify/require"
)

// bench is a watcher at work on a folder of a test.
type bench struct {
	t       *testing.T
	root    string
	new     string // a file beside the root that becomes one in it
	w       *Watcher
	events  chan Event
	said    chan Condition
	ready   chan int
	last    map[string]Event // of each path
	seen    []string         // "path" or "-path" for gone, below root
	told    []string         // "+kind path" and "-kind path"
	stop    func()
	handle  func(Event) time.Duration
	pending sync.WaitGroup
}

// tooLong is how long a test waits for anything before it fails: no measure of
// speed, as others may want the machine too.
const tooLong = 2 * time.Minute

// newBench prepares a watcher of .stl and .toml files in a new folder. The
// time between walks is an hour: what is found is found by events.
func newBench(t *testing.T, o Options) *bench {
	b := &bench{t: t, events: make(chan Event, 1<<16), said: make(chan Condition, 1000), ready: make(chan int, 1), last: map[string]Event{}}
	if o.Roots == nil {
		o.Roots = []string{filepath.Join(t.TempDir(), "suit")}
		require.NoError(t, os.Mkdir(o.Roots[0], 0o755))
	}
	if o.Accept == nil {
		o.Accept = func(path string) bool { return slices.Contains([]string{".stl", ".toml"}, filepath.Ext(path)) }
	}
	if o.Look == nil {
		o.Look = func(string) (Look, string) { return Whole, "" }
	}
	o.Rescan = time.Hour
	o.Say = func(c Condition) { b.said <- c }
	o.Ready = func(n int) { b.ready <- n }
	w, err := New(o)
	require.NoError(t, err)
	w.quiet, w.grace, w.breath, w.busy = 60*time.Millisecond, 60*time.Millisecond, 5*time.Millisecond, 5*time.Millisecond
	w.missing, w.poll = 10*time.Millisecond, 10*time.Millisecond
	w.racy, w.pollShare = time.Hour, 1
	b.w, b.root, b.new = w, w.o.Roots[0], filepath.Join(t.TempDir(), "new")
	return b
}

// run starts the watcher and waits until it is ready.
func (b *bench) run() *bench {
	ctx, cancel := context.WithCancel(context.Background())
	b.stop = func() { cancel(); b.pending.Wait() }
	b.t.Cleanup(b.stop)
	b.pending.Go(func() {
		err := b.w.Run(ctx, func(_ context.Context, e Event) time.Duration {
			b.events <- e
			if b.handle != nil {
				return b.handle(e)
			}
			return 0
		})
		if err != nil {
			b.t.Error(err)
		}
	})
	select {
	case <-b.ready:
	case <-time.After(tooLong):
		b.t.Fatal("not ready")
	}
	return b
}

// until takes events until a thing is so.
func (b *bench) until(what string, so func() bool) {
	b.t.Helper()
	guard := time.After(tooLong)
	for !so() {
		select {
		case e := <-b.events:
			b.note(e)
		case c := <-b.said:
			b.hear(c)
		case <-guard:
			b.t.Fatalf("%s: not so after %v; %s; seen %q, told %q, status %+v", what, tooLong, b.differs(), b.seen, b.told, b.w.Status())
		}
	}
}

func (b *bench) note(e Event) {
	name := strings.TrimPrefix(e.Path, b.root+"/")
	if e.Gone {
		name = "-" + name
	}
	b.seen = append(b.seen, name)
	b.last[e.Path] = e
}

func (b *bench) hear(c Condition) {
	sign := "-"
	if c.Begins {
		sign = "+"
	}
	b.told = append(b.told, sign+string(c.Kind)+strings.TrimPrefix(c.Path, b.root))
}

// wait takes events until each of the names has been seen since the last wait,
// and fails if anything else was.
func (b *bench) wait(names ...string) {
	b.t.Helper()
	b.until(fmt.Sprintf("waiting for %d names", len(names)), func() bool {
		have := map[string]bool{}
		for _, n := range b.seen {
			have[n] = true
		}
		return len(have) >= len(names) && !slices.ContainsFunc(names, func(n string) bool { return !have[n] })
	})
	for _, n := range b.seen {
		if !slices.Contains(names, n) {
			b.t.Errorf("%q was handed over, want only %q", n, names)
		}
	}
	b.seen = nil
}

// waitTold takes events until something was told.
func (b *bench) waitTold(what string) {
	b.t.Helper()
	b.until("waiting to be told "+what, func() bool { return slices.Contains(b.told, what) })
}

// waitPresent takes events until the last one of a file is of its present
// stamp: after a change in several steps, each of which may be seen alone.
func (b *bench) waitPresent(name string) {
	b.t.Helper()
	stamp, _, err := stampOf(b.root, b.path(name))
	require.NoError(b.t, err)
	b.until("the present "+name, func() bool { return b.last[b.path(name)].Stamp == stamp })
	b.wait(name)
}

// waitAllPresent is the same for all files, those that are gone among them. What
// was there for a moment may have been seen, too: two more files come after all
// of it, as in calm.
func (b *bench) waitAllPresent() {
	b.t.Helper()
	for _, name := range []string{"calm-a.stl", "calm-b.stl"} {
		b.seen = nil
		b.write(name, fmt.Sprint("calm at ", time.Now().UnixNano()))
		b.until("all as it is", func() bool { return slices.Contains(b.seen, name) && b.differs() == "" })
	}
	b.seen = nil
}

// calm makes two files, one after the other, and waits for them: what was due
// before has come by then, and must be only what was waited for.
func (b *bench) calm() {
	b.t.Helper()
	for _, name := range []string{"calm-a.stl", "calm-b.stl"} {
		b.write(name, fmt.Sprint("calm at ", time.Now().UnixNano()))
		b.wait(name)
	}
}

func (b *bench) path(name string) string { return filepath.Join(b.root, name) }

// write makes a file at once, as a rename does.
func (b *bench) write(name, text string) {
	b.t.Helper()
	require.NoError(b.t, os.WriteFile(b.new, []byte(text), 0o644))
	require.NoError(b.t, os.MkdirAll(filepath.Dir(b.path(name)), 0o755))
	require.NoError(b.t, os.Rename(b.new, b.path(name)))
}

func (b *bench) rename(from, to string) {
	b.t.Helper()
	require.NoError(b.t, os.Rename(b.path(from), b.path(to)))
}

// mute gives the watcher a notifier whose events are lost; what is sent to the
// channel it returns comes as an error of the notifier.
func (b *bench) mute() chan error {
	errs := make(chan error)
	open := b.w.open
	b.w.open = func() (notifier, error) {
		n, err := open()
		if err != nil {
			return n, err
		}
		var lost sync.WaitGroup
		from := n
		lost.Go(func() {
			for range from.events {
			}
		})
		events := make(chan fsnotify.Event)
		n.events, n.errs = events, errs
		n.close = func() error {
			err := from.close()
			lost.Wait()
			close(events)
			close(errs)
			return err
		}
		return n, nil
	}
	return errs
}

func TestNewRefuses(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "a"), 0o755))
	require.NoError(t, os.Symlink(filepath.Join(dir, "a"), filepath.Join(dir, "link")))
	for _, roots := range [][]string{
		nil,
		{dir, filepath.Join(dir, "a")},
		{filepath.Join(dir, "a", "b"), filepath.Join(dir, "a")},
		{filepath.Join(dir, "link"), dir},
		{"/", dir},
	} {
		if _, err := New(Options{Roots: roots}); err == nil {
			t.Errorf("roots %q: no error", roots)
		}
	}
	w, err := New(Options{Roots: []string{dir + "/a/", dir + "/ab", dir + "/b/../a", dir + "/link"}})
	require.NoError(t, err)
	require.Equal(t, []string{dir + "/a", dir + "/ab"}, w.o.Roots)
}

func TestRunOnce(t *testing.T) {
	b := newBench(t, Options{}).run()
	require.Error(t, b.w.Run(context.Background(), nil))
}

func TestFilesFromBefore(t *testing.T) {
	b := newBench(t, Options{})
	b.write("suit.toml", "x")
	b.write("legs/greave.stl", "x")
	b.write("legs/notes.txt", "x")
	b.write("legs/a/b/c/deep.stl", "x")
	b.write("\xff\xfe.stl", "a name that is not UTF-8")
	b.write("a\nb.stl", "x")
	b.run().wait("suit.toml", "legs/greave.stl", "legs/a/b/c/deep.stl", "\xff\xfe.stl", "a\nb.stl")
	b.calm()
	s := b.w.Status()
	require.Equal(t, 7, s.Files)
	require.Equal(t, 5, s.Folders)
	require.Zero(t, s.Polled)
	require.Empty(t, s.Conditions)
}

// What an earlier run handled is not handed over, and not counted, until it
// changes or goes; what looks otherwise than that run left it is.
func TestFilesKnownFromAnEarlierRun(t *testing.T) {
	b := newBench(t, Options{Known: func(path string, s Stamp) bool { return s.Size == 4 && filepath.Base(path) != "other.stl" }})
	for name, text := range map[string]string{"same.stl": "mesh", "goes.stl": "mesh", "longer.stl": "meshes", "other.stl": "mesh", "deep/same.stl": "mesh"} {
		b.write(name, text)
	}
	ready := make(chan int, 1)
	b.w.o.Ready = func(n int) { ready <- n; b.ready <- n }
	b.run()
	require.Equal(t, 2, <-ready)
	b.wait("longer.stl", "other.stl")
	b.write("same.stl", "wool")
	b.wait("same.stl")
	require.NoError(t, os.Remove(filepath.Join(b.root, "goes.stl")))
	b.wait("-goes.stl")
	b.w.Rescan()
	b.wait("same.stl", "longer.stl", "other.stl", "deep/same.stl")
}

// A stamp can be trusted when both of its times are past, by more than the file
// system's own tick.
func TestRacy(t *testing.T) {
	now := time.Date(2026, 3, 1, 12, 0, 0, 500_000_000, time.UTC)
	at := func(ago time.Duration) int64 { return now.Add(-ago).UnixNano() }
	for _, c := range []struct {
		name         string
		mtime, ctime time.Duration // ago
		racy         bool
	}{
		{"just written", 0, 0, true},
		{"within a tick of 100 Hz", 15 * time.Millisecond, 15 * time.Millisecond, true},
		{"long ago", time.Hour, time.Hour, false},
		{"an old time put back just now", time.Hour, 5 * time.Millisecond, true},
		{"an old time put back long ago", 24 * time.Hour, time.Hour, false},
		{"from the future, long ago", -time.Hour, time.Hour, false},
		{"whole seconds, this one", 500 * time.Millisecond, 500 * time.Millisecond, true},
		{"whole seconds, the one before", 1500 * time.Millisecond, 1500 * time.Millisecond, true},
		{"whole seconds, past", 3500 * time.Millisecond, 3500 * time.Millisecond, false},
	} {
		require.Equal(t, c.racy, Stamp{Mtime: at(c.mtime), Ctime: at(c.ctime)}.Racy(now), c.name)
	}
}

func TestConfigurationFirst(t *testing.T) {
	b := newBench(t, Options{First: func(p string) bool { return strings.HasSuffix(p, ".toml") }})
	for n := range 50 {
		b.write(fmt.Sprintf("%d.stl", n), "x")
	}
	b.write("z/suit.toml", strings.Repeat("x", 2<<20))
	b.run()
	b.until("the first", func() bool { return len(b.seen) > 0 })
	require.Equal(t, "z/suit.toml", b.seen[0])
}

// Whoever handles configuration asks for all that depends on it: that must not
// bring the configuration again, and so go on for ever.
func TestRescanOnConfiguration(t *testing.T) {
	b := newBench(t, Options{First: func(p string) bool { return strings.HasSuffix(p, ".toml") }})
	b.handle = func(e Event) time.Duration {
		if b.w.o.First(e.Path) {
			b.w.Rescan()
		}
		return 0
	}
	b.write("x.stl", "x")
	b.run().wait("x.stl")
	b.write("suit.toml", "one")
	b.wait("suit.toml", "x.stl")
	b.calm()
	b.write("suit.toml", "two")
	b.wait("suit.toml", "x.stl", "calm-a.stl", "calm-b.stl")
	b.calm()
}

func TestNewChangedGone(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.write("greave.stl", "one")
	b.wait("greave.stl")
	b.write("greave.stl", "two!")
	b.wait("greave.stl")
	require.Equal(t, int64(4), b.last[b.path("greave.stl")].Stamp.Size)
	require.Equal(t, b.root, b.last[b.path("greave.stl")].Root)
	require.NoError(t, os.Remove(b.path("greave.stl")))
	b.wait("-greave.stl")
	b.write("greave.stl", "again")
	b.wait("greave.stl")
	b.calm()
}

func TestRenamedFiles(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.write("a/x.stl", "x")
	b.write("b/y.toml", "x")
	b.wait("a/x.stl", "b/y.toml")
	b.rename("a/x.stl", "b/X.stl")
	b.wait("b/X.stl", "-a/x.stl")
	b.rename("b/X.stl", "b/x.stl.old")
	b.wait("-b/X.stl")
	b.rename("b/x.stl.old", "x.stl")
	b.wait("x.stl")
	b.calm()
}

// Every difference in the stamp counts, and only a difference.
func TestStampsThatPretend(t *testing.T) {
	b := newBench(t, Options{})
	b.write("x.stl", "one")
	was, err := os.Stat(b.path("x.stl"))
	require.NoError(t, err)
	b.run().wait("x.stl")

	b.write("new", "two") // another file, same size, time set back
	require.NoError(t, os.Chtimes(b.path("new"), was.ModTime(), was.ModTime()))
	b.rename("new", "x.stl")
	b.wait("x.stl")

	require.NoError(t, os.WriteFile(b.path("x.stl"), []byte("six"), 0o644)) // same file
	require.NoError(t, os.Chtimes(b.path("x.stl"), was.ModTime(), was.ModTime()))
	b.waitPresent("x.stl")

	for _, year := range []int{1999, 2099} {
		at := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
		require.NoError(t, os.Chtimes(b.path("x.stl"), at, at))
		b.wait("x.stl")
	}
	b.calm()
}

// The kernel tells only of the first folder of mkdir -p; what is in it by the
// time it is watched comes from the list.
func TestNestedFoldersAreNotLost(t *testing.T) {
	b := newBench(t, Options{}).run()
	const makers, folders, files = 4, 50, 5
	var all sync.WaitGroup
	for m := range makers {
		all.Go(func() {
			for n := range folders {
				dir := b.path(fmt.Sprintf("%d-%d/x/y", m, n))
				_ = os.MkdirAll(dir, 0o755)
				for f := range files {
					_ = os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.stl", f)), []byte("x"), 0o644)
				}
			}
		})
	}
	b.until("all files", func() bool { return len(b.last) == makers*folders*files })
	all.Wait()
	b.seen = nil
	b.calm()
}

// A file that comes in the very moment before its folder is watched, which
// nothing announces, is found, since the folder is listed after that.
func TestFileBeforeTheWatchIsUp(t *testing.T) {
	b := newBench(t, Options{})
	open := b.w.open
	b.w.open = func() (notifier, error) {
		n, err := open()
		add := n.add
		n.add = func(path string) error {
			if path == b.path("new") {
				_ = os.WriteFile(filepath.Join(path, "early.stl"), []byte("x"), 0o644)
			}
			return add(path)
		}
		return n, err
	}
	b.run()
	require.NoError(t, os.Mkdir(b.path("new"), 0o755))
	b.wait("new/early.stl")
	b.calm()
}

// See fsnotify#694: a watch goes on under the old path.
func TestRenamedFolder(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.write("a/b/c/x.stl", "x")
	b.wait("a/b/c/x.stl")
	b.rename("a", "z")
	b.wait("z/b/c/x.stl", "-a/b/c/x.stl")
	for _, in := range []string{"z", "z/b", "z/b/c"} {
		b.write(in+"/new.stl", "x")
		b.wait(in + "/new.stl")
	}
	b.write("a/b/c/y.stl", "a new folder under the old name")
	b.wait("a/b/c/y.stl")
	b.calm()
}

func TestFoldersSwapNames(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.write("one/in/1.stl", "x")
	b.write("two/in/2.stl", "x")
	b.wait("one/in/1.stl", "two/in/2.stl")
	for range 20 { // the net effect is one swap
		b.rename("one", "tmp")
		b.rename("two", "one")
		b.rename("tmp", "two")
	}
	b.rename("one", "tmp")
	b.rename("two", "one")
	b.rename("tmp", "two")
	b.waitAllPresent() // what was tmp for a moment may have been seen
	for name, gone := range map[string]bool{"one/in/2.stl": false, "two/in/1.stl": false, "one/in/1.stl": true, "two/in/2.stl": true} {
		require.Equal(t, gone, b.last[b.path(name)].Gone, name)
	}
	b.write("one/in/new.stl", "x")
	b.wait("one/in/new.stl")
	b.write("two/in/new.stl", "x")
	b.wait("two/in/new.stl")
	b.calm()
}

func TestFolderRenamedDeeper(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.write("a/x/1.stl", "x")
	b.write("b/2.stl", "x")
	b.wait("a/x/1.stl", "b/2.stl")
	b.rename("b", "a/x/b")
	b.wait("a/x/b/2.stl", "-b/2.stl")
	b.rename("a/x", "x")
	b.wait("x/1.stl", "x/b/2.stl", "-a/x/1.stl", "-a/x/b/2.stl")
	b.write("x/b/3.stl", "x")
	b.wait("x/b/3.stl")
	b.calm()
}

func TestFolderMovedInAndOut(t *testing.T) {
	b := newBench(t, Options{}).run()
	elsewhere := b.t.TempDir()
	for n := range 40 {
		dir := filepath.Join(elsewhere, "kit", fmt.Sprint(n), "sub")
		require.NoError(t, os.MkdirAll(dir, 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "x.stl"), []byte("x"), 0o644))
	}
	var in, out []string
	for n := range 40 {
		in = append(in, fmt.Sprintf("kit/%d/sub/x.stl", n))
		out = append(out, fmt.Sprintf("-kit/%d/sub/x.stl", n))
	}
	require.NoError(t, os.Rename(filepath.Join(elsewhere, "kit"), b.path("kit")))
	b.wait(in...)
	require.Equal(t, 1+1+80, b.w.Status().Folders)
	require.NoError(t, os.Rename(b.path("kit"), filepath.Join(elsewhere, "kit")))
	b.wait(out...)
	require.NoError(t, os.WriteFile(filepath.Join(elsewhere, "kit/1/sub/new.stl"), []byte("x"), 0o644))
	b.calm()
	require.Equal(t, 1, b.w.Status().Folders)
}

func TestFolderDeletedAndMadeAgain(t *testing.T) {
	b := newBench(t, Options{}).run()
	for n := range 30 { // ext4 gives the new folder the inode of the old one
		require.NoError(t, os.RemoveAll(b.path("d")))
		b.write("d/e/x.stl", fmt.Sprint(n))
	}
	b.until("the last one", func() bool {
		stamp, _, err := stampOf(b.root, b.path("d/e/x.stl"))
		return err == nil && b.last[b.path("d/e/x.stl")].Stamp == stamp
	})
	b.seen = nil
	b.write("d/e/y.stl", "is it still watched?")
	b.wait("d/e/y.stl")
	b.write("d/z.stl", "and its parent?")
	b.wait("d/z.stl")
	b.calm()
}

func TestFileAndFolderChangePlaces(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.write("x.stl", "x")
	b.wait("x.stl")
	require.NoError(t, os.Remove(b.path("x.stl")))
	b.write("x.stl/in.stl", "x")
	b.wait("-x.stl", "x.stl/in.stl")
	require.NoError(t, os.RemoveAll(b.path("x.stl")))
	b.write("x.stl", "x")
	b.wait("x.stl", "-x.stl/in.stl")
	b.calm()
}

func TestAtomicSaves(t *testing.T) {
	b := newBench(t, Options{})
	b.w.grace = time.Hour // the gap may last as long as the machine likes
	b.run()
	for n := range 10 {
		require.NoError(t, os.WriteFile(b.path("suit.toml.tmp"), []byte(strings.Repeat("x", n+1)), 0o644))
		b.rename("suit.toml.tmp", "suit.toml")
		b.wait("suit.toml")
	}
	for n := range 10 { // with a gap where there is none
		require.NoError(t, os.WriteFile(b.path("suit.toml~"), []byte(strings.Repeat("y", n+1)), 0o644))
		require.NoError(t, os.Remove(b.path("suit.toml")))
		b.rename("suit.toml~", "suit.toml")
		b.wait("suit.toml")
	}
	b.calm()
}

func TestHundredSavesWhileHandled(t *testing.T) {
	b := newBench(t, Options{})
	begun, goOn := make(chan bool), make(chan bool)
	b.handle = func(e Event) time.Duration {
		if strings.HasSuffix(e.Path, "x.stl") {
			select { // a test that has failed waits for nobody
			case begun <- true:
				<-goOn
			case <-t.Context().Done():
			}
		}
		return 0
	}
	b.run()
	b.write("x.stl", "x")
	<-begun
	for n := range 100 {
		b.write("x.stl", strings.Repeat("x", n+2))
	}
	goOn <- true
	<-begun
	goOn <- true
	b.until("two events", func() bool { return len(b.seen) == 2 })
	require.Equal(t, int64(101), b.last[b.path("x.stl")].Stamp.Size)
	b.seen = nil
	b.calm()
}

func TestOwnOutputIsIgnored(t *testing.T) {
	var descended sync.Map
	b := newBench(t, Options{Descend: func(dir string) bool {
		descended.Store(filepath.Base(dir), true)
		return !strings.HasSuffix(dir, ".fit")
	}}).run()
	b.write("x.stl", "x")
	b.wait("x.stl")
	scanned := b.w.Status().LastScan
	for n := range 200 {
		b.write("x.stl.md", fmt.Sprint(n))
		b.write(fmt.Sprintf("x.stl.fit/bands/%d.stl", n), "x")
	}
	b.calm()
	require.Equal(t, scanned, b.w.Status().LastScan, "no walk for our own output")
	require.Equal(t, 1, b.w.Status().Folders, "a folder that is not entered is not watched")
	_, ok := descended.Load("bands")
	require.False(t, ok)
}

func TestTemporaryNames(t *testing.T) {
	for name, want := range map[string]bool{
		"x.stl.part": true, "x.stl.crdownload": true, "x.stl.download": true, "x.stl.tmp": true, "x.stl.partial": true,
		"x.stl~": true, ".x.stl.swp": true, "#x.stl#": true, ".#x.stl": true, "._x.stl": true, "~$x.stl": true,
		"x.stl": false, "part.stl": false, "x.tmp.stl": false, "tmp": false, ".x.stl": false,
	} {
		if got := temporary(name); got != want {
			t.Errorf("temporary(%q) = %v, want %v", name, got, want)
		}
	}
}

// A browser makes an empty file of the final name beside the growing one.
func TestBrowserDownload(t *testing.T) {
	b := newBench(t, Options{Accept: func(string) bool { return true }}).run()
	require.NoError(t, os.WriteFile(b.path("x.stl"), nil, 0o644))
	for n := range 20 {
		require.NoError(t, os.WriteFile(b.path("x.stl.part"), []byte(strings.Repeat("x", n)), 0o644))
	}
	require.NoError(t, os.MkdirAll(b.path("y.stl.download"), 0o755))
	require.NoError(t, os.WriteFile(b.path("y.stl.download/y.stl"), []byte("half"), 0o644))
	b.calm()
	b.until("the empty file waits", func() bool {
		s := b.w.Status()
		return len(s.Waiting) == 1 && s.Waiting[0] == Waiting{b.path("x.stl"), "the file is empty"}
	})
	b.rename("x.stl.part", "x.stl")
	b.wait("x.stl")
	b.calm()
}

func TestFolderReplacedByALinkToIt(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.write("foo/x.stl", "x")
	b.wait("foo/x.stl")
	b.rename("foo", "bar")
	require.NoError(t, os.Symlink("bar", b.path("foo")))
	b.wait("bar/x.stl", "-foo/x.stl")
	b.write("bar/y.stl", "x")
	b.wait("bar/y.stl")
	b.calm()
}

// Where names that differ in case are one, the old one is still there for a
// stat. It must be forgotten, and not told as gone: that is the new one.
func TestNameInOtherCase(t *testing.T) {
	b := newBench(t, Options{})
	b.w.stat = func(root, path string) (Stamp, bool, error) {
		stamp, link, err := stampOf(root, path)
		entries, _ := os.ReadDir(filepath.Dir(path))
		for _, e := range entries {
			if err != nil && strings.EqualFold(e.Name(), filepath.Base(path)) {
				return stampOf(root, filepath.Join(filepath.Dir(path), e.Name()))
			}
		}
		return stamp, link, err
	}
	b.run()
	b.write("a.stl", "x")
	b.wait("a.stl")
	b.rename("a.stl", "A.stl")
	b.write("calm.stl", "x")
	b.until("both", func() bool { return slices.Contains(b.seen, "A.stl") && slices.Contains(b.seen, "calm.stl") })
	require.NotContains(t, b.seen, "-a.stl")
	b.seen = nil
	b.w.Rescan()
	b.wait("A.stl", "calm.stl")
	require.Equal(t, 2, b.w.Status().Files)
}

func TestRootIsALink(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "real"), 0o755))
	require.NoError(t, os.Symlink("real", filepath.Join(dir, "link")))
	b := newBench(t, Options{Roots: []string{filepath.Join(dir, "link")}}).run()
	b.write("a/x.stl", "x")
	b.wait("a/x.stl")
	require.NoError(t, os.Symlink("a/x.stl", b.path("l.stl")))
	b.wait("l.stl")
	b.calm()
}

func TestSeveralRoots(t *testing.T) {
	one, two := t.TempDir(), t.TempDir()
	b := newBench(t, Options{Roots: []string{one, two}}).run()
	b.write("a.stl", "x")
	b.wait("a.stl")
	require.NoError(t, os.WriteFile(filepath.Join(two, "b.stl"), []byte("x"), 0o644))
	b.until("the other root", func() bool { return b.last[filepath.Join(two, "b.stl")].Root == two })
	b.seen = nil
	b.w.Rescan(two)
	b.until("again", func() bool { return len(b.seen) == 1 })
	require.Equal(t, filepath.Join(two, "b.stl"), b.seen[0])
	b.seen = nil
	b.calm()
	b.w.Rescan()
	b.wait("a.stl", "calm-a.stl", "calm-b.stl", filepath.Join(two, "b.stl"))
	b.w.Rescan("/not/ours")
	b.calm()
}

func TestHandleAsksAgain(t *testing.T) {
	b := newBench(t, Options{})
	times := 0
	b.handle = func(e Event) time.Duration {
		if times++; times < 4 {
			return time.Millisecond
		}
		return 0
	}
	b.run()
	b.write("x.stl", "x")
	b.until("four times", func() bool { return len(b.seen) == 4 })
	b.wait("x.stl")
	b.calm()
}

func TestOverflow(t *testing.T) {
	b := newBench(t, Options{})
	b.write("was/x.stl", "x")
	b.write("gone/y.stl", "x")
	errs := b.mute()
	b.run().wait("was/x.stl", "gone/y.stl")
	b.rename("was", "is")
	b.write("is/x.stl", "changed")
	b.write("a/b/c/z.stl", "new")
	require.NoError(t, os.RemoveAll(b.path("gone")))
	errs <- fsnotify.ErrEventOverflow
	b.wait("is/x.stl", "a/b/c/z.stl", "-was/x.stl", "-gone/y.stl")
	b.waitTold("-overflow")
	require.Equal(t, []string{"+overflow", "-overflow"}, b.told)
	require.Equal(t, 1, b.w.Status().Overflows)
}

// Walks alone keep up with moved folders, so that events may then be had under
// the new paths.
func TestWatchesAfterLostRenames(t *testing.T) {
	b := newBench(t, Options{})
	b.write("a/b/x.stl", "x")
	open := b.w.open
	var deaf sync.Mutex // held: events are lost
	errs := make(chan error)
	b.w.open = func() (notifier, error) {
		n, err := open()
		from, events := n, make(chan fsnotify.Event)
		n.events, n.errs = events, errs
		b.pending.Go(func() {
			for e := range from.events {
				if deaf.TryLock() {
					deaf.Unlock()
					events <- e
				}
			}
			close(events)
			close(errs)
		})
		return n, err
	}
	b.run().wait("a/b/x.stl")
	deaf.Lock()
	b.rename("a", "z")
	require.NoError(t, os.Symlink("z", b.path("a")))
	errs <- fsnotify.ErrEventOverflow
	b.wait("z/b/x.stl", "-a/b/x.stl")
	deaf.Unlock()
	b.write("z/b/y.stl", "x")
	b.wait("z/b/y.stl")
	b.write("z/y.stl", "x")
	b.wait("z/y.stl")
	b.calm()
}

func TestOtherErrorsAreDoubts(t *testing.T) {
	b := newBench(t, Options{})
	errs := b.mute()
	b.run()
	b.write("x.stl", "x")
	errs <- errors.New("something went wrong")
	b.wait("x.stl")
	require.Empty(t, b.told)
}

func TestWatchLimit(t *testing.T) {
	b := newBench(t, Options{})
	var mu sync.Mutex
	granted, left := map[string]bool{}, 3
	open := b.w.open
	b.w.open = func() (notifier, error) {
		n, err := open()
		add := n.add
		n.add = func(path string) error {
			mu.Lock()
			defer mu.Unlock()
			if !granted[path] && len(granted) >= left {
				return fmt.Errorf("add %s: %w", path, syscall.ENOSPC)
			}
			granted[path] = true
			return add(path)
		}
		return n, err
	}
	for n := range 10 {
		b.write(fmt.Sprintf("%d/x.stl", n), "x")
	}
	b.run()
	b.until("ten", func() bool { return len(b.last) == 10 })
	b.waitTold("+watch-limit")
	require.Equal(t, 8, b.w.Status().Polled)
	require.Len(t, b.w.Status().Conditions, 1)
	b.seen = nil
	for n := range 10 {
		b.write(fmt.Sprintf("%d/a/b/y.stl", n), "y")
		b.wait(fmt.Sprintf("%d/a/b/y.stl", n))
	}
	require.NoError(t, os.RemoveAll(b.path("9")))
	b.wait("-9/x.stl", "-9/a/b/y.stl")
	mu.Lock()
	left = 1000
	mu.Unlock()
	b.waitTold("-watch-limit")
	require.Equal(t, []string{"+watch-limit", "-watch-limit"}, b.told, "once each")
	require.Zero(t, b.w.Status().Polled)
	b.calm()
}

// What nobody announces is found by the walk that comes every so often.
func TestWalkFindsWhatIsNotAnnounced(t *testing.T) {
	b := newBench(t, Options{})
	b.w.rescan, b.w.walkShare = 20*time.Millisecond, 1
	b.mute()
	b.run()
	b.write("a/b/x.stl", "x")
	b.wait("a/b/x.stl")
	b.write("a/b/x.stl", "changed")
	b.wait("a/b/x.stl")
	require.NoError(t, os.RemoveAll(b.path("a")))
	b.wait("-a/b/x.stl")
	require.Empty(t, b.told)
}

func TestDeletedAndMadeAgain(t *testing.T) {
	b := newBench(t, Options{}).run()
	for n := range 100 {
		require.NoError(t, os.WriteFile(b.path("x.stl"), fmt.Append(nil, n), 0o644))
		require.NoError(t, os.Remove(b.path("x.stl")))
	}
	b.write("x.stl", "the last")
	b.waitAllPresent()
	b.calm()
}

func TestNoNotifier(t *testing.T) {
	b := newBench(t, Options{})
	open := b.w.open
	var mu sync.Mutex
	broken := true
	b.w.rescan = 20 * time.Millisecond
	b.w.open = func() (notifier, error) {
		mu.Lock()
		defer mu.Unlock()
		if broken {
			return notifier{}, syscall.EMFILE
		}
		return open()
	}
	b.run().waitTold("+watch-limit")
	b.write("a/x.stl", "x")
	b.wait("a/x.stl")
	require.Equal(t, 2, b.w.Status().Polled)
	mu.Lock()
	broken = false
	mu.Unlock()
	b.waitTold("-watch-limit")
	b.write("a/y.stl", "x")
	b.wait("a/y.stl")
	require.Equal(t, []string{"+watch-limit", "-watch-limit"}, b.told)
}

func TestNotifierBreaks(t *testing.T) {
	b := newBench(t, Options{})
	open := b.w.open
	broken := make(chan func() error, 10)
	b.w.rescan = 20 * time.Millisecond
	b.w.open = func() (notifier, error) {
		n, err := open()
		broken <- n.close
		return n, err
	}
	b.run()
	require.NoError(t, (<-broken)())
	b.waitTold("+watch-limit")
	b.write("a/x.stl", "x")
	b.wait("a/x.stl")
	b.waitTold("-watch-limit")
	b.write("a/y.stl", "x")
	b.wait("a/y.stl")
}

func TestPollOnly(t *testing.T) {
	b := newBench(t, Options{Poll: true})
	b.w.open = nil // never asked
	b.write("a/b/x.stl", "x")
	b.run().wait("a/b/x.stl")
	b.write("c/d/y.stl", "x")
	b.wait("c/d/y.stl")
	b.rename("a", "c/a")
	b.wait("c/a/b/x.stl", "-a/b/x.stl")
	b.write("c/d/y.stl", "changed")
	b.wait("c/d/y.stl")
	require.Empty(t, b.told)
	require.Equal(t, b.w.Status().Folders, b.w.Status().Polled)
}

func TestSilentFileSystem(t *testing.T) {
	b := newBench(t, Options{})
	b.mute()
	b.w.folder = func(path string, follow bool) (identity, error) {
		id, err := identify(path, follow)
		if strings.Contains(path, "/net") {
			id.device = 1
		}
		return id, err
	}
	b.w.fsType = func(path string) (string, bool) { return "NFS", strings.Contains(path, "/net") }
	require.NoError(t, os.MkdirAll(b.path("net/a/b"), 0o755))
	b.run()
	b.waitTold("+no-events/net")
	b.write("net/a/b/x.stl", "x")
	b.wait("net/a/b/x.stl")
	require.Equal(t, 3, b.w.Status().Polled)
	require.NoError(t, os.RemoveAll(b.path("net")))
	b.wait("-net/a/b/x.stl")
	b.waitTold("-no-events/net")
	require.Equal(t, []string{"+no-events/net", "-no-events/net"}, b.told)
}

func TestFolderInTwoPlaces(t *testing.T) {
	b := newBench(t, Options{})
	b.w.folder = func(path string, follow bool) (identity, error) { // "twin" is "one", mounted again
		id, err := identify(path, follow)
		if filepath.Base(path) == "twin" {
			id, err = identify(b.path("one"), follow)
		}
		return id, err
	}
	b.write("one/x.stl", "x")
	b.write("twin/x.stl", "x")
	b.run().wait("one/x.stl", "twin/x.stl")
	b.write("one/y.stl", "x")
	b.wait("one/y.stl")
	b.write("twin/y.stl", "x")
	b.wait("twin/y.stl")
	require.Equal(t, 1, b.w.Status().Polled)
}

func TestRootMissing(t *testing.T) {
	b := newBench(t, Options{})
	away := b.root + "-away"
	b.write("a/x.stl", "x")
	b.write("y.stl", "x")
	b.run().wait("a/x.stl", "y.stl")
	require.NoError(t, os.Rename(b.root, away))
	b.waitTold("+root-missing")
	require.NoError(t, os.WriteFile(filepath.Join(away, "a/new.stl"), []byte("x"), 0o644))
	require.NoError(t, os.Remove(filepath.Join(away, "y.stl")))
	require.NoError(t, os.Rename(away, b.root))
	b.waitTold("-root-missing")
	b.wait("a/new.stl", "-y.stl") // and nothing else is new or gone
	b.write("a/z.stl", "x")
	b.wait("a/z.stl")
	b.calm()
	require.Equal(t, []string{"+root-missing", "-root-missing"}, b.told)
}

// A file that has yet to come to rest when the whole folder is taken away is not
// gone; it has its turn when it is back.
func TestRootTakenAwayBeforeAFileIsAtRest(t *testing.T) {
	b := newBench(t, Options{Look: func(string) (Look, string) { return Unsure, "" }})
	b.w.quiet, b.w.grace, b.w.breath = 300*time.Millisecond, 300*time.Millisecond, 100*time.Millisecond
	b.write("x.stl", "x")
	b.run().wait("x.stl")
	away := b.root + "-away"
	require.NoError(t, os.WriteFile(b.path("x.stl"), []byte("xx"), 0o644))
	require.NoError(t, os.Rename(b.root, away))
	b.waitTold("+root-missing")
	look := time.NewTicker(5 * time.Millisecond)
	defer look.Stop()
	for guard := time.After(tooLong); ; {
		w := b.w.Status().Waiting
		if len(w) == 1 && w[0].Why == "cannot be looked at now" {
			break
		}
		select {
		case <-look.C:
		case <-guard:
			t.Fatalf("it waits because %v", w)
		}
	}
	require.NoError(t, os.Rename(away, b.root))
	b.waitTold("-root-missing")
	b.until("the file", func() bool { return slices.Contains(b.seen, "x.stl") })
	require.NotContains(t, b.seen, "-x.stl")
}

func TestRootMissingAtTheStart(t *testing.T) {
	root := filepath.Join(t.TempDir(), "not/yet")
	b := newBench(t, Options{Roots: []string{root}}).run()
	b.waitTold("+root-missing")
	b.write("x.stl", "x") // makes the folder
	b.wait("x.stl")
	b.waitTold("-root-missing")
	b.calm()
}

func TestTwoRootsMissing(t *testing.T) {
	dir := t.TempDir()
	b := newBench(t, Options{Roots: []string{dir + "/b", dir + "/a"}}).run()
	conditions := b.w.Status().Conditions
	require.Len(t, conditions, 2)
	require.Equal(t, dir+"/a", conditions[0].Path)
	require.Equal(t, dir+"/b", conditions[1].Path)
	require.ErrorIs(t, conditions[0].Err, fs.ErrNotExist)
}

func TestDiskTakenAway(t *testing.T) {
	for _, sub := range []string{"", "disk"} {
		b := newBench(t, Options{})
		disk := b.path(sub)
		var mu sync.Mutex
		device := uint64(77)
		b.w.folder = func(path string, follow bool) (identity, error) {
			id, err := identify(path, follow)
			mu.Lock()
			defer mu.Unlock()
			if inside(disk, path) {
				id.device = device
			}
			return id, err
		}
		mount := func(d uint64, from, to string) {
			mu.Lock()
			defer mu.Unlock()
			require.NoError(t, os.Rename(from, to))
			device = d
		}
		b.write(filepath.Join(sub, "in/x.stl"), "x")
		errs := b.mute()
		b.run().wait(filepath.Join(sub, "in/x.stl"))
		store := filepath.Join(t.TempDir(), "in")
		mount(78, filepath.Join(disk, "in"), store)
		errs <- errors.New("look again")
		b.waitTold("+unmounted" + strings.TrimSuffix("/"+sub, "/"))
		require.NoError(t, os.WriteFile(filepath.Join(store, "y.stl"), []byte("y"), 0o644))
		mount(77, store, filepath.Join(disk, "in"))
		errs <- errors.New("look again")
		b.wait(filepath.Join(sub, "in/y.stl"))
		b.waitTold("-unmounted" + strings.TrimSuffix("/"+sub, "/"))
		b.stop()
	}
}

// A disk that is taken away while its folder is being looked at does not take its
// files with it, whichever look finds it gone.
func TestDiskTakenAwayBetweenTwoLooks(t *testing.T) {
	for _, name := range []string{"in/x.stl", "x.stl"} {
		for before := 1; before <= 3; before++ { // looks at the folder that still find it
			b := newBench(t, Options{})
			store := filepath.Join(t.TempDir(), "store")
			top, _, _ := strings.Cut(name, "/")
			var mu sync.Mutex
			device, looks := uint64(77), 0
			away := func() {
				looks, device = 0, 78
				require.NoError(t, os.Rename(b.path(top), store))
			}
			b.w.folder = func(path string, follow bool) (identity, error) {
				mu.Lock()
				defer mu.Unlock()
				id, err := identify(path, follow)
				if inside(b.root, path) {
					id.device = device
				}
				if looks > 0 && path == b.root {
					if looks--; looks == 0 {
						away()
					}
				}
				return id, err
			}
			b.w.stat = func(root, path string) (Stamp, bool, error) {
				mu.Lock()
				defer mu.Unlock()
				if looks > 0 { // the list had it, and then it is away
					away()
				}
				return stampOf(root, path)
			}
			b.w.rescan, b.w.walkShare = 0, 1
			b.write(name, "x")
			b.mute()
			b.run().wait(name)
			mu.Lock()
			looks = before
			mu.Unlock()
			b.waitTold("+unmounted")
			require.Empty(t, b.seen, "%s after %d looks", name, before)
			b.stop()
		}
	}
}

func TestPathsTooLong(t *testing.T) {
	b := newBench(t, Options{}).run()
	b.t.Chdir(b.root)
	name := strings.Repeat("long", 50)
	for range 30 { // 6,000 bytes; a path may have 4,096
		require.NoError(t, os.Mkdir(name, 0o755))
		require.NoError(t, os.Chdir(name))
	}
	require.NoError(t, os.Chdir(b.root))
	b.until("said", func() bool {
		return slices.ContainsFunc(b.told, func(s string) bool { return strings.HasPrefix(s, "+unreadable") })
	})
	b.write("x.stl", "x")
	b.wait("x.stl")
	require.NoError(t, os.RemoveAll(b.path(name)))
	b.calm()
	require.Empty(t, b.w.Status().Conditions)
}

func TestEndsWhileHandling(t *testing.T) {
	b := newBench(t, Options{})
	ctx, cancel := context.WithCancel(context.Background())
	b.write("x.stl", "x")
	b.write("y.stl", "x")
	calls := 0
	err := b.w.Run(ctx, func(ctx context.Context, e Event) time.Duration {
		calls++
		cancel()
		<-ctx.Done()
		return time.Nanosecond
	})
	require.NoError(t, err)
	require.Equal(t, 1, calls)
}

// TestModel does things at random and checks what must be true at rest: of
// each file there is the last event is of its present stamp, of each that was
// handed over and is no longer there it is that it has gone. Only events tell
// of changes: there is no walk within the time of the test.
func TestModel(t *testing.T) {
	const seed = 19171205
	for round := range uint64(4) {
		random := rand.New(rand.NewPCG(seed, round))
		b := newBench(t, Options{}).run()
		store := t.TempDir()
		for range 400 {
			b.doAnything(random, store)
		}
		b.waitAllPresent()
		b.calm()
		if d := b.differs(); d != "" {
			t.Errorf("round %d of seed %d: %s", round, seed, d)
		}
		b.stop()
	}
}

// TestModelPolled is the same by walks alone.
func TestModelPolled(t *testing.T) {
	const seed = 19171206
	random := rand.New(rand.NewPCG(seed, 0))
	b := newBench(t, Options{Poll: true}).run()
	store := t.TempDir()
	for range 400 {
		b.doAnything(random, store)
	}
	b.until(fmt.Sprintf("seed %d at rest", seed), func() bool { return b.differs() == "" })
}

// doAnything changes something in the root. Much of it fails, which is fine.
func (b *bench) doAnything(random *rand.Rand, store string) {
	folder := func() string {
		p := b.root
		for range random.IntN(4) {
			p = filepath.Join(p, string(rune('a'+random.IntN(3))))
		}
		return p
	}
	file := func() string { return filepath.Join(folder(), fmt.Sprintf("%d.stl", random.IntN(4))) }
	switch random.IntN(10) {
	case 0, 1:
		_ = os.MkdirAll(folder(), 0o755)
	case 2, 3, 4:
		_ = os.WriteFile(file(), []byte(strings.Repeat("x", 1+random.IntN(9))), 0o644)
	case 5:
		_ = os.Rename(file(), file())
	case 6:
		if from, to := folder(), folder(); from != b.root && to != b.root {
			_ = os.Rename(from, to)
		}
	case 7:
		_ = os.Remove(file())
	case 8:
		if d := folder(); d != b.root && random.IntN(3) == 0 {
			_ = os.RemoveAll(d)
		}
	case 9: // out of the root, or back into it
		d, out := folder(), filepath.Join(store, fmt.Sprint(random.IntN(3)))
		if d == b.root {
			return
		}
		if os.Rename(d, out) != nil {
			_ = os.Rename(out, d)
		}
	}
}

// differs tells what is not as it must be at rest, or nothing.
func (b *bench) differs() string {
	there := map[string]bool{}
	diff := ""
	_ = filepath.WalkDir(b.root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() || !b.w.o.Accept(path) {
			return nil
		}
		there[path] = true
		if stamp, _, err := stampOf(b.root, path); err != nil || b.last[path].Stamp != stamp {
			diff = fmt.Sprintf("%s is %+v, last event %+v", path, stamp, b.last[path])
		}
		return nil
	})
	for path, e := range b.last {
		if !e.Gone && !there[path] {
			diff = fmt.Sprintf("%s is not there, last event %+v", path, e)
		}
	}
	return diff
}
