package main

import (
	"os"
	"path/filepath"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// rename gives a part of a folder another name and has the daemon's two events of that
// looked into, that of the old name first.
func rename(t *testing.T, f *folder, from, to string) {
	t.Helper()
	require.NoError(t, os.Rename(filepath.Join(f.root, from), filepath.Join(f.root, to)))
	f.forget(from)
	_, err := f.lookAtMates(t.Context(), from)
	require.NoError(t, err)
	_, err = f.look(t.Context(), to)
	require.NoError(t, err)
}

// said returns the text of the warning of a code, "" where there is none.
func said(f *analysis.Findings, code string) string {
	for _, w := range f.Warnings {
		if w.Code == code {
			return w.Text
		}
	}
	return ""
}

// A piece of a shell that has another name now, by its bytes, is not missed: it is judged
// with the others where that is certain, and else its new name is said.
func TestRenamedPieces(t *testing.T) {
	front, back := halvesOf(r3.Vec{X: 1})
	named := "[[assembly]]\nname = 'greave'\nfiles = ['greave-front.stl', 'greave-back.stl']\n"
	for name, c := range map[string]struct {
		toml, to string
		mates    []string
		says     string // of the renaming, "" where nothing
	}{
		"goes along":                   {"", "rear.stl", []string{"rear.stl"}, ""},
		"its name says another place":  {"", "thigh-back.stl", nil, "greave-back.stl before, which is called thigh-back.stl now"},
		"suit.toml has the old name":   {named, "thigh-back.stl", []string{"thigh-back.stl"}, "suit.toml names greave-back.stl as a piece of the shell greave. That file is called thigh-back.stl now"},
		"another name that it has too": {named[:len(named)-2] + ", 'rear.stl']\n", "rear.stl", []string{"rear.stl"}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			f := kit(t, c.toml, map[string]*mesh.Mesh{"greave-front.stl": front, "greave-back.stl": back})
			for _, part := range []string{"greave-front.stl", "greave-back.stl"} {
				_, err := f.look(t.Context(), part)
				require.NoError(t, err)
			}
			require.Equal(t, []string{"greave-back.stl"}, f.rows["greave-front.stl"][0].joined.Mates)
			rename(t, f, "greave-back.stl", c.to)
			check := func(f *folder) {
				found := f.rows["greave-front.stl"][0].recalled()
				if c.mates == nil {
					require.Empty(t, found.Assembly.Mates)
				} else {
					require.Equal(t, c.mates, found.Assembly.Mates)
				}
				require.Empty(t, said(found, "assembly-gone"), "its bytes are there")
				require.Empty(t, said(found, "assembly-alone"))
				if c.says == "" {
					require.Empty(t, said(found, "assembly-renamed"))
				} else {
					require.Contains(t, said(found, "assembly-renamed"), c.says)
				}
			}
			check(f)
			again := newFolder(f.root, 2, zerolog.Nop()) // another run says the same, and looks into nothing
			done, err := again.look(t.Context(), "greave-front.stl")
			require.NoError(t, err)
			require.True(t, done[0].kept, "looked into again though nothing changed")
			check(again)
		})
	}
}

// Without the bytes under any name the piece is missed as before, also by one that
// suit.toml names.
func TestMissingPieces(t *testing.T) {
	front, back := halvesOf(r3.Vec{X: 1})
	f := kit(t, "[[assembly]]\nname = 'greave'\nfiles = ['greave-front.stl', 'greave-back.stl']\n", map[string]*mesh.Mesh{"greave-front.stl": front, "greave-back.stl": back})
	_, err := f.look(t.Context(), "greave-front.stl")
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(f.root, "greave-back.stl")))
	f.forget("greave-back.stl")
	_, err = f.lookAtMates(t.Context(), "greave-back.stl")
	require.NoError(t, err)
	found := f.rows["greave-front.stl"][0].recalled()
	require.Contains(t, said(found, "assembly-alone"), "suit.toml names this file as a piece of the shell greave")
	text, err := os.ReadFile(filepath.Join(f.root, "greave-front.stl.md"))
	require.NoError(t, err)
	require.NotContains(t, string(text), "one piece of a shell, with")
}
