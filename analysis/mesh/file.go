package mesh

import (
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// File is a mesh file, or an archive of them, open for reading.
type File struct {
	path string
	f    *os.File
	info fs.FileInfo // as it was at Open
}

// Known reports whether name has an extension of ours, in any case.
func Known(name string) bool {
	switch extension(name) {
	case ".stl", ".3mf", ".obj", ".zip":
		return true
	}
	return false
}

func extension(name string) string { return strings.ToLower(filepath.Ext(name)) }

// Open opens a regular file and nothing else: it refuses folders and devices,
// and neither waits on a named pipe nor opens one.
func Open(path string) (*File, error) {
	info, err := os.Stat(path)
	if err == nil {
		err = regular(info)
	}
	if err != nil {
		return nil, located(asReadError(err), path, "")
	}
	f, err := os.OpenFile(path, os.O_RDONLY|doNotWait, 0)
	if err != nil {
		return nil, located(asReadError(err), path, "")
	}
	info, err = f.Stat() // what was opened need not be what was looked at
	if err == nil {
		err = regular(info)
	}
	if err != nil {
		f.Close()
		return nil, located(asReadError(err), path, "")
	}
	return &File{path: path, f: f, info: info}, nil
}

// regular refuses what is not a regular file, by its name in plain words.
func regular(info fs.FileInfo) error {
	kind := ""
	switch mode := info.Mode(); {
	case mode.IsRegular():
		return nil
	case mode.IsDir():
		kind = "a folder"
	case mode&fs.ModeNamedPipe != 0:
		kind = "a named pipe"
	case mode&fs.ModeSocket != 0:
		kind = "a socket"
	case mode&fs.ModeDevice != 0:
		kind = "a device"
	default:
		kind = "something else"
	}
	return &ReadError{Cause: "is not a file but " + kind, Remedy: "give it another name or move it away"}
}

// asReadError leaves a ReadError alone and wraps what the system said.
func asReadError(err error) error {
	var r *ReadError
	if errors.As(err, &r) {
		return err
	}
	return systemError("", err)
}

// Close closes the file.
func (f *File) Close() error { return f.f.Close() }

// Size returns the size in bytes as it was at Open.
func (f *File) Size() int64 { return f.info.Size() }

// Sum returns the SHA-256 of the bytes, read from the front.
func (f *File) Sum(ctx context.Context) ([sha256.Size]byte, error) {
	var sum [sha256.Size]byte
	h := sha256.New()
	buf := make([]byte, 256<<10)
	for off := int64(0); ; {
		if err := ctx.Err(); err != nil {
			return sum, err
		}
		n, err := f.f.ReadAt(buf, off)
		h.Write(buf[:n])
		off += int64(n)
		if err == io.EOF {
			h.Sum(sum[:0])
			return sum, nil
		}
		if err != nil {
			return sum, located(systemError("", err), f.path, "")
		}
	}
}

// Steady returns nil where the path still leads to the file that was opened,
// and its size and time of last change are what they were, else ErrChanging.
func (f *File) Steady() error {
	held, err := f.f.Stat()
	if err != nil || !f.same(held) {
		return ErrChanging
	}
	named, err := os.Stat(f.path)
	if err != nil || !os.SameFile(f.info, named) || !f.same(named) {
		return ErrChanging
	}
	return nil
}

func (f *File) same(now fs.FileInfo) bool {
	return now.Size() == f.info.Size() && now.ModTime().Equal(f.info.ModTime())
}

// Load reads the mesh of a file that is not an archive. What it is, is told
// by its content first and by its extension where that leaves a choice.
func (f *File) Load(ctx context.Context, l Limits) (*Loaded, error) {
	loaded, err := loadSource(ctx, f.source(), l.orDefault())
	if err != nil {
		return nil, located(err, f.path, "")
	}
	return loaded, nil
}

func (f *File) source() *source {
	return &source{name: f.path, size: f.info.Size(), at: f.f}
}

// loadSource reads the mesh of a source of any kind but an archive of parts.
// Its errors name neither file nor member yet.
func loadSource(ctx context.Context, s *source, l Limits) (*Loaded, error) {
	head, err := s.head(sniffed)
	if err != nil {
		return nil, err
	}
	switch k := sniff(head, s.size, s.name); k {
	case kindBinarySTL:
		return loadBinarySTL(ctx, s, l)
	case kindASCIISTL:
		return loadASCIISTL(ctx, s, l)
	case kind3MF:
		return load3MF(ctx, s, l)
	case kindOBJ:
		return loadOBJ(ctx, s, l)
	default:
		return nil, k.refusal()
	}
}
