package main

import (
	"cmp"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"gambeson/analysis/mesh"
	"gambeson/cmd/gambeson/machine"
	"gambeson/cmd/gambeson/store"
	"gambeson/config"
	"gambeson/report/disk"
	"gambeson/report/suit"
	"gambeson/watcher"

	"github.com/rs/zerolog"
)

type watchCmd struct {
	Dirs []string `arg:"" name:"dir" help:"Suit folders, with all that is below them."`
	Wait bool     `help:"Wait for folders that are not there yet, and do not end for that."`
	pace pace
}

// pace lets a test hurry; zero means the watcher's own, and for again writeAgain.
type pace struct{ quiet, patience, rescan, again time.Duration }

func (c *watchCmd) Help() string {
	return `Stays until Ctrl-C or SIGTERM; a second one ends it at once. Of several folders, one that is missing, held or broken does not keep the others from being watched. SIGHUP looks through everything again, SIGUSR1 logs more, or less again. Exit status: 0 stopped cleanly, 66 none of the folders is there, 75 another daemon holds all of them, 130 or 143 ended by a second signal.`
}

// Run watches until ctx ends.
func (c *watchCmd) Run(ctx context.Context, out *console) error {
	var roots, missing []string
	for _, d := range c.Dirs {
		root, err := filepath.Abs(d)
		if err != nil {
			return err
		}
		if info, err := os.Stat(d); err == nil && info.IsDir() {
			root = config.Root(d)
		} else {
			missing = append(missing, d)
		}
		roots = append(roots, root)
	}
	if len(missing) == len(roots) && !c.Wait {
		return fail(exitNoInput, "no such folder: %s", strings.Join(missing, ", "))
	}
	return attend(ctx, out, "watch", outermost(roots, out.log), c.pace, nil)
}

// outermost leaves out folders that are watched with another one.
func outermost(roots []string, log zerolog.Logger) []string {
	var kept []string
	for i, root := range roots {
		inner := slices.ContainsFunc(roots, func(other string) bool {
			return store.RealPath(other) != store.RealPath(root) && store.LiesIn(store.RealPath(other), store.RealPath(root))
		})
		double := slices.ContainsFunc(roots[:i], func(other string) bool { return store.RealPath(other) == store.RealPath(root) })
		if inner || double {
			log.Info().Str("event", "watched_already").Str("root", root).Msg("a folder is watched with another one that was named")
			continue
		}
		kept = append(kept, root)
	}
	return kept
}

// attend is the daemon: it looks after the roots until ctx ends, and calls
// looked, where not nil, once after everything found at the start was looked
// into.
func attend(ctx context.Context, out *console, command string, roots []string, p pace, looked func()) error {
	d := newDaemon(out, command, looked)
	d.again = cmp.Or(p.again, writeAgain)
	defer d.release()
	d.room = machine.NewRoom(machine.Memory(), machine.LargePart)
	if p == (pace{}) { // a test that hurries does not
		machine.GiveWay()
	}
	if err := d.takeAll(roots); err != nil {
		return err
	}
	w, err := watcher.New(watcher.Options{
		Roots: roots, Accept: accept, Descend: descend,
		First: func(path string) bool { return isConfig(filepath.Base(path)) },
		Ahead: func(string) { d.peekSoon() },
		Known: d.known.holds,
		Look:  look, Quiet: p.quiet, Patience: p.patience, Rescan: p.rescan,
		Say: d.condition, Ready: d.ready,
	})
	if err != nil {
		return fail(exitUsage, "%w", err)
	}
	d.watcher = w
	d.log.Info().Str("event", "start").Strs("roots", roots).Msg("watching")
	err = d.run(ctx)
	d.log.Info().Str("event", "stop").Msg("stopped")
	return err
}

// run watches, and does all that goes on beside, until ctx ends.
func (d *daemon) run(ctx context.Context) error {
	beside, stop := context.WithCancel(ctx)
	var all sync.WaitGroup
	all.Go(func() { d.keepSummed(beside) })
	all.Go(func() { d.afterWalk(beside) })
	all.Go(func() { d.heedWishes(beside) })
	all.Go(func() { d.service.keepAlive(beside, d.sound) })
	if d.bubbles != nil {
		all.Go(func() { d.bubbles.run(beside) })
	}
	err := d.watcher.Run(ctx, d.handle)
	stop()
	all.Wait()
	return err
}

// daemon is what attend knows while it runs. mu is held while a file is
// looked into, so that what is summed up in between is whole.
type daemon struct {
	log      zerolog.Logger
	out      *console
	command  string
	watcher  *watcher.Watcher
	service  service
	bubbles  *bubbles // nil where nothing is to be shown
	started  time.Time
	wake     chan struct{} // something is to be summed up
	edited   chan struct{} // a TOML file has changed while a part is at work
	found    chan int      // how many files the first walk found to be looked into
	settled  chan struct{} // closed when what follows the first walk is done
	patience sync.Once     // of the first file with the first walk
	known    known         // files that the last daemon looked into
	due      deadline      // of the present work
	room     *machine.Room // that it may take
	again    time.Duration // between two tries to write
	watched  raised        // what keeps the watcher from its best
	counted  int           // how many files were queued when those to come were last counted
	recount  time.Time     // when they may be counted again

	mu       sync.Mutex
	folders  map[string]*folder
	held     raised // folders that others hold
	holds    []*store.Hold
	words    string // where last words go, "" as long as no folder is held
	endWords func()
	first    int             // files that the first walk found; 0 once they were all looked into
	walked   bool            // the first walk has ended
	seen     map[string]bool // paths handed over until then: one may come twice
	looked   func()          // called once when all of first were seen
	bar      progress
}

func newDaemon(out *console, command string, looked func()) *daemon {
	d := &daemon{log: out.log, out: out, command: command, looked: looked, started: time.Now(), wake: make(chan struct{}, 1), edited: make(chan struct{}, 1), found: make(chan int, 1), settled: make(chan struct{}),
		folders: map[string]*folder{}, seen: map[string]bool{}, endWords: func() {}}
	d.service.log = out.log
	if command == "watch" {
		d.bubbles = newBubbles(out.log)
	}
	return d
}

// takeAll takes the folders at roots into our hands, as far as they are there
// and free. It fails where none can be had.
func (d *daemon) takeAll(roots []string) error {
	var first error
	failed := 0
	for _, root := range roots {
		for _, c := range d.recall(root).Watched {
			d.watched.begin(c)
		}
		if info, err := os.Stat(root); err != nil || !info.IsDir() {
			continue // the watcher says so, and waits for it
		}
		if _, err := d.folder(root); err != nil {
			first = cmp.Or(first, err)
			failed++
			if len(roots) > 1 {
				d.sayHeld(root, err)
			}
		}
	}
	if failed == len(roots) {
		return first
	}
	return nil
}

// sayHeld says once that a folder is not to be had.
func (d *daemon) sayHeld(root string, err error) {
	if d.held.begin(concern{About: root, What: "held", Text: err.Error()}) {
		d.log.Error().Str("event", "folder_held").Str("root", root).Err(err).Msg("a folder cannot be looked after now; it is tried again")
	}
}

// recall returns what the last daemon on a folder let others know, nothing
// where that cannot be read.
func (d *daemon) recall(root string) state {
	s, err := readState(root)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		d.log.Debug().Str("event", "state_lost").Str("root", root).Err(err).Msg("the state file cannot be read; it is made anew")
		return state{}
	}
	return s
}

// folder returns the suit folder at root, taking it into our hands at the
// first call.
func (d *daemon) folder(root string) (*folder, error) {
	if f := d.folders[root]; f != nil {
		return f, nil
	}
	lock, by, err := store.Take(root, d.command)
	switch {
	case errors.Is(err, store.ErrHeld):
		return nil, fail(exitHeld, "%s is in the hands of %s", by.Of(root), by)
	case err != nil:
		return nil, fail(exitCannot, "%w", err)
	}
	d.holds = append(d.holds, lock)
	sweepOwn(root)
	if d.words == "" {
		d.keepWords(root)
	}
	before := d.recall(root)
	f := newFolder(root, sparing(), d.log)
	f.daemon, f.room = true, d.room
	f.meanwhile = meanwhile{d.edited, d.peek, d.sayToCome}
	f.recallGood()
	for _, c := range before.Concerns {
		f.raised.begin(c)
	}
	if s, ok := readSnapshot(root); ok && before.PID != 0 {
		f.restore(s, before.Warnings)
		d.known.add(f, s)
	}
	f.openLedger(before.Ends, d.words, &d.due)
	d.folders[root] = f
	d.sayConfig(f)
	d.writeState(f)
	if d.walked {
		d.settleIn(f)
	}
	return f, nil
}

// sweepOwn removes what a run that was killed left half-written of what is kept of
// a folder in our hands.
func sweepOwn(root string) {
	patterns := []string{filepath.Join(filepath.Dir(keptPath(disk.Place{Root: root})), store.Leftover(""))}
	if dir, err := store.Dir(); err == nil { // others keep their state there, too
		patterns = append(patterns, filepath.Join(dir, store.Leftover(store.Key(root))))
	}
	for _, pattern := range patterns {
		left, err := filepath.Glob(pattern)
		for _, path := range left {
			if err == nil {
				os.Remove(path)
			}
		}
	}
}

// keepWords has the last words kept beside the state of a folder in our hands.
func (d *daemon) keepWords(root string) {
	path, end, err := keepLastWords(root)
	if err != nil {
		d.log.Debug().Str("event", "no_last_words").Err(err).Msg("a crash would leave no words")
		return
	}
	d.words, d.endWords = path, end
}

// sparing is the number of processors an examination may use while watching:
// one is left to whoever waits for events, and to the person.
func sparing() int { return max(1, runtime.GOMAXPROCS(0)-1) }

func (d *daemon) release() {
	d.endWords()
	for _, h := range d.holds {
		h.Release()
	}
}

// look asks the structure of a file whether it is all there.
func look(path string) (watcher.Look, string) {
	if name := filepath.Base(path); isConfig(name) || unread(name) {
		return watcher.Whole, ""
	}
	if why, cut := mesh.Unfinished(path); cut {
		return watcher.Cut, why
	}
	if mesh.Complete(path) {
		return watcher.Whole, ""
	}
	return watcher.Unsure, ""
}

// walkPatience is how long the first file waits for the first walk: 20,000 files take
// 0.12 s, and one part may take much longer, during which SUIT.md would say what was
// so before.
const walkPatience = 2 * time.Second

// awaitWalk has the first mesh file wait for what follows the first walk. Those after it
// wait no more, and what no part is looked into for never does.
func (d *daemon) awaitWalk(ctx context.Context, e watcher.Event) {
	if name := filepath.Base(e.Path); isConfig(name) || unread(name) {
		return
	}
	d.patience.Do(func() {
		select {
		case <-ctx.Done():
		case <-d.settled:
		case <-time.After(walkPatience):
		}
	})
}

// heldAgain is the time between two tries to take a folder that another holds.
const heldAgain = 10 * time.Second

// handle looks into one file that came to rest. What fails for reasons that
// may pass is tried again.
func (d *daemon) handle(ctx context.Context, e watcher.Event) (again time.Duration) {
	d.awaitWalk(ctx, e)
	d.mu.Lock()
	defer d.mu.Unlock()
	root := config.RootWithin(e.Path, e.Root)
	f, err := d.folder(root)
	if err != nil {
		d.sayHeld(root, err)
		return heldAgain
	}
	if d.held.end(root, "held") {
		d.log.Info().Str("event", "folder_free").Str("root", root).Msg("a folder is looked after again")
	}
	relative, err := filepath.Rel(f.root, e.Path)
	if err != nil {
		return 0
	}
	part := filepath.ToSlash(relative)
	defer d.sumUp()
	switch {
	case isConfig(filepath.Base(e.Path)):
		d.reload(ctx, f, e.Root)
	case unread(filepath.Base(e.Path)): // SUIT.md names it
	case e.Gone:
		f.forget(part)
		d.log.Info().Str("event", "gone").Str("file", part).Msg("a part is gone")
		again = d.lookInto(ctx, f, part, f.lookAtMates)
	default:
		again = d.lookInto(ctx, f, part, f.look)
	}
	d.count(ctx, e.Path)
	return again
}

// lookInto looks into a part and says what came of it.
func (d *daemon) lookInto(ctx context.Context, f *folder, part string, look func(context.Context, string) ([]outcome, error)) (again time.Duration) {
	if f.blocked(part) {
		return d.again
	}
	if f.suspect(part) && d.seen != nil && !d.seen[filepath.Join(f.root, filepath.FromSlash(part))] {
		return suspectAgain
	}
	began := time.Now()
	done, err := look(ctx, part)
	switch {
	case err != nil && ctx.Err() != nil:
		return 0
	case errors.Is(err, mesh.ErrChanging):
		return 2 * time.Second // the watcher's own quiet time
	case err != nil:
		d.log.Error().Str("event", "part_failed").Str("file", part).Err(err).Msg("cannot look into a part; it is tried again")
		return time.Minute
	}
	var bad []suit.Row
	for _, o := range done {
		f.forgive(o.row.Place.Part)
		if d.say(f, o, time.Since(began)) {
			bad = append(bad, o.row)
		}
	}
	d.sayUnreadable(bad)
	return d.noteWritten(f, done)
}

// ready is told how many files the first walk found. It waits for nothing: a
// part may have been handed over before, and may take its time.
func (d *daemon) ready(files int) {
	d.log.Info().Str("event", "ready").Int("files", files).Msg("the folders are watched")
	d.service.ready()
	d.found <- files
}

// afterWalk does what follows the first walk, as soon as no part is being looked
// into.
func (d *daemon) afterWalk(ctx context.Context) {
	select {
	case <-ctx.Done():
		return
	case files := <-d.found:
		d.mu.Lock()
		defer d.mu.Unlock()
		defer close(d.settled)
		d.first = files
		d.bar = newProgress(d.out, files)
	}
	for _, f := range d.folders {
		d.settleIn(f)
	}
	d.walked = true
	d.reconcile()
	for _, f := range d.folders {
		if len(f.pieces.stale) > 0 {
			d.lookInto(ctx, f, "", f.lookAtMates)
		}
	}
	d.lookedAtAllOnce()
	d.sumUp()
}

// settleIn clears away what an earlier run left half-written in a folder, and
// finds what went since.
func (d *daemon) settleIn(f *folder) {
	if err := disk.Sweep(f.root); err != nil {
		d.log.Debug().Str("event", "sweep_failed").Str("root", f.root).Err(err).Msg("cannot remove files left half-written")
	}
	f.findGone(d.known.take(f.root))
}

// count takes note of a path of the first walk that was looked into.
func (d *daemon) count(ctx context.Context, path string) {
	if d.seen == nil || ctx.Err() != nil {
		return
	}
	if !d.seen[path] {
		d.seen[path] = true
		d.bar.step()
	}
	d.lookedAtAllOnce()
}

// lookedAtAllOnce ends the first look when every file that the first walk
// found was seen. Files may be handed over before that walk has ended.
func (d *daemon) lookedAtAllOnce() {
	if d.walked && d.seen != nil && len(d.seen) >= d.first {
		d.first, d.seen = 0, nil
		d.lookedAtAll()
	}
}

func (d *daemon) lookedAtAll() {
	d.bar.done()
	for _, f := range d.folders {
		d.sumOrSay(f)
	}
	if d.looked != nil {
		d.looked()
		d.looked = nil
	}
}
