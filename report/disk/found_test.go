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

// A report whose part is there is no orphan, and the members of an archive are its own:
// neither those of another archive, nor its list, nor what a person put there.
func TestOrphansAndMembers(t *testing.T) {
	root := t.TempDir()
	report := func(p Place) {
		t.Helper()
		require.NoError(t, os.MkdirAll(filepath.Join(root, p.Under("")), 0o755))
		data, err := json.Marshal(analysis.Refused(p.Name(), "why"))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(root, p.Under(FindingsName)), data, 0o644))
	}
	place := func(part, member string) Place { return Place{Root: root, Part: part, Member: member} }
	for _, p := range []Place{
		place("a.stl", ""), place("legs/b.stl", ""), place(strings.Repeat("n", 250)+".stl", ""), place(strings.Repeat("m", 250)+".stl", ""),
		place("kit.zip", "legs/c.stl"), place("kit.zip", "../d.stl"), place("old.zip", "e.stl"), place("hidden/.trash/f.stl", ""),
	} {
		report(p)
	}
	for _, there := range []string{"a.stl", "kit.zip", strings.Repeat("n", 250) + ".stl"} {
		require.NoError(t, os.WriteFile(filepath.Join(root, there), nil, 0o644))
	}
	require.NoError(t, os.MkdirAll(filepath.Join(root, "plans.fit"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(root, "plans.fit", FindingsName), []byte(`{"part":"plans"}`), 0o644))
	require.NoError(t, os.MkdirAll(filepath.Join(root, "torn.stl.fit"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(root, "torn.stl.fit", FindingsName), []byte(`{"part":"to`), 0o644))

	require.ElementsMatch(t, []Place{place("legs/b.stl", ""), place("old.zip", "e.stl"), place(strings.Repeat("m", 250)+".stl", "")}, Orphans(root))
	require.ElementsMatch(t, []Place{place("kit.zip", "legs/c.stl"), place("kit.zip", "../d.stl")}, Members(place("kit.zip", "")))
	require.Empty(t, Members(place("a.stl", "")))
	require.Empty(t, Orphans(filepath.Join(root, "nowhere")))
}
