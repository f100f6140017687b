package watcher

import (
	"errors"
	"io/fs"
	"path/filepath"
	"sync"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"
)

// notifier is what we use of [fsnotify.Watcher]. The zero notifier has no
// events and can watch nothing.
type notifier struct {
	events <-chan fsnotify.Event
	errs   <-chan error
	add    func(path string) error
	remove func(path string) error
	close  func() error
}

func openNotifier() (notifier, error) {
	n, err := fsnotify.NewWatcher()
	if err != nil {
		return notifier{}, err
	}
	return notifier{n.Events, n.Errors, n.Add, n.Remove, n.Close}, nil
}

// notices is what has been heard and not yet looked into: an unbounded set,
// so that a burst of events costs memory by the path, not by the event, and
// nobody ever waits to put one in.
type notices struct {
	mu    sync.Mutex
	heard heard
	wake  chan struct{} // holds a token while there is something
}

// heard is one taking of notices.
type heard struct {
	paths    map[string]fsnotify.Op // what happened to each, joined
	overflow bool                   // events were lost
	doubt    bool                   // something went wrong in the notifier
	again    []string               // roots to hand over once more
	asked    []chan struct{}        // to be closed when all loops have answered
}

// note changes what has been heard, and wakes whoever takes it.
func (n *notices) note(change func(*heard)) {
	n.mu.Lock()
	change(&n.heard)
	n.mu.Unlock()
	select {
	case n.wake <- struct{}{}:
	default:
	}
}

// take empties the notices.
func (n *notices) take() heard {
	n.mu.Lock()
	defer n.mu.Unlock()
	h := n.heard
	n.heard = heard{}
	return h
}

func (n *notices) event(e fsnotify.Event) {
	n.note(func(h *heard) {
		if h.paths == nil {
			h.paths = map[string]fsnotify.Op{}
		}
		h.paths[e.Name] |= e.Op
	})
}

func (n *notices) again(roots []string) {
	n.note(func(h *heard) { h.again = append(h.again, roots...) })
}

// overflowed tells whether events were lost that nobody has taken notice of.
func (n *notices) overflowed() bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.heard.overflow
}

// drain does nothing but empty the notifier, until it is closed: while it
// waits, the system throws events away.
func (n *notices) drain(from notifier) {
	events, errs := from.events, from.errs
	for events != nil || errs != nil {
		select {
		case e, ok := <-events:
			if !ok {
				events = nil
				break
			}
			n.event(e)
		case err, ok := <-errs:
			if !ok {
				errs = nil
				break
			}
			n.note(func(h *heard) {
				h.overflow = h.overflow || errors.Is(err, fsnotify.ErrEventOverflow)
				h.doubt = true
			})
		}
	}
}

// listen opens a notifier.
func (t *tree) listen() {
	n, err := t.open()
	if err != nil {
		t.noNotifier(err)
		return
	}
	t.notifier = n
}

// noNotifier goes on without one.
func (t *tree) noNotifier(err error) {
	t.notifier = notifier{}
	t.due = time.Now()
	t.begin(Condition{Kind: WatchLimit, Text: "the system gives no events; all folders are polled", Cure: limitCure(t.folders()), Err: err})
}

// watch asks for events of a folder; where they cannot be had it is marked as
// polled. An error means that the folder itself cannot be looked at.
func (t *tree) watch(path string, f, parent *folder) error {
	id, err := t.folder(path, parent == nil)
	if err != nil {
		return err
	}
	if id != f.id {
		t.drop(path, f)
		f.id = id
	}
	t.hearing(path, f, parent)
	switch {
	case t.notifier.events == nil:
		t.mark(path, f, asked)
		return nil
	case t.full && !f.watched:
		t.mark(path, f, limited)
		return nil
	case !t.release(path, id):
		t.mark(path, f, refused) // mounted in two places: events bear the other path
		return nil
	}
	return t.add(path, f)
}

// hearing finds out whether the file system of a folder announces changes.
func (t *tree) hearing(path string, f, parent *folder) {
	if parent != nil && parent.id.device == f.id.device {
		f.silent = parent.silent
		return
	}
	var name string
	if name, f.silent = t.fsType(path); !f.silent {
		return
	}
	t.begin(Condition{Kind: NoEvents, Path: path, Text: "not all changes are announced on " + name + "; the folder is polled", Cure: "nothing need be done; it takes some seconds longer to notice"})
}

// release takes away a watch that the notifier holds on the same folder under
// another path, from before it was moved: adding it again would leave it the
// old path (fsnotify#694). It is false if the folder is at both paths.
func (t *tree) release(path string, id identity) bool {
	other, known := t.ids[id]
	if !known || other == path || id == (identity{}) {
		return true
	}
	if there, err := t.folder(other, false); err == nil && there == id {
		return false
	}
	delete(t.ids, id)
	r := t.rootAt(other)
	if f := t.find(r, other); f != nil {
		t.drop(other, f)
	}
	_ = t.notifier.remove(other) // if that has not been done just now
	return true
}

// add asks the notifier for the events of a folder, also where it has been
// asked before: a watch may have died without our hearing of it.
func (t *tree) add(path string, f *folder) error {
	err := t.notifier.add(path)
	if errors.Is(err, fs.ErrPermission) {
		return err
	}
	f.watched = err == nil
	switch {
	case err == nil:
		t.mark(path, f, none)
	case isLimit(err):
		t.full = true
		t.mark(path, f, limited)
		return nil
	case notThere(err):
		return err
	default:
		t.mark(path, f, refused)
		t.begin(Condition{Kind: NoEvents, Path: path, Text: "the folder cannot be watched and is polled", Err: err})
		return nil
	}
	t.ids[f.id] = path
	return nil
}

// mark notes why a folder is polled, or that it is not. A silent file system
// is reason enough.
func (t *tree) mark(path string, f *folder, c cause) {
	if f.silent {
		c = silent
	}
	if c == f.polled {
		return
	}
	if f.polled == silent || f.polled == refused {
		t.end(NoEvents, path)
	}
	t.count[f.polled]--
	f.polled = c
	t.count[c]++
}

// isLimit tells whether a watch was refused because there are too many.
func isLimit(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EMFILE) ||
		errors.Is(err, syscall.ENFILE) || errors.Is(err, syscall.ENOMEM)
}

// drop takes away the watches of a folder and of all below it.
func (t *tree) drop(path string, f *folder) {
	if f.watched && t.notifier.events != nil {
		_ = t.notifier.remove(path) // the system may have done so already
	}
	f.watched = false
	if t.ids[f.id] == path {
		delete(t.ids, f.id)
	}
	for name, sub := range f.folders {
		t.drop(filepath.Join(path, name), sub)
	}
}

// unwatchAll notes that the notifier is no more.
func (t *tree) unwatchAll() {
	t.notifier = notifier{}
	for _, r := range t.roots {
		t.drop(r.path, r.top)
	}
}
