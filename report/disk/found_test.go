package disk

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// A report tells which part it is about, whatever the name.
func TestReportsAreFoundByAnyName(t *testing.T) {
	root := t.TempDir()
	var want []string
	for _, name := range []string{"a.stl", "bad\xff.stl", strings.Repeat("long", 62) + "abc.stl", "new\nline.obj", "<b>&_*[x](y).3mf", "UPPER.STL"} {
		p := Place{Root: root, Part: name}
		require.NoError(t, os.MkdirAll(filepath.Join(root, p.Under("")), 0o755))
		data, err := json.Marshal(analysis.Refused(name, "why"))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(root, p.Under(FindingsName)), data, 0o644))
		want = append(want, p.Report())
	}
	var got []string
	for _, p := range reports(root, root) {
		got = append(got, p.Report())
	}
	require.ElementsMatch(t, want, got)
}
