package mesh_test

import (
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape/speed"

	"github.com/stretchr/testify/require"
)

// saved writes a mesh into a file of its own, binary or as text.
func saved(b *testing.B, m *mesh.Mesh, write func(io.Writer, *mesh.Mesh, string) error) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "part.stl")
	file, err := os.Create(path)
	require.NoError(b, err)
	require.NoError(b, write(file, m, "part"))
	require.NoError(b, file.Close())
	return path
}

func load(b *testing.B, path string) *mesh.Mesh {
	b.Helper()
	file, err := mesh.Open(path)
	require.NoError(b, err)
	defer file.Close()
	loaded, err := file.Load(b.Context(), mesh.Limits{})
	require.NoError(b, err)
	return loaded.Mesh
}

// BenchmarkRead reads files from the page cache and welds them.
func BenchmarkRead(b *testing.B) {
	for _, p := range speed.Parts() {
		b.Run(p.Name, func(b *testing.B) { read(b, saved(b, p.Make(), mesh.WriteSTL)) })
		if size, inOrder := strings.CutSuffix(p.Name, "/inorder"); inOrder && size == "200k" {
			b.Run(size+"/ascii", func(b *testing.B) { read(b, saved(b, p.Make(), speed.WriteText)) })
		}
	}
}

func read(b *testing.B, path string) {
	info, err := os.Stat(path)
	require.NoError(b, err)
	b.SetBytes(info.Size())
	speed.Run(b, func() { load(b, path) })
}

// BenchmarkWeld joins the corners of triangles that have all their own, in
// memory and on one processor.
func BenchmarkWeld(b *testing.B) {
	for _, p := range speed.Parts() {
		b.Run(p.Name, func(b *testing.B) {
			m, apart := p.Make(), &mesh.Mesh{}
			for _, v := range m.T {
				apart.T = append(apart.T, apart.AddVertex(m.At(v)))
			}
			speed.Run(b, func() { require.NoError(b, mesh.Weld(b.Context(), apart.Clone())) })
		})
	}
}

// BenchmarkCheck finds area and volume, and counts the edges that have not two
// facets.
func BenchmarkCheck(b *testing.B) {
	speed.Each(b, func(b *testing.B, m *mesh.Mesh) {
		speed.Run(b, func() {
			m.Measure()
			if e := m.Edges(); e != (mesh.Edges{}) {
				b.Fatalf("%+v", e)
			}
		})
	})
}

// BenchmarkCondition looks for all the defects.
func BenchmarkCondition(b *testing.B) {
	speed.Each(b, func(b *testing.B, m *mesh.Mesh) { speed.Run(b, func() { m.Condition() }) })
}

// BenchmarkLimit is what the machine itself takes: to read the bytes of a file
// from the page cache on all processors, and to look at every corner once.
func BenchmarkLimit(b *testing.B) {
	for _, p := range speed.Parts() {
		size, inOrder := strings.CutSuffix(p.Name, "/inorder")
		if !inOrder {
			continue
		}
		m := p.Make()
		b.Run(size, func(b *testing.B) { readOnly(b, saved(b, m, mesh.WriteSTL)) })
		if size == "200k" {
			b.Run(size+"/ascii", func(b *testing.B) { readOnly(b, saved(b, m, speed.WriteText)) })
		}
		b.Run(size+"/vertices", func(b *testing.B) { speed.Run(b, func() { m.Bounds() }) })
	}
}

func readOnly(b *testing.B, path string) {
	file, err := os.Open(path)
	require.NoError(b, err)
	defer file.Close()
	info, err := file.Stat()
	require.NoError(b, err)
	b.SetBytes(info.Size())
	workers := int64(runtime.GOMAXPROCS(0))
	speed.Run(b, func() {
		var group sync.WaitGroup
		for w := range workers {
			group.Go(func() {
				from, to := info.Size()*w/workers, info.Size()*(w+1)/workers
				part := io.NewSectionReader(file, from, to-from)
				if _, err := io.CopyBuffer(struct{ io.Writer }{io.Discard}, part, make([]byte, 100<<10)); err != nil {
					b.Error(err)
				}
			})
		}
		group.Wait()
	})
}
