package config

import (
	"bytes"
	"maps"
	"math"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"gambeson/analysis"
)

// The files of a suit folder that a person writes.
const (
	suitFile    = "suit.toml"
	wearerFile  = "wearer.toml"
	logbookFile = "logbook.toml"
	suitReport  = "SUIT.md" // written by report; marks a suit folder too
)

// Folder is what the three files of a suit folder say. A file that is missing
// or broken leaves the defaults.
type Folder struct {
	Root    string
	Suit    Suit
	Wearer  Wearer
	Logbook Logbook
}

// Load reads the three files of a suit folder, each of which may be missing.
// The error is of type Errors and holds all that is wrong in all of them; the
// folder is never nil and holds what could be read.
func Load(root string) (*Folder, error) {
	f, kept := NewKeeper(root).Load(time.Time{})
	var all Errors
	for _, k := range kept {
		all = append(all, k.Errs...)
	}
	return f, all.orNil()
}

// Root returns the suit folder that a path belongs to: the nearest folder at or
// above it that holds suit.toml, wearer.toml or SUIT.md; else the folder itself,
// or the one that a file lies in. The path need not exist: a member of an
// archive belongs where the archive does.
func Root(path string) string {
	dir := filepath.Clean(path)
	if abs, err := filepath.Abs(path); err == nil {
		dir = abs
	}
	for !isFolder(dir) && filepath.Dir(dir) != dir {
		dir = filepath.Dir(dir)
	}
	for up := dir; ; up = filepath.Dir(up) {
		if marked(up) {
			return up
		}
		if filepath.Dir(up) == up {
			return dir
		}
	}
}

// RootWithin returns the suit folder that a file below top belongs to: the
// nearest folder above the file, no higher than top, that is one by Root's
// rule; top where none is. Both are absolute paths.
func RootWithin(file, top string) string {
	for dir := filepath.Dir(file); len(dir) > len(top); dir = filepath.Dir(dir) {
		if marked(dir) {
			return dir
		}
	}
	return top
}

// marked reports whether a folder holds a file that makes it a suit folder.
func marked(dir string) bool {
	for _, name := range []string{suitFile, wearerFile, suitReport} {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil && !info.IsDir() {
			return true
		}
	}
	return false
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// Brief returns what is asked of a part, named by its path from the suit folder
// on, with slashes; a member of an archive is kit.zip/legs/a.stl.
func (f *Folder) Brief(part string) analysis.Brief {
	b := f.asked(part)
	b.Tryons = f.tryons(b)
	return b
}

// asked is the brief without what the logbook says.
func (f *Folder) asked(part string) analysis.Brief {
	b := analysis.DefaultBrief()
	b.Part = part
	b.Printer, b.Filament, b.Shell = f.Suit.Printer, f.Suit.Filament, f.Suit.Shell
	b.Wearer = f.Wearer.Wearer
	b.Printer.Strips = slices.Clone(b.Printer.Strips)
	if f.Suit.Second != nil {
		second := *f.Suit.Second
		second.Strips = slices.Clone(second.Strips)
		b.Second = &second
	}
	b.Wearer.Measures = maps.Clone(f.Wearer.Measures)
	p := f.Suit.Pins(part)
	p.apply(&b.Shell)
	b.Unit, b.Enter = p.Unit, p.Enter
	b.Region.Side = p.Side
	if p.Region != "" {
		b.Region.Name, b.Region.Source = p.Region, "config"
	}
	if p.Axis != nil {
		axis := *p.Axis
		b.Axis = &axis
	}
	b.Halves = p.Halves != nil && *p.Halves
	b.Strapped = p.Strapped != nil && *p.Strapped
	b.Glued = p.Strapped != nil && !*p.Strapped
	b.Panel = p.Panel
	if p.Rest != nil {
		rest := *p.Rest
		b.Rest = &rest
	}
	if a, ok := f.Suit.Assembly(part); ok {
		b.Assembly = a.Name
	}
	if p.Percent != 0 {
		b.Percent, b.PercentSet = p.Percent, true
	}
	for _, e := range f.Logbook.Printed { // the last print counts
		switch {
		case e.Part != part:
		case e.unsaid: // as it is set
			b.Printed = b.Percent
		default:
			b.Printed = e.Percent
		}
	}
	return b
}

// Unmatched returns a note for every file that suit.toml or logbook.toml names
// and no part has, and for every assembly that is left with one part. The parts
// are named as for Brief; renamed has the present names of files that bore another
// before.
func (f *Folder) Unmatched(parts []string, renamed map[string]string) []*Error {
	var notes []*Error
	note := func(e *Error, found string) {
		e.Fault = show(found) + " matches no part"
		if name, known := renamed[found]; known {
			e.Fault += ": the file is called " + show(name) + " now"
			e.Expected = "that name"
			e.Slip = true
			notes = append(notes, e)
			return
		}
		if near, far := nearestPart(found, parts); near != "" && len(notes) < maxErrors {
			e.Nearest = show(near)
			e.Slip = far <= slip && !slices.ContainsFunc(f.Suit.Parts, func(p Part) bool { return p.File == near })
		}
		notes = append(notes, e)
	}
	matches := func(pattern string) bool {
		return slices.ContainsFunc(parts, func(part string) bool { return Match(pattern, part) })
	}
	for _, p := range f.Suit.Parts {
		if !matches(p.File) {
			note(&Error{File: suitFile, Line: p.line, Column: p.column, Key: "part.file"}, p.File)
		}
	}
	pieces := map[string][]string{}
	for _, part := range parts {
		if a, ok := f.Suit.Assembly(part); ok {
			pieces[a.Name] = append(pieces[a.Name], part)
		}
	}
	for _, a := range f.Suit.Assemblies {
		at := Error{File: suitFile, Line: a.line, Column: a.column, Key: "assembly.files"}
		before := len(notes)
		for _, pattern := range a.Files {
			if e := at; !matches(pattern) {
				note(&e, pattern)
			}
		}
		if len(notes) == before && len(pieces[a.Name]) < 2 {
			at.Fault = show(a.Name) + " is left with fewer than two parts"
			at.Expected = "two parts or more that no assembly above it has"
			notes = append(notes, &at)
		}
	}
	known := map[string]bool{}
	for _, part := range parts {
		known[norm.NFC.String(part)] = true
	}
	missing := func(part, key string, line int) {
		if name := norm.NFC.String(part); !known[name] {
			known[name] = true // once is enough
			note(&Error{File: logbookFile, Line: line, Column: 1, Key: key}, part)
		}
	}
	for _, e := range f.Logbook.Tryons {
		missing(e.Part, "tryon.part", e.line)
	}
	for _, e := range f.Logbook.Printed {
		missing(e.Part, "printed.part", e.line)
	}
	return notes
}

// slip is how many letters of a name one mistypes at most (a guess): left and right
// differ by more.
const slip = 2

// nearestPart is the part whose name is most like a pattern, "" where none is, and how
// many letters it differs by.
func nearestPart(pattern string, parts []string) (best string, far int) {
	const most, long = 500, 100 // of parts and of letters that are compared
	far = math.MaxInt
	for _, part := range parts[:min(len(parts), most)] {
		if len(part) > long || len(pattern) > long {
			continue
		}
		if d := distance(strings.ToLower(pattern), strings.ToLower(part)); d < far && d <= len(pattern)/2 {
			best, far = part, d
		}
	}
	return best, far
}

// Match reports whether a pattern of suit.toml matches a part. Both are paths
// from the suit folder on: * stands for any letters of a name, ? for one, [a-c]
// for one of some, and ** for any number of folders. A name that is written out
// matches as it is, brackets and all. How accents are composed makes no
// difference (Unicode NFC).
func Match(pattern, part string) bool {
	pattern, part = norm.NFC.String(pattern), norm.NFC.String(part)
	return pattern == part || matchFolders(strings.Split(pattern, "/"), strings.Split(part, "/"))
}

// matchFolders matches name by name. After a mismatch it goes back to the last
// ** only and lets that one stand for a folder more, so that it takes no longer
// than the product of both lengths.
func matchFolders(pattern, part []string) bool {
	p, n := 0, 0
	star, from := -1, 0
	for n < len(part) {
		if p < len(pattern) && pattern[p] == "**" {
			star, from = p, n
			p++
			continue
		}
		if p < len(pattern) {
			if ok, err := path.Match(pattern[p], part[n]); ok && err == nil {
				p, n = p+1, n+1
				continue
			}
		}
		if star < 0 {
			return false
		}
		from++
		p, n = star+1, from
	}
	for p < len(pattern) && pattern[p] == "**" {
		p++
	}
	return p == len(pattern)
}

// soundPattern reports whether path.Match takes every name of a pattern.
func soundPattern(pattern string) bool {
	for _, name := range strings.Split(pattern, "/") {
		if _, err := path.Match(name, ""); err != nil {
			return false
		}
	}
	return true
}

// Keeper reads the files of one suit folder again and again, and keeps the last
// good values of each where it is broken, emptied or gone. It is not for use by
// several goroutines at once.
type Keeper struct {
	root    string
	suit    good[Suit]
	wearer  good[Wearer]
	logbook good[Logbook]
}

// good is what was last read well from one file.
type good[T any] struct {
	value T
	text  []byte // nil where there was no file
	at    time.Time
}

// Kept says why the values in force are not those of the file as it lies.
type Kept struct {
	File string
	Errs Errors    // what is wrong with the file
	Read time.Time // when the values in force were read; zero for the defaults
	now  time.Time // when the file was found to be so
}

// String says it in one line for each fault.
func (k Kept) String() string {
	force := "the defaults are in force"
	if !k.Read.IsZero() {
		force = k.Values() + " stay in force"
	}
	return k.Errs.Error() + "; " + force
}

// Values names the values in force: "the defaults", "the values read at 15:04",
// with the day where that was another.
func (k Kept) Values() string {
	if k.Read.IsZero() {
		return "the defaults"
	}
	form := "15:04"
	if k.now.YearDay() != k.Read.YearDay() || k.now.Year() != k.Read.Year() {
		form = "15:04 on 2 January 2006"
	}
	return "the values read at " + k.Read.Format(form)
}

// NewKeeper returns a keeper of the defaults for a suit folder.
func NewKeeper(root string) *Keeper {
	return &Keeper{root: root, suit: good[Suit]{value: defaultSuit()}}
}

// Load reads what has changed. The folder holds for every file the values now in
// force; where these are not the file's own, the list says why.
func (k *Keeper) Load(now time.Time) (*Folder, []Kept) {
	var kept []Kept
	kept = k.suit.load(k.root, suitFile, now, readSuit, kept)
	kept = k.wearer.load(k.root, wearerFile, now, readWearer, kept)
	kept = k.logbook.load(k.root, logbookFile, now, readLogbook, kept)
	return &Folder{Root: k.root, Suit: k.suit.value, Wearer: k.wearer.value, Logbook: k.logbook.value}, kept
}

// Good is what a file said when it could last be used.
type Good struct {
	Text []byte
	Read time.Time
}

// Good returns what the values in force were read from, by the names of the
// files: for Recall in another run. Texts of wearer.toml hold measures of a body.
func (k *Keeper) Good() map[string]Good {
	all := map[string]Good{}
	k.suit.tell(all, suitFile)
	k.wearer.tell(all, wearerFile)
	k.logbook.tell(all, logbookFile)
	return all
}

// Recall takes up what Good returned in another run, before the first Load, for
// files that cannot be used now. One that is no longer there was taken away on
// purpose, as nobody looked: it is not recalled.
func (k *Keeper) Recall(all map[string]Good) {
	k.suit.recall(k.root, suitFile, all, readSuit)
	k.wearer.recall(k.root, wearerFile, all, readWearer)
	k.logbook.recall(k.root, logbookFile, all, readLogbook)
}

func (g *good[T]) tell(all map[string]Good, name string) {
	if len(g.text) > 0 {
		all[name] = Good{g.text, g.at}
	}
}

func (g *good[T]) recall(root, name string, all map[string]Good, read func([]byte) (T, Errors)) {
	before, known := all[name]
	if now, fault := readFile(root, name); !known || now == nil && fault == nil {
		return
	}
	if value, errs := read(before.Text); len(errs) == 0 {
		g.value, g.text, g.at = value, before.Text, before.Read
	}
}

// load reads one file. An empty one is taken for one that is being written, and
// one that is gone for a mishap, if it has said something before.
func (g *good[T]) load(root, name string, now time.Time, read func([]byte) (T, Errors), kept []Kept) []Kept {
	text, fault := readFile(root, name)
	var errs Errors
	switch {
	case fault != nil:
		errs = Errors{fault}
	case len(text) == 0 && len(g.text) == 0:
		return kept
	case text == nil:
		errs = Errors{{File: name, Fault: "is gone", Expected: "it back as it was, or a new one with a line such as # nothing"}}
	case len(text) == 0:
		errs = Errors{{File: name, Fault: "is empty", Expected: "what it said before, or a line such as # nothing"}}
	case bytes.Equal(text, g.text):
		return kept
	default:
		var value T
		if value, errs = read(text); len(errs) == 0 {
			g.value, g.text, g.at = value, text, now
			return kept
		}
	}
	return append(kept, Kept{File: name, Errs: errs, Read: g.at, now: now})
}
