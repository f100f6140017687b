package report

import (
	"bytes"
	"testing"

	"gambeson/report/sample"
)

func FuzzNotes(f *testing.F) {
	for _, notes := range sample.Notes {
		f.Add([]byte(notes))
	}
	f.Add(compose("# x\n\n"+notesTop, "", nil))
	f.Fuzz(func(t *testing.T, data []byte) {
		e := parse(compose("# x\n\n"+notesTop, "ff", data))
		if !bytes.Equal(e.notes, data) || !e.ours || !e.whole || e.changed || e.fingerprint != "ff" {
			t.Fatalf("notes %q came back as %+v", data, e)
		}
		once := compose("# x\n\n"+notesTop, "", parse(data).notes)
		if twice := compose("# x\n\n"+notesTop, "", parse(once).notes); !bytes.Equal(once, twice) {
			t.Fatalf("a file %q does not come to rest:\n%q\n%q", data, once, twice)
		}
	})
}
