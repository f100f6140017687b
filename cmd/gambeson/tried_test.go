package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"gambeson/cmd/gambeson/store"
	"gambeson/report/disk"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"
)

// What "gambeson tried" prints can be pasted, and names a daemon only where one is on the
// folder, or on one above it.
func TestWhatCutsTheBandsAnewCanBePasted(t *testing.T) {
	run := t.TempDir()
	t.Cleanup(xdg.Reload) // after the variable is what it was
	t.Setenv("XDG_RUNTIME_DIR", run)
	xdg.Reload()
	above := t.TempDir()
	root := filepath.Join(above, "suit")
	place := disk.Place{Root: root, Part: "legs/greave left.stl"}
	want := "gambeson check '" + filepath.Join(root, "legs", "greave left.stl") + "' cuts the bands for it and writes the report anew"
	// held has another process hold a folder, as far as its lock tells.
	held := func(folder, by string) *store.Hold {
		lock, h, err := store.Take(folder, by)
		require.NoError(t, err)
		h.PID++
		text, err := json.Marshal(h)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(run, "gambeson", store.Key(folder)+".lock"), text, 0o600))
		return lock
	}
	require.Equal(t, want+".", anew(place))
	for _, c := range []struct{ folder, by, begun string }{
		{root, "watch", "; the daemon on the folder has begun to."},
		{root, "check", "."},
		{above, "watch", "; the daemon on the folder has begun to."},
		{filepath.Join(root, "arms"), "watch", "."}, // it looks at other parts
	} {
		lock := held(c.folder, c.by)
		require.Equal(t, want+c.begun, anew(place), "%s on %s", c.by, c.folder)
		lock.Release()
	}
}
