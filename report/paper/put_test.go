package paper

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// written is a suit folder with the report of a part of this text.
func written(t *testing.T, fingerprint, text string) (p disk.Place, d disk.Folder) {
	t.Helper()
	p = disk.Place{Root: sample.Folder(t), Part: "legs/a b.stl"}
	d, err := disk.Open(p.Root)
	require.NoError(t, err)
	t.Cleanup(d.Close)
	put(t, p, d, fingerprint, text)
	return p, d
}

// put writes a text over a report and returns the copies that its text was told of.
func put(t *testing.T, p disk.Place, d disk.Folder, fingerprint, text string) (told []string) {
	t.Helper()
	require.NoError(t, Put(d, p.Report(), fingerprint, p.KeptName, func(kept []string) string {
		told = kept
		return "# " + text + "\n\n" + NotesTop
	}))
	return told
}

// The report and its page say the same; what the person wrote below stays, what they
// changed above is kept as it was, and the text is told of it.
func TestPutKeepsWhatIsTheirs(t *testing.T) {
	p, d := written(t, "f1", "one")
	first := sample.ReadFile(t, p.Root, p.Report())
	require.Contains(t, sample.ReadFile(t, p.Root, p.Page()), "<h1 id=\"one\">one</h1>")
	require.Empty(t, put(t, p, d, "f1", "one"))
	require.Equal(t, first, sample.ReadFile(t, p.Root, p.Report()))

	changed := strings.Replace(first, "# one", "# mine", 1) + "glued\n"
	sample.WriteFile(t, p.Root, p.Report(), changed)
	told := put(t, p, d, "f2", "two")
	require.Len(t, told, 1)
	require.Equal(t, changed, sample.ReadFile(t, p.Root, told[0]))
	now := sample.ReadFile(t, p.Root, p.Report())
	require.True(t, strings.HasSuffix(now, notesLine+"\nglued\n"), now)
	require.NotContains(t, now, "mine")
	require.Contains(t, sample.ReadFile(t, p.Root, p.Page()), "<p>glued</p>")
	require.Equal(t, told, put(t, p, d, "f2", "two"), "it is kept, and no second copy is made")
	require.Equal(t, now, sample.ReadFile(t, p.Root, p.Report()))

	// The page, too: as ours it is written over, changed it is kept, theirs is left.
	page := sample.ReadFile(t, p.Root, p.Page())
	sample.WriteFile(t, p.Root, p.Page(), page+"mine")
	put(t, p, d, "f2", "two")
	require.Equal(t, page, sample.ReadFile(t, p.Root, p.Page()))
	kept := func() (n int) {
		for _, text := range sample.Files(t, p.Root) {
			if text == page+"mine" {
				n++
			}
		}
		return n
	}
	require.Equal(t, 1, kept())
	sample.WriteFile(t, p.Root, p.Page(), "<html>theirs</html>")
	put(t, p, d, "f2", "two")
	require.Equal(t, "<html>theirs</html>", sample.ReadFile(t, p.Root, p.Page()))
	require.Contains(t, sample.ReadFile(t, p.Root, p.Report()), "No page could be put beside this report")
	require.NoError(t, os.Remove(filepath.Join(p.Root, p.Page())))
	put(t, p, d, "f2", "two")
	require.Equal(t, page, sample.ReadFile(t, p.Root, p.Page()))
	require.Equal(t, now, sample.ReadFile(t, p.Root, p.Report()))
}

// A fingerprint that would end the comment it stands in is refused, and nothing written.
func TestPutRefusesOtherFingerprints(t *testing.T) {
	p, d := written(t, "f1", "one")
	before := sample.Files(t, p.Root)
	for _, fingerprint := range []string{"-->", "a b", "a\nb", "é"} {
		require.Error(t, Put(d, p.Report(), fingerprint, p.KeptName, func([]string) string { return "# two\n\n" + NotesTop }), fingerprint)
	}
	require.Equal(t, before, sample.Files(t, p.Root))
}

// The fingerprint holds for a report with its findings and its page, all whole and of one
// run, and for nothing less.
func TestFingerprintNeedsAllOfAReport(t *testing.T) {
	p, d := written(t, "f1", "one")
	findings := func(fingerprint string) {
		t.Helper()
		data, err := json.Marshal(analysis.Findings{Schema: analysis.Schema, Part: p.Name(), Fingerprint: fingerprint})
		require.NoError(t, err)
		require.NoError(t, d.Write(p.Under(disk.FindingsName), data))
	}
	is := func(want string) {
		t.Helper()
		got, ok := Fingerprint(p)
		require.Equal(t, want, got)
		require.Equal(t, want != "", ok)
	}
	is("")
	findings("f0")
	is("")
	findings("f1")
	is("f1")
	require.Equal(t, p.Name(), Previous(p).Part)
	other := p
	other.Member = "x.stl"
	require.Nil(t, Previous(other))

	require.NoError(t, d.Remove(p.Page()))
	is("")
	put(t, p, d, "f1", "one")
	is("f1")
	report := sample.ReadFile(t, p.Root, p.Report())
	sample.WriteFile(t, p.Root, p.Report(), report[:len(report)/2])
	is("")
	sample.WriteFile(t, p.Root, p.Report(), report)
	put(t, p, d, "", "one")
	is("")
	put(t, p, d, "l1", strings.TrimSuffix("list\n\n"+ListLine, "\n")) // the line does not begin it: it is no list
	is("")
	require.NoError(t, Put(d, p.Report(), "l1", p.KeptName, func([]string) string { return ListLine + "# list\n\n" + NotesTop }))
	is("l1")

	for _, torn := range []string{"", "{", `{"schema":"another/1","part":"legs/a b.stl"}`, `{"schema":"` + analysis.Schema + `","part":"legs/b.stl"}`} {
		require.NoError(t, d.Write(p.Under(disk.FindingsName), []byte(torn)))
		require.Nil(t, Previous(p), torn)
	}
}

// A part that is gone is said so once, whoever changed its report, and nothing more is
// said of it until it is back.
func TestGoneAndAmended(t *testing.T) {
	p, d := written(t, "f1", "one")
	sample.WriteFile(t, p.Root, p.Report(), sample.ReadFile(t, p.Root, p.Report())+"glued\n")
	put(t, p, d, "f1", "one")
	there := sample.ReadFile(t, p.Root, p.Report())
	amend := func(text string) {
		t.Helper()
		require.NoError(t, Amend(p, []byte("{}\n"), func(now []byte) string { return text + string(now) }))
	}
	amend("> anew\n\n")
	amended := sample.ReadFile(t, p.Root, p.Report())
	require.Contains(t, amended, "> anew\n\n# one\n")
	require.NotContains(t, amended, "fingerprint=")
	require.True(t, strings.HasSuffix(amended, "\nglued\n"))
	require.Equal(t, "{}\n", sample.ReadFile(t, p.Root, p.Under(disk.FindingsName)))
	require.NotContains(t, sample.ReadFile(t, p.Root, p.Page()), "anew")
	require.NoError(t, RenewPage(p))
	require.Contains(t, sample.ReadFile(t, p.Root, p.Page()), "anew")
	require.False(t, parse([]byte(amended)).changed, "it is no change of the person's")

	require.NoError(t, MarkGone(p, func(text []byte) []byte { return text }))
	gone := sample.Files(t, p.Root)
	require.Equal(t, 1, strings.Count(gone[p.Report()], "no longer in the folder"))
	require.Contains(t, gone[p.Page()], "no longer in the folder")
	require.NoError(t, MarkGone(p, func(text []byte) []byte { return text }))
	amend("> twice\n\n")
	require.Equal(t, gone, sample.Files(t, p.Root))

	// What the person changed stays, and stays known as changed.
	put(t, p, d, "f1", "one")
	require.Equal(t, there, sample.ReadFile(t, p.Root, p.Report()))
	mine := strings.Replace(there, "# one", "# mine", 1)
	sample.WriteFile(t, p.Root, p.Report(), mine)
	amend("> anew\n\n")
	require.NoError(t, RenewPage(p))
	require.Equal(t, mine, sample.ReadFile(t, p.Root, p.Report()))
	require.NoError(t, MarkGone(p, func(text []byte) []byte { return text }))
	require.Len(t, put(t, p, d, "f1", "one"), 1)
}

// Without a report nothing is made, be it deleted in the very moment.
func TestNothingIsMadeOfNoReport(t *testing.T) {
	p := disk.Place{Root: sample.Folder(t), Part: "legs/a.stl"}
	before := sample.Files(t, p.Root)
	require.NoError(t, MarkGone(p, func(text []byte) []byte { return text }))
	require.NoError(t, Amend(p, []byte("{}"), func([]byte) string { return "x" }))
	require.NoError(t, RenewPage(p))
	d, err := disk.Open(p.Root)
	require.NoError(t, err)
	defer d.Close()
	require.NoError(t, redo(d, p.Report(), func(existing) ([]byte, error) { return []byte("x"), nil }))
	require.Equal(t, before, sample.Files(t, p.Root))
	_, known := Fingerprint(p)
	require.False(t, known)
	require.Nil(t, Previous(p))
	p.Root = filepath.Join(p.Root, "nowhere")
	require.Error(t, MarkGone(p, func(text []byte) []byte { return text }))
}
