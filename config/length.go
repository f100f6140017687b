package config

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// unit is one way to write a quantity.
type unit struct {
	name   string   // as we write it
	factor float64  // in the first unit of its kind
	spells []string // as people write it, small letters
}

// kind is a sort of quantity with its units; the first is the one of plain
// numbers and of every value inside the program.
type kind struct {
	noun    string
	example string
	units   []unit
}

// lengths are measured in mm. The inch is 25.4 mm and the foot 304.8 mm exactly
// (international yard and pound agreement of 1959).
func lengths() kind {
	return kind{"length", `a length such as 382 (mm), "38.2 cm" or "15 1/4 in"`, []unit{
		{"mm", 1, []string{"mm", "millimetre", "millimetres", "millimeter", "millimeters"}},
		{"cm", 10, []string{"cm", "centimetre", "centimetres", "centimeter", "centimeters"}},
		{"in", 25.4, []string{"in", "inch", "inches", `"`, "″", "”", "''"}},
		{"m", 1000, []string{"m", "metre", "metres", "meter", "meters"}},
		{"ft", 304.8, []string{"ft", "foot", "feet", "'", "′", "’"}},
	}}
}

// weights are measured in kg. The pound is 0.45359237 kg exactly (same
// agreement), the stone 14 pounds.
func weights() kind {
	return kind{"weight", `a weight such as 68 (kg), "68 kg" or "150 lb"`, []unit{
		{"kg", 1, []string{"kg", "kgs", "kilogram", "kilograms", "kilogramme", "kilogrammes", "kilo", "kilos"}},
		{"lb", 0.45359237, []string{"lb", "lbs", "pound", "pounds"}},
		{"st", 14 * 0.45359237, []string{"st", "stone", "stones"}},
	}}
}

// find returns a unit by how it was spelt.
func (k kind) find(spelt string) (unit, bool) {
	for _, u := range k.units {
		if slices.Contains(u.spells, spelt) {
			return u, true
		}
	}
	return unit{}, false
}

// quantity is a value together with how it was written, which tells what a
// wrong one was meant to be.
type quantity struct {
	value  float64 // in the first unit of its kind
	number float64 // as written; 0 where it was written in two units
	unit   unit    // of that number
}

// ParseLength reads a length that was written as text with a unit and returns
// it in mm: "38.5 cm", "382 mm", "0.382 m", "15 1/4 in", `15.25"`, "5 ft 7 in".
// It is finite and not negative. The error says what was expected and what was
// likely meant.
func ParseLength(text string) (mm float64, err error) {
	q, fault := lengths().parse(text, anything)
	if fault != nil {
		return 0, fault
	}
	return q.value, nil
}

// ParseWeight reads a weight that was written as text with a unit and returns
// it in kg: "68 kg", "150 lb", "10 st 7 lb".
func ParseWeight(text string) (kg float64, err error) {
	q, fault := weights().parse(text, anything)
	if fault != nil {
		return 0, fault
	}
	return q.value, nil
}

var (
	// fraction or number with fraction, then a unit: 1/4 in, 15 1/4 in, 15-1/4 in, 15.25"
	term     = regexp.MustCompile(`^\s*(?:(\d{1,3})\s*/\s*(\d{1,3})|(\d+\.?\d*|\.\d+)(?:(?:\s+|\s*-\s*)(\d{1,3})/(\d{1,3}))?)\s*(\p{L}+|['’]{2}|["”″'’′])?\.?`)
	thousand = regexp.MustCompile(`^(\d{1,3}),(\d{3})($|\D)`)
	decimal  = regexp.MustCompile(`(\d),(\d)`)
)

// vulgar are the fractions that a keyboard or a phone writes as one character.
var vulgar = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8",
	"⅝", " 5/8", "⅞", " 7/8", "⅓", " 1/3", "⅔", " 2/3", "⁄", "/")

// anything is the span of a value of which nothing is known.
var anything = span{high: math.Inf(1)}

// parse reads a quantity with its unit, or says what was likely meant, within a span.
func (k kind) parse(text string, within span) (quantity, *Error) {
	q, odd, ok := k.exact(text)
	if ok {
		return q, nil
	}
	e := &Error{Fault: fmt.Sprintf("%s is no %s", show(text), k.noun), Expected: k.example}
	if strings.Contains(text, ",") {
		text = point(strings.TrimRight(text, ", "))
		if e.Nearest = k.good(text, within); e.Nearest == "" {
			_, odd, _ = k.exact(text)
		}
	}
	if odd.here {
		e.Nearest = k.meantUnit(text, odd, within)
	}
	return quantity{}, e
}

// oddUnit is a unit that could not be read, after so many that could.
type oddUnit struct {
	here  bool
	spelt string // "" where it is missing
	terms int
}

// exact reads a quantity with its unit. Of two units the second must be a part
// of the first: 5 ft 7 in, 10 st 7 lb, 1 m 71 cm. Where only a unit stands in
// the way, it says which.
func (k kind) exact(text string) (q quantity, odd oddUnit, ok bool) {
	const most = 64     // bytes; the longest that makes sense has about twenty
	const largest = 1e6 // a kilometre, a thousand tons: only a slip writes that
	if len(text) > most {
		return q, odd, false
	}
	rest := strings.Join(strings.Fields(strings.ToLower(vulgar.Replace(text))), " ")
	for terms := 0; rest != "" || terms == 0; terms++ {
		m := term.FindStringSubmatch(rest)
		if m == nil || terms == 2 {
			return q, odd, false
		}
		x, sound := count(m)
		u, known := k.find(strings.ReplaceAll(m[6], "’’", "''"))
		rest = strings.TrimSpace(rest[len(m[0]):])
		if !sound || !known {
			return q, oddUnit{sound && rest == "", m[6], terms}, false
		}
		if terms > 0 && (q.unit.factor <= u.factor || x*u.factor > q.unit.factor*(1-1e-9)) {
			return q, odd, false
		}
		q = quantity{value: q.value + x*u.factor, number: x, unit: u}
		if terms > 0 {
			q.number = 0
		}
	}
	return q, odd, q.value <= largest
}

// count returns the number of a term; ok is false for a fraction that is none.
func count(m []string) (x float64, ok bool) {
	above, below := m[1], m[2]
	if m[3] != "" {
		x, _ = strconv.ParseFloat(m[3], 64)
		above, below = m[4], m[5]
	}
	if below == "" {
		return x, true
	}
	a, _ := strconv.ParseFloat(above, 64)
	b, _ := strconv.ParseFloat(below, 64)
	return x + a/b, a < b && !strings.Contains(m[3], ".")
}

// meantUnit guesses at text whose unit is missing or misspelt. A second number
// without a unit, as in 5'7, has the next smaller one; a single one has the units that
// lead into the span, or our own where that holds all.
func (k kind) meantUnit(text string, odd oddUnit, within span) string {
	switch {
	case odd.spelt == "" && odd.terms == 0 && math.IsInf(within.high, 1):
		return k.good(text+" "+k.units[0].name, within)
	case odd.spelt == "" && odd.terms == 0:
		return k.unitFor(text, within)
	case odd.spelt == "":
		return k.good(text+map[string]string{"length": " in", "weight": " lb"}[k.noun], within)
	}
	best, far := "", utf8.RuneCountInString(odd.spelt)
	for _, u := range k.units {
		for _, s := range u.spells {
			if d := distance(odd.spelt, s); d < far {
				best, far = u.name, d
			}
		}
	}
	return k.good(strings.Replace(text, odd.spelt, best, 1), within)
}

// unitFor writes a number of no unit with those with which it is most likely.
func (k kind) unitFor(text string, within span) string {
	var likely, holds []string
	for _, u := range k.units {
		guess := text + " " + u.name
		if q, _, ok := k.exact(guess); ok && within.holds(q.value) {
			holds = append(holds, strconv.Quote(guess))
			if within.likely(q.value) {
				likely = append(likely, strconv.Quote(guess))
			}
		}
	}
	if len(likely) > 0 {
		holds = likely
	}
	return strings.Join(holds[:min(len(holds), 2)], " or ")
}

// good quotes a guess if it can be read and lies within a span, and drops it otherwise.
func (k kind) good(text string, within span) string {
	if q, _, ok := k.exact(text); !ok || !within.holds(q.value) {
		return ""
	}
	return strconv.Quote(text)
}

// marks are the signs that people write for feet and inches.
var marks = strings.NewReplacer("''", " in ", "’’", " in ", `"`, " in ", "″", " in ", "”", " in ", "'", " ft ", "′", " ft ", "’", " ft ")

// spelt writes such signs out, as they cannot stand in a text without more ado: 5'10"
// is 5 ft 10 in. It is empty where the text is no length with such signs.
func spelt(text string) string {
	out := strings.Join(strings.Fields(marks.Replace(text)), " ")
	if out == text {
		return ""
	}
	_, odd, ok := lengths().exact(out)
	if !ok && odd.here && odd.spelt == "" && odd.terms == 1 {
		out += " in"
		_, _, ok = lengths().exact(out)
	}
	if !ok {
		return ""
	}
	return out
}

// point writes a decimal comma as a point, and leaves out one that parts
// thousands.
func point(text string) string {
	if thousand.MatchString(text) {
		return thousand.ReplaceAllString(text, "$1$2$3")
	}
	return decimal.ReplaceAllString(text, "$1.$2")
}

// span is a range of sane values, both ends included. Where most people's
// values lie in a narrower one, a guess prefers that.
type span struct {
	low, high       float64
	usual, usualMax float64 // both 0 where all of it is usual
}

func (s span) holds(x float64) bool { return x >= s.low && x <= s.high }

func (s span) likely(x float64) bool {
	if s.usualMax == 0 {
		return s.holds(x)
	}
	return x >= s.usual && x <= s.usualMax
}

// text says the span: "40 to 5000 mm", "3 or less".
func (s span) text(unit string) string {
	if unit != "" {
		unit = " " + unit
	}
	return trim(s.low, 3) + " to " + trim(s.high, 3) + unit
}

// meant guesses what a value out of its range was meant to be: the same number
// in another unit, else one whose decimal point slipped.
func (k kind) meant(q quantity, within span) string {
	if q.number == 0 {
		return ""
	}
	var likely, holds, slips []string
	for _, u := range k.units {
		x := q.number * u.factor
		if u.name == q.unit.name || !within.holds(x) {
			continue
		}
		guess := fmt.Sprintf("%s %s", trim(q.number, 3), u.name)
		if u.factor != 1 {
			guess += fmt.Sprintf(" = %s %s", trim(x, 2), k.units[0].name)
		}
		holds = append(holds, guess)
		if within.likely(x) {
			likely = append(likely, guess)
		}
	}
	for _, slip := range []float64{10, 0.1, 100, 0.01} {
		if x := q.value * slip; within.holds(x) {
			slips = append(slips, k.slipped(x, q.unit))
		}
	}
	for _, guesses := range [][]string{likely, holds, slips} {
		if len(guesses) > 0 {
			return strings.Join(guesses[:min(len(guesses), 2)], " or ")
		}
	}
	return ""
}

// slipped writes a guess in the unit it was written in, mm as cm.
func (k kind) slipped(x float64, u unit) string {
	if u.name == "mm" {
		u = k.units[1]
	}
	if u.factor == 1 {
		return trim(x, 2) + " " + u.name
	}
	return fmt.Sprintf("%s %s = %s %s", trim(x/u.factor, 2), u.name, trim(x, 2), k.units[0].name)
}

// trim writes a number with so many decimals at most.
func trim(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// quantity reads a plain number or a text with a unit.
func (t *table) quantity(key string, k kind, within span, to *float64) bool {
	v, ok := t.take(key)
	if !ok {
		return false
	}
	x, fault := k.read(v, within)
	if fault != nil {
		t.wrong(key, fault)
		return false
	}
	*to = x
	return true
}

// read turns a value of a file into a quantity within a span.
func (k kind) read(v any, within span) (float64, *Error) {
	q := quantity{unit: k.units[0]}
	if s, isText := v.(string); isText {
		var fault *Error
		if q, fault = k.parse(s, within); fault != nil {
			return 0, fault
		}
	} else {
		var isNumber bool
		if q.value, isNumber = plain(v); !isNumber {
			return 0, &Error{Fault: fmt.Sprintf("%s is no %s", show(v), k.noun), Expected: k.example}
		}
		q.number = q.value
	}
	if !within.holds(q.value) {
		return 0, &Error{Fault: show(v) + " is out of range", Expected: within.text(k.units[0].name), Nearest: k.meant(q, within)}
	}
	return q.value, nil
}

// length reads a length in mm.
func (t *table) length(key string, low, high float64, to *float64) bool {
	return t.quantity(key, lengths(), span{low: low, high: high}, to)
}

// scaled says what a scale is called here, where it is called so.
func (t *table) scaled() {
	v, ok := t.values["scale"]
	if !ok {
		return
	}
	t.asked = append(t.asked, "scale")
	e := &Error{Fault: "unknown key", Nearest: t.full("percent")}
	if x, isNumber := plain(v); isNumber {
		if x < percents().low { // 1.05 is 105 %
			x *= 100
		}
		if percents().holds(x) {
			e.Nearest = "percent = " + trim(x, 3)
		}
	}
	t.wrong("scale", e)
}

// percent reads a number, or text such as "107 %". A share is kept as 0–1 and
// its plain numbers are shares too.
func (t *table) percent(key string, share bool, within span, to *float64) {
	if key == "percent" {
		t.scaled()
	}
	v, ok := t.take(key)
	if !ok {
		return
	}
	one, example := 1.0, `percent such as 107 or "107 %"`
	if share {
		one, example = 0.01, `a share such as 0.15 or "15 %"`
	}
	x, isNumber := plain(v)
	if s, isText := v.(string); isText {
		digits, sign := strings.CutSuffix(strings.TrimSpace(s), "%")
		n, err := strconv.ParseFloat(strings.TrimSpace(digits), 64)
		x, isNumber = n*one, err == nil && sign && !math.IsNaN(n) && !math.IsInf(n, 0)
	}
	e := &Error{Fault: show(v) + " is out of range", Expected: fmt.Sprintf("%s to %s, as %s", trim(within.low, 3), trim(within.high, 3), example)}
	switch {
	case !isNumber:
		e.Fault, e.Expected = fmt.Sprintf("%s is no percentage", show(v)), example
	case within.holds(x):
		*to = x
		return
	case share && within.holds(x/100):
		e.Nearest = strconv.Quote(trim(x, 3) + " %")
	case !share && within.holds(x*100):
		e.Nearest = trim(x*100, 3)
	}
	t.wrong(key, e)
}
