package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync/atomic"
	"time"

	"gambeson/analysis/mesh"
)

// A file on which the program itself ends abruptly must not do so at every
// start. So what a daemon is about to look into is written down before and
// wiped after. What stands there at the next start is where it ended.
const (
	// mostCrashes is how often the program may crash on one file before that
	// is left alone.
	mostCrashes = 2
	// mostEnds is the same for ends without a word: the machine was switched
	// off, the system ran out of memory, or somebody killed the process, which
	// says nothing of the file. A guess.
	mostEnds = 5
)

// bytesOf tells two states of a file apart.
type bytesOf struct {
	Size    int64 `json:"size"`
	Changed int64 `json:"changed"` // ns since 1970
}

func bytesAt(path string) (b bytesOf, ok bool) {
	info, err := os.Stat(path)
	if err != nil {
		return b, false
	}
	return bytesOf{info.Size(), info.ModTime().UnixNano()}, true
}

// working is the file that a daemon is looking into.
type working struct {
	Part  string    `json:"part"`
	Since time.Time `json:"since"`
	Words string    `json:"words"`         // where the daemon leaves its last words
	Raw   string    `json:"raw,omitempty"` // see rawName
	bytesOf
}

// ends counts how often a daemon ended while it looked into a file.
type ends struct {
	Crashed int    `json:"crashed"`       // as the program's own last words say
	Killed  int    `json:"killed"`        // without a word
	Raw     string `json:"raw,omitempty"` // see rawName
	bytesOf
}

// deadline is when the present work should be over, and the ledger that it
// stands in; nil where there is none.
type deadline = atomic.Pointer[struct {
	at     time.Time
	ledger *ledger
}]

// stopped wipes what stands in the ledger of the present work: the program was
// asked to stop, and may have to leave the work behind.
func stopped(due *deadline) {
	if w := due.Load(); w != nil {
		w.ledger.write(working{})
	}
}

// ledger is what is kept of one folder to know such files.
type ledger struct {
	path  string
	ends  map[string]ends // by part
	words string          // where the daemon leaves its last words
	due   *deadline
}

// begin notes that a part is being looked into, which takes so long at most,
// and returns what notes the end. Without a ledger it does nothing.
func (f *folder) begin(part string, most time.Duration) (end func()) {
	l := f.ledger
	if l == nil {
		return func() {}
	}
	now := time.Now()
	w := working{Part: part, Since: now, Words: l.words, Raw: rawName(part)}
	w.bytesOf, _ = bytesAt(filepath.Join(f.root, filepath.FromSlash(part)))
	l.write(w)
	l.due.Store(&struct {
		at     time.Time
		ledger *ledger
	}{now.Add(most + most/2), l}) // it ends itself at most; half of it on top is a guess
	return func() {
		l.due.Store(nil)
		l.write(working{})
	}
}

// write needs no rename: a torn line is read as none. A ledger that cannot be
// written is no reason not to work.
func (l *ledger) write(w working) {
	var text []byte
	if w.Part != "" {
		text, _ = json.Marshal(w) // a struct of plain values
	}
	_ = os.WriteFile(l.path, text, 0o600)
}

// poison says that a file is left alone because the program ended on it too
// often, nil where it did not or the file has changed since.
func (f *folder) poison(part string) error {
	l := f.ledger
	if l == nil {
		return nil
	}
	e, ended := l.ends[part]
	now, _ := bytesAt(filepath.Join(f.root, filepath.FromSlash(part)))
	if !ended || e.bytesOf != now || e.Crashed < mostCrashes && e.Killed < mostEnds {
		return nil
	}
	return &mesh.ReadError{
		Cause:  fmt.Sprintf("gambeson itself ended abruptly, %d times, while it looked into this file", e.Crashed+e.Killed),
		Remedy: "export it with fewer triangles, or save it again, for another try; until it changes it is left alone",
	}
}

// forgive forgets the ends on a file that was looked into at last.
func (f *folder) forgive(part string) {
	if f.ledger != nil && f.poison(part) == nil {
		delete(f.ledger.ends, part)
	}
}

// suspect tells of a file on which the program ended before, but not yet too
// often: others go first.
func (f *folder) suspect(part string) bool {
	return f.ledger != nil && f.ledger.ends[part] != ends{} && f.poison(part) == nil
}

// workingPath is where a daemon writes what it is looking into, beside its
// state.
func workingPath(state string) string { return strings.TrimSuffix(state, ".json") + ".working" }

// newLedger takes up what the last daemon on a folder left, and says on which
// file it ended, "" where it ended well, and its last words, "" where it had
// none. before is its count of such ends; words is where this daemon leaves its
// own.
func newLedger(root string, before map[string]ends, words string, due *deadline) (l *ledger, on, last string, err error) {
	path, err := statePath(root)
	if err != nil {
		return nil, "", "", err
	}
	l = &ledger{path: workingPath(path), ends: before, words: words, due: due}
	if l.ends == nil {
		l.ends = map[string]ends{}
	}
	w, ok := l.read()
	if !ok {
		return l, "", "", nil
	}
	last = lastWords(w)
	e := l.ends[w.Part]
	if e.bytesOf != w.bytesOf {
		e = ends{bytesOf: w.bytesOf, Raw: w.Raw}
	}
	if last != "" {
		e.Crashed++
	} else {
		e.Killed++
	}
	l.ends[w.Part] = e
	l.write(working{})
	return l, w.Part, last, nil
}

// read returns what is being looked into, false where nothing is.
func (l *ledger) read() (w working, ok bool) {
	text, err := os.ReadFile(l.path)
	read := err == nil && json.Unmarshal(text, &w) == nil
	w.Part = nameFrom(w.Part, w.Raw)
	return w, read && w.Part != ""
}

const wordsBefore = ".before" // the end of the name of older last words

// lastWords is the first line of what a daemon said when it crashed while it
// did w, "" where it did not crash.
func lastWords(w working) string {
	for _, path := range []string{w.Words, w.Words + wordsBefore} {
		info, err := os.Stat(path)
		if err != nil || !info.Mode().IsRegular() || info.ModTime().Before(w.Since) {
			continue // also what could be read for ever
		}
		text, err := os.ReadFile(path)
		if first, _, _ := strings.Cut(strings.TrimSpace(string(text)), "\n"); err == nil && first != "" {
			return printable(first)
		}
	}
	return ""
}

// keepLastWords has the program's last words, should it crash, written into the
// state folder. Those of the crash before are kept beside, until the next one.
func keepLastWords(root string) (path string, end func(), err error) {
	path, err = statePath(root)
	if err != nil {
		return "", nil, err
	}
	path = strings.TrimSuffix(path, ".json") + ".crash"
	if info, err := os.Stat(path); err == nil && info.Size() > 0 {
		if err := os.Rename(path, path+wordsBefore); err != nil {
			return "", nil, err
		}
	}
	file, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return "", nil, err
	}
	if err := debug.SetCrashOutput(file, debug.CrashOptions{}); err != nil {
		return "", nil, errors.Join(err, file.Close())
	}
	return path, func() {
		_ = debug.SetCrashOutput(nil, debug.CrashOptions{}) // cannot fail
		file.Close()
	}, nil
}

// openLedger gives the folder its ledger, and says where the last daemon ended.
func (f *folder) openLedger(before map[string]ends, words string, due *deadline) {
	l, on, last, err := newLedger(f.root, before, words, due)
	if err != nil {
		f.log.Debug().Str("event", "no_ledger").Err(err).Msg("a file that crashes the program would not be known")
		return
	}
	f.ledger = l
	if on != "" {
		f.log.Warn().Str("event", "ended_before").Str("file", on).Str("last_words", last).Int("crashed", l.ends[on].Crashed).Int("killed", l.ends[on].Killed).Msg("the last daemon ended abruptly while it looked into a part")
	}
}
