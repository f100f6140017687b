package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"time"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/config"
	"gambeson/report"
	"gambeson/watcher"

	"github.com/rs/zerolog"
)

type watchCmd struct {
	Dirs []string `arg:"" name:"dir" help:"Suit folders, with all that is below them."`
	pace pace
}

// pace lets a test hurry; zero means the watcher's own.
type pace struct{ quiet, patience, rescan time.Duration }

func (c *watchCmd) Help() string {
	return `Stays until Ctrl-C or SIGTERM. Exit status: 0 stopped cleanly, 66 no such folder, 75 another daemon holds the folder.`
}

// Run watches until ctx ends.
func (c *watchCmd) Run(ctx context.Context, out *console) error {
	var roots []string
	for _, d := range c.Dirs {
		info, err := os.Stat(d)
		if err != nil || !info.IsDir() {
			return fail(exitNoInput, "no such folder: %s", d)
		}
		roots = append(roots, config.Root(d))
	}
	return attend(ctx, out, "watch", roots, c.pace, nil)
}

// attend is the daemon: it looks after the roots until ctx ends, and calls
// looked, where not nil, once after everything found at the start was looked
// into.
func attend(ctx context.Context, out *console, command string, roots []string, p pace, looked func()) error {
	d := &daemon{log: out.log, command: command, folders: map[string]*folder{}, seen: map[string]bool{}, out: out, looked: looked, started: time.Now()}
	defer d.release()
	for _, root := range roots {
		if _, err := d.folder(root); err != nil {
			return err
		}
	}
	w, err := watcher.New(watcher.Options{
		Roots: roots, Accept: accept, Descend: descend,
		First: func(path string) bool { return isConfig(filepath.Base(path)) },
		Look:  look, Quiet: p.quiet, Patience: p.patience, Rescan: p.rescan,
		Say: d.condition, Ready: d.ready,
	})
	if err != nil {
		return fail(exitUsage, "%w", err)
	}
	d.watcher = w
	d.log.Info().Str("event", "start").Strs("roots", roots).Msg("watching")
	writing, stop := context.WithCancel(ctx)
	var all sync.WaitGroup
	d.wake = make(chan struct{}, 1)
	all.Go(func() { d.keepSummed(writing) })
	err = w.Run(ctx, d.handle)
	stop()
	all.Wait()
	d.log.Info().Str("event", "stop").Msg("stopped")
	return err
}

// daemon is what attend knows while it runs. mu is held while a file is
// looked into, so that what is summed up in between is whole.
type daemon struct {
	log     zerolog.Logger
	out     *console
	command string
	watcher *watcher.Watcher
	started time.Time
	wake    chan struct{} // something is to be summed up

	mu      sync.Mutex
	folders map[string]*folder
	holds   []*hold
	first   int             // files that the first walk found; 0 once they were all looked into
	walked  bool            // the first walk has ended
	seen    map[string]bool // paths handed over until then: one may come twice
	looked  func()          // called once when all of first were seen
	bar     progress
}

// folder returns the suit folder at root, taking it into our hands at the
// first call.
func (d *daemon) folder(root string) (*folder, error) {
	if f := d.folders[root]; f != nil {
		return f, nil
	}
	lock, by, err := take(root, d.command)
	switch {
	case errors.Is(err, errHeld):
		return nil, fail(exitHeld, "%s is in the hands of %s", root, by)
	case err != nil:
		return nil, fail(exitCannot, "%w", err)
	}
	d.holds = append(d.holds, lock)
	if err := report.Sweep(root); err != nil {
		d.log.Warn().Str("event", "sweep_failed").Str("root", root).Err(err).Msg("cannot remove files left half-written")
	}
	f := newFolder(root, sparing(), d.log)
	d.folders[root] = f
	return f, nil
}

// sparing is the number of processors an examination may use while watching:
// one is left to whoever waits for events, and to the person.
func sparing() int { return max(1, runtime.GOMAXPROCS(0)-1) }

func (d *daemon) release() {
	for _, h := range d.holds {
		h.release()
	}
}

// look asks the structure of a file whether it is all there.
func look(path string) (watcher.Look, string) {
	if isConfig(filepath.Base(path)) {
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

// handle looks into one file that came to rest. What fails for reasons that
// may pass is tried again.
func (d *daemon) handle(ctx context.Context, e watcher.Event) (again time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	f, err := d.folder(config.RootWithin(e.Path, e.Root))
	if err != nil {
		d.log.Error().Str("event", "folder_held").Str("file", e.Path).Err(err).Msg("cannot look after a folder")
		return time.Minute
	}
	relative, err := filepath.Rel(f.root, e.Path)
	if err != nil {
		return 0
	}
	part := filepath.ToSlash(relative)
	defer d.sumUp()
	switch {
	case isConfig(filepath.Base(e.Path)):
		d.reload(f, e.Root)
	case e.Gone:
		f.forget(part)
		d.log.Info().Str("event", "gone").Str("file", part).Msg("a part is gone")
		again = d.lookInto(ctx, f, part, f.lookAtMates)
	default:
		f.handling = part
		d.writeState(f)
		again = d.lookInto(ctx, f, part, f.look)
		f.handling = ""
	}
	d.count(ctx, e.Path)
	return again
}

// reload reads the TOML files of a folder again and has every part of it
// looked into once more: those whose question did not change are kept.
func (d *daemon) reload(f *folder, root string) {
	f.reload()
	if d.seen == nil { // at the start every part is still to come
		d.watcher.Rescan(root)
	}
}

func (d *daemon) lookInto(ctx context.Context, f *folder, part string, look func(context.Context, string) ([]outcome, error)) (again time.Duration) {
	began := time.Now()
	done, err := look(ctx, part)
	switch {
	case err != nil && ctx.Err() != nil:
		return 0
	case errors.Is(err, mesh.ErrChanging):
		return 2 * time.Second // the watcher's own quiet time
	case err != nil:
		d.log.Error().Str("event", "write_failed").Str("file", part).Err(err).Msg("cannot write a report; it is tried again")
		return time.Minute
	}
	for _, o := range done {
		d.say(o, time.Since(began))
	}
	return 0
}

// personal are the codes of warnings whose text tells a body measurement:
// these stay out of the log.
var personal = map[string]bool{"too-tight": true, "too-loose": true, "does-not-enter": true, "wearer-unusable": true}

// say logs what came of a part, if anything did.
func (d *daemon) say(o outcome, took time.Duration) {
	name := o.row.Place.Name()
	switch {
	case o.kept:
		d.log.Debug().Str("event", "kept").Str("file", name).Msg("the report at hand still holds")
		return
	case o.row.Refusal != nil:
		r := o.row.Refusal
		d.log.Warn().Str("event", "unreadable").Str("file", name).Str("where", r.Where).Str("reason", r.Cause).Str("remedy", r.Remedy).Msg("a part cannot be read")
		return
	}
	f := o.row.Findings
	d.log.Info().Str("event", "reported").Str("file", name).Str("says", headline(f)).Int64("dur_ms", took.Milliseconds()).Msg("report written")
	for _, w := range f.Warnings {
		if w.Level != analysis.LevelWarning {
			continue
		}
		text := w.Text
		if personal[w.Code] {
			text = "see the report"
		}
		d.log.Warn().Str("event", "warning").Str("file", name).Str("code", w.Code).Str("text", text).Msg("a part has a warning")
	}
	if f.Mesh.Triangles > 500_000 { // a guess: below this the heap is small enough to keep
		debug.FreeOSMemory()
	}
}

// condition logs what keeps the watcher from its best.
func (d *daemon) condition(c watcher.Condition) {
	if !c.Begins {
		d.log.Info().Str("event", "condition_ended").Str("kind", string(c.Kind)).Str("file", c.Path).Msg("watching is as it should be again")
		return
	}
	d.log.Warn().Str("event", "condition").Str("kind", string(c.Kind)).Str("file", c.Path).Str("text", c.Text).Str("cure", c.Cure).AnErr("err", c.Err).Msg("watching is not at its best")
}

// ready is told how many files the first walk found.
func (d *daemon) ready(files int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.first = files
	d.bar = newProgress(d.out, files)
	d.log.Info().Str("event", "ready").Int("files", files).Msg("the folders are watched")
	for _, f := range d.folders {
		f.findGone()
	}
	d.walked = true
	d.lookedAtAllOnce()
	d.sumUp()
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
		f.sumOrLog()
	}
	if d.looked != nil {
		d.looked()
		d.looked = nil
	}
}

// sumUp asks for SUIT.md to be written again.
func (d *daemon) sumUp() {
	select {
	case d.wake <- struct{}{}:
	default:
	}
}

// keepSummed writes SUIT.md of every folder, and the daemon's state, when
// something came of a part; in a burst at most so often that it takes a
// twentieth of the time.
func (d *daemon) keepSummed(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			d.sumAll()
			return
		case <-d.wake:
		}
		took := d.sumAll()
		select {
		case <-ctx.Done():
		case <-time.After(20 * took):
		}
	}
}

func (d *daemon) sumAll() time.Duration {
	d.mu.Lock()
	defer d.mu.Unlock()
	began := time.Now()
	for _, f := range d.folders {
		f.sumOrLog()
		d.writeState(f)
	}
	return time.Since(began)
}

func (f *folder) sumOrLog() {
	if err := f.sum(); err != nil {
		f.log.Error().Str("event", "write_failed").Str("file", "SUIT.md").Err(err).Msg("cannot write the summary; it is tried again")
	}
}

// findGone marks the reports whose part went while nobody watched.
func (f *folder) findGone() {
	for _, p := range report.Reports(f.root) {
		if _, err := os.Stat(filepath.Join(f.root, filepath.FromSlash(p.Part))); errors.Is(err, os.ErrNotExist) {
			f.markGone(p)
		}
	}
}
