package config

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestMatch(t *testing.T) {
	for _, test := range []struct {
		pattern, part string
		want          bool
	}{
		{"legs/greave-left.stl", "legs/greave-left.stl", true},
		{"legs/greave-*.stl", "legs/greave-left.stl", true},
		{"legs/greave-?.stl", "legs/greave-l.stl", true},
		{"legs/greave-[lr].stl", "legs/greave-r.stl", true},
		{"legs/greave-[1].stl", "legs/greave-[1].stl", true}, // written out
		{"legs/greave-[1].stl", "legs/greave-1.stl", true},
		{"*.stl", "legs/greave-left.stl", false},
		{"**", "legs/greave-left.stl", true},
		{"**/*.stl", "greave-left.stl", true},
		{"**/*.stl", "legs/left/greave.stl", true},
		{"legs/**/greave.stl", "legs/greave.stl", true},
		{"legs/**/greave.stl", "legs/a/b/greave.stl", true},
		{"legs/**/greave.stl", "arms/a/greave.stl", false},
		{"**/a/**/b.stl", "a/a/c/b.stl", true},
		{"**/a/**/b.stl", "c/b.stl", false},
		{"legs/**", "legs", true},
		{"legs/**/x", "legs", false},
		{"legs", "legs/a.stl", false},
		{"kit.zip/**", "kit.zip/legs/a.stl", true},
		{"kit.zip/legs/a.stl", "kit.zip/legs/a.stl", true},
		{"Legs/*.stl", "legs/a.stl", false},
		{"caf\u00e9/*.stl", "cafe\u0301/a.stl", true}, // composed and decomposed: Unicode Standard Annex 15
		{"", "", true},
		{"", "a", false},
	} {
		if got := Match(test.pattern, test.part); got != test.want {
			t.Errorf("Match(%q, %q) = %v", test.pattern, test.part, got)
		}
	}
	// a pattern made to be slow
	if Match(strings.Repeat("**/a*a*a*b/", 100)+"x", strings.Repeat("aaaaaaaaaaaaaaaaaaaaaa/", 1000)+"y") {
		t.Error("it matches")
	}
}

func TestUnmatched(t *testing.T) {
	f := folderOf(t, `[[part]]
file = "legs/grieve-left.stl"
[[part]]
file = "**/*.stl"
[[part]]
file = "arms/**"
[[assembly]]
name = "boot"
files = ["legs/greave-left.stl", "boot-top.stl"]
[[assembly]]
name = "greave"
files = ["legs/gr*.stl"]
[[assembly]]
name = "arm"
files = ["arm-*.stl"]
[[assembly]]
name = "cuff"
files = ["arm-front.stl", "arm-back.stl"]
`, "", `[[tryon]]
part = "legs/greave-lfet.stl"
station = "calf_girth"
verdict = "fits"
[[tryon]]
part = "legs/greave-lfet.stl"
station = "calf_girth"
verdict = "fits"
[[printed]]
part = "legs/greave-left.stl"
`)
	want := []string{
		`suit.toml:2:1: part.file: "legs/grieve-left.stl" matches no part; did you mean "legs/greave-left.stl"?`,
		`suit.toml:6:1: part.file: "arms/**" matches no part`,
		`suit.toml:9:1: assembly.files: "boot-top.stl" matches no part; did you mean "boot.stl"?`,
		`suit.toml:12:1: assembly.files: "greave" is left with fewer than two parts; expected two parts or more that no assembly above it has`,
		`suit.toml:18:1: assembly.files: "cuff" is left with fewer than two parts; expected two parts or more that no assembly above it has`,
		`logbook.toml:2:1: tryon.part: "legs/greave-lfet.stl" matches no part; did you mean "legs/greave-left.stl"?`,
	}
	var got []string
	var slips []int
	for i, note := range f.Unmatched([]string{"arm-back.stl", "arm-front.stl", "boot.stl", "legs/greave-left.stl"}, nil) {
		got = append(got, note.Error())
		if note.Slip {
			slips = append(slips, i)
		}
	}
	require.Equal(t, want, got)
	require.Equal(t, []int{0, 5}, slips) // what is to come, as a boot's top, is none
}

// A file that bears another name now is known by what is in it.
func TestRenamed(t *testing.T) {
	f := folderOf(t, `[[part]]
file = "greave.stl"
percent = 104
`, "", `[[tryon]]
part = "greave.stl"
station = "calf_girth"
verdict = "fits"
`)
	var got []string
	for _, note := range f.Unmatched([]string{"greave-l.stl", "legs/shin (1).stl"}, map[string]string{"greave.stl": "legs/shin (1).stl"}) {
		require.True(t, note.Slip)
		got = append(got, note.Error())
	}
	require.Equal(t, []string{
		`suit.toml:2:1: part.file: "greave.stl" matches no part: the file is called "legs/shin (1).stl" now; expected that name`,
		`logbook.toml:2:1: tryon.part: "greave.stl" matches no part: the file is called "legs/shin (1).stl" now; expected that name`,
	}, got)
}

// The other side, or a part that has a table of its own, is not mistyped.
func TestOthersAreNoSlips(t *testing.T) {
	f := folderOf(t, `[[part]]
file = "greave-right.stl"
[[part]]
file = "plate-1.stl"
[[part]]
file = "plate-2.stl"
`, "", "")
	for _, note := range f.Unmatched([]string{"greave-left.stl", "plate-1.stl"}, nil) {
		require.NotEmpty(t, note.Nearest)
		require.False(t, note.Slip, note.Error())
	}
}

func TestRoot(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	for _, sub := range []string{"suit/legs/left", "report/a", "bare/b", "folder/suit.toml"} {
		require.NoError(t, os.MkdirAll(filepath.Join(dir, sub), 0o755))
	}
	for _, file := range []string{"suit/wearer.toml", "suit/kit.zip", "report/SUIT.md", "bare/b/x.stl"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, file), nil, 0o644))
	}
	for path, want := range map[string]string{
		"suit":                     "suit",
		"suit/":                    "suit",
		"suit/legs/left/a.stl":     "suit",
		"suit/kit.zip/legs/a.stl":  "suit",
		"suit/none/yet/a.stl":      "suit",
		"report/a":                 "report",
		"bare/b/x.stl":             "bare/b",
		"bare/b":                   "bare/b",
		"bare/b/x.zip/legs/a.stl":  "bare/b",
		"bare/../suit/legs/x.stl":  "suit",
		"folder/a.stl":             "folder", // a folder of that name marks nothing
		"folder/suit.toml/odd.stl": "folder/suit.toml",
	} {
		if got := Root(filepath.Join(dir, path)); got != filepath.Join(dir, want) {
			t.Errorf("Root(%s) = %s, want %s", path, got, want)
		}
	}
	t.Chdir(filepath.Join(dir, "suit/legs"))
	if got := Root("left/a.stl"); got != filepath.Join(dir, "suit") {
		t.Errorf("got %s", got)
	}
	if got := Root("."); got != filepath.Join(dir, "suit") {
		t.Errorf("got %s", got)
	}
}

func TestLoadSaysAll(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	write(suitFile, "[printer]\nhieght = 250\n")
	write(wearerFile, "name = 'Mira'\ncalf_girth = 382\n")
	write(logbookFile, "[[tryon]]\n")
	f, err := Load(dir)
	want := `suit.toml:2:1: printer.hieght: unknown key; did you mean printer.height?
logbook.toml:1:1: tryon.part: missing key; expected each [[tryon]] to have it
logbook.toml:1:1: tryon.station: missing key; expected each [[tryon]] to have it
logbook.toml:1:1: tryon.verdict: missing key; expected each [[tryon]] to have it`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	var one *Error
	require.ErrorAs(t, err, &one)
	require.Equal(t, "Mira", f.Wearer.Name) // what could be read is there
	require.Equal(t, defaultSuit(), f.Suit)
	require.Equal(t, dir, f.Root)
}

func TestLoadNoPermission(t *testing.T) {
	// root reads everything, so a file that cannot be opened is a link to itself
	dir := t.TempDir()
	require.NoError(t, os.Symlink(suitFile, filepath.Join(dir, suitFile)))
	_, err := Load(dir)
	var one *Error
	if !errors.As(err, &one) || errors.Unwrap(one) == nil || one.File != suitFile || one.Line != 0 {
		t.Errorf("got %#v", one)
	}
}

// The life of a suit.toml under a daemon that keeps the last good values.
func TestKeeper(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, suitFile)
	k := NewKeeper(dir)
	clock := time.Date(2024, 3, 1, 12, 0, 0, 0, time.UTC)
	step := func(what string, change func() error, height float64, want string) {
		t.Helper()
		clock = clock.Add(time.Minute)
		require.NoError(t, change())
		f, kept := k.Load(clock)
		got := ""
		for _, one := range kept {
			got += one.String()
		}
		if f.Suit.Printer.Height != height || got != want {
			t.Errorf("%s: height %v, want %v, and\n%q, want\n%q", what, f.Suit.Printer.Height, height, got, want)
		}
	}
	write := func(text string) func() error {
		return func() error { return os.WriteFile(path, []byte(text), 0o644) }
	}
	nothing := func() error { return nil }
	const high = "[printer]\nheight = 300\n"
	step("no file", nothing, 250, "")
	step("broken from the start", write("[printer]\nheight = 'tall'\n"), 250,
		`suit.toml:2:1: printer.height: "tall" is no length; expected a length such as 382 (mm), "38.2 cm" or "15 1/4 in"; the defaults are in force`)
	step("mended", write(high), 300, "")
	step("as it was", nothing, 300, "")
	step("broken", write("[printer]\nheight = 350\nwals = 3\n"), 300,
		`suit.toml:3:1: printer.wals: unknown key; did you mean printer.walls?; the values read at 12:03 stay in force`)
	step("empty while it's saved", write(""), 300,
		"suit.toml: is empty; expected what it said before, or a line such as # nothing; the values read at 12:03 stay in force")
	step("saved as it was", write(high), 300, "")
	step("gone", func() error { return os.Remove(path) }, 300,
		"suit.toml: is gone; expected it back as it was, or a new one with a line such as # nothing; the values read at 12:03 stay in force")
	step("a folder in its place", func() error { return os.Mkdir(path, 0o755) }, 300,
		"suit.toml: is a folder; expected a text file; the values read at 12:03 stay in force")
	step("and away", func() error { return os.Remove(path) }, 300,
		"suit.toml: is gone; expected it back as it was, or a new one with a line such as # nothing; the values read at 12:03 stay in force")
	step("new values", write("[printer]\nheight = 400\n"), 400, "")
	step("cleared on purpose", write("# nothing\n"), 250, "")
}

// What is wrong in wearer.toml and logbook.toml leaves their last good values in
// force as well, and those of the other files are read.
// What could last be used outlives the keeper, for files that are broken or
// emptied; not for one that was taken away, nor where it can no longer be read.
func TestKeeperRecalls(t *testing.T) {
	day := time.Date(2024, 3, 1, 12, 0, 0, 0, time.UTC)
	good := map[string]Good{
		suitFile:    {Text: []byte("[printer]\nheight = 300\n"), Read: day},
		wearerFile:  {Text: []byte("calf_girth = 382\n"), Read: day},
		logbookFile: {Text: []byte("[[tryon]]\nspoilt = 1\n"), Read: day},
	}
	dir := t.TempDir()
	load := func(now time.Time) (*Folder, *Keeper, string) {
		k := NewKeeper(dir)
		k.Recall(good)
		f, kept := k.Load(now)
		var said []string
		for _, one := range kept {
			said = append(said, one.File+": "+one.Values())
		}
		return f, k, strings.Join(said, ", ")
	}
	f, k, said := load(day)
	require.Empty(t, said, "none is there")
	require.Equal(t, 250.0, f.Suit.Printer.Height)
	require.Empty(t, k.Good())

	for name, text := range map[string]string{suitFile: "[printer]\nheight = 'tall'\n", wearerFile: "", logbookFile: "[[tryon]]\n"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	f, k, said = load(day.Add(time.Hour))
	require.Equal(t, "suit.toml: the values read at 12:00, wearer.toml: the values read at 12:00, logbook.toml: the defaults", said)
	require.Equal(t, 300.0, f.Suit.Printer.Height)
	require.Equal(t, 382.0, f.Wearer.Measures["calf_girth"])
	delete(good, logbookFile)
	require.Equal(t, good, k.Good(), "and outlives the next one")
	_, _, said = load(day.AddDate(0, 0, 1))
	require.Contains(t, said, "suit.toml: the values read at 12:00 on 1 March 2024")

	require.NoError(t, os.WriteFile(filepath.Join(dir, suitFile), []byte("[printer]\nheight = 280\n"), 0o644))
	f, _, said = load(day.Add(time.Hour))
	require.NotContains(t, said, "suit.toml")
	require.Equal(t, 280.0, f.Suit.Printer.Height)
}

func TestKeeperKeepsEachFile(t *testing.T) {
	dir := t.TempDir()
	k := NewKeeper(dir)
	at := time.Date(2024, 3, 1, 12, 0, 0, 0, time.UTC)
	load := func(files map[string]string) (*Folder, string) {
		t.Helper()
		for name, text := range files {
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
		}
		f, kept := k.Load(at)
		var said []string
		for _, one := range kept {
			said = append(said, one.String())
		}
		return f, strings.Join(said, "\n")
	}
	const tryon = "[[tryon]]\npart = 'a.stl'\nstation = 'calf_girth'\npercent = 107\nverdict = 'tight'\n"
	f, said := load(map[string]string{
		suitFile:    "[[part]]\nfile = 'a.stl'\nrest = 95\n",
		wearerFile:  "sex = 'female'\nmeasured_over = 'undersuit'\ncalf_girth.left = '38.4 cm'\n",
		logbookFile: tryon,
	})
	require.Empty(t, said)
	require.Equal(t, 384.0, f.Wearer.Measures["calf_girth.left"])

	f, said = load(map[string]string{
		suitFile:    "[[part]]\nfile = 'a.stl'\nrest = '9.8 cm'\n",
		wearerFile:  "sex = 'male'\ncalf_girth = 3.6\nmeasured_ovr = 'skin'\n",
		logbookFile: tryon + "verdct = 'tight'\n",
	})
	require.Equal(t, `wearer.toml:2:1: calf_girth: 3.6 is out of range; expected 156 to 701 mm; did you mean 36 cm = 360 mm?
wearer.toml:3:1: measured_ovr: unknown key; did you mean measured_over?; the values read at 12:00 stay in force
logbook.toml:6:1: tryon.verdct: unknown key; did you mean tryon.verdict?; the values read at 12:00 stay in force`, said)
	b := f.Brief("a.stl")
	require.Equal(t, 98.0, *b.Rest)
	require.Equal(t, "female", b.Wearer.Sex)
	require.True(t, b.Wearer.OverUndersuit)
	require.Equal(t, map[string]float64{"calf_girth.left": 384.0}, b.Wearer.Measures)
	require.Len(t, f.Logbook.Tryons, 1)
}

func TestRootWithinStaysBelowTheTop(t *testing.T) {
	top := t.TempDir()
	inner := filepath.Join(top, "act-two", "legs")
	require.NoError(t, os.MkdirAll(inner, 0o777))
	file := filepath.Join(inner, "greave.stl")
	if got := RootWithin(file, top); got != top {
		t.Errorf("without a marked folder: %s, want the top", got)
	}
	require.NoError(t, os.WriteFile(filepath.Join(top, "act-two", "suit.toml"), nil, 0o666))
	if got, want := RootWithin(file, top), filepath.Join(top, "act-two"); got != want {
		t.Errorf("with a suit between: %s, want %s", got, want)
	}
	// A marked folder above the top does not count.
	if got := RootWithin(file, inner); got != inner {
		t.Errorf("with the suit above the top: %s, want %s", got, inner)
	}
}
