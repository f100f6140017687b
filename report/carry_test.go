package report

import (
	"strings"
	"testing"

	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// Notes of any kind go below those of the new report, word for word and once, and stay in
// the old one, also where the person changed the text above them.
func TestNotesAreCarriedWordForWord(t *testing.T) {
	for name, notes := range sample.Notes {
		for own, above := range map[string]string{"none": "", "some": "glue it\n"} {
			for _, changed := range []bool{false, true} {
				root := sample.Folder(t)
				from, to := disk.Place{Root: root, Part: "old.stl"}, disk.Place{Root: root, Part: "new.stl"}
				for _, p := range []disk.Place{from, to} {
					d := plate()
					d.Findings.Part = p.Part
					require.NoError(t, Write(p, d))
				}
				old := sample.ReadFile(t, root, from.Report())
				if changed {
					old = strings.Replace(old, "# ", "# Mine: ", 1)
				}
				sample.WriteFile(t, root, from.Report(), old+notes)
				sample.WriteFile(t, root, to.Report(), sample.ReadFile(t, root, to.Report())+above)
				fingerprint, ok := paper.Fingerprint(to)
				require.True(t, ok)

				done, err := paper.Carry(from, to)
				require.NoError(t, err)
				require.False(t, done, "%s, own %s: the part is still there", name, own)
				require.NoError(t, MarkGone(from))
				done, err = paper.Carry(from, to)
				require.NoError(t, err)
				require.Equal(t, strings.TrimSpace(notes) != "", done, "%s, own %s", name, own)
				now, was := sample.ReadFile(t, root, to.Report()), sample.ReadFile(t, root, from.Report())
				require.True(t, strings.HasSuffix(was, sample.NotesLine+"\n"+notes), "%s: the old report lost something:\n%s", name, was)
				if done {
					_, below, _ := strings.Cut(now, sample.NotesLine+"\n")
					require.True(t, strings.HasPrefix(below, strings.TrimRight(above, "\n")) && strings.HasSuffix(below, notes), "%s, own %s: %q", name, own, below)
					require.Contains(t, was, "The file is called `new.stl` now")
				}
				if changed {
					require.Contains(t, was, "# Mine: ")
				}
				still, ok := paper.Fingerprint(to)
				require.True(t, ok && still == fingerprint, "the part would be looked into again")

				done, err = paper.Carry(from, to)
				require.NoError(t, err)
				require.False(t, done, "%s: twice", name)
				require.Equal(t, now, sample.ReadFile(t, root, to.Report()))

				// Killed between the two, it does not copy twice; a part that comes back
				// is looked into, and its report is as any.
				sample.WriteFile(t, root, from.Report(), old+notes)
				require.NoError(t, MarkGone(from))
				_, err = paper.Carry(from, to)
				require.NoError(t, err)
				require.Equal(t, now, sample.ReadFile(t, root, to.Report()))
				_, ok = paper.Fingerprint(from)
				require.False(t, ok)
				d := plate()
				d.Findings.Part = from.Part
				require.NoError(t, Write(from, d))
				back := sample.ReadFile(t, root, from.Report())
				require.NotContains(t, back, "is called")
				require.True(t, strings.HasSuffix(back, sample.NotesLine+"\n"+notes))
			}
		}
	}
}
