package watcher

import (
	"cmp"
	"container/heap"
	"context"
	"maps"
	"math/bits"
	"slices"
	"strings"
	"time"
)

// touch says that a path has changed, or is to be handed over once more.
type touch struct {
	path  string
	stamp Stamp         // zero: no longer there
	old   bool          // found by the first walk: look at it at once
	rest  time.Duration // how long it is known not to have changed
	force bool          // hand it over even if it is as it was
	known bool          // an earlier run handled it as it is: note it, and hand it over when that changes
}

// settle is the queue: the set of paths that have changed and were not handed
// over since, each with the time at which to look at it next. It is channels
// and time only; what it asks of the world goes through four functions.
//
// A path leaves the set when it is handed over. A change during its handling
// puts it in again, so a hundred of them make one more run.
type settle struct {
	pace
	stat  func(path string) (Stamp, presence)
	lease func(path string) lease
	look  func(path string) (Look, string)
	first func(path string) bool
	ahead func(path string)
	root  func(path string) string
	board *board

	items   map[string]*item
	firsts  map[string]*item // of these the ones that go first
	resting line             // by the time of the next look
	due     line             // to be looked at now, by rank
	again   line             // likewise, but handed over a moment ago: by the time of that
	turns   turns            // of the last while
	yielded bool             // the last one to go was due for the first time in a while
	handed  map[string]Stamp // as last handed over: what the user of this package knows
}

// presence is what a stat finds at a path.
type presence int

const (
	here    presence = iota // a regular file
	gone                    // nothing, or nothing of ours
	nowhere                 // its root or disk is missing, or it cannot be looked at: nothing can be said
)

// lease is the answer to "has anybody this file open for writing?".
type lease int

const (
	unknown lease = iota
	free
	taken
)

// item is a path in the queue.
type item struct {
	path  string
	first bool
	ahead bool      // this change of it was told ahead of its turn
	old   bool      // it was there at the first walk: there may be a report from before
	anew  time.Time // from when it goes even if it is as it was handed over; zero: never
	told  Stamp     // as the tree said last; zero: no longer there
	stamp Stamp     // zero: no longer there
	since time.Time // last change
	at    time.Time // next look
	turn  time.Time // when it was handed over a moment ago; zero where it was not

	looked bool // look and why are of this stamp
	look   Look
	why    string

	in    *line
	index int
}

// changed notes that the file is different since now.
func (i *item) changed(stamp Stamp, now time.Time) {
	i.stamp, i.since, i.looked, i.ahead = stamp, now, false, false
}

// again has it handed over from a time on even if it is as it was.
func (i *item) again(at time.Time) {
	if i.anew.IsZero() || at.Before(i.anew) {
		i.anew = at
	}
}

func newSettle(w *Watcher) *settle {
	return emptySettle(settle{pace: w.pace, stat: w.presence, lease: w.lease, look: w.o.Look, first: w.o.First, ahead: w.o.Ahead, root: w.rootOf, board: &w.board})
}

func emptySettle(s settle) *settle {
	s.items, s.firsts = map[string]*item{}, map[string]*item{}
	s.handed = map[string]Stamp{}
	s.resting.less = func(a, b *item) bool { return a.at.Before(b.at) }
	s.due.less = urgent
	s.again.less = func(a, b *item) bool { return a.turn.Before(b.turn) }
	s.turns.last = map[string]time.Time{}
	return &s
}

// run takes in touches and gives out events, one at a time: the next only
// after done has told that the one before is handled.
func (s *settle) run(ctx context.Context, touches <-chan []touch, next chan<- Event, done <-chan time.Duration) {
	alarm := time.NewTimer(0)
	defer alarm.Stop()
	handling := ""
	for {
		var wake <-chan time.Time
		at, any := s.nextLook()
		if handling != "" {
			at, any = s.nextAhead()
		}
		if any {
			alarm.Reset(time.Until(at))
			wake = alarm.C
		}
		s.board.set(func(b *Status) { b.Queued, b.Handling = len(s.items), handling })
		select {
		case <-ctx.Done():
			return
		case batch := <-touches:
			s.takeIn(batch, time.Now())
		case again := <-done:
			s.handled(handling, again, time.Now())
			handling = ""
		case <-wake:
			if handling != "" {
				s.tellAhead(time.Now())
				continue
			}
			e, ok := s.choose(time.Now())
			if !ok {
				continue
			}
			select {
			case <-ctx.Done():
				return
			case next <- e:
				handling = e.Path
			}
		}
	}
}

// nextLook is when something has to be done if nothing happens.
func (s *settle) nextLook() (at time.Time, any bool) {
	if i := s.top(); i != nil {
		return i.at, true
	}
	if s.resting.Len() > 0 {
		return s.resting.items[0].at, true
	}
	return time.Time{}, false
}

// nextAhead is the same of what may be told ahead of its turn.
func (s *settle) nextAhead() (at time.Time, any bool) {
	for _, i := range s.firsts {
		if !i.ahead && (!any || i.at.Before(at)) {
			at, any = i.at, true
		}
	}
	return at, any
}

// tellAhead tells of the files that go first and are at rest, though another is
// being handled. They stay in the queue until their turn.
func (s *settle) tellAhead(now time.Time) {
	for _, path := range slices.Sorted(maps.Keys(s.firsts)) {
		i := s.firsts[path]
		if i.ahead || i.at.After(now) {
			continue
		}
		switch verdict, at := s.weigh(i, now); verdict {
		case rest:
			s.put(i, at)
			s.board.wait(i.path, i.why)
		case drop:
			s.remove(i)
		default:
			i.ahead = true
			s.ahead(i.path)
		}
	}
}

// takeIn puts touched paths into the queue. A first look comes within a
// breath of the first touch, however many follow.
func (s *settle) takeIn(batch []touch, now time.Time) {
	for _, t := range batch {
		if t.known {
			s.handed[t.path] = t.stamp
			continue
		}
		at := now.Add(s.breath)
		if t.old || t.force {
			at = now
		}
		i, queued := s.items[t.path]
		switch {
		case !queued:
			i = s.add(&item{path: t.path})
		case t.stamp == i.stamp && t.stamp == i.told && !t.force:
			continue // no news
		case i.at.Before(at) && !i.ahead:
			at = i.at
		}
		if !queued || t.stamp != i.stamp {
			i.changed(t.stamp, now.Add(-t.rest))
		}
		i.told, i.old = t.stamp, i.old || t.old
		if t.force {
			i.again(now)
		}
		s.put(i, at)
	}
}

// handled notes the end of a handling; again > 0 asks for another.
func (s *settle) handled(path string, again time.Duration, now time.Time) {
	if again <= 0 {
		return
	}
	at := now.Add(again)
	if i, queued := s.items[path]; queued {
		i.again(at)
		s.put(i, earlier(i.at, at))
		return
	}
	s.putAgain(path, s.handed[path], at)
}

// putAgain queues an unchanged path to be handed over at the time given.
func (s *settle) putAgain(path string, stamp Stamp, at time.Time) {
	s.put(s.add(&item{path: path, anew: at, told: stamp, stamp: stamp, since: at}), at)
}

// choose looks at the most urgent path that is due, and returns its event if
// it may go. Otherwise the path rests on, or leaves the queue.
func (s *settle) choose(now time.Time) (Event, bool) {
	for s.resting.Len() > 0 && !s.resting.items[0].at.After(now) {
		s.toDue(s.resting.pop())
	}
	i := s.top()
	if i == nil {
		return Event{}, false
	}
	switch verdict, at := s.weigh(i, now); verdict {
	case rest:
		s.put(i, at)
		s.board.wait(i.path, i.why)
		return Event{}, false
	case drop:
		s.remove(i)
		return Event{}, false
	}
	s.yielded = i.in == &s.due
	s.remove(i)
	s.turns.note(i.path, now, s.top() == nil)
	return s.handOver(i, now), true
}

// toDue puts an item among those that are to be looked at now.
func (s *settle) toDue(i *item) {
	if i.turn = s.turns.last[i.path]; i.turn.IsZero() || rank(i) < ordinary {
		s.due.push(i)
	} else {
		s.again.push(i)
	}
}

// top is the item to be looked at next, nil where none is due. Files that
// somebody saves over and over take every second turn at most, and among
// themselves go round: else the others would wait for ever.
func (s *settle) top() *item {
	switch {
	case s.again.Len() == 0 && s.due.Len() == 0:
		return nil
	case s.again.Len() == 0:
		return s.due.items[0]
	case s.due.Len() == 0, s.yielded && rank(s.due.items[0]) >= ordinary:
		return s.again.items[0]
	}
	return s.due.items[0]
}

// verdict is what becomes of a path that was looked at.
type verdict int

const (
	rest verdict = iota // look again later
	drop                // nothing to tell
	goes                // hand it over
)

// weigh looks at one path and decides.
func (s *settle) weigh(i *item, now time.Time) (verdict, time.Time) {
	stamp, where := s.stat(i.path)
	if stamp != i.stamp {
		i.changed(stamp, now)
	}
	old, known := s.handed[i.path]
	quiet := now.Sub(i.since)
	switch {
	case where == nowhere:
		i.why = "cannot be looked at now"
		return rest, now.Add(min(max(s.missing, quiet/4), s.rescan))
	case where == gone && !known && !i.old:
		return drop, now
	case where == gone:
		i.why = "no longer there"
		return within(quiet, s.grace, s.grace, now)
	case i.told == Stamp{}:
		// It came back, of which the tree will tell. Until then it must not go:
		// the tree, which does not know it, would not tell of its going either.
		i.why = "came a moment ago"
		return rest, now.Add(s.quiet)
	case known && stamp == old && i.anew.IsZero():
		return drop, now
	case known && stamp == old && i.anew.After(now):
		i.why = "" // the tree was slow to tell of a change that has been handed over
		return rest, i.anew
	}
	held := s.lease(i.path)
	if held == taken { // not at rest, however long nothing is written
		i.changed(stamp, now)
		i.why = "still open for writing"
		return rest, now.Add(s.busy)
	}
	if known && stamp == old {
		return goes, now
	}
	return within(quiet, s.need(i, held), max(s.quiet, quiet/4), now)
}

// within is goes after a rest of need, and else another look when that is
// over or after step.
func within(quiet, need, step time.Duration, now time.Time) (verdict, time.Time) {
	if quiet >= need {
		return goes, now
	}
	return rest, now.Add(min(need-quiet, step))
}

// need is the rest that a file wants before it may be handed over.
func (s *settle) need(i *item, held lease) time.Duration {
	if i.stamp.Size == 0 {
		i.look, i.why = Cut, "the file is empty"
		return s.empty
	}
	if !i.looked {
		i.look, i.why = s.look(i.path)
		i.looked = true
	}
	switch {
	case i.look == Cut:
		return s.patience
	case i.look == Whole && held == free:
		return 0
	}
	i.why = "changed a moment ago"
	return s.quiet
}

// handOver makes the event of a path that has left the queue.
func (s *settle) handOver(i *item, now time.Time) Event {
	e := Event{Path: i.path, Root: s.root(i.path), Stamp: i.stamp, Gone: i.stamp == Stamp{}}
	if e.Gone {
		delete(s.handed, i.path)
		return e
	}
	s.handed[i.path] = i.stamp
	if i.look == Cut {
		e.Unfinished = i.why
	}
	if i.stamp.Racy(now) {
		s.putAgain(i.path, i.stamp, now.Add(s.racy))
	}
	return e
}

// add puts a new item into the set. It is yet to be put where it rests.
func (s *settle) add(i *item) *item {
	s.items[i.path] = i
	if i.first = s.first(i.path); i.first {
		s.firsts[i.path] = i
	}
	return i
}

// put moves an item to where it rests until at.
func (s *settle) put(i *item, at time.Time) {
	if i.in != nil {
		i.in.drop(i)
	}
	i.at = at
	s.resting.push(i)
}

// remove takes an item out of the queue. An empty queue gives back what it had
// grown to.
func (s *settle) remove(i *item) {
	i.in.drop(i)
	delete(s.items, i.path)
	delete(s.firsts, i.path)
	s.board.wait(i.path, "")
	if len(s.items) == 0 {
		s.items = map[string]*item{}
		s.resting.items, s.due.items, s.again.items = nil, nil, nil
	}
}

// urgent is the order among paths that are due: configuration, then what is
// gone, then small files before large ones (all below 1 MiB are small, then
// by powers of two), then the newest.
func urgent(a, b *item) bool {
	order := cmp.Or(
		rank(a)-rank(b),
		magnitude(a.stamp.Size)-magnitude(b.stamp.Size),
		cmp.Compare(b.stamp.Mtime, a.stamp.Mtime),
		strings.Compare(a.path, b.path))
	return order < 0
}

func rank(i *item) int {
	switch {
	case i.first:
		return 0
	case i.stamp == Stamp{}:
		return 1
	}
	return ordinary
}

const ordinary = 2

func magnitude(size int64) int { return bits.Len64(uint64(size) >> 20) }

// turns are the times at which paths were handed over since something last had
// to wait for its turn, and a while before.
type turns struct {
	last  map[string]time.Time
	order []turn // by time
}

type turn struct {
	path string
	at   time.Time
}

// while is how long a turn counts where nothing has to wait (a guess).
const while = time.Minute

// note takes note of a turn. Nothing else that is due: idle.
func (t *turns) note(path string, now time.Time, idle bool) {
	n := 0
	for ; idle && n < len(t.order) && now.Sub(t.order[n].at) > while; n++ {
		if old := t.order[n]; t.last[old.path].Equal(old.at) {
			delete(t.last, old.path)
		}
	}
	if t.order = append(t.order[n:], turn{path, now}); len(t.order) == 1 {
		t.last, t.order = map[string]time.Time{}, []turn{{path, now}} // gives back what they had grown to
	}
	t.last[path] = now
}

// line is a heap of items that know where in it they are.
type line struct {
	items []*item
	less  func(a, b *item) bool
}

func (l *line) push(i *item) { i.in = l; heap.Push(l, i) }
func (l *line) pop() *item   { return heap.Pop(l).(*item) }
func (l *line) drop(i *item) { heap.Remove(l, i.index) }

// Len, Less, Swap, Push and Pop are for container/heap.
func (l *line) Len() int           { return len(l.items) }
func (l *line) Less(i, j int) bool { return l.less(l.items[i], l.items[j]) }
func (l *line) Swap(i, j int) {
	l.items[i], l.items[j] = l.items[j], l.items[i]
	l.items[i].index, l.items[j].index = i, j
}
func (l *line) Push(x any) {
	i := x.(*item)
	i.index = len(l.items)
	l.items = append(l.items, i)
}
func (l *line) Pop() any {
	last := len(l.items) - 1
	i := l.items[last]
	l.items[last] = nil
	l.items = l.items[:last]
	i.in = nil
	return i
}
