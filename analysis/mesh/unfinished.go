package mesh

import (
	"bytes"
	"cmp"
	"errors"
)

// Unfinished tells, from the two ends of a file alone, whether Load would say
// that it was cut short, and why. It is for watching a file that grows: a file
// it calls finished may still be damaged, and one that cannot be opened, or
// is no mesh at all, is not unfinished.
func Unfinished(path string) (why string, unfinished bool) {
	f, err := Open(path)
	if err != nil {
		return "", false
	}
	defer f.Close()
	var r *ReadError
	if errors.As(f.source().cutShort(), &r) && r.Unfinished {
		return r.Cause, true
	}
	return "", false
}

// cutShort returns an error where the ends of a source show that there is
// more to come, or that it cannot be read.
func (s *source) cutShort() error {
	head, err := s.head(sniffed)
	if err != nil {
		return err
	}
	switch k := sniff(head, s.size, s.name); k {
	case kindBinarySTL:
		_, err := countSTL(s, Limits{}.orDefault())
		return err
	case kindASCIISTL:
		return s.lastSolidEnds()
	case kindOBJ:
		if tail, err := s.tail(); err != nil || tail[len(tail)-1] == 0 {
			return cmp.Or(err, endsInZeros())
		}
		return nil
	case kind3MF, kindArchive:
		if !hasDirectory(s.at, s.size) {
			return &ReadError{Cause: "the zip archive ends without its table of contents", Unfinished: true}
		}
		return nil
	default:
		return k.refusal()
	}
}

// lastSolidEnds returns an error where the last solid of an ASCII STL has no
// endsolid, or begins so far from the end that it is not seen: a name may be
// long, but not that long.
func (s *source) lastSolidEnds() error {
	tail, err := s.tail()
	if err != nil {
		return err
	}
	if len(bytes.TrimRight(tail, "\x00")) == 0 {
		return endsInZeros()
	}
	end := bytes.LastIndex(tail, []byte("endsolid"))
	if end < 0 || bytes.Contains(tail[end:], []byte("vertex")) {
		return &ReadError{Cause: "the file ends before the end of the solid (endsolid)", Unfinished: true}
	}
	return nil
}

// tail returns the last bytes of a text in lower case.
func (s *source) tail() ([]byte, error) {
	tail := make([]byte, min(s.size, sniffed))
	if n, err := s.at.ReadAt(tail, s.size-int64(len(tail))); n < len(tail) {
		return nil, s.failed(s.size-int64(len(tail)-n), err)
	}
	return bytes.ToLower(tail), nil
}

func endsInZeros() error {
	return &ReadError{Cause: "ends in zeros: the room for the file is there, but not all of its content", Unfinished: true}
}

// Complete tells whether the structure of a file shows that nothing is to come:
// a binary STL as long as its count says, a text that ends its last solid, an
// archive with its table of contents. An OBJ file has no end to be seen.
func Complete(path string) bool {
	f, err := Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	s := f.source()
	head, err := s.head(sniffed)
	if err != nil || s.cutShort() != nil {
		return false
	}
	switch sniff(head, s.size, s.name) {
	case kindBinarySTL, kindASCIISTL, kind3MF, kindArchive:
		return true
	}
	return false
}
