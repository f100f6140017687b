package config

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// What a file may hold at most. BurntSushi/toml 1.6.0 needs time and memory
// quadratic in the depth of keys and values, and a long enough run of brackets
// overflows the stack of the goroutine, which no recover can catch. So the text
// is measured before it is decoded. At these limits the slowest text found
// takes about 1.5 s of one core (BenchmarkWorst).
const (
	maxFile  = 1 << 20 // bytes of a file
	maxLine  = 4 << 10 // bytes of a line
	maxKey   = 256     // bytes of a key, dots included
	maxDots  = 32      // dots in a key
	maxDepth = 32      // lists and inline tables inside each other
	maxParts = 200_000 // parts of all keys, each counted with those it stands under
)

// readFile returns the bytes of root/name, nil and no error where there is no
// such file. It never blocks on a pipe and never reads a device.
func readFile(root, name string) ([]byte, *Error) {
	f, err := os.OpenFile(filepath.Join(root, name), os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, &Error{File: name, Fault: "cannot be opened: " + cause(err), err: err}
	}
	defer f.Close()
	switch info, err := f.Stat(); {
	case err != nil:
		return nil, &Error{File: name, Fault: "cannot be opened: " + cause(err), err: err}
	case info.IsDir():
		return nil, &Error{File: name, Fault: "is a folder", Expected: "a text file"}
	case !info.Mode().IsRegular():
		return nil, &Error{File: name, Fault: "is a pipe, socket or device", Expected: "a text file"}
	}
	text, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, &Error{File: name, Fault: "cannot be read: " + cause(err), err: err}
	}
	if text == nil {
		text = []byte{}
	}
	return text, nil
}

// cause is what went wrong, without the path that the error already names.
func cause(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	return err.Error()
}

// node is where a table, list or value stands in a text.
type node struct {
	at    int              // offset of the key, of the header's bracket or of the list's item
	keys  map[string]*node // of a table
	items []*node          // of a list, or of the tables headed [[so]]
}

// child returns the node of a key, made where it is met first.
func (n *node) child(key string, at int) *node {
	if c := n.keys[key]; c != nil {
		return c
	}
	if n.keys == nil {
		n.keys = map[string]*node{}
	}
	c := &node{at: at}
	n.keys[key] = c
	return c
}

// last is the table that a header or key under this node speaks of: the newest
// of a list of tables, else the node itself.
func (n *node) last() *node {
	if len(n.items) > 0 {
		return n.items[len(n.items)-1]
	}
	return n
}

// scanner runs over a TOML text once, measures it and notes where each key
// stands. It takes broken syntax as it comes and leaves the complaint to the
// decoder, which stops at the first fault: up to there both see the same.
type scanner struct {
	text  []byte
	at    int
	root  *node
	table *node // the table whose keys follow
	depth int   // parts of that table's header
	parts int   // parts of all keys so far
	err   *Error
}

// scan measures a text and returns where its keys stand. The error says which
// limit was passed, and where.
func scan(text []byte) (*node, *Error) {
	if err := measure(text); err != nil {
		return nil, err
	}
	s := &scanner{text: text, root: &node{}}
	s.table = s.root
	for s.blank(); s.at < len(text) && s.err == nil; s.blank() {
		start := s.at
		if s.next('[') {
			s.header(start)
		} else {
			s.pair(s.table, s.depth, 0)
		}
		if s.at == start {
			s.at++
		}
	}
	return s.root, s.err
}

// measure checks what needs no understanding of the text.
func measure(text []byte) *Error {
	if len(text) > maxFile {
		return &Error{Fault: "is larger than 1 MiB", Expected: "a file of settings"}
	}
	if i := bytes.IndexByte(text, 0); i >= 0 {
		return fault(text, i, "a NUL byte", "text saved as UTF-8")
	}
	for at := 0; at < len(text); {
		end := len(text)
		if i := bytes.IndexByte(text[at:], '\n'); i >= 0 {
			end = at + i + 1
		}
		if end-at > maxLine {
			return fault(text, at, "a line of more than 4096 bytes", "shorter lines")
		}
		for i := at; i < end; {
			r, size := utf8.DecodeRune(text[i:end])
			if r == utf8.RuneError && size == 1 {
				return fault(text, i, "a byte that is not UTF-8", "text saved as UTF-8")
			}
			i += size
		}
		at = end
	}
	return nil
}

// fault is an error at an offset of a text.
func fault(text []byte, at int, what, expected string) *Error {
	line, column := position(text, at)
	return &Error{Line: line, Column: column, Fault: what, Expected: expected}
}

// position returns line and column of an offset, both from 1, the column in
// characters.
func position(text []byte, at int) (line, column int) {
	at = min(max(at, 0), len(text))
	start := bytes.LastIndexByte(text[:at], '\n') + 1
	return bytes.Count(text[:at], []byte{'\n'}) + 1, utf8.RuneCount(text[start:at]) + 1
}

// stop ends the scan with the first fault.
func (s *scanner) stop(at int, what, expected string) {
	if s.err == nil {
		s.err = fault(s.text, at, what, expected)
		s.at = len(s.text)
	}
}

// next takes one byte if it is the one.
func (s *scanner) next(c byte) bool {
	if s.at < len(s.text) && s.text[s.at] == c {
		s.at++
		return true
	}
	return false
}

// spaces skips what separates words on a line.
func (s *scanner) spaces() {
	for s.next(' ') || s.next('\t') {
	}
}

// blank skips spaces, line ends and comments.
func (s *scanner) blank() {
	for s.at < len(s.text) {
		switch s.text[s.at] {
		case ' ', '\t', '\n', '\r':
			s.at++
		case '#':
			s.line()
		default:
			return
		}
	}
}

// line skips what is left of a line.
func (s *scanner) line() {
	if i := bytes.IndexByte(s.text[s.at:], '\n'); i >= 0 {
		s.at += i
	} else {
		s.at = len(s.text)
	}
}

// header reads [table] or [[table]] after its first bracket.
func (s *scanner) header(start int) {
	list := s.next('[')
	parts := s.key(0)
	s.depth = len(parts)
	n := s.root
	for _, part := range parts {
		n = n.last().child(part, start)
	}
	if list {
		n.items = append(n.items, &node{at: start})
	}
	s.table = n.last()
	s.line()
}

// pair reads key = value into a table that lies under so many parts of keys,
// inside so many brackets.
func (s *scanner) pair(n *node, under, brackets int) {
	start := s.at
	parts := s.key(under)
	for _, part := range parts {
		n = n.last().child(part, start)
	}
	if s.spaces(); s.next('=') {
		s.spaces()
		s.value(n, under+len(parts), brackets)
	}
}

// key reads a.b."c d" and returns its parts.
func (s *scanner) key(under int) []string {
	start := s.at
	var parts []string
	for {
		s.spaces()
		parts = append(parts, s.part())
		s.parts += under + len(parts)
		s.spaces()
		if !s.next('.') {
			break
		}
		if len(parts) > maxDots {
			s.stop(start, "a key with more than 32 dots", "a plain key")
		}
	}
	switch {
	case s.at-start > maxKey:
		s.stop(start, "a key of more than 256 bytes", "a shorter key")
	case s.parts > maxParts:
		s.stop(start, "too many keys", "a file of settings")
	}
	return parts
}

// part reads one part of a key, bare or quoted.
func (s *scanner) part() string {
	start := s.at
	if s.at < len(s.text) && (s.text[s.at] == '"' || s.text[s.at] == '\'') {
		s.quoted()
		return unquote(s.text[start:s.at])
	}
	for s.at < len(s.text) && !strings.ContainsRune(" \t\r\n.=[]{},#\"'", rune(s.text[s.at])) {
		s.at++
	}
	return string(s.text[start:s.at])
}

// unquote returns what a quoted part of a key says.
func unquote(quoted []byte) string {
	if !bytes.ContainsRune(quoted, '\\') || quoted[0] == '\'' {
		return string(bytes.Trim(quoted, string(quoted[:1])))
	}
	var v struct{ K string }
	if _, err := toml.Decode("K = "+string(quoted), &v); err != nil {
		return string(quoted)
	}
	return v.K
}

// value reads a value of a node.
func (s *scanner) value(n *node, under, brackets int) {
	if s.at >= len(s.text) {
		return
	}
	if brackets > maxDepth {
		s.stop(s.at, "more than 32 lists or tables inside each other", "plain values")
		return
	}
	switch c := s.text[s.at]; c {
	case '"', '\'':
		s.quoted()
	case '[':
		s.at++
		s.list(n, under, brackets+1)
	case '{':
		s.at++
		s.inline(n, under, brackets+1)
	default:
		for s.at < len(s.text) && !strings.ContainsRune(",]}#\n", rune(s.text[s.at])) {
			s.at++
		}
	}
}

// list reads the items of a list after its bracket, up to the closing one.
func (s *scanner) list(n *node, under, brackets int) {
	for s.blank(); s.at < len(s.text); s.blank() {
		switch start := s.at; {
		case s.next(']'):
			return
		case s.next(','):
		default:
			item := &node{at: start}
			n.items = append(n.items, item)
			if s.value(item, under, brackets); s.at == start {
				s.at++
			}
		}
	}
}

// inline reads the pairs of an inline table after its brace.
func (s *scanner) inline(n *node, under, brackets int) {
	for s.blank(); s.at < len(s.text); s.blank() {
		switch start := s.at; {
		case s.next('}'):
			return
		case s.next(','):
		default:
			if s.pair(n, under, brackets); s.at == start {
				s.at++
			}
		}
	}
}

// quoted skips a string of any of the four kinds.
func (s *scanner) quoted() {
	quote := s.text[s.at : s.at+1]
	three := bytes.Repeat(quote, 3)
	escapes := quote[0] == '"'
	if !bytes.HasPrefix(s.text[s.at:], three) {
		s.at++
		s.until(quote, escapes, true)
		return
	}
	s.at += 3
	s.until(three, escapes, false)
	for range 2 { // up to two quotes may stand before the closing three
		s.next(quote[0])
	}
}

// until skips to behind an end mark, or to the end of the line or text.
func (s *scanner) until(end []byte, escapes, oneLine bool) {
	for s.at < len(s.text) {
		switch {
		case escapes && s.text[s.at] == '\\':
			s.at = min(s.at+2, len(s.text))
		case oneLine && s.text[s.at] == '\n':
			return
		case bytes.HasPrefix(s.text[s.at:], end):
			s.at += len(end)
			return
		default:
			s.at++
		}
	}
}
