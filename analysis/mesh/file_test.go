package mesh

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// put writes a file and returns its path.
func put(t *testing.T, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, data, 0o644))
	return path
}

func opened(t *testing.T, path string) *File {
	t.Helper()
	f, err := Open(path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f
}

func TestKnown(t *testing.T) {
	for name, want := range map[string]bool{"a.stl": true, "A.STL": true, "x/b.3MF": true, "c.Obj": true, "kit.ZIP": true,
		"a.stl.md": false, "stl": false, "a.stp": false, "a.stl ": false, ".stl": true} {
		if got := Known(name); got != want {
			t.Errorf("%q: got %v", name, got)
		}
	}
}

func TestFileLoad(t *testing.T) {
	data := binarySTL(cube(20, r3.Vec{}), "")
	for _, name := range []string{"a.stl", "B.STL", "c.3mf", "greave left (2).stl", "schiene-\xff\xfe.stl", "a\nb\x1b[2J.stl"} {
		f := opened(t, put(t, name, data))
		sum, err := f.Sum(t.Context())
		require.NoError(t, err)
		require.Equal(t, sha256.Sum256(data), sum)
		l, err := f.Load(t.Context(), Limits{})
		require.NoError(t, err)
		require.Equal(t, 12, l.Mesh.Triangles())
		require.EqualValues(t, len(data), f.Size())
		require.NoError(t, f.Steady())
	}
}

// The error names the file once, the place, the cause and what to do, and can
// be printed whatever the name holds.
func TestErrorText(t *testing.T) {
	path := put(t, "greave.stl", binarySTL(cube(20, r3.Vec{}), "")[:634])
	_, err := opened(t, path).Load(t.Context(), Limits{})
	want := path + ": byte 634: declares 12 triangles, holds 11: 50 bytes missing; the download or copy broke off: download it again"
	if got := err.Error(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for _, name := range []string{"a\nb.stl", "\x1b[2J.stl", "\xff.stl", "a\u202eb.stl"} {
		_, err := opened(t, put(t, name, nil)).Load(t.Context(), Limits{})
		text := err.Error()
		if !utf8.ValidString(text) || strings.ContainsAny(text, "\n\x1b\u202e") || strings.Count(text, "empty (0 bytes)") != 1 {
			t.Errorf("%q: got %q", name, text)
		}
		var r *ReadError
		require.ErrorAs(t, err, &r)
		require.Equal(t, name, filepath.Base(r.Path), "the name itself is kept byte for byte")
	}
}

func TestOpenRefuses(t *testing.T) {
	folder := t.TempDir()
	_, err := Open(folder)
	var r *ReadError
	require.ErrorAs(t, err, &r)
	require.Equal(t, "is not a file but a folder", r.Cause)
	require.Equal(t, folder, r.Path)

	missing := filepath.Join(folder, "none.stl")
	_, err = Open(missing)
	require.ErrorIs(t, err, fs.ErrNotExist)
	if strings.Count(err.Error(), missing) != 1 {
		t.Errorf("names the file more than once: %v", err)
	}
}

func TestSteady(t *testing.T) {
	for name, change := range map[string]func(path string) error{
		"grown": func(path string) error {
			f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
			if err == nil {
				_, err = f.WriteString("more")
			}
			return errors.Join(err, f.Close())
		},
		"another time": func(path string) error { return os.Chtimes(path, time.Time{}, time.Unix(1e9, 0)) },
		"gone":         os.Remove,
		"replaced": func(path string) error {
			info, err := os.Stat(path)
			if err != nil {
				return err
			}
			data, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			other := path + ".new"
			return errors.Join(os.WriteFile(other, data, 0o644),
				os.Chtimes(other, time.Time{}, info.ModTime()), os.Rename(other, path))
		},
	} {
		path := put(t, "a.stl", []byte("solid a\nendsolid a\n"))
		f := opened(t, path)
		require.NoError(t, f.Steady())
		require.NoError(t, change(path), name)
		if err := f.Steady(); !errors.Is(err, ErrChanging) {
			t.Errorf("%s: got %v, want ErrChanging", name, err)
		}
	}
}

// A cancelled context ends every read, with its own error.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	m := limb(20, 40)
	for name, data := range map[string][]byte{"a.stl": binarySTL(m, ""), "b.stl": []byte(asciiSTL(m, ""))} {
		f := opened(t, put(t, name, data))
		_, err := f.Load(ctx, Limits{})
		require.ErrorIs(t, err, context.Canceled)
		_, err = f.Sum(ctx)
		require.ErrorIs(t, err, context.Canceled)
	}
	_, err := finish(ctx, m, FormatOBJ)
	require.ErrorIs(t, err, context.Canceled)
	_, _, _, err = soup(m).weld(ctx, nil)
	require.ErrorIs(t, err, context.Canceled)
}

func TestUnfinished(t *testing.T) {
	whole := binarySTL(cube(20, r3.Vec{}), "lantern")
	text := asciiSTL(cube(20, r3.Vec{}), "lantern")
	zeroTail := bytes.Clone(whole)
	clear(zeroTail[300:])
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"whole.stl", whole, ""},
		{"trailing.stl", append(bytes.Clone(whole), "more"...), ""},
		{"cut.stl", whole[:400], "declares 12 triangles, holds 6: 284 bytes missing"},
		{"head.stl", whole[:40], "the header alone has 84"},
		{"zero-tail.stl", zeroTail, "ends in zeros"},
		{"zeros.stl", make([]byte, 684), "only zeros"},
		{"empty.stl", nil, "empty"},
		{"damaged.stl", withCount(whole, 1<<31), ""},
		{"nan.stl", withFloat(whole, 96, 1e38*1e38), ""},
		{"whole-text.stl", []byte(text), ""},
		{"upper.stl", []byte(strings.ToUpper(text)), ""},
		{"no-name.stl", []byte(strings.ReplaceAll(text, " lantern", "")), ""},
		{"note-behind.stl", []byte(text + "a note\n"), ""},
		{"cut-text.stl", []byte(text[:1500]), "before the end of the solid"},
		{"cut-in-second.stl", []byte(text + text[:1500]), "before the end of the solid"},
		{"text-zeros.stl", append([]byte(text[:1500]), make([]byte, 9000)...), "ends in zeros"},
		{"text-short-zeros.stl", append([]byte(text[:1500]), make([]byte, 90)...), "before the end of the solid"},
		{"page.stl", []byte("<html>"), ""},
		{"._a.stl", []byte("\x00\x05\x16\x07\x00\x02\x00\x00Mac OS X"), ""},
		{"whole.obj", []byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"), ""},
		{"zeros.obj", []byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 \x00\x00\x00"), "ends in zeros"},
		{"cut.3mf", []byte("PK\x03\x04\x14\x00"), "table of contents"},
		{"whole.zip", []byte("PK\x05\x06" + strings.Repeat("\x00", 18)), ""},
		{"cut.zip", []byte("PK\x03\x04\x14\x00"), "table of contents"},
	} {
		path := put(t, c.name, c.data)
		why, got := Unfinished(path)
		if got != (c.want != "") || !strings.Contains(why, c.want) {
			t.Errorf("%s: got %q %v, want %q", c.name, why, got, c.want)
		}
		complete := slices.Contains([]string{
			"whole.stl", "trailing.stl", "nan.stl", "whole-text.stl", "upper.stl", "no-name.stl", "note-behind.stl", "whole.zip",
		}, c.name)
		if got := Complete(path); got != complete {
			t.Errorf("%s: Complete %v, want %v", c.name, got, complete)
		}
		// What it says is what Load says.
		f := opened(t, path)
		_, err := f.Load(t.Context(), Limits{})
		if f.Archive() {
			_, err = f.Members(t.Context())
		}
		var r *ReadError
		if loaded := errors.As(err, &r) && r.Unfinished; loaded != got {
			t.Errorf("%s: Unfinished %v, but Load: %v", c.name, got, err)
		}
	}
	if why, got := Unfinished(t.TempDir()); got {
		t.Errorf("a folder is unfinished: %s", why)
	}
}
