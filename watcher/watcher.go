// Package watcher tells which files below some folders have come to rest and
// want to be looked at: new ones, changed ones, ones that are gone.
//
// Four steps, each a loop of its own, so that none can hold up the one before:
//
//	drain   (events.go)  empties the system's event queue into a set of paths
//	tree    (tree.go)    compares the folders with what it knew of them
//	settle  (settle.go)  waits until a file is whole, then lets go the most urgent
//	worker  (below)      handles one file at a time
//
// Events are only hints. The truth is a snapshot of size, times and inode
// ([Stamp]) that a walk through the folders compares: at the start, every so
// often, and after every doubt (lost events, a folder moved, a disk gone and
// back). What the system cannot announce is polled, and said once ([Condition]).
//
// The package reads names, stats and leases. It opens files only to ask for a
// lease, changes nothing, and does not log.
package watcher

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// Options say what is watched. Only Roots must be given. The functions are
// called from several goroutines, at the same time.
type Options struct {
	// Roots are the folders to watch with all that is below them. None may lie
	// inside another.
	Roots []string
	// Accept tells whether a file is one to report, by its path. It must be
	// false for our own output. nil: every file.
	Accept func(path string) bool
	// Descend tells whether a folder may be entered. nil: every folder.
	// Symbolic links to folders never are.
	Descend func(dir string) bool
	// First tells files that go before all others: configuration. nil: none.
	First func(path string) bool
	// Ahead is told of a file of these that is at rest while another file is
	// being handled, once for each change of it: it is handed over when its turn
	// comes, as any other. Ahead must return soon. nil: nobody is told.
	Ahead func(path string)
	// Known tells whether a file that the first walk finds was handled before, by
	// an earlier run, as it is now. It is then not handed over until it changes or
	// is gone. nil: none was.
	Known func(path string, s Stamp) bool
	// Look tells whether the structure of a file shows it to be all there, and
	// if not, why. It is asked only when no program is known to have the file
	// open for writing. nil: Unsure.
	Look func(path string) (look Look, why string)

	// Quiet is the rest after the last change of a file of which nothing
	// better is known, and of a deletion before it counts. 0: 2 s.
	Quiet time.Duration
	// Patience is the rest after which a file that looks cut is handed over
	// all the same. 0: 10 min.
	Patience time.Duration
	// Rescan is the time between two walks through everything. 0: 60 s. It is
	// longer where a walk takes more than 1/200 of that.
	Rescan time.Duration
	// Poll asks the system for no events: walks follow each other every 2 s, or
	// after 50 times what one takes.
	Poll bool

	// Say is told when a condition begins and when it ends, each once. It must
	// return soon. nil: nobody is told.
	Say func(Condition)
	// Ready is told once that the folders are watched and that so many files
	// have been queued by the first walk: all but those that are Known. nil: nobody is told.
	Ready func(files int)
}

// Look is what the structure of a file tells about its being complete.
type Look int

const (
	Unsure Look = iota // the format does not tell: wait for Quiet
	Whole              // all there: hand over as soon as no program has it open for writing
	Cut                // something is missing: wait until it comes, or for Patience
)

// Event is one path to handle. Paths are absolute, as the root was given, and
// kept byte for byte.
type Event struct {
	Path, Root string
	Stamp      Stamp  // of the file as it is handed over; zero when Gone
	Gone       bool   // a file that had been handed over, or was there at the first walk, is no longer there
	Unfinished string // why it still looked cut when Patience ran out; else empty
}

// Stamp is what a stat tells of a file's bytes: size in bytes, times in
// nanoseconds since 1970, inode. Equal stamps mean equal bytes, unless the
// file system keeps coarse times. Only equality means anything: times go back
// as well as forth. Ctime and Inode are 0 where the system has none.
type Stamp struct {
	Size, Mtime, Ctime int64
	Inode              uint64
}

// Racy tells whether the file, whose stamp was taken at now or later, may be
// written once more without its stamp changing: one of its times is within one
// tick of now. Times with no part of a second are taken for those of a system
// that keeps 1 or 2 s (FAT, old ext4); other ticks are 10 ms at most, that of a
// 100 Hz kernel.
func (s Stamp) Racy(now time.Time) bool {
	tick := 20 * time.Millisecond
	if s.Mtime%1e9 == 0 && s.Ctime%1e9 == 0 {
		tick = 2 * time.Second
	}
	for _, at := range []int64{s.Mtime, s.Ctime} {
		if age := time.Duration(now.UnixNano() - at); -tick <= age && age <= tick {
			return true
		}
	}
	return false
}

// StampOf returns the stamp of the regular file at a path, or of the one below
// root that a symbolic link there leads to.
func StampOf(root, path string) (Stamp, error) {
	s, _, err := stampOf(root, path)
	return s, err
}

// rest is how long the file has been as it is, by the clock: 0 if that is in
// the future.
func (s Stamp) rest(now time.Time) time.Duration {
	return max(0, time.Duration(now.UnixNano()-max(s.Mtime, s.Ctime)))
}

// Kind names a [Condition].
type Kind string

const (
	WatchLimit  Kind = "watch-limit"  // the system grants no more watches: some folders are polled
	NoEvents    Kind = "no-events"    // a file system that announces no changes: polled
	Unreadable  Kind = "unreadable"   // a folder that may not be listed
	RootMissing Kind = "root-missing" // a root is not there; nothing in it counts as gone
	Unmounted   Kind = "unmounted"    // a folder is empty since its disk changed; nothing in it counts as gone
	Overflow    Kind = "overflow"     // events were lost; everything is looked through again
)

// Condition is something that keeps the watcher from its best. It is told
// when it begins and, with Begins false, when it has ended.
type Condition struct {
	Kind   Kind
	Path   string // the folder concerned, or empty
	Begins bool
	Text   string // what is so, without the path
	Cure   string // what a person can do, or empty
	Err    error  // the system's own word, or nil
}

// Status is a moment of a running watcher.
type Status struct {
	Files, Folders, Polled int         // accepted files known, folders known, those of them that are polled
	Queued                 int         // paths not yet handed over
	Handling               string      // the path being handled, or empty
	Waiting                []Waiting   // files that are not at rest, by path
	Conditions             []Condition // those that hold, by kind and path
	Overflows              int         // how often events were lost
	LastEvent, LastScan    time.Time   // zero before the first
	ScanTook               time.Duration
}

// Waiting is a file that is queued and not handed over yet, with the reason.
type Waiting struct{ Path, Why string }

// Watcher watches folders. Make it with [New], then call Run once.
type Watcher struct {
	o Options
	pace
	notices notices
	board   board

	// The outside world; tests put their own here.
	open   func() (notifier, error)
	fsType func(path string) (name string, silent bool)
	lease  func(path string) lease
	stat   func(root, path string) (s Stamp, link bool, err error)
	folder func(path string, follow bool) (identity, error)
}

// pace holds every duration.
type pace struct {
	quiet, patience, rescan time.Duration
	breath                  time.Duration // first look after a change: joins the create, write and close of one save. A guess
	busy                    time.Duration // between looks at a file held open: half of the 0.5 s from close to start that we promise
	empty                   time.Duration // rest for an empty file: a browser's placeholder. A guess, common practice
	grace                   time.Duration // rest of a missing file before it counts as gone: a save by delete and rename
	racy                    time.Duration // second look at a file whose time stamps are too coarse to trust: FAT keeps 2 s, and a little
	missing                 time.Duration // between looks for a missing root
	poll                    time.Duration // least time between two walks while polling
	pollShare, walkShare    int           // the time between two walks is at least so many times that of a walk
}

// New checks the options and fills in the defaults. It fails when there is no
// root, or one root lies inside another. A root need not exist yet.
func New(o Options) (*Watcher, error) {
	roots, err := distinct(o.Roots)
	if err != nil {
		return nil, err
	}
	o.Roots = roots
	orDefault(&o.Accept, func(string) bool { return true })
	orDefault(&o.Descend, func(string) bool { return true })
	orDefault(&o.First, func(string) bool { return false })
	if o.Known == nil {
		o.Known = func(string, Stamp) bool { return false }
	}
	if o.Look == nil {
		o.Look = func(string) (Look, string) { return Unsure, "" }
	}
	if o.Say == nil {
		o.Say = func(Condition) {}
	}
	if o.Ahead == nil {
		o.Ahead = func(string) {}
	}
	if o.Ready == nil {
		o.Ready = func(int) {}
	}
	w := &Watcher{o: o, open: openNotifier, fsType: fsType, lease: askLease, stat: stampOf, folder: identify}
	w.notices.wake = make(chan struct{}, 1)
	w.pace = pace{
		quiet:    orElse(o.Quiet, 2*time.Second),     // longer than the gaps of an ordinary copy or download; common practice
		patience: orElse(o.Patience, 10*time.Minute), // a stalled download. A guess
		rescan:   orElse(o.Rescan, time.Minute),      // 20,000 files take 0.12 s: 0.2 % of a core
		breath:   100 * time.Millisecond,
		busy:     250 * time.Millisecond,
		empty:    time.Minute,
		racy:     2100 * time.Millisecond,
		missing:  5 * time.Second,
		poll:     2 * time.Second,

		pollShare: 50,  // 2 % of a core
		walkShare: 200, // 0.5 %
	}
	w.grace = w.quiet
	w.empty = min(w.empty, w.patience)
	return w, nil
}

func orDefault(f *func(string) bool, def func(string) bool) {
	if *f == nil {
		*f = def
	}
}

func orElse(d, def time.Duration) time.Duration {
	if d > 0 {
		return d
	}
	return def
}

// distinct makes the roots absolute, drops doubles, and refuses nested ones,
// also where a symbolic link hides it.
func distinct(given []string) ([]string, error) {
	if len(given) == 0 {
		return nil, errors.New("no folder to watch")
	}
	var roots, real []string
	for _, g := range given {
		r, err := filepath.Abs(g)
		if err != nil {
			return nil, fmt.Errorf("folder %q: %w", g, err)
		}
		t := resolved(r)
		if slices.Contains(roots, r) || slices.Contains(real, t) {
			continue
		}
		for i, other := range real {
			if inside(other, t) || inside(t, other) {
				return nil, fmt.Errorf("folders %q and %q lie one inside the other", roots[i], r)
			}
		}
		roots, real = append(roots, r), append(real, t)
	}
	return roots, nil
}

// resolved is the path without symbolic links, or the path itself where that
// cannot be told.
func resolved(path string) string {
	if t, err := filepath.EvalSymlinks(path); err == nil {
		return t
	}
	return path
}

// inside tells whether path is root or below it; both are clean.
func inside(root, path string) bool {
	rest, ok := strings.CutPrefix(path, root)
	return ok && (rest == "" || rest[0] == filepath.Separator || strings.HasSuffix(root, string(filepath.Separator)))
}

// Run watches until ctx ends, and returns nil when everything it started has
// returned. handle is called for one path at a time, with a context that ends
// with ctx; it returns after how long the same path is to be handed over once
// more, 0 for not before it changes. A path that changes while it is handled,
// however often, is handed over exactly once more afterwards. Handling the
// same bytes twice happens and must be harmless.
//
// Nothing that befalls the folders ends Run: what cannot be watched is polled.
// It returns an error only when called a second time.
func (w *Watcher) Run(ctx context.Context, handle func(ctx context.Context, e Event) (again time.Duration)) error {
	if !w.board.start() {
		return errors.New("watcher: Run called twice")
	}
	touches := make(chan []touch)
	next := make(chan Event)
	done := make(chan time.Duration)
	var all sync.WaitGroup
	all.Go(func() { newSettle(w).run(ctx, touches, next, done) })
	all.Go(func() { work(ctx, next, done, handle) })
	newTree(w).run(ctx, touches)
	all.Wait()
	return nil
}

// work hands one event at a time to handle.
func work(ctx context.Context, next <-chan Event, done chan<- time.Duration, handle func(context.Context, Event) time.Duration) {
	for {
		select {
		case <-ctx.Done():
			return
		case e := <-next:
			again := handle(ctx, e)
			select {
			case <-ctx.Done():
				return
			case done <- again:
			}
		}
	}
}

// Rescan walks through the roots given, all of them without an argument, and
// hands over every accepted file there once more, but for those that go First:
// these only if they changed, so that whoever handles configuration may ask for
// all that depends on it. It returns at once.
func (w *Watcher) Rescan(roots ...string) {
	if len(roots) == 0 {
		roots = w.o.Roots
	}
	w.notices.again(roots)
}

// Prove asks the loops of the watcher for an answer, and tells whether it came
// before ctx ended. While a walk through everything takes its time there is
// none. It must not be asked before Run.
func (w *Watcher) Prove(ctx context.Context) bool {
	answer := make(chan struct{})
	w.notices.note(func(h *heard) { h.asked = append(h.asked, answer) })
	select {
	case <-ctx.Done():
		return false
	case <-answer:
		return true
	}
}

// Status tells how things stand. It may be called at any time.
func (w *Watcher) Status() Status { return w.board.status() }

// rootOf is the root that path lies in, or empty.
func (w *Watcher) rootOf(path string) string {
	for _, r := range w.o.Roots {
		if inside(r, path) {
			return r
		}
	}
	return ""
}

// presence looks at one path for settle.
func (w *Watcher) presence(path string) (Stamp, presence) {
	root := w.rootOf(path)
	stamp, _, err := w.stat(root, path)
	for dir := filepath.Dir(path); err == nil && len(dir) > len(root); dir = filepath.Dir(dir) {
		_, err = w.folder(dir, false) // not through a link that has taken a folder's place
	}
	if err == nil {
		return stamp, here
	}
	_, missing := w.folder(root, true)
	if missing != nil || !notThere(err) || w.board.lost(path) {
		return Stamp{}, nowhere
	}
	return Stamp{}, gone
}

// board is the Status as the loops write it and anybody reads it.
type board struct {
	mu      sync.Mutex
	started bool
	now     Status
	waiting map[string]string
	holds   map[place]Condition
}

// place tells conditions apart.
type place struct {
	kind Kind
	path string
}

func (b *board) start() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.started {
		return false
	}
	b.started = true
	b.waiting = map[string]string{}
	b.holds = map[place]Condition{}
	return true
}

func (b *board) set(change func(*Status)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	change(&b.now)
}

// wait notes why a path is not at rest; an empty reason says that it is.
func (b *board) wait(path, why string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if why == "" {
		delete(b.waiting, path)
	} else {
		b.waiting[path] = why
	}
}

// begin and end note a condition and tell whether that is news; holding tells
// whether it is noted.
func (b *board) begin(c Condition) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	at := place{c.Kind, c.Path}
	_, was := b.holds[at]
	if !was {
		b.holds[at] = c
	}
	return !was
}

func (b *board) holding(at place) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	_, is := b.holds[at]
	return is
}

func (b *board) end(at place) (Condition, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	c, was := b.holds[at]
	delete(b.holds, at)
	return c, was
}

// below lists the conditions of dir and of what is below it.
func (b *board) below(dir string) []place {
	b.mu.Lock()
	defer b.mu.Unlock()
	var found []place
	for at := range b.holds {
		if at.path != "" && inside(dir, at.path) {
			found = append(found, at)
		}
	}
	slices.SortFunc(found, byPlace)
	return found
}

// lost tells whether path lies in a folder whose disk or root is missing.
func (b *board) lost(path string) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	for at := range b.holds {
		if (at.kind == RootMissing || at.kind == Unmounted) && inside(at.path, path) {
			return true
		}
	}
	return false
}

func byPlace(a, b place) int {
	if c := strings.Compare(string(a.kind), string(b.kind)); c != 0 {
		return c
	}
	return strings.Compare(a.path, b.path)
}

func (b *board) status() Status {
	b.mu.Lock()
	defer b.mu.Unlock()
	s := b.now
	for _, path := range slices.Sorted(maps.Keys(b.waiting)) {
		s.Waiting = append(s.Waiting, Waiting{path, b.waiting[path]})
	}
	for _, at := range slices.SortedFunc(maps.Keys(b.holds), byPlace) {
		s.Conditions = append(s.Conditions, b.holds[at])
	}
	return s
}
