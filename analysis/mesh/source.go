package mesh

import (
	"errors"
	"io"
	"strconv"
)

// source is the bytes of one mesh: a whole file, or a member of an archive.
type source struct {
	name  string                        // of the file or member: its extension is a hint
	size  int64                         // bytes; of a member as the archive claims
	at    io.ReaderAt                   // nil where the bytes come only in order
	front func() (io.ReadCloser, error) // a reader from byte 0; used where at is nil
}

// reader returns the bytes in order from byte 0. The caller closes it.
func (s *source) reader() (io.ReadCloser, error) { return s.from(0) }

// from returns the bytes in order from the given one. The caller closes it.
func (s *source) from(offset int64) (io.ReadCloser, error) {
	if s.at != nil {
		return io.NopCloser(io.NewSectionReader(s.at, offset, s.size-offset)), nil
	}
	r, err := s.front()
	if err != nil {
		return nil, s.failed(0, err)
	}
	if _, err := io.CopyN(io.Discard, r, offset); err != nil {
		r.Close()
		return nil, s.failed(0, err)
	}
	return r, nil
}

// head returns up to n of the first bytes.
func (s *source) head(n int) ([]byte, error) {
	r, err := s.from(0)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	buf := make([]byte, min(int64(n), s.size))
	if got, err := io.ReadFull(r, buf); err != nil {
		return nil, s.failed(int64(got), err)
	}
	return buf, nil
}

// failed is the error for a read at byte offset that gave err. The size was
// known, so an early end means that the bytes changed or never were there.
func (s *source) failed(offset int64, err error) error {
	place := "byte " + strconv.FormatInt(offset, 10)
	var r *ReadError
	switch {
	case errors.As(err, &r):
		return err
	case !ended(err):
		return systemError(place, err)
	case s.at == nil:
		return &ReadError{Place: place, Cause: "the archive holds fewer bytes of it than it claims",
			Remedy: "download the archive again", Unfinished: true, Err: err}
	}
	return &ReadError{Place: place, Cause: "the file became shorter while it was read",
		Remedy: "wait until the program that writes it is done", Unfinished: true, Err: ErrChanging}
}

func ended(err error) bool { return errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) }

// trusted returns for how many facets of n there is reason to make room: all
// where the bytes are known to be there, else few, for what an archive claims
// is not yet true.
func (s *source) trusted(n int) int {
	if s.at != nil {
		return n
	}
	return min(n, 50_000)
}
