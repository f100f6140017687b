package mesh

import (
	"errors"
	"io/fs"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ErrChanging says that a file is not, or no longer, what it was when it was
// opened: somebody is writing it. Read it again when it has come to rest.
var ErrChanging = errors.New("the file changes while it is read")

// ReadError says why a mesh could not be read, in words for the person whose
// file it is. Every error of Open, Load, LoadMember and Members is one,
// but for a cancelled context.
type ReadError struct {
	Path       string // the file, as given to Open
	Member     string // of an archive, else ""
	Place      string // "byte 84", "line 12", "triangle 7", or ""
	Cause      string // what is wrong
	Remedy     string // what to do about it, or ""
	Unfinished bool   // it looks cut short: the rest may still be on its way
	Err        error  // what the system said, or nil
}

// Error names the file, the place, the cause and the remedy, in this order
// and in printable characters whatever the names hold.
func (e *ReadError) Error() string {
	var b strings.Builder
	name := e.Path
	if e.Member != "" {
		name += "/" + e.Member
	}
	for _, s := range []string{printable(name), e.Place} {
		if s != "" {
			b.WriteString(s)
			b.WriteString(": ")
		}
	}
	b.WriteString(e.Cause)
	if e.Remedy != "" {
		b.WriteString("; ")
		b.WriteString(e.Remedy)
	}
	return b.String()
}

// Unwrap returns what the system said.
func (e *ReadError) Unwrap() error { return e.Err }

// located returns err with path and member filled in where it is a ReadError,
// and as the Err of a new one where the system failed.
// A cancelled context stays what it is.
func located(err error, path, member string) error {
	var r *ReadError
	if errors.As(err, &r) {
		at := *r
		at.Path, at.Member = path, member
		return &at
	}
	return err
}

// systemError is the ReadError for what the system answered at a place.
func systemError(place string, err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return &ReadError{Place: place, Cause: "cannot be read: " + err.Error(), Err: err}
}

// printable returns s as it is where every character can be shown, else
// quoted with escapes: names may hold line ends, terminal codes, or bytes
// that are not UTF-8.
func printable(s string) string {
	if utf8.ValidString(s) && strings.IndexFunc(s, func(r rune) bool { return !strconv.IsPrint(r) }) < 0 {
		return s
	}
	return strconv.Quote(s)
}

// plural is "1 triangle" or "1 234 triangles".
func plural(n int64, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return thousands(n) + " " + noun + "s"
}

// thousands writes n with a blank between groups of three digits from five
// digits on, as ISO 80000-1 has it.
func thousands(n int64) string {
	s := strconv.FormatInt(n, 10)
	if n < 10_000 {
		return s
	}
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + " " + s[i:]
	}
	return s
}
