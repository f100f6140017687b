package config

import (
	"strings"
	"testing"
)

// What is suggested is what was meant, and would not be refused in its turn.
func TestHintsCanBeFollowed(t *testing.T) {
	read := map[string]func([]byte) Errors{
		"suit":    func(b []byte) Errors { _, e := readSuit(b); return e },
		"wearer":  func(b []byte) Errors { _, e := readWearer(b); return e },
		"logbook": func(b []byte) Errors { _, e := readLogbook(b); return e },
	}
	const part = "[[part]]\nfile = 'a.stl'\n"
	for _, c := range []struct{ file, text, hint string }{
		{"wearer", `calf_girth = "14 3/4"`, `did you mean "14 3/4 in"?`},
		{"wearer", `calf_girth = "382"`, `did you mean "382 mm"?`},
		{"wearer", `calf_girth = "38"`, `did you mean "38 cm"?`},
		{"wearer", `calf_girth = "38,5"`, `did you mean "38.5 cm"?`},
		{"wearer", `calf_girth = "3"`, ""}, // no unit makes a calf of it
		{"wearer", `stature = "171"`, `did you mean "171 cm"?`},
		{"wearer", `stature = "5'10"`, `did you mean "5'10 in"?`},
		{"wearer", `stature = 5'10"`, `did you mean stature = "5 ft 10 in"?`},
		{"wearer", `stature = 5'10`, `did you mean stature = "5 ft 10 in"?`},
		{"wearer", `stature = 5' 10.5" # bare feet`, `did you mean stature = "5 ft 10.5 in"?`},
		{"wearer", `calf_girth = 14"`, `did you mean calf_girth = "14 in"?`},
		{"wearer", `calf_girth = 14 3/4″`, `did you mean calf_girth = "14 3/4″"?`},
		{"wearer", `calf_girth = 380.0,`, `did you mean calf_girth = 380.0?`},
		{"wearer", `calf_girth = 38 cm;`, `did you mean calf_girth = "38 cm"?`},
		{"wearer", `sex = "f"`, `did you mean "female"?`},
		{"suit", part + `scale = 1.05`, `did you mean percent = 105?`},
		{"suit", part + `scale = 107`, `did you mean percent = 107?`},
		{"suit", part + `scale = "large"`, `did you mean part.percent?`},
		{"suit", part + `region = "shin"`, `did you mean "lower_leg"?`},
		{"suit", part + `region = "calf"`, `did you mean "lower_leg"?`},
		{"suit", part + `region = "ship"`, ""},
		{"suit", part + `side = "l"`, `did you mean "left"?`},
		{"logbook", "[[printed]]\npart = 'a.stl'\nscale = 1.05", `did you mean percent = 105?`},
	} {
		errs := read[c.file]([]byte(c.text))
		switch {
		case len(errs) != 1:
			t.Errorf("%s: %d faults, want one: %v", c.text, len(errs), errs)
		case c.hint == "" && errs[0].Nearest != "", !strings.HasSuffix(errs[0].Error(), c.hint):
			t.Errorf("%s: %v; want %q", c.text, errs[0], c.hint)
		}
	}
}

// The logbook takes the words that gambeson tried takes.
func TestLogbookTakesShortWordsForGirths(t *testing.T) {
	l, errs := readLogbook([]byte("[[tryon]]\npart = 'a.stl'\nstation = 'calf'\nverdict = 'fits'\n"))
	if len(errs) > 0 || l.Tryons[0].Station != "calf_girth" {
		t.Errorf("%+v, %v", l.Tryons, errs)
	}
}
