package paper

import (
	"bytes"
	"testing"

	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// The lines round the notes stay as they are: reports that lie in folders have them.
func TestLinesRoundTheNotesStay(t *testing.T) {
	require.Equal(t, sample.FirstLine, firstLine)
	require.Equal(t, sample.NotesLine, notesLine)
	require.Equal(t, sample.NotesTop, NotesTop)
	require.Equal(t, sample.Notes["a pasted report"], string(compose("# x\n\n"+NotesTop, "ff", []byte("inner notes\n"))))
}

func FuzzNotes(f *testing.F) {
	for _, notes := range sample.Notes {
		f.Add([]byte(notes))
	}
	f.Add(compose("# x\n\n"+NotesTop, "", nil))
	f.Fuzz(func(t *testing.T, data []byte) {
		e := parse(compose("# x\n\n"+NotesTop, "ff", data))
		if !bytes.Equal(e.notes, data) || !e.ours || !e.whole || e.changed || e.fingerprint != "ff" {
			t.Fatalf("notes %q came back as %+v", data, e)
		}
		once := compose("# x\n\n"+NotesTop, "", parse(data).notes)
		if twice := compose("# x\n\n"+NotesTop, "", parse(once).notes); !bytes.Equal(once, twice) {
			t.Fatalf("a file %q does not come to rest:\n%q\n%q", data, once, twice)
		}
	})
}
