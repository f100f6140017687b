package config

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

func TestLogbook(t *testing.T) {
	l, errs := readLogbook([]byte(`[[tryon]]
part = "legs/greave-left.stl"
station = "calf_girth"
percent = 107
verdict = "tight"
[[printed]]
part = "./legs/greave-left.stl"
percent = "110 %"
hours = 22.4
grams = 310
[[tryon]]
part = "kit.zip/helm.stl"
station = "12 cm"
verdict = "fits"
capacity_mm = 612.5
padding_mm = 0
entry_padding_mm = "0.25 cm"
fingerprint = "ab12"
`))
	require.Empty(t, errs)
	none, pressed := 0.0, 2.5
	want := Logbook{
		Tryons: []Tryon{
			{Part: "legs/greave-left.stl", Station: "calf_girth", Percent: 107, Verdict: "tight", line: 2},
			{Part: "kit.zip/helm.stl", Along: 120, Percent: 100, Verdict: "fits", Capacity: 612.5, Padding: &none, EntryPadding: &pressed, Fingerprint: "ab12", line: 12},
		},
		Printed: []Printed{{Part: "legs/greave-left.stl", Percent: 110, Hours: 22.4, Grams: 310, line: 7}},
	}
	require.Equal(t, want, l)
}

func TestLogbookErrors(t *testing.T) {
	const good = "[[tryon]]\npart = 'a.stl'\nverdict = 'fits'\nstation = 'calf_girth'\n"
	for _, test := range []struct{ text, want string }{
		{good + "percnt = 3", `logbook.toml:5:1: tryon.percnt: unknown key; did you mean tryon.percent?`},
		{good + "percent = 0", `logbook.toml:5:1: tryon.percent: 0 is out of range; expected 10 to 1000, as percent such as 107 or "107 %"`},
		{good + "capacity_mm = 'x'", `logbook.toml:5:1: tryon.capacity_mm: "x" is no length; expected a length such as 382 (mm), "38.2 cm" or "15 1/4 in"`},
		{good + "padding_mm = 151", `logbook.toml:5:1: tryon.padding_mm: 151 is out of range; expected 0 to 150 mm; did you mean 1.51 cm = 15.1 mm or 0.15 cm = 1.51 mm?`},
		{good + "padding = 5", `logbook.toml:5:1: tryon.padding: unknown key; did you mean tryon.padding_mm?`},
		{good + "[[tried]]", `logbook.toml:5:1: tried: unknown key; did you mean tryon?`},
		{"[[tryon]]\npart = 'a.stl'\nstation = 'calf_girth'\nverdict = 'tite'", `logbook.toml:4:1: tryon.verdict: "tite" is not known here; expected one of tight, fits, loose`},
		{"[[tryon]]\npart = 'a.stl'\nstation = 'calf_grith'\nverdict = 'fits'", `logbook.toml:3:1: tryon.station: "calf_grith" is no measure; expected the name of a measure such as "calf_girth", or a length along the part; did you mean "calf_girth"?`},
		{"[[tryon]]\npart = 'a.stl'\nstation = -3\nverdict = 'fits'", `logbook.toml:3:1: tryon.station: -3 is out of range; expected 0 to 10000 mm`},
		{"[[printed]]\npart = '/a.stl'", `logbook.toml:2:1: printed.part: "/a.stl" leads out of the suit's folder; expected a path from the suit's folder on`},
		{"[[printed]]\npart = 'legs\\a.stl'", `logbook.toml:2:1: printed.part: "legs\\a.stl" has a backslash; expected / between folders; did you mean "legs/a.stl"?`},
		{"[[printed]]\npart = 'a'\nhours = '3 h'", `logbook.toml:3:1: printed.hours: "3 h" is no number; expected 0 to 10000 hours`},
		{"[[printed]]\npart = 'a'\ngrams = -1", `logbook.toml:3:1: printed.grams: -1 is out of range; expected 0 to 1000000 g`},
		{"[[printed]]\nhours = 3", `logbook.toml:1:1: printed.part: missing key; expected each [[printed]] to have it`},
	} {
		if _, errs := readLogbook([]byte(test.text)); errs.Error() != test.want {
			t.Errorf("%q:\ngot  %v\nwant %s", test.text, errs, test.want)
		}
	}
}

// Names with everything a file system allows come back as they went in.
func TestAppendRoundTrip(t *testing.T) {
	dir := t.TempDir()
	names := []string{
		`legs/greave-left.stl`, `a "quoted" one.stl`, `it's.stl`, "two\nlines\r\n.stl", "tab\tand\x1b[2J\x7f\x01.stl",
		`C:\odd/b.stl`, "[[tryon]]", "# no remark", `"""`, `'''`, "café/größe 12½.stl", "\u202egnp.stl", " spaces ", "a = 1",
		"kit.zip/legs/a.stl", "emoji 🛡.stl", strings.Repeat("long/", 200) + "a.stl",
	}
	var want []Tryon
	for i, name := range names {
		e := Tryon{Part: name, Station: "calf_girth", Percent: 100 + float64(i)/3, Verdict: []string{"tight", "fits", "loose"}[i%3]}
		if i%2 == 1 {
			e.Station, e.Along = "", float64(i)*1.7
		}
		if i%4 > 1 {
			e.Capacity, e.Fingerprint = 389.125, "sha-of-"+fmt.Sprint(i)
			padding := float64(i) - 2 // none is another thing than not noted
			e.Padding, e.EntryPadding = &padding, new(float64)
		}
		require.NoError(t, Append(dir, e), name)
		want = append(want, e)
	}
	f, err := Load(dir)
	require.NoError(t, err)
	for i := range f.Logbook.Tryons {
		f.Logbook.Tryons[i].line = 0
	}
	require.Equal(t, want, f.Logbook.Tryons)
	onlyLogbook(t, dir)
}

func onlyLogbook(t *testing.T, dir string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		if e.Name() != logbookFile {
			t.Errorf("%s is left behind", e.Name())
		}
	}
}

var tight = Tryon{Part: "legs/greave-left.stl", Station: "calf_girth", Percent: 107, Verdict: "tight", Capacity: 389.5, Fingerprint: "4f1c"}

const tightEntry = `[[tryon]]
part = "legs/greave-left.stl"
station = "calf_girth"
percent = 107.0
verdict = "tight"
capacity_mm = 389.5
fingerprint = "4f1c"
`

func TestAppendKeepsEveryByte(t *testing.T) {
	crlf := strings.ReplaceAll("\n"+tightEntry, "\n", "\r\n")
	for before, added := range map[string]string{
		"":                      tightEntry,
		"# my notes, no end":    "\n\n" + tightEntry,
		"# my notes\n":          "\n" + tightEntry,
		"# a\r\n# b\r\n":        crlf,
		"\ufeff# with a mark\n": "\n" + tightEntry,
		"\n\n\n":                "\n" + tightEntry,
		"[[printed]]\npart='x'": "\n\n" + tightEntry,
		"[[tryon]]\npart='x'\nstation='calf_girth'\nverdict='fits'\n": "\n" + tightEntry,
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, logbookFile)
		require.NoError(t, os.WriteFile(path, []byte(before), 0o640))
		require.NoError(t, os.Chmod(path, 0o640))
		require.NoError(t, Append(dir, tight))
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		if string(after) != before+added {
			t.Errorf("got  %q\nwant %q", after, before+added)
		}
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o640), info.Mode())
		onlyLogbook(t, dir)
	}
}

func TestAppendRefuses(t *testing.T) {
	for before, want := range map[string]string{
		"[[tryon]]\npart = \"x": "logbook.toml:2:9: part: not valid TOML: the file ends within a text: its closing quotation mark is missing",
		"x = 1\n":               "logbook.toml:1:1: x: unknown key; did you mean tryon?",
		"tryon = []\n":          "logbook.toml:3:3: not valid TOML: tryon is there twice, as a value and as a table",
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, logbookFile)
		require.NoError(t, os.WriteFile(path, []byte(before), 0o644))
		err := Append(dir, tight)
		if err == nil || err.Error() != want {
			t.Errorf("%q: got %v, want %s", before, err, want)
		}
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, before, string(after))
		onlyLogbook(t, dir)
	}
	for _, test := range []struct {
		change func(*Tryon)
		want   string
	}{
		{func(e *Tryon) { e.Verdict = "tite" }, `tryon.verdict: "tite" is not known here; expected one of tight, fits, loose`},
		{func(e *Tryon) { e.Station = "calv" }, `tryon.station: "calv" is no measure; expected the name of a measure such as "calf_girth", or a length along the part; did you mean "calf_girth"?`},
		{func(e *Tryon) { e.Part = "" }, `tryon.part: "" is no text; expected a part such as "legs/greave-left.stl"`},
		{func(e *Tryon) { e.Part = "caf\xe9.stl" }, `a byte that is not UTF-8; expected text saved as UTF-8`},
		{func(e *Tryon) { e.Percent = 0 }, `tryon.percent: 0 is out of range; expected 10 to 1000, as percent such as 107 or "107 %"`},
	} {
		e := tight
		test.change(&e)
		dir := t.TempDir()
		if err := Append(dir, e); err == nil || err.Error() != test.want {
			t.Errorf("got %v, want %s", err, test.want)
		}
		onlyLogbook(t, dir)
	}
	if err := Append(filepath.Join(t.TempDir(), "none"), tight); err == nil || !strings.HasPrefix(err.Error(), "add to logbook.toml: open ") {
		t.Errorf("got %v", err)
	}
}

// A link stays a link; what it points to grows.
func TestAppendThroughALink(t *testing.T) {
	dir, elsewhere := t.TempDir(), t.TempDir()
	target := filepath.Join(elsewhere, "book.toml")
	require.NoError(t, os.WriteFile(target, []byte("# mine\n"), 0o644))
	require.NoError(t, os.Symlink(target, filepath.Join(dir, logbookFile)))
	require.NoError(t, Append(dir, tight))
	info, err := os.Lstat(filepath.Join(dir, logbookFile))
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&os.ModeSymlink)
	text, err := os.ReadFile(target)
	require.NoError(t, err)
	require.Equal(t, "# mine\n\n"+tightEntry, string(text))
}

// Many at once, and none is lost.
func TestAppendAtOnce(t *testing.T) {
	dir := t.TempDir()
	const many = 24
	var done sync.WaitGroup
	errs := make([]error, many)
	for i := range many {
		done.Go(func() {
			e := tight
			e.Percent = 100 + float64(i)
			errs[i] = Append(dir, e)
		})
	}
	done.Wait()
	for _, err := range errs {
		require.NoError(t, err)
	}
	f, err := Load(dir)
	require.NoError(t, err)
	seen := map[float64]bool{}
	for _, e := range f.Logbook.Tryons {
		seen[e.Percent] = true
	}
	if len(seen) != many || len(f.Logbook.Tryons) != many {
		t.Errorf("%d of %d try-ons are there", len(seen), many)
	}
	onlyLogbook(t, dir)
}

// What another program writes between our reading and our renaming is not lost:
// the draft is thrown away, and the next one grows from the new text.
func TestDraftSeesAnotherWriter(t *testing.T) {
	for name, edit := range map[string]func(path string) error{
		"changed": func(path string) error { return os.WriteFile(path, []byte("# two\n"), 0o644) },
		"gone":    os.Remove,
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, logbookFile)
		require.NoError(t, os.WriteFile(path, []byte("# one\n"), 0o644))
		d, err := newDraft(dir, path, tight)
		require.NoError(t, err)
		require.NoError(t, edit(path))
		want, readErr := os.ReadFile(path)
		require.ErrorIs(t, d.place(), errChanged, name)
		got, againErr := os.ReadFile(path)
		if string(got) != string(want) || (readErr == nil) != (againErr == nil) {
			t.Errorf("%s: the other's file is now %q, %v", name, got, againErr)
		}
		onlyLogbook(t, dir)
		require.NoError(t, Append(dir, tight))
	}
	// two drafts of the first logbook ever: the second gives way
	dir := t.TempDir()
	path := filepath.Join(dir, logbookFile)
	first, err := newDraft(dir, path, tight)
	require.NoError(t, err)
	second, err := newDraft(dir, path, tight)
	require.NoError(t, err)
	require.NoError(t, first.place())
	require.ErrorIs(t, second.place(), errChanged)
	onlyLogbook(t, dir)
}

// A part is told what was tried on of it, whichever way its accents are
// composed, and nothing of the others.
func TestBriefHasItsOwnTryons(t *testing.T) {
	f := folderOf(t, "", "", `[[tryon]]
part = "legs/jambi`+"e\u0300"+`re.stl"
station = "calf_girth"
percent = 107
verdict = "tight"
capacity_mm = 421.5
[[tryon]]
part = "legs/other.stl"
station = "calf_girth"
verdict = "fits"
[[tryon]]
part = "legs/jambi`+"e\u0300"+`re.stl"
station = 140
verdict = "loose"
`)
	require.Equal(t, []analysis.Tryon{
		{Station: "calf_girth", Percent: 107, Verdict: "tight", Capacity: 421.5},
		{Along: 140, Percent: 100, Verdict: "loose"},
	}, f.Brief("legs/jambi\u00e8re.stl").Tryons)
	require.Empty(t, f.Brief("legs/third.stl").Tryons)
}

// The other side of a pair is told what was found of the measure that both have,
// where its room is noted in mm; a part that covers something else is not.
func TestBriefHasTryonsOfThePair(t *testing.T) {
	f := folderOf(t, `[shell]
padding = 4
[[part]]
file = "legs/shell-?.stl"
region = "lower_leg"
[[part]]
file = "legs/shell-b.stl"
side = "right"
padding = 7
`, "", `[[tryon]]
part = "legs/shell-b.stl"
station = "calf_girth"
percent = 107
verdict = "tight"
capacity_mm = 421.5
[[tryon]]
part = "legs/shell-b.stl"
station = "calf_girth"
percent = 110
verdict = "fits"
`)
	got := f.Brief("legs/shell-a.stl").Tryons
	require.Len(t, got, 1) // the other has no room noted
	require.Equal(t, 421.5, got[0].Capacity)
	require.Equal(t, "right", got[0].Other.Side)
	require.Equal(t, 7.0, got[0].Other.Shell.Padding)
	require.Len(t, f.Brief("legs/shell-b.stl").Tryons, 2)
	require.Empty(t, f.Brief("helm.stl").Tryons)
}

func FuzzLogbook(f *testing.F) {
	f.Add([]byte("[[tryon]]\npart = \"legs/greave-left.stl\"\nstation = \"calf_girth\"\npercent = 107\nverdict = \"tight\"\ncapacity_mm = 391.5\n"))
	f.Add([]byte("[[tryon]]\npart='./a.stl'\nstation='12,5 mm'\nverdict='fits'\n[[printed]]\npart='a.stl'\nhours=nan\ngrams=-0\n"))
	f.Add([]byte("tryon=[{part=\"..\\\\a.stl\",station=1e999,verdict=[]},{}]\n[printed]\n"))
	f.Add([]byte("n={\"\\ra\"=1")) // keys that would write on a terminal
	f.Add([]byte("\"\\u001b[2J\"=1\n\"\\u001b[2J\"=2\n"))
	f.Add([]byte("t=\"\a\"\""))
	f.Add([]byte("0=0o"))
	f.Add([]byte("\"\\n\"=1\n[\"\\n\"]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		l, errs := readLogbook(text)
		checkErrors(t, errs)
		for _, e := range l.Tryons {
			if !(e.Percent > 0 && e.Percent < 1e6) || !(e.Capacity >= 0 && e.Capacity <= 1e5) || !(e.Along >= 0) || e.Part == "" {
				t.Errorf("try-on %+v", e)
			}
			if e.Verdict != "tight" && e.Verdict != "fits" && e.Verdict != "loose" {
				t.Errorf("verdict %q", e.Verdict)
			}
		}
		for _, p := range l.Printed {
			if !(p.Hours >= 0 && p.Hours <= 10_000) || !(p.Grams >= 0 && p.Grams <= 1e6) || !(p.Percent > 0) || p.Part == "" {
				t.Errorf("printed %+v", p)
			}
		}
	})
}

// What was tried on of one piece of a shell counts for every other of it.
func TestTryonsOfAShell(t *testing.T) {
	f := &Folder{Suit: defaultSuit(), Logbook: Logbook{Tryons: []Tryon{
		{Part: "greave-front.stl", Station: "calf_girth", Percent: 107, Verdict: "tight"},
		{Part: "greave-back.stl", Along: 80, Percent: 109, Verdict: "fits"},
		{Part: "helm.stl", Station: "head_girth", Percent: 100, Verdict: "fits", Capacity: 600},
	}}}
	b := f.Brief("greave-back.stl")
	require.Len(t, b.Tryons, 1)
	b.Mates = []analysis.Mate{{Part: "greave-front.stl"}}
	f.Join(&b)
	require.Equal(t, []analysis.Tryon{
		{Station: "calf_girth", Percent: 107, Verdict: "tight"}, {Along: 80, Percent: 109, Verdict: "fits"},
	}, b.Tryons)
}
