package config

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/gofrs/flock"
	"golang.org/x/text/unicode/norm"

	"gambeson/analysis"
)

// Logbook is what logbook.toml says: what was tried on and what was printed, in
// the order of the file.
type Logbook struct {
	Tryons  []Tryon
	Printed []Printed
}

// Tryon is what the wearer found when a band or part was tried on.
type Tryon struct {
	Part    string  // relative to the suit folder
	Station string  // measure that rests there, "" where Along says it
	Along   float64 // mm along the way in, where Station is ""
	Percent float64 // scale that was tried
	Verdict string  // tight, fits or loose
	// Capacity is the room in mm at the station at that scale, and Fingerprint
	// the file it was found in, so that the entry keeps its meaning when the
	// file is overwritten. 0 and "" where a person wrote the entry by hand.
	Capacity    float64
	Fingerprint string
	// Padding lay under it where the body rests, and EntryPadding where it only passes, mm
	// on each side; nil where it is not noted, which stands for as much as there is now.
	Padding, EntryPadding *float64
	line                  int
}

// tryons returns what was tried on of the part that a brief asks about, or of a piece
// of the same shell, and what was found on other parts that tells of it too.
func (f *Folder) tryons(b analysis.Brief) []analysis.Tryon {
	own := map[string]bool{norm.NFC.String(b.Part): true}
	for _, m := range b.Mates {
		own[norm.NFC.String(m.Part)] = true
	}
	var out []analysis.Tryon
	for _, e := range f.Logbook.Tryons {
		found := analysis.Tryon{Station: e.Station, Along: e.Along, Percent: e.Percent, Verdict: e.Verdict, Capacity: e.Capacity, Padding: e.Padding, EntryPadding: e.EntryPadding}
		if !own[norm.NFC.String(e.Part)] {
			if found.Other = b.Concerned(f.asked(e.Part), e.Station); found.Other == nil || e.Capacity == 0 {
				continue
			}
		}
		out = append(out, found)
	}
	return out
}

// Join gives a brief, whose mates are known, what was tried on of the whole shell.
func (f *Folder) Join(b *analysis.Brief) { b.Tryons = f.tryons(*b) }

// Printed is what a real print took.
type Printed struct {
	Part    string
	Percent float64
	Hours   float64
	Grams   float64
	line    int
	unsaid  bool // Percent is
}

// readLogbook reads the text of a logbook.toml.
func readLogbook(text []byte) (Logbook, Errors) {
	f, top := open(logbookFile, text)
	if top == nil {
		return Logbook{}, f.errs
	}
	var l Logbook
	l.read(top)
	if errs := f.close(); len(errs) > 0 {
		return Logbook{}, errs
	}
	return l, nil
}

func (l *Logbook) read(top *table) {
	for _, t := range top.each("tryon") {
		l.Tryons = append(l.Tryons, readTryon(t))
	}
	for _, t := range top.each("printed") {
		l.Printed = append(l.Printed, readPrinted(t))
	}
}

func readTryon(t *table) Tryon {
	e := Tryon{Percent: 100}
	t.need("part", "station", "verdict")
	e.Part, e.line = t.part()
	t.station("station", &e.Station, &e.Along)
	t.percent("percent", false, percents(), &e.Percent)
	t.word("verdict", []string{"tight", "fits", "loose"}, &e.Verdict)
	t.length("capacity_mm", 0, 1e5, &e.Capacity)
	for _, p := range []struct {
		key string
		to  **float64
	}{{"padding_mm", &e.Padding}, {"entry_padding_mm", &e.EntryPadding}} {
		if mm := 0.0; t.length(p.key, 0, thick, &mm) {
			*p.to = &mm
		}
	}
	t.text("fingerprint", "the fingerprint that `gambeson tried` wrote", &e.Fingerprint)
	return e
}

func readPrinted(t *table) Printed {
	e := Printed{}
	t.need("part")
	e.Part, e.line = t.part()
	t.percent("percent", false, percents(), &e.Percent)
	t.number("hours", "hours", span{low: 0, high: 10_000}, &e.Hours)
	t.number("grams", "g", span{low: 0, high: 1e6}, &e.Grams)
	if e.Percent == 0 {
		e.Percent, e.unsaid = 100, true
	}
	return e
}

// part reads the path of a part and the line it stands on.
func (t *table) part() (string, int) {
	var part string
	t.text("part", `a part such as "legs/greave-left.stl"`, &part)
	line, _ := t.place("part")
	part = strings.TrimPrefix(part, "./")
	switch {
	case strings.HasPrefix(part, "/"):
		t.wrong("part", &Error{Fault: show(part) + " leads out of the suit's folder", Expected: "a path from the suit's folder on"})
	case strings.Contains(part, `\`) && !strings.Contains(part, "/"):
		t.wrong("part", &Error{Fault: show(part) + " has a backslash", Expected: "/ between folders", Nearest: show(strings.ReplaceAll(part, `\`, "/"))})
	}
	return part, line
}

// entry writes a try-on as it stands in the file.
func (e Tryon) entry() ([]byte, error) {
	var station any = e.Station
	if e.Station == "" {
		station = e.Along
	}
	var b bytes.Buffer
	enc := toml.NewEncoder(&b)
	enc.Indent = ""
	err := enc.Encode(struct {
		Tryon []any `toml:"tryon"`
	}{[]any{struct {
		Part         string   `toml:"part"`
		Station      any      `toml:"station"`
		Percent      float64  `toml:"percent"`
		Verdict      string   `toml:"verdict"`
		Capacity     float64  `toml:"capacity_mm,omitzero"`
		Padding      *float64 `toml:"padding_mm,omitempty"`
		EntryPadding *float64 `toml:"entry_padding_mm,omitempty"`
		Fingerprint  string   `toml:"fingerprint,omitempty"`
	}{e.Part, station, e.Percent, e.Verdict, e.Capacity, e.Padding, e.EntryPadding, e.Fingerprint}}})
	return b.Bytes(), err
}

// errChanged says that another program wrote the file while we were at it.
var errChanged = errors.New("it keeps being changed by another program")

// Append adds a try-on to the end of the logbook of a suit folder, which is made
// where there is none. Every byte that was there stays. It is written whole or
// not at all: to a file beside it that then takes its place. A logbook that
// cannot be read is left alone, and its Errors are returned.
func Append(root string, e Tryon) error {
	free := lockFolder(root)
	defer free()
	path := filepath.Join(root, logbookFile)
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // the link stays, what it points to grows
	}
	err := errChanged
	for tries := 0; tries < 5 && errors.Is(err, errChanged); tries++ {
		var d draft
		if d, err = newDraft(root, path, e); err == nil {
			err = d.place()
		}
	}
	var wrong Errors
	if err != nil && !errors.As(err, &wrong) {
		return fmt.Errorf("add to %s: %w", logbookFile, err)
	}
	return err
}

// lockFolder keeps two of our own processes from adding at once. A system that
// cannot lock a folder goes without: a draft still sees most of it.
func lockFolder(root string) (free func()) {
	lock := flock.New(root, flock.SetFlag(os.O_RDONLY))
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if ok, err := lock.TryLockContext(ctx, 5*time.Millisecond); err != nil || !ok {
		return func() {}
	}
	return func() { _ = lock.Unlock() }
}

// draft is a logbook one entry longer, written beside the one that it's to
// replace.
type draft struct {
	root, path, temp string
	before           []byte // nil where there is no logbook yet
}

// newDraft reads the logbook and writes the longer one.
func newDraft(root, path string, e Tryon) (draft, error) {
	d := draft{root: root, path: path}
	var fault *Error
	if d.before, fault = readFile(root, logbookFile); fault != nil {
		return d, Errors{fault}
	}
	if _, errs := readLogbook(d.before); len(errs) > 0 {
		return d, errs
	}
	after, err := grown(d.before, e)
	if err != nil {
		return d, err
	}
	mode := fs.FileMode(0o666) // less the umask
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	d.temp, err = writeBeside(path, after, mode, d.before != nil)
	return d, err
}

// place puts the draft in the logbook's place, or returns errChanged if that is
// not what it was. The draft is gone afterwards in any case.
func (d draft) place() error {
	defer os.Remove(d.temp)
	now, fault := readFile(d.root, logbookFile)
	if fault != nil || (now == nil) != (d.before == nil) || !bytes.Equal(now, d.before) {
		return errChanged
	}
	if d.before == nil { // a link, unlike a rename, never takes the place of a file
		if err := os.Link(d.temp, d.path); err == nil {
			syncFolder(d.path)
			return nil
		} else if errors.Is(err, fs.ErrExist) {
			return errChanged
		}
	}
	if err := os.Rename(d.temp, d.path); err != nil {
		return err
	}
	syncFolder(d.path)
	return nil
}

// grown returns the text with the entry at its end, checked: what was read
// before is still read, and one try-on more.
func grown(before []byte, e Tryon) ([]byte, error) {
	entry, err := e.entry()
	if err != nil {
		return nil, err
	}
	if _, errs := readLogbook(entry); len(errs) > 0 {
		for _, e := range errs { // of no line that anybody has written
			e.File, e.Line, e.Column = "", 0, 0
		}
		return nil, errs
	}
	after := bytes.Clone(before)
	if len(after) > 0 && after[len(after)-1] != '\n' {
		after = append(after, '\n')
	}
	if len(after) > 0 {
		entry = append([]byte{'\n'}, entry...)
	}
	if bytes.Contains(before, []byte("\r\n")) {
		entry = bytes.ReplaceAll(entry, []byte("\n"), []byte("\r\n"))
	}
	after = append(after, entry...)
	if _, errs := readLogbook(after); len(errs) > 0 {
		return nil, errs
	}
	return after, nil
}

// writeBeside writes a file of another name into the same folder, down to the
// disk. Its name ends in .tmp, which no watcher takes for a part.
func writeBeside(path string, text []byte, mode fs.FileMode, exact bool) (temp string, err error) {
	temp = filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+"-"+rand.Text()+".tmp")
	f, err := os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return "", err
	}
	_, err = f.Write(text)
	if err == nil && exact {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err != nil {
		os.Remove(temp)
		return "", err
	}
	return temp, nil
}

// syncFolder makes a new name in a folder last through a power cut, where the
// system can.
func syncFolder(path string) {
	if dir, err := os.Open(filepath.Dir(path)); err == nil {
		_ = dir.Sync()
		dir.Close()
	}
}
