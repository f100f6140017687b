package config

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"gambeson/analysis"
)

// Error is one thing wrong in one place of a file that a person wrote. It
// quotes the value at fault and nothing else of the file.
type Error struct {
	File     string // relative to the suit folder, "" for a value of no file
	Line     int    // from 1, 0 where the whole file is meant
	Column   int    // from 1, in characters
	Key      string // with its table: "printer.height"
	Fault    string // what is wrong: "unknown key", "true is no length"
	Expected string // what was expected, "" where the fault says it all
	Nearest  string // the nearest known key or the likely meant value, "" for none
	Slip     bool   // the name of a part is most likely mistyped, or that of a file that has another now
	err      error
}

// Error says all of it on one line.
func (e *Error) Error() string {
	var b strings.Builder
	if e.File != "" {
		b.WriteString(e.File)
		if e.Line > 0 {
			fmt.Fprintf(&b, ":%d:%d", e.Line, e.Column)
		}
		b.WriteString(": ")
	}
	if e.Key != "" {
		b.WriteString(e.Key + ": ")
	}
	b.WriteString(e.Fault)
	if e.Expected != "" {
		b.WriteString("; expected " + e.Expected)
	}
	if e.Nearest != "" {
		b.WriteString("; did you mean " + e.Nearest + "?")
	}
	return b.String()
}

// Unwrap returns the cause, nil where the fault is the person's own.
func (e *Error) Unwrap() error { return e.err }

// Errors are the faults of one or more files, each file's in the order of its
// lines.
type Errors []*Error

// Error lists the faults, one a line, twenty of them at most.
func (e Errors) Error() string {
	const most = 20
	var lines []string
	for _, one := range e[:min(len(e), most)] {
		lines = append(lines, one.Error())
	}
	if len(e) > most {
		lines = append(lines, "and more")
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives errors.As and errors.Is the single faults.
func (e Errors) Unwrap() []error {
	all := make([]error, len(e))
	for i, one := range e {
		all[i] = one
	}
	return all
}

// orNil keeps an empty list from becoming an error that is not nil.
func (e Errors) orNil() error {
	if len(e) == 0 {
		return nil
	}
	return e
}

// maxErrors is how many faults of a file are looked into: more help nobody, and
// finding the nearest key costs time.
const maxErrors = 100

// file is one TOML file while it is read. Its faults are gathered, not returned
// one by one, so that a person mends them all in one go.
type file struct {
	name   string
	text   []byte // without a byte order mark
	errs   Errors
	tables []*table
}

// open measures and decodes a text; where that fails, the table is nil and the
// file holds the reason.
func open(name string, text []byte) (*file, *table) {
	f := &file{name: name, text: bytes.TrimPrefix(text, []byte("\ufeff"))}
	values, places, err := decode(f.text)
	if err != nil {
		f.add(err)
		return f, nil
	}
	return f, f.table("", "", places, values)
}

// decode measures and decodes a text.
func decode(text []byte) (values map[string]any, places *node, err *Error) {
	places, err = scan(text)
	if err != nil {
		return nil, nil, err
	}
	// The decoder panics where it finds a bug of its own.
	defer func() {
		if r := recover(); r != nil {
			values, places, err = nil, nil, &Error{Fault: fmt.Sprintf("not valid TOML: %v", r)}
		}
	}()
	if _, broken := toml.Decode(string(text), &values); broken != nil {
		return nil, nil, syntax(text, broken)
	}
	return values, places, nil
}

var (
	pairLine  = regexp.MustCompile(`^([\w.-]+)\s*=\s*(.*?)\s*(?:#.*)?$`)
	sideKey   = regexp.MustCompile(`^(\w+)\.(left|right)$`)
	bareText  = regexp.MustCompile(`^[\p{L}\d][^"']*$`)
	curlyText = regexp.MustCompile(`^[“”„‘’]([^“”„‘’"]*)[“”„‘’]$`)
	inchText  = regexp.MustCompile(`^"([^"]*")"$`)
	inches    = regexp.MustCompile(`^\d[^"']*["'’′″]`)
	comma     = regexp.MustCompile(`^\d+,\d+$`)
	zeros     = regexp.MustCompile(`^0+(\d+)$`)
)

// spaces are characters that look like one between a number and its unit.
var spaces = strings.NewReplacer("\t", " ", "\u00a0", " ", "\u202f", " ")

// meantLine guesses what a line that is no TOML was meant to say: mostly text
// without quotes, such as 38.5 cm. The key is "" where the line has none, the
// guess where there is none.
func meantLine(line string) (key, guess string) {
	pair := pairLine.FindStringSubmatch(line)
	if pair == nil {
		return "", ""
	}
	key = pair[1]
	value := pair[2]
	var any struct{ K any }
	_, err := toml.Decode("K = "+value, &any)
	if bare := strings.TrimRight(value, ",; "); err != nil && bare != value && bare != "" {
		if _, err := toml.Decode("K = "+bare, &any); err == nil && printable(bare) {
			return key, key + " = " + bare
		}
		return meantLine(key + " = " + bare)
	}
	if value = spaces.Replace(value); err == nil || !printable(value) {
		return key, "" // the fault is elsewhere, or nothing that a person typed
	}
	switch words := map[string]string{"yes": "true", "True": "true", "no": "false", "False": "false"}; {
	case words[value] != "":
		value = words[value]
	case comma.MatchString(value):
		value = point(value)
	case zeros.MatchString(value):
		value = zeros.ReplaceAllString(value, "$1")
	case bareText.MatchString(value):
		value = strconv.Quote(point(value))
	case curlyText.MatchString(value):
		value = strconv.Quote(curlyText.FindStringSubmatch(value)[1])
	case inches.MatchString(value) && spelt(value) != "":
		value = strconv.Quote(spelt(value))
	case inchText.MatchString(value):
		value = "'" + inchText.FindStringSubmatch(value)[1] + "'"
	default:
		return key, ""
	}
	return key, key + " = " + value
}

// add notes a fault of this file.
func (f *file) add(e *Error) {
	if len(f.errs) < maxErrors {
		e.File = f.name
		f.errs = append(f.errs, e)
	}
}

// close reports the keys that nobody asked for and returns all faults.
func (f *file) close() Errors {
	for _, t := range f.tables {
		t.unknown()
	}
	slices.SortStableFunc(f.errs, func(a, b *Error) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return f.errs
}

// table is one table of a file while it is read. Asking for a key makes it
// known; a wrong value is a fault and leaves what the key sets as it was.
type table struct {
	file   *file
	path   string // "printer", "part"; "" at the top
	self   string // what a person calls it: "[printer]", "[[part]]"
	node   *node
	values map[string]any
	asked  []string
}

func (f *file) table(path, self string, n *node, values map[string]any) *table {
	if n == nil {
		n = &node{}
	}
	t := &table{file: f, path: path, self: self, node: n, values: values}
	f.tables = append(f.tables, t)
	return t
}

// take returns a key's value.
func (t *table) take(key string) (any, bool) {
	t.asked = append(t.asked, key)
	v, ok := t.values[key]
	return v, ok
}

// has reports whether a key is there.
func (t *table) has(key string) bool {
	_, ok := t.values[key]
	return ok
}

var bareKey = regexp.MustCompile(`^[\w-]{1,64}(\.(left|right))?$`)

// full is a key with its table.
func (t *table) full(key string) string {
	if !bareKey.MatchString(key) {
		key = show(key)
	}
	if t.path == "" {
		return key
	}
	return t.path + "." + key
}

// place returns line and column of a key, or of the table where it has none.
func (t *table) place(key string) (line, column int) {
	n := t.node
	if c := n.keys[key]; c != nil {
		n = c
	}
	return position(t.file.text, n.at)
}

// wrong notes a fault at a key.
func (t *table) wrong(key string, e *Error) {
	e.Line, e.Column = t.place(key)
	e.Key = t.full(key)
	t.file.add(e)
}

// need notes the keys that are missing.
func (t *table) need(keys ...string) {
	for _, key := range keys {
		if !t.has(key) {
			line, column := position(t.file.text, t.node.at)
			t.file.add(&Error{Line: line, Column: column, Key: t.full(key), Fault: "missing key",
				Expected: "each " + t.self + " to have it"})
		}
	}
}

// unknown reports the keys that were not asked for.
func (t *table) unknown() {
	keys := slices.SortedFunc(maps.Keys(t.values), func(a, b string) int {
		return cmp.Or(cmp.Compare(t.at(a), t.at(b)), cmp.Compare(a, b))
	})
	for _, key := range keys {
		if len(t.file.errs) >= maxErrors {
			return
		}
		if !slices.Contains(t.asked, key) {
			t.wrong(key, &Error{Fault: "unknown key", Nearest: t.nearestKey(key)})
		}
	}
}

// at is the offset of a key.
func (t *table) at(key string) int {
	if c := t.node.keys[key]; c != nil {
		return c.at
	}
	return t.node.at
}

// nearestKey names the known key that a person likely meant: the same word in
// another table of the file, else the nearest in this one.
func (t *table) nearestKey(key string) string {
	for _, other := range t.file.tables {
		if other != t && slices.Contains(other.asked, key) {
			return other.full(key)
		}
	}
	if near := nearest(key, t.asked); near != "" {
		return t.full(near)
	}
	return ""
}

// nearest returns the word of a list that is most like a given one: it shares
// most whole words (calf_circumference, calf_girth), then it has the least
// distance. The first of equals wins.
func nearest(word string, list []string) string {
	const long = 64 // longer than every word there is
	if len(word) > long {
		word = word[:long]
	}
	parts := strings.Split(strings.ToLower(word), "_")
	best, bestShared, bestFar := "", -1, math.MaxInt
	for _, candidate := range list {
		shared := 0
		for _, part := range strings.Split(candidate, "_") {
			if slices.Contains(parts, part) {
				shared++
			}
		}
		far := distance(strings.ToLower(word), candidate)
		if shared > bestShared || shared == bestShared && far < bestFar {
			best, bestShared, bestFar = candidate, shared, far
		}
	}
	return best
}

// distance counts the letters to put in, take out, change or swap with their
// neighbour to make one word of another (optimal string alignment distance:
// Damerau 1964, computed as by Wagner and Fischer 1974).
func distance(from, to string) int {
	a, b := []rune(from), []rune(to)
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range b {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+change)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}

// sub returns a table inside this one, empty where the file has none.
func (t *table) sub(key string) *table {
	v, ok := t.take(key)
	values, isTable := v.(map[string]any)
	if ok && !isTable {
		t.wrong(key, &Error{Fault: show(v) + " is no table", Expected: "a table headed [" + key + "]"})
	}
	return t.file.table(t.full(key), "["+key+"]", t.node.keys[key], values)
}

// each returns the tables of a list of tables.
func (t *table) each(key string) []*table {
	v, ok := t.take(key)
	if !ok {
		return nil
	}
	var values []map[string]any
	switch v := v.(type) {
	case []map[string]any:
		values = v
	case []any:
		for _, item := range v {
			one, isTable := item.(map[string]any)
			if !isTable {
				break
			}
			values = append(values, one)
		}
		if len(values) == len(v) {
			break
		}
		values = nil
		t.wrong(key, &Error{Fault: show(v) + " is no list of tables", Expected: "tables headed [[" + key + "]]"})
	default:
		t.wrong(key, &Error{Fault: show(v) + " is no list of tables", Expected: "tables headed [[" + key + "]]"})
	}
	var tables []*table
	for i, one := range values {
		var n *node
		if c := t.node.keys[key]; c != nil && i < len(c.items) {
			n = c.items[i]
		}
		tables = append(tables, t.file.table(t.full(key), "[["+key+"]]", n, one))
	}
	return tables
}

// text reads text that is not empty.
func (t *table) text(key, expected string, to *string) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	s, isText := v.(string)
	if !isText || strings.TrimSpace(s) == "" {
		t.wrong(key, &Error{Fault: show(v) + " is no text", Expected: expected})
		return
	}
	*to = s
}

// word reads one of a few words.
func (t *table) word(key string, words []string, to *string) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	s, isText := v.(string)
	if !isText || !slices.Contains(words, s) {
		e := &Error{Fault: show(v) + " is not known here", Expected: "one of " + strings.Join(words, ", ")}
		if isText {
			s = strings.ToLower(strings.ReplaceAll(strings.TrimSpace(s), " ", "_"))
			if near := meantWord(s, words); near != "" {
				e.Nearest = strconv.Quote(near)
			}
		}
		t.wrong(key, e)
		return
	}
	*to = s
}

// meantWord is the one of a few words that was most likely meant, "" where none: it is
// nearly spelt so, begins so, or the other is another word for the same region.
func meantWord(word string, words []string) string {
	if near := nearest(word, words); 3*distance(word, near) <= len(word)+1 {
		return near
	}
	var begin []string
	for _, w := range words {
		if word != "" && strings.HasPrefix(w, word) {
			begin = append(begin, w)
		}
	}
	if len(begin) == 1 {
		return begin[0]
	}
	if region, ok := analysis.RegionNamed(word); ok && slices.Contains(words, region) {
		return region
	}
	return ""
}

// flag reads true or false.
func (t *table) flag(key string, to **bool) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	yes, isFlag := v.(bool)
	if !isFlag {
		t.wrong(key, &Error{Fault: show(v) + " is neither true nor false", Expected: "true or false"})
		return
	}
	*to = &yes
}

// whole reads a whole number.
func (t *table) whole(key string, within span, to *int) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	n, isWhole := v.(int64)
	if x, isFloat := v.(float64); isFloat && x == math.Trunc(x) && math.Abs(x) < 1e9 {
		n, isWhole = int64(x), true
	}
	switch {
	case !isWhole:
		t.wrong(key, &Error{Fault: show(v) + " is no whole number", Expected: within.text("")})
	case !within.holds(float64(n)):
		t.wrong(key, &Error{Fault: show(v) + " is out of range", Expected: within.text("")})
	default:
		*to = int(n)
	}
}

// number reads a plain number of some unit.
func (t *table) number(key, unit string, within span, to *float64) {
	v, ok := t.take(key)
	if !ok {
		return
	}
	x, isNumber := plain(v)
	switch {
	case !isNumber:
		t.wrong(key, &Error{Fault: show(v) + " is no number", Expected: within.text(unit)})
	case !within.holds(x):
		t.wrong(key, &Error{Fault: show(v) + " is out of range", Expected: within.text(unit)})
	default:
		*to = x
	}
}

// plain returns a finite number of a file.
func plain(v any) (float64, bool) {
	switch v := v.(type) {
	case int64:
		return float64(v), true
	case float64:
		return v, !math.IsNaN(v) && !math.IsInf(v, 0)
	}
	return 0, false
}

// show writes a value as a person knows it, shortened.
func show(v any) string {
	switch v := v.(type) {
	case string:
		const most = 40
		if r := []rune(v); len(r) > most {
			v = string(r[:most]) + "…"
		}
		return strconv.Quote(v)
	case time.Time:
		return "a date"
	case map[string]any:
		return "a table"
	case []any, []map[string]any:
		return "a list"
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	default:
		return fmt.Sprint(v)
	}
}
