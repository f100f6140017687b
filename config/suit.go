package config

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"gambeson/analysis"
)

// Suit is what suit.toml says: the printer, the filament, what lies between
// skin and shell, and what is known of each part.
type Suit struct {
	Printer    analysis.Printer
	Second     *analysis.Printer // nil where there is none
	Filament   analysis.Filament
	Shell      analysis.Shell
	Parts      []Part
	Assemblies []Assembly
	Watch      Watch
}

// Watch is how the daemon of a folder behaves.
type Watch struct {
	Notify bool // tell the desktop what the person must act on
}

// Part is one [[part]] entry. It holds for every part that its pattern matches.
type Part struct {
	File string // pattern, see Match
	Pins
	line, column int // of the key `file`
}

// Assembly names files that are pieces of one shell.
type Assembly struct {
	Name         string
	Files        []string // patterns, see Match
	line, column int      // of the key `files`
}

// Regions are the regions of the body that a part can cover, from the ground
// up.
func Regions() []string {
	return []string{"foot", "lower_leg", "knee", "thigh", "hips", "torso", "shoulder",
		"upper_arm", "elbow", "forearm", "hand", "neck", "head"}
}

// defaultSuit is what holds where there is no suit.toml.
func defaultSuit() Suit {
	b := analysis.DefaultBrief()
	return Suit{Printer: b.Printer, Filament: b.Filament, Shell: b.Shell, Watch: Watch{Notify: true}}
}

// readSuit reads the text of a suit.toml. The ranges below are wide enough for
// any machine of the trade and narrow enough to find a slip of the keyboard
// (common practice, no source).
func readSuit(text []byte) (Suit, Errors) {
	s := defaultSuit()
	f, top := open(suitFile, text)
	if top == nil {
		return s, f.errs
	}
	s.read(top)
	if errs := f.close(); len(errs) > 0 {
		return defaultSuit(), errs
	}
	return s, nil
}

func (s *Suit) read(top *table) {
	readPrinter(top.sub("printer"), &s.Printer)
	if second := top.sub("second_printer"); top.has("second_printer") {
		s.Second = readSecond(second, s.Printer)
	}
	filament := top.sub("filament")
	filament.length("diameter", 0.5, 5, &s.Filament.Diameter)
	filament.number("density", "g/cm³", span{low: 0.3, high: 12}, &s.Filament.Density)
	readShell(top.sub("shell"), &s.Shell)
	var notify *bool
	if top.sub("watch").flag("notify", &notify); notify != nil {
		s.Watch.Notify = *notify
	}
	for _, t := range top.each("part") {
		s.Parts = append(s.Parts, readPart(t))
	}
	for _, t := range top.each("assembly") {
		s.Assemblies = append(s.Assemblies, readAssembly(t, s.Assemblies))
	}
}

var openingName = regexp.MustCompile(`^[A-Z]{1,2}$`)

func readPart(t *table) Part {
	var p Part
	t.need("file")
	t.text("file", `a file or pattern such as "legs/greave-*.stl"`, &p.File)
	p.File = t.pattern("file", p.File)
	p.line, p.column = t.place("file")
	t.word("region", Regions(), &p.Region)
	t.word("side", []string{"left", "right"}, &p.Side)
	t.word("panel", []string{"back", "front", "left", "right", "inner", "outer"}, &p.Panel)
	t.fileUnit("unit", &p.Unit)
	t.text("enter", `the letter of an opening, such as "A"`, &p.Enter)
	if p.Enter != "" && !openingName.MatchString(p.Enter) {
		t.wrong("enter", &Error{Fault: show(p.Enter) + " is no opening", Expected: `the letter that the report gives it, such as "A"`})
	}
	t.axis("axis", &p.Axis)
	t.flag("halves", &p.Halves)
	t.flag("strapped", &p.Strapped)
	t.flag("whole", &p.Whole)
	t.percent("percent", false, percents(), &p.Percent)
	var rest float64
	if t.length("rest", 0, deepest, &rest) {
		p.Rest = &rest
	}
	readPadding(t, &p.Pins, analysis.Shell{Padding: math.Inf(1)}) // [shell] may still follow
	return p
}

// deepest is how far into a part a body can rest, mm: longer than any leg.
const deepest = 1500

// percents are the scales that can be asked for.
func percents() span { return span{low: 10, high: 1000} }

// fileUnit reads the unit of a mesh file and writes its name out.
func (t *table) fileUnit(key string, to *string) {
	words := []string{"millimetre", "centimetre", "metre", "inch", "foot", "micron"}
	same := map[string]string{"mm": "millimetre", "cm": "centimetre", "m": "metre", "in": "inch", "ft": "foot",
		"millimeter": "millimetre", "centimeter": "centimetre", "meter": "metre", "inches": "inch", "feet": "foot"}
	if s, ok := t.values[key].(string); ok && same[s] != "" {
		t.asked = append(t.asked, key)
		*to = same[s]
		return
	}
	t.word(key, words, to)
}

// axis reads a direction.
func (t *table) axis(key string, to **r3.Vec) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	list, _ := v.([]any)
	var xyz [3]float64
	good := len(list) == 3
	for i := 0; good && i < 3; i++ {
		xyz[i], good = plain(list[i])
		good = good && math.Abs(xyz[i]) <= 1e6
	}
	a := r3.Vec{X: xyz[0], Y: xyz[1], Z: xyz[2]}
	if !good || r3.Norm(a) < 1e-6 {
		t.wrong(key, &Error{Fault: show(v) + " is no direction", Expected: "three numbers, not all 0, such as [0, 0, 1]"})
		return
	}
	*to = &a
}

// pattern cleans a pattern and reports one that can match nothing.
func (t *table) pattern(key, pattern string) string {
	clean := strings.TrimPrefix(pattern, "./")
	switch {
	case pattern == "":
	case strings.HasPrefix(clean, "/") || slices.Contains(strings.Split(clean, "/"), ".."):
		t.wrong(key, &Error{Fault: show(pattern) + " leads out of the suit's folder", Expected: "a path from the suit's folder on"})
	case strings.Contains(clean, `\`):
		t.wrong(key, &Error{Fault: show(pattern) + " has a backslash", Expected: "/ between folders", Nearest: show(strings.ReplaceAll(pattern, `\`, "/"))})
	case !soundPattern(clean):
		t.wrong(key, &Error{Fault: show(pattern) + " is no pattern", Expected: "a file name, * for any letters, ** for any folders"})
	}
	return clean
}

func readAssembly(t *table, before []Assembly) Assembly {
	var a Assembly
	t.need("name", "files")
	t.text("name", `a name such as "left boot"`, &a.Name)
	for _, b := range before {
		if b.Name == a.Name && a.Name != "" {
			t.wrong("name", &Error{Fault: show(a.Name) + " is the name of another assembly", Expected: "each to have its own"})
		}
	}
	a.line, a.column = t.place("files")
	v, ok := t.take("files")
	if !ok {
		return a
	}
	list, _ := v.([]any)
	for _, item := range list {
		if s, isText := item.(string); isText && s != "" {
			a.Files = append(a.Files, t.pattern("files", s))
		}
	}
	if len(a.Files) == 0 || len(a.Files) != len(list) || len(list) == 1 && !strings.Contains(a.Files[0], "*") {
		t.wrong("files", &Error{Fault: show(v) + " is no list of files", Expected: fmt.Sprintf("two files or more such as %s", `["boot-top.stl", "boot-toe.stl"]`)})
	}
	return a
}

// Assembly returns the assembly that a part is a piece of; the first that names
// it wins.
func (s Suit) Assembly(part string) (Assembly, bool) {
	for _, a := range s.Assemblies {
		if slices.ContainsFunc(a.Files, func(pattern string) bool { return Match(pattern, part) }) {
			return a, true
		}
	}
	return Assembly{}, false
}
