package watcher

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"
)

// identity tells folders apart, whatever their names. The zero identity is
// that of a system which cannot.
type identity struct{ device, inode uint64 }

// folder is what is known of one folder.
type folder struct {
	id      identity
	device  uint64 // on which its content was seen
	watched bool   // the notifier reports on it under its present path
	silent  bool   // its file system announces nothing
	polled  cause  // why its changes may not be announced, or none
	files   map[string]Stamp
	folders map[string]*folder
}

// cause is a reason to poll a folder.
type cause int

const (
	none    cause = iota
	asked         // there is no notifier, or Options.Poll
	limited       // the system grants no more watches
	silent        // its file system announces nothing
	refused       // it cannot be watched for another reason
	causes
)

// root is one of the folders asked for.
type root struct {
	path    string
	top     *folder
	missing bool // not there, or its disk is not
}

// tree is the snapshot of all roots, and the loop that keeps it true. Nothing
// else touches it.
type tree struct {
	*Watcher
	notifier notifier
	roots    []*root
	ids      map[identity]string // path under which the notifier knows a folder
	links    map[string]bool     // accepted names of symbolic links, dangling ones too
	count    [causes]int         // folders by cause
	files    int
	full     bool // in this pass the system granted no more watches

	touched []touch         // to be sent to settle
	asked   []chan struct{} // to be closed when settle has answered
	first   bool            // the first walk is not over
	force   bool            // hand over what has not changed, too

	due, ended time.Time     // next walk, end of the last one
	took       time.Duration // of the last walk
	before     time.Duration // of the one before
}

func newTree(w *Watcher) *tree {
	t := &tree{Watcher: w, ids: map[identity]string{}, links: map[string]bool{}, first: true}
	for _, path := range w.o.Roots {
		t.roots = append(t.roots, &root{path: path, top: t.newFolder()})
	}
	return t
}

func (t *tree) newFolder() *folder {
	t.count[none]++
	return &folder{files: map[string]Stamp{}, folders: map[string]*folder{}}
}

// run keeps the tree true until ctx ends. A notifier that cannot be had, or
// breaks, is tried again after a while; until then everything is polled.
func (t *tree) run(ctx context.Context, touches chan<- []touch) {
	for ctx.Err() == nil {
		if !t.o.Poll {
			t.listen()
		}
		t.session(ctx, touches)
	}
}

// session is the life of one notifier, or of the wait for one.
func (t *tree) session(ctx context.Context, touches chan<- []touch) {
	var reader sync.WaitGroup
	deaf := make(chan struct{})
	if n := t.notifier; n.events != nil {
		reader.Go(func() { t.notices.drain(n); close(deaf) })
		defer reader.Wait()
		defer n.close()
		defer t.unwatchAll()
	}
	var retry <-chan time.Time
	if t.notifier.events == nil && !t.o.Poll {
		retry = time.After(t.rescan)
	}
	t.due = time.Now()
	for {
		alarm := time.NewTimer(time.Until(t.nextLook()))
		select {
		case <-ctx.Done():
		case <-retry:
			alarm.Stop()
			return
		case <-deaf:
			deaf, retry = nil, time.After(t.rescan)
			t.unwatchAll()
			t.noNotifier(errors.New("the event queue was closed"))
		case <-t.notices.wake:
			heard := t.notices.take()
			t.look(ctx, heard)
			t.asked = heard.asked
		case <-alarm.C:
			t.walkDue(ctx, touches)
		}
		alarm.Stop()
		t.send(ctx, touches)
		if ctx.Err() != nil {
			return
		}
	}
}

// send gives settle what has been found.
func (t *tree) send(ctx context.Context, touches chan<- []touch) {
	if len(t.touched)+len(t.asked) == 0 {
		return
	}
	select {
	case <-ctx.Done():
	case touches <- t.touched:
		for _, answer := range t.asked {
			close(answer)
		}
	}
	t.touched, t.asked = nil, nil
}

// nextLook is when to walk if nothing is heard.
func (t *tree) nextLook() time.Time {
	if slices.ContainsFunc(t.roots, func(r *root) bool { return r.missing }) {
		if soon := t.ended.Add(t.missing); soon.Before(t.due) {
			return soon
		}
	}
	return t.due
}

// walkDue walks through everything if that is due, else through the roots that
// were missing.
func (t *tree) walkDue(ctx context.Context, touches chan<- []touch) {
	start := time.Now()
	all := !start.Before(t.due)
	t.full = false
	sent := 0
	for _, r := range t.roots {
		if all || r.missing {
			t.walkRoot(ctx, r)
			t.followLinks(ctx)
			for _, c := range t.touched {
				if !c.known {
					sent++
				}
			}
			t.send(ctx, touches)
		}
	}
	t.ended = time.Now()
	if !all {
		t.conclude()
		return
	}
	t.took, t.before = t.ended.Sub(start), t.took
	t.due = t.ended.Add(t.pause())
	t.board.set(func(b *Status) { b.LastScan, b.ScanTook = t.ended, t.took })
	t.conclude()
	t.concludeAll()
	if t.first && ctx.Err() == nil {
		t.first = false
		t.o.Ready(sent)
	}
}

// pause is the time from the end of one walk to the next. Of the last two
// walks the shorter counts: the first has a cold cache, and any may be held up.
func (t *tree) pause() time.Duration {
	took := t.took
	if t.before > 0 {
		took = min(took, t.before)
	}
	if t.isPolling() {
		return max(t.poll, time.Duration(t.pollShare)*took)
	}
	return max(t.rescan, time.Duration(t.walkShare)*took)
}

func (t *tree) isPolling() bool {
	for _, n := range t.count[none+1:] {
		if n > 0 {
			return true
		}
	}
	return false
}

// look goes after what has been heard.
func (t *tree) look(ctx context.Context, h heard) {
	t.full = false
	for _, path := range slices.Sorted(maps.Keys(h.paths)) {
		t.refresh(ctx, path, h.paths[path])
	}
	if h.overflow {
		t.board.set(func(b *Status) { b.Overflows++ })
		t.begin(Condition{Kind: Overflow, Text: "more happened at once than the system can remember; everything is looked through again", Err: fsnotify.ErrEventOverflow})
	}
	if h.doubt { // at most one tenth of the time is spent on doubts
		t.due = earlier(t.due, t.ended.Add(10*t.took))
	}
	for _, path := range h.again {
		t.walkAgain(ctx, path)
	}
	t.followLinks(ctx)
	if len(h.paths) > 0 {
		t.board.set(func(b *Status) { b.LastEvent = time.Now() })
	}
	t.conclude()
}

// followLinks looks where the symbolic links lead if anything has changed: it
// may have been that.
func (t *tree) followLinks(ctx context.Context) {
	if len(t.touched) == 0 {
		return
	}
	for _, path := range slices.Sorted(maps.Keys(t.links)) {
		t.refresh(ctx, path, fsnotify.Write)
	}
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

// walkAgain hands over everything below a root once more.
func (t *tree) walkAgain(ctx context.Context, path string) {
	for _, r := range t.roots {
		if r.path == filepath.Clean(path) {
			t.force = true
			t.walkRoot(ctx, r)
			t.force = false
		}
	}
}

// conclude ends a pass: it counts, and says when watches ran out.
func (t *tree) conclude() {
	all := t.folders()
	polled := all - t.count[none]
	t.board.set(func(b *Status) { b.Files, b.Folders, b.Polled = t.files, all, polled })
	if t.isPolling() {
		t.due = earlier(t.due, t.ended.Add(t.pause()))
	}
	if n := t.count[limited]; n > 0 && !t.board.holding(place{WatchLimit, ""}) {
		t.begin(Condition{Kind: WatchLimit, Text: fmt.Sprintf("the system grants no more watches; %d of %d folders are polled", n, all), Cure: limitCure(all)})
	}
}

// folders counts those that are known.
func (t *tree) folders() (all int) {
	for _, n := range t.count {
		all += n
	}
	return all
}

// concludeAll ends a walk through everything: what was said of the whole and
// holds no longer.
func (t *tree) concludeAll() {
	if t.count[limited] == 0 && t.notifier.events != nil {
		t.end(WatchLimit, "")
	}
	if !t.notices.overflowed() {
		t.end(Overflow, "")
	}
}

// begin says a condition unless it holds already.
func (t *tree) begin(c Condition) {
	c.Begins = true
	if t.board.begin(c) {
		t.o.Say(c)
	}
}

// end says that a condition has ended, if it held.
func (t *tree) end(kind Kind, path string) {
	if c, held := t.board.end(place{kind, path}); held {
		c.Begins = false
		t.o.Say(c)
	}
}

// refresh looks at one path of which something was heard. What is neither a
// file of ours nor a folder, such as our own output, costs no system call
// unless it is new.
func (t *tree) refresh(ctx context.Context, path string, op fsnotify.Op) {
	r := t.rootAt(path)
	if r == nil {
		return
	}
	if path == r.path {
		if op.Has(fsnotify.Remove) || op.Has(fsnotify.Rename) {
			t.drop(path, r.top)
		}
		t.walkRoot(ctx, r)
		return
	}
	dir, name := filepath.Split(path)
	parent := t.find(r, filepath.Clean(dir))
	if parent == nil { // not entered, or the old path of a folder that has moved
		delete(t.links, path)
		return
	}
	if parent.folders[name] != nil || op.Has(fsnotify.Create) {
		t.refreshFolder(ctx, parent, path, op)
	}
	if _, known := parent.files[name]; known || t.ours(path) {
		t.check(parent, path)
	}
}

// refreshFolder looks at a path that is or was a folder, or may be one.
func (t *tree) refreshFolder(ctx context.Context, parent *folder, path string, op fsnotify.Op) {
	sub, known := parent.folders[filepath.Base(path)]
	id, err := t.folder(path, false)
	switch {
	case notThere(err):
		if !t.uncovered(parent, path) {
			t.vanish(path, parent)
		}
		return
	case err != nil && !listedAsFolder(path):
		return
	case known && (op.Has(fsnotify.Remove) || op.Has(fsnotify.Rename)):
		// It is here, but perhaps no longer the one that was: the watches below
		// would report under wrong paths, or not at all (fsnotify#694).
		t.drop(path, sub)
	case known && sub.watched && sub.id == id && !op.Has(fsnotify.Chmod):
		return // the walk was faster than the event
	}
	t.descend(ctx, path, parent)
}

// rootAt is the root that path lies in, or nil.
func (t *tree) rootAt(path string) *root {
	for _, r := range t.roots {
		if inside(r.path, path) {
			return r
		}
	}
	return nil
}

// find is the folder at a path in r, or nil.
func (t *tree) find(r *root, path string) *folder {
	f := r.top
	rest := strings.Trim(path[len(r.path):], string(filepath.Separator))
	for name := range strings.SplitSeq(rest, string(filepath.Separator)) {
		if name == "" {
			continue
		}
		if f = f.folders[name]; f == nil {
			return nil
		}
	}
	return f
}

// enters tells whether a folder may be entered.
func (t *tree) enters(path string) bool {
	return !strings.HasSuffix(path, ".download") && t.o.Descend(path)
}

// ours tells whether a file is one to report.
func (t *tree) ours(path string) bool {
	return !temporary(filepath.Base(path)) && t.o.Accept(path)
}

// temporary tells names that browsers, editors and copying programs give to
// files which they are about to rename or delete. Common practice, no source.
func temporary(name string) bool {
	for _, end := range []string{".part", ".crdownload", ".download", ".tmp", ".partial", "~", ".swp", "#"} {
		if strings.HasSuffix(name, end) {
			return true
		}
	}
	for _, start := range []string{"._", ".#", ".~", "~$", "#"} { // "._": what macOS puts beside a file on a foreign disk
		if strings.HasPrefix(name, start) {
			return true
		}
	}
	return false
}

// walkRoot walks through a root, if it is there.
func (t *tree) walkRoot(ctx context.Context, r *root) {
	_, err := t.folder(r.path, true)
	if err == nil {
		t.end(RootMissing, r.path)
		state := t.walk(ctx, r.path, r.top, nil)
		r.missing = state == vanished || state == unmounted
		return
	}
	r.missing = true
	t.drop(r.path, r.top)
	t.begin(Condition{Kind: RootMissing, Path: r.path, Text: "the folder is not there; nothing in it counts as gone", Cure: "bring it back, or stop watching it", Err: err})
}

// walked is how a walk came out.
type walked int

const (
	compared  walked = iota
	vanished         // the folder is not there
	unmounted        // it is empty since its device changed
	held             // it cannot be listed now; what is known of it stays
)

// walk watches a folder, then lists it, so that what comes after the listing
// is an event, and compares the list with what is known. parent is nil for a
// root.
func (t *tree) walk(ctx context.Context, path string, f, parent *folder) walked {
	if ctx.Err() != nil {
		return held
	}
	entries, err := t.listWatched(path, f, parent)
	switch {
	case notThere(err):
		return vanished
	case err != nil:
		t.unreadable(path, err)
		return held
	}
	t.end(Unreadable, path)
	if len(entries) == 0 && len(f.files)+len(f.folders) > 0 && f.device != f.id.device {
		t.begin(Condition{Kind: Unmounted, Path: path, Text: "the folder is empty since another disk, or none, is mounted there; nothing in it counts as gone", Cure: "bring the disk back, or put a file there"})
		return unmounted
	}
	t.end(Unmounted, path)
	f.device = f.id.device
	t.compare(ctx, path, f, entries)
	return compared
}

// listWatched watches a folder and lists it. A disk that is mounted or taken away
// between the two leaves an empty folder that is not the one watched: then it is
// done again with the one that is there now.
func (t *tree) listWatched(path string, f, parent *folder) (entries []fs.DirEntry, err error) {
	for range 3 {
		if err = t.watch(path, f, parent); err != nil {
			return nil, err
		}
		if entries, err = list(path); err != nil || len(entries) > 0 {
			return entries, err
		}
		if id, err := t.folder(path, parent == nil); err != nil || id == f.id {
			return nil, err
		}
	}
	return entries, err
}

// list lists a folder, if what is in it can also be looked at.
func list(path string) ([]fs.DirEntry, error) {
	entries, err := os.ReadDir(path)
	if err != nil || len(entries) == 0 {
		return nil, err
	}
	if _, err := os.Lstat(filepath.Join(path, entries[0].Name())); errors.Is(err, fs.ErrPermission) {
		return nil, err
	}
	return entries, nil
}

// listedAsFolder tells what the list of its parent says of a path that cannot
// be looked at itself.
func listedAsFolder(path string) bool {
	entries, _ := os.ReadDir(filepath.Dir(path))
	e := entry(entries, filepath.Base(path))
	return e != nil && e.IsDir()
}

func (t *tree) unreadable(path string, err error) {
	t.begin(Condition{Kind: Unreadable, Path: path, Text: "it cannot be looked at; what is known of it stays", Cure: "allow reading and entering it, or shorten its path", Err: err})
}

// compare finds the differences between a folder and its list, which is
// sorted. What is no longer there comes first, so that a folder that was
// renamed within it is free to be watched under its new name.
func (t *tree) compare(ctx context.Context, path string, f *folder, entries []fs.DirEntry) {
	for _, name := range slices.Sorted(maps.Keys(f.folders)) {
		if e := entry(entries, name); e == nil || !e.IsDir() {
			t.vanish(filepath.Join(path, name), f)
		}
	}
	for name := range f.files {
		// Also where a stat still finds it: under a name in other case.
		if e := entry(entries, name); e == nil || e.IsDir() {
			t.absent(f, filepath.Join(path, name))
		}
	}
	for _, e := range entries {
		at := filepath.Join(path, e.Name())
		if e.IsDir() {
			t.descend(ctx, at, f)
		} else if _, known := f.files[e.Name()]; known || t.ours(at) {
			t.check(f, at)
		}
	}
}

func entry(entries []fs.DirEntry, name string) fs.DirEntry {
	i, ok := slices.BinarySearchFunc(entries, name, func(e fs.DirEntry, name string) int {
		return strings.Compare(e.Name(), name)
	})
	if !ok {
		return nil
	}
	return entries[i]
}

// descend walks through a folder in parent, if it may be entered.
func (t *tree) descend(ctx context.Context, path string, parent *folder) {
	name := filepath.Base(path)
	sub, known := parent.folders[name]
	if !known {
		if !t.enters(path) {
			return
		}
		sub = t.newFolder()
		parent.folders[name] = sub
	}
	if t.walk(ctx, path, sub, parent) == vanished && !t.uncovered(parent, path) {
		t.vanish(path, parent)
	}
}

// check compares one file with what is known of it.
func (t *tree) check(f *folder, path string) {
	name := filepath.Base(path)
	old, known := f.files[name]
	stamp, link, err := t.stat(t.rootOf(path), path)
	switch {
	case err != nil && !notThere(err): // nothing can be said now
		t.unreadable(path, err)
		return
	case err != nil && known && t.uncovered(f, path):
		return
	case err != nil && known:
		t.absent(f, path)
	}
	t.end(Unreadable, path)
	if link { // wherever it leads now: what comes there tells nothing of it
		t.links[path] = true
	} else {
		delete(t.links, path)
	}
	force := t.force && !t.o.First(path)
	if err != nil || known && stamp == old && !force {
		return
	}
	if !known {
		t.files++
	}
	f.files[name] = stamp
	c := touch{path: path, stamp: stamp, old: t.first, force: force}
	if t.first {
		c.rest = stamp.rest(time.Now())
		c.known = t.o.Known(path, stamp)
	}
	t.touched = append(t.touched, c)
}

// uncovered tells that what was in a folder is not at its path because the disk
// of the folder was taken away, or another mounted over it: the next walk tells
// of that.
func (t *tree) uncovered(f *folder, path string) bool {
	dir := filepath.Dir(path)
	id, err := t.folder(dir, dir == t.rootOf(path))
	return err == nil && id.device != f.id.device
}

// absent notes that a known file is no longer there.
func (t *tree) absent(f *folder, path string) {
	delete(f.files, filepath.Base(path))
	t.files--
	t.touched = append(t.touched, touch{path: path})
}

// vanish forgets a folder that is no longer in parent, with all below it.
func (t *tree) vanish(path string, parent *folder) {
	f, known := parent.folders[filepath.Base(path)]
	if !known {
		return
	}
	delete(parent.folders, filepath.Base(path))
	t.drop(path, f)
	t.forget(path, f)
	for _, at := range t.board.below(path) {
		t.end(at.kind, at.path)
	}
}

func (t *tree) forget(path string, f *folder) {
	for _, name := range slices.Sorted(maps.Keys(f.files)) {
		t.absent(f, filepath.Join(path, name))
	}
	for name, sub := range f.folders {
		t.forget(filepath.Join(path, name), sub)
	}
	t.count[f.polled]--
}

// errOther is the state of a path where something else is than a file of ours.
var errOther = errors.New("not a regular file in the folder")

// notThere tells the errors that mean there is nothing of ours from those that
// leave it open.
func notThere(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR) || errors.Is(err, errOther)
}

// stampOf is the stamp of the regular file at a path, or of the one in the
// root that a symbolic link there leads to.
func stampOf(root, path string) (s Stamp, link bool, err error) {
	s, link, err = stampAt(path)
	if err != nil || !link {
		return s, false, err
	}
	target, err := filepath.EvalSymlinks(path)
	if err != nil || !inside(resolved(root), target) {
		return Stamp{}, true, errOther
	}
	s, link, err = stampAt(target)
	if link {
		return Stamp{}, true, errOther
	}
	return s, true, err
}
