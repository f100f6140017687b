package watcher

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// benchTree is a tree over a new folder with so many folders of 20 files.
func benchTree(b *testing.B, folders int) *tree {
	root := b.TempDir()
	for n := range folders {
		dir := filepath.Join(root, fmt.Sprint(n))
		require.NoError(b, os.Mkdir(dir, 0o755))
		for f := range 20 {
			require.NoError(b, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.stl", f)), nil, 0o644))
		}
	}
	w, err := New(Options{Roots: []string{root}})
	require.NoError(b, err)
	w.board.start()
	return newTree(w)
}

// BenchmarkWalk is one walk through 10,000 files that have not changed; beside
// it, what listing and stating them takes at least.
func BenchmarkWalk(b *testing.B) {
	t := benchTree(b, 500)
	t.listen()
	defer t.notifier.close()
	var heard sync.WaitGroup
	defer heard.Wait()
	heard.Go(func() { t.notices.drain(t.notifier) })
	ctx := context.Background()
	t.walkRoot(ctx, t.roots[0])
	t.touched = nil
	b.Run("walk", func(b *testing.B) {
		for b.Loop() {
			t.walkRoot(ctx, t.roots[0])
		}
		require.Empty(b, t.touched)
	})
	b.Run("limit", func(b *testing.B) {
		for b.Loop() {
			for n := range 500 {
				dir := filepath.Join(t.roots[0].path, fmt.Sprint(n))
				entries, _ := os.ReadDir(dir)
				for _, e := range entries {
					_, _ = os.Lstat(filepath.Join(dir, e.Name()))
				}
			}
		}
	})
	t.notifier.close()
}

// BenchmarkNotice is the time from the rename of a file to its place in the
// queue.
func BenchmarkNotice(b *testing.B) {
	t := benchTree(b, 1)
	ctx, cancel := context.WithCancel(context.Background())
	touches := make(chan []touch)
	var loop sync.WaitGroup
	loop.Go(func() { t.run(ctx, touches) })
	<-touches
	one, two := filepath.Join(t.roots[0].path, "one"), filepath.Join(b.TempDir(), "two")
	require.NoError(b, os.WriteFile(two, []byte("x"), 0o644))
	for b.Loop() {
		require.NoError(b, os.Rename(two, one))
		<-touches
		b.StopTimer()
		require.NoError(b, os.Rename(one, two))
		<-touches
		b.StartTimer()
	}
	cancel()
	loop.Wait()
}
