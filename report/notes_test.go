package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/sample"
	"gambeson/report/suit"

	"github.com/stretchr/testify/require"
)

func TestNotesAreKeptWordForWord(t *testing.T) {
	for name, notes := range sample.Notes {
		t.Run(name, func(t *testing.T) {
			d := plate()
			p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
			require.NoError(t, Write(p, d))
			first := sample.ReadFile(t, p.Root, p.Report())
			sample.WriteFile(t, p.Root, p.Report(), first+notes)

			d.Findings.Percent, d.Fingerprint = 90, "other"
			require.NoError(t, Write(p, d))
			got := sample.ReadFile(t, p.Root, p.Report())
			if !strings.HasSuffix(got, sample.NotesLine+"\n"+notes) {
				t.Errorf("notes %q are not at the end of\n%s", notes, got)
			}
			if !strings.Contains(got, "90 %") {
				t.Error("the report was not written again")
			}
			if strings.Contains(got, "kept-") {
				t.Error("notes alone were taken for a change of the report")
			}

			require.NoError(t, MarkGone(p))
			require.NoError(t, Write(p, d))
			if again := sample.ReadFile(t, p.Root, p.Report()); again != got {
				t.Errorf("after it was gone and back the report differs:\n%s", sample.Difference(got, again))
			}
		})
	}
}

func TestNotesOfTheSuitAreKept(t *testing.T) {
	root := sample.Folder(t)
	require.NoError(t, suit.Write(root, suit.Suit{}))
	sample.WriteFile(t, root, "SUIT.md", sample.ReadFile(t, root, "SUIT.md")+"Fitting on Friday\r\n")
	require.NoError(t, suit.Write(root, suit.Suit{Wearer: "Mira"}))
	if got := sample.ReadFile(t, root, "SUIT.md"); !strings.HasSuffix(got, sample.NotesLine+"\nFitting on Friday\r\n") || !strings.Contains(got, "Mira") {
		t.Errorf("got\n%s", got)
	}
}

// A file of the person's that happens to have the name of a report becomes
// its notes, whole.
func TestAPersonsFileAtOurNameIsKeptWhole(t *testing.T) {
	const theirs = "# My greave\n\n## Your notes\n\nbought 2024\r\n"
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	sample.WriteFile(t, p.Root, p.Report(), theirs)
	sample.WriteFile(t, p.Root, "SUIT.md", theirs)
	for range 2 {
		require.NoError(t, Write(p, d))
		require.NoError(t, suit.Write(p.Root, suit.Suit{}))
		for _, name := range []string{p.Report(), "SUIT.md"} {
			if got := sample.ReadFile(t, p.Root, name); !strings.HasSuffix(got, sample.NotesLine+"\n"+theirs) {
				t.Errorf("%s does not end with the person's file:\n%s", name, got)
			}
		}
	}
}

// What the person changed above the notes is kept in a copy that the report
// names; changes that editors make unasked are none.
func TestChangesAboveTheNotesAreKept(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	require.NoError(t, Write(p, d))
	ours := sample.ReadFile(t, p.Root, p.Report())

	for _, unasked := range []string{
		strings.ReplaceAll(ours, "\n", "\r\n"), "\ufeff" + ours, strings.ReplaceAll(ours, "\n\n", " \n \n"),
	} {
		sample.WriteFile(t, p.Root, p.Report(), unasked)
		require.NoError(t, Write(p, d))
		if got := sample.ReadFile(t, p.Root, p.Report()); strings.Contains(got, "kept-") {
			t.Errorf("an editor's habit was taken for a change:\n%s", sample.Difference(ours, got))
		}
	}

	changed := strings.Replace(ours, "**No way", "**Nonsense, says Mira: no way", 1) + "a note\n"
	sample.WriteFile(t, p.Root, p.Report(), changed)
	if _, ok := paper.Fingerprint(p); !ok {
		t.Error("a change by the person makes the part look unfinished, so that it would be overwritten at once")
	}
	for range 2 {
		d.Findings.Percent++
		require.NoError(t, Write(p, d))
		got := sample.ReadFile(t, p.Root, p.Report())
		copies, err := filepath.Glob(filepath.Join(p.Root, p.Under("kept-*.md")))
		require.NoError(t, err)
		require.Len(t, copies, 1)
		kept, err := os.ReadFile(copies[0])
		require.NoError(t, err)
		require.Equal(t, changed, string(kept))
		if !strings.Contains(got, filepath.Base(copies[0])) || !strings.HasSuffix(got, "a note\n") {
			t.Errorf("the report does not name the copy, or lost the note:\n%s", got)
		}
	}
}

func TestNothingIsLostWhenOurCommentsAreDeleted(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	require.NoError(t, Write(p, d))
	ours := sample.ReadFile(t, p.Root, p.Report()) + "precious\n"
	for name, damaged := range map[string]string{
		"notes' line": strings.Replace(ours, sample.NotesLine+"\n", "", 1),
		"first line":  strings.Replace(ours, sample.FirstLine+"\n", "", 1),
		"both":        strings.Replace(strings.Replace(ours, sample.NotesLine+"\n", "", 1), sample.FirstLine+"\n", "", 1),
		"heading too": strings.Replace(strings.Replace(ours, sample.NotesLine+"\n", "", 1), sample.NotesHeading, "## Mine", 1),
		"cut off":     ours[:len(ours)/2] + "precious\n",
	} {
		sample.WriteFile(t, p.Root, p.Report(), damaged)
		for range 2 {
			require.NoError(t, Write(p, d))
			if got := sample.ReadFile(t, p.Root, p.Report()); !strings.HasSuffix(got, "precious\n") {
				t.Errorf("%s deleted: the note is gone:\n%s", name, got)
			}
		}
	}
	p.Root = sample.Folder(t)
	sample.WriteFile(t, p.Root, p.Report(), strings.Replace(ours, sample.NotesLine+"\n", "", 1))
	require.NoError(t, Write(p, d))
	if got := sample.ReadFile(t, p.Root, p.Report()); got != ours {
		t.Errorf("without its line the notes are not found by their heading:\n%s", sample.Difference(ours, got))
	}
}

func TestFingerprintStandsOnlyForAWholeReport(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	check := func(what, want string) {
		t.Helper()
		got, ok := paper.Fingerprint(p)
		if got != want || ok != (want != "") {
			t.Errorf("%s: fingerprint %q, %v", what, got, ok)
		}
	}
	check("no report", "")
	require.NoError(t, Write(p, d))
	check("fresh", d.Fingerprint)
	ours := sample.ReadFile(t, p.Root, p.Report())

	sample.WriteFile(t, p.Root, p.Report(), ours+"<!-- gambeson fingerprint=fe text=00 -->\n")
	check("with a note", d.Fingerprint)
	sample.WriteFile(t, p.Root, p.Report(), ours[:len(ours)-200])
	check("cut off", "")
	sample.WriteFile(t, p.Root, p.Report(), "")
	check("empty", "")
	sample.WriteFile(t, p.Root, p.Report(), strings.Repeat("\x00", len(ours)))
	check("zeros", "")
	sample.WriteFile(t, p.Root, p.Report(), "# Mine\n<!-- gambeson fingerprint=fe text=00 -->\n"+sample.NotesLine+"\n")
	check("the person's", "")

	sample.WriteFile(t, p.Root, p.Report(), ours)
	other := d
	other.Fingerprint = "later"
	findings := sample.ReadFile(t, p.Root, p.Under(disk.FindingsName))
	sample.WriteFile(t, p.Root, p.Under(disk.FindingsName), strings.Replace(findings, d.Fingerprint, other.Fingerprint, 1))
	check("findings of another run", "")
	require.NoError(t, os.Remove(filepath.Join(p.Root, p.Under(disk.FindingsName))))
	check("findings deleted", "")
	require.NoError(t, Write(p, d))
	check("written again", d.Fingerprint)
	require.NoError(t, MarkGone(p))
	check("gone", "")
}

func TestAFingerprintIsLettersAndDigits(t *testing.T) {
	d := plate()
	d.Fingerprint = "a --> <b>"
	if err := Write(disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}, d); err == nil {
		t.Error("a fingerprint that ends its comment was accepted")
	}
}

func TestPreviousIsSoundOrNil(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	if f := paper.Previous(p); f != nil {
		t.Errorf("findings before any report: %+v", f)
	}
	require.NoError(t, Write(p, d))
	want := d.Findings
	want.Fingerprint = d.Fingerprint
	require.Equal(t, &want, paper.Previous(p))

	good := sample.ReadFile(t, p.Root, p.Under(disk.FindingsName))
	for name, text := range map[string]string{
		"cut off": good[:len(good)/2], "empty": "", "zeros": strings.Repeat("\x00", 100), "null": "null",
		"other schema": strings.Replace(good, analysis.Schema, "gambeson.findings/9", 1),
		"other part":   strings.Replace(good, "back-plate", "front-plate", 1),
		"wrong types":  strings.Replace(good, `"percent":100`, `"percent":"100"`, 1),
	} {
		sample.WriteFile(t, p.Root, p.Under(disk.FindingsName), text)
		if f := paper.Previous(p); f != nil {
			t.Errorf("%s: got %+v", name, f)
		}
	}
}

func TestGoneSaysSoOnTop(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	require.NoError(t, MarkGone(p)) // nothing there, nothing made
	if _, err := os.Stat(filepath.Join(p.Root, p.Report())); !os.IsNotExist(err) {
		t.Errorf("a report was made for a part that is gone: %v", err)
	}
	require.NoError(t, Write(p, d))
	ours := sample.ReadFile(t, p.Root, p.Report())
	sample.WriteFile(t, p.Root, p.Report(), ours+"my note\n")
	for range 2 {
		require.NoError(t, MarkGone(p))
		got := sample.ReadFile(t, p.Root, p.Report())
		if n := strings.Count(got, "no longer in the folder"); n != 1 {
			t.Errorf("it is said %d times that the part is gone", n)
		}
		if strings.Index(got, "no longer in the folder") > strings.Index(got, "# `torso") || !strings.HasSuffix(got, "my note\n") {
			t.Errorf("got\n%s", got)
		}
	}
	sample.WriteFile(t, p.Root, p.Report(), "mine")
	require.NoError(t, MarkGone(p))
	if got := sample.ReadFile(t, p.Root, p.Report()); got != "mine" {
		t.Errorf("a file of the person's was changed to %q", got)
	}
}

// Of a part that goes after it was judged anew nothing is said to be on its way: the
// verdict put on top goes with what was to follow it, the notes stay.
func TestNothingFollowsForAPartThatIsGone(t *testing.T) {
	d := plate()
	p := disk.Place{Root: sample.Folder(t), Part: d.Findings.Part}
	require.NoError(t, Write(p, d))
	sample.WriteFile(t, p.Root, p.Report(), sample.ReadFile(t, p.Root, p.Report())+"my note\n")
	before := sample.ReadFile(t, p.Root, p.Report())
	require.NoError(t, Renew(p, d.Findings))
	require.Contains(t, sample.ReadFile(t, p.Root, p.Report()), "being made again")
	require.NoError(t, MarkGone(p))
	got := sample.ReadFile(t, p.Root, p.Report())
	require.NotContains(t, got, "being made again")
	require.NotContains(t, got, "Judged anew")
	require.True(t, strings.HasSuffix(got, "my note\n"))
	_, after, _ := strings.Cut(got, "\n# ")
	_, first, _ := strings.Cut(before, "\n# ")
	require.Equal(t, first, after, "below the title it is the earlier report")
}
