package config

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"gambeson/analysis"
)

const lanternSuit = `# Lantern Street Players: the winter knight
[printer]
bed = [220, "21 cm"]
height = 250
margin = 4
nozzle = 0.6
layer = 0.3
walls = 4
infill = "12 %"
speed = 70
flow = 15
acceleration = 2000
[filament]
diameter = 2.85
density = 1.27
[shell]
padding = "1/4 in"
undersuit = "1.5 mm"
entry_padding = 3
liner = 1.5
ease = 8
loosest = 45
[[part]]
file = "legs/greave-*.stl"
region = "lower_leg"
unit = "inch"
axis = [0, 0.5, 1]
enter = "A"
halves = true
percent = 107
rest = "3 3/4 in"
[[part]]
file = "./legs/*-left.stl"
side = "left"
halves = false
percent = "110 %"
rest = 90
undersuit = 2
[[part]]
file = "legs/**/boot*.stl"
region = "foot"
strapped = true
panel = "back"
padding = 3
ease = 12
[[assembly]]
name = "left boot"
files = ["legs/boot-left-*.stl", "legs/sole.stl"]
`

func folderOf(t *testing.T, suit, wearer, logbook string) *Folder {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{suitFile: suit, wearerFile: wearer, logbookFile: logbook} {
		if text != "" {
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
		}
	}
	f, err := Load(dir)
	require.NoError(t, err)
	return f
}

func TestBrief(t *testing.T) {
	f := folderOf(t, lanternSuit, "sex = 'female'\nmeasured_over = 'undersuit'\ncalf_girth = 382\nheel_girth.left = '33.1 cm'\nweight = '68 kg'\n", "")
	deep, left := 95.25, 90.0
	want := analysis.Brief{
		Percent: 107, PercentSet: true, Unit: "inch", Enter: "A", Halves: true,
		Region: analysis.Region{Name: "lower_leg", Source: "config"},
		Axis:   &r3.Vec{Y: 0.5, Z: 1},
		Rest:   &deep,
		Printer: analysis.Printer{Bed: [2]float64{220, 210}, Height: 250, Margin: 4, Nozzle: 0.6, Layer: 0.3,
			Walls: 4, Infill: 0.12, Speed: 70, Flow: 15, Acceleration: 2000},
		Filament: analysis.Filament{Diameter: 2.85, Density: 1.27},
		Shell:    analysis.Shell{Padding: 6.35, Undersuit: 1.5, EntryPadding: 3, Liner: 1.5, Ease: 8, Loosest: 45, Asked: analysis.Asked{Padding: true, Ease: true, Loosest: true}},
		Wearer:   analysis.Wearer{Measures: map[string]float64{"calf_girth": 382, "heel_girth.left": 331}, Weight: 68, Sex: "female", OverUndersuit: true},
	}
	want.Part = "legs/greave-right.stl"
	got := f.Brief("legs/greave-right.stl")
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	// The second entry goes before the first where it says something.
	want.Region.Side, want.Halves, want.Percent, want.Rest, want.Shell.Undersuit = "left", false, 110, &left, 2
	want.Part = "legs/greave-left.stl"
	if got := f.Brief("legs/greave-left.stl"); !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	unsaid := folderOf(t, "[[part]]\nfile = 'legs/greave-left.stl'\npercent = 104\n", "", "[[printed]]\npart = 'legs/greave-left.stl'\n")
	if got := unsaid.Brief("legs/greave-left.stl").Printed; got != 104 {
		t.Errorf("printed at %g %% where nobody says at which, want as it is set", got)
	}
	if got := unsaid.Brief("legs/greave-right.stl").Printed; got != 0 {
		t.Errorf("another part is printed at %g %%", got)
	}
	// Padding of one part: the entry's share never more than all of it.
	boot := f.Brief("legs/new/boot.stl")
	if want := (analysis.Shell{Padding: 3, Undersuit: 1.5, EntryPadding: 3, Liner: 1.5, Ease: 12, Loosest: 45, Asked: analysis.Asked{Padding: true, Ease: true, Loosest: true}}); boot.Shell != want {
		t.Errorf("got %+v, want %+v", boot.Shell, want)
	}
	pins := f.Suit.Pins("legs/new/boot.stl")
	if pins.Strapped == nil || !*pins.Strapped || pins.Panel != "back" {
		t.Errorf("the boot's pins are %+v", pins)
	}
	// A part that nothing is said of has the suit's own.
	plain := f.Brief("helm.stl")
	if plain.Percent != 100 || plain.Unit != "" || plain.Region != (analysis.Region{Source: "unknown"}) || plain.Axis != nil || plain.Shell.Padding != 6.35 || plain.Rest != nil || plain.Assembly != "" {
		t.Errorf("got %+v", plain)
	}
	if a, ok := f.Suit.Assembly("legs/boot-left-top.stl"); !ok || a.Name != "left boot" {
		t.Errorf("got %+v, %v", a, ok)
	}
	if _, ok := f.Suit.Assembly("legs/boot-right-top.stl"); ok {
		t.Error("the right boot is no piece of the left")
	}
	for part, want := range map[string]string{"legs/boot-left-top.stl": "left boot", "legs/sole.stl": "left boot", "legs/boot-right-top.stl": ""} {
		if got := f.Brief(part).Assembly; got != want {
			t.Errorf("%s is a piece of %q, want %q", part, got, want)
		}
	}
}

// Briefs are plain data of their own: changing one changes no other.
func TestBriefIsACopy(t *testing.T) {
	f := folderOf(t, lanternSuit, "calf_girth = 382", "")
	b := f.Brief("legs/greave-right.stl")
	b.Axis.X, *b.Rest, b.Wearer.Measures["calf_girth"] = 7, 1, 1
	if c := f.Brief("legs/greave-right.stl"); c.Axis.X != 0 || *c.Rest != 95.25 || c.Wearer.Measures["calf_girth"] != 382 {
		t.Errorf("got %+v", c)
	}
}

func TestNothingSaid(t *testing.T) {
	f := folderOf(t, "", "", "")
	usual := analysis.DefaultBrief()
	usual.Part = "a.stl"
	if got := f.Brief("a.stl"); !reflect.DeepEqual(got, usual) {
		t.Errorf("got  %+v\nwant %+v", got, usual)
	}
	f = folderOf(t, "# nothing\n", "\n", " ")
	got, want := f.Brief("a.stl"), usual
	want.Wearer.Measures = map[string]float64{}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestRoundBed(t *testing.T) {
	f := folderOf(t, "[printer]\nbed_diameter = '20 cm'\n", "", "")
	if p := f.Suit.Printer; p.Diameter != 200 || p.Bed != [2]float64{} {
		t.Errorf("got %+v", p)
	}
}

// Defaults give way where what was said leaves them no room.
func TestDefaultsGiveWay(t *testing.T) {
	f := folderOf(t, "[printer]\nbed = [40, 40]\nnozzle = 0.2\n[shell]\npadding = 0.5\nease = 60\n", "", "")
	if p := f.Suit.Printer; p.Margin != 4 || p.Layer != 0.1 {
		t.Errorf("got margin %v, layer %v, want 4, 0.1", p.Margin, p.Layer)
	}
	if s := f.Suit.Shell; s.EntryPadding != 0.5 || s.Undersuit != 0.5 || s.Loosest != 94 {
		t.Errorf("got entry padding %v, undersuit %v, loosest %v, want 0.5, 0.5, 94", s.EntryPadding, s.Undersuit, s.Loosest)
	}
}

func TestSuitErrors(t *testing.T) {
	const length = `; expected a length such as 382 (mm), "38.2 cm" or "15 1/4 in"`
	for _, test := range []struct{ text, want string }{
		// keys
		{"[printer]\nhieght = 250", `suit.toml:2:1: printer.hieght: unknown key; did you mean printer.height?`},
		{"[printer]\nheight_max = 250", `suit.toml:2:1: printer.height_max: unknown key; did you mean printer.height?`},
		{"height = 250", `suit.toml:1:1: height: unknown key; did you mean printer.height?`},
		{"[printer]\npadding = 5", `suit.toml:2:1: printer.padding: unknown key; did you mean shell.padding?`},
		{"[print]\nheight = 250", `suit.toml:1:1: print: unknown key; did you mean printer?`},
		{"\n[[parts]]\nfile = 'a.stl'", `suit.toml:2:1: parts: unknown key; did you mean part?`},
		{"[[part]]\nfile = 'a'\nregoin = 'foot'", `suit.toml:3:1: part.regoin: unknown key; did you mean part.region?`},
		{"[shell]\nunder_suit = 1", `suit.toml:2:1: shell.under_suit: unknown key; did you mean shell.undersuit?`},
		{"[shell]\nrest = 95\n[[part]]\nfile = 'a'", `suit.toml:2:1: shell.rest: unknown key; did you mean part.rest?`},
		{"[[part]]\nfile = 'a'\nrset = 95", `suit.toml:3:1: part.rset: unknown key; did you mean part.rest?`},
		{"[[assembly]]\nname = 'a'\nfile = ['x.stl', 'y.stl']\nfiles = ['x*']", `suit.toml:3:1: assembly.file: unknown key; did you mean assembly.files?`},
		{"[[assembley]]\nname = 'a'", `suit.toml:1:1: assembley: unknown key; did you mean assembly?`},
		{"[[part]]\nregion = 'foot'", `suit.toml:1:1: part.file: missing key; expected each [[part]] to have it`},
		{"[[assembly]]\nname = 'a'", `suit.toml:1:1: assembly.files: missing key; expected each [[assembly]] to have it`},
		{"printer = { hieght = 250 }", `suit.toml:1:13: printer.hieght: unknown key; did you mean printer.height?`},
		{"\"a\\u0007b\" = 1", `suit.toml:1:1: "a\ab": unknown key; did you mean part?`},
		// types
		{"printer = 3", `suit.toml:1:1: printer: 3 is no table; expected a table headed [printer]`},
		{"part = 3", `suit.toml:1:1: part: 3 is no list of tables; expected tables headed [[part]]`},
		{"part = [3]", `suit.toml:1:1: part: a list is no list of tables; expected tables headed [[part]]`},
		{"[part]\nfile = 'a'", `suit.toml:1:1: part: a table is no list of tables; expected tables headed [[part]]`},
		{"[printer]\nheight = true", `suit.toml:2:1: printer.height: true is no length` + length},
		{"[printer]\nheight = 1979-05-27", `suit.toml:2:1: printer.height: a date is no length` + length},
		{"[printer]\nheight = nan", `suit.toml:2:1: printer.height: NaN is no length` + length},
		{"[printer]\nheight = -inf", `suit.toml:2:1: printer.height: -Inf is no length` + length},
		{"[printer]\nwalls = 2.5", `suit.toml:2:1: printer.walls: 2.5 is no whole number; expected 1 to 100`},
		{"[printer]\nwalls = '3'", `suit.toml:2:1: printer.walls: "3" is no whole number; expected 1 to 100`},
		{"[printer]\nspeed = '60 mm/s'", `suit.toml:2:1: printer.speed: "60 mm/s" is no number; expected 1 to 2000 mm/s`},
		{"[[part]]\nfile = 3", `suit.toml:2:1: part.file: 3 is no text; expected a file or pattern such as "legs/greave-*.stl"`},
		{"[[part]]\nfile = ' '", `suit.toml:2:1: part.file: " " is no text; expected a file or pattern such as "legs/greave-*.stl"`},
		{"[[part]]\nfile = 'a'\nhalves = 'yes'", `suit.toml:3:1: part.halves: "yes" is neither true nor false; expected true or false`},
		{"[[part]]\nfile = 'a'\nstrapped = 1", `suit.toml:3:1: part.strapped: 1 is neither true nor false; expected true or false`},
		// ranges
		{"[printer]\nbed = [0, 220]", `suit.toml:2:1: printer.bed: 0 is out of range; expected 40 to 5000 mm`},
		{"[printer]\nbed = [22, 220]", `suit.toml:2:1: printer.bed: 22 is out of range; expected 40 to 5000 mm; did you mean 22 cm = 220 mm or 22 in = 558.8 mm?`},
		{"[printer]\nbed = 220", `suit.toml:2:1: printer.bed: 220 is no bed; expected width and depth such as [220, 220], or bed_diameter; did you mean [220, 220]?`},
		{"[printer]\nbed = [220, 220, 250]", `suit.toml:2:1: printer.bed: three lengths are no bed; expected width and depth such as [220, 220], or bed_diameter; did you mean bed = [220, 220] and height = 250?`},
		{"[printer]\nbed = 22", `suit.toml:2:1: printer.bed: 22 is no bed; expected width and depth such as [220, 220], or bed_diameter`},
		{"[printer]\nbed = [220, '22,5 cm']", `suit.toml:2:1: printer.bed: "22,5 cm" is no length` + length + `; did you mean "22.5 cm"?`},
		{"[printer]\nbed = [220, 220]\nbed_diameter = 200", `suit.toml:3:1: printer.bed_diameter: a bed is either round or not; expected bed or bed_diameter, not both`},
		{"[printer]\nbed = [200, 220]\nmargin = 100", `suit.toml:3:1: printer.margin: 100 mm on both sides leaves nothing of the bed; expected less than 100 mm`},
		{"[printer]\nmargin = -1", `suit.toml:2:1: printer.margin: -1 is out of range; expected 0 to 5000 mm`},
		{"[printer]\nnozzle = 4", `suit.toml:2:1: printer.nozzle: 4 is out of range; expected 0.1 to 3 mm; did you mean 0.04 cm = 0.4 mm?`},
		{"[printer]\nlayer = 0.5", `suit.toml:2:1: printer.layer: 0.5 mm is thicker than the nozzle is wide; expected 0.4 mm at most`},
		{"[printer]\nwalls = 0", `suit.toml:2:1: printer.walls: 0 is out of range; expected 1 to 100`},
		{"[printer]\ninfill = 15", `suit.toml:2:1: printer.infill: 15 is out of range; expected 0 to 1, as a share such as 0.15 or "15 %"; did you mean "15 %"?`},
		{"[printer]\ninfill = '15'", `suit.toml:2:1: printer.infill: "15" is no percentage; expected a share such as 0.15 or "15 %"`},
		{"[printer]\nflow = 0", `suit.toml:2:1: printer.flow: 0 is out of range; expected 0.1 to 500 mm³/s`},
		{"[filament]\ndensity = 1240", `suit.toml:2:1: filament.density: 1240 is out of range; expected 0.3 to 12 g/cm³`},
		{"[shell]\npadding = 3\nentry_padding = 4", `suit.toml:3:1: shell.entry_padding: 4 mm is more than the padding itself; expected 3 mm at most`},
		{"[shell]\nentry_padding = 9", `suit.toml:2:1: shell.entry_padding: 9 mm is more than the padding itself; expected 5 mm at most`},
		{"[shell]\npadding = '3 mm'\nundersuit = '1/8 in'", `suit.toml:3:1: shell.undersuit: 3.175 mm is more than the padding itself; expected 3 mm at most`},
		{"[shell]\nundersuit = 160", `suit.toml:2:1: shell.undersuit: 160 is out of range; expected 0 to 150 mm; did you mean 1.6 cm = 16 mm or 0.16 cm = 1.6 mm?`},
		{"[[part]]\nfile = 'a'\npadding = 2\nundersuit = 3", `suit.toml:4:1: part.undersuit: 3 mm is more than the padding itself; expected 2 mm at most`},
		{"[[part]]\nfile = 'a'\nrest = 9500", `suit.toml:3:1: part.rest: 9500 is out of range; expected 0 to 1500 mm; did you mean 95 cm = 950 mm or 9.5 cm = 95 mm?`},
		{"[[part]]\nfile = 'a'\nrest = -5", `suit.toml:3:1: part.rest: -5 is out of range; expected 0 to 1500 mm`},
		{"[[part]]\nfile = 'a'\nrest = '9,5 cm'", `suit.toml:3:1: part.rest: "9,5 cm" is no length` + length + `; did you mean "9.5 cm"?`},
		{"[[part]]\nfile = 'a'\nrest = 'calf'", `suit.toml:3:1: part.rest: "calf" is no length` + length},
		{"[shell]\nease = 30\nloosest = 20", `suit.toml:3:1: shell.loosest: 20 mm is less than the ease wanted; expected 30 mm or more`},
		{"[shell]\npadding = 500", `suit.toml:2:1: shell.padding: 500 is out of range; expected 0 to 150 mm; did you mean 5 cm = 50 mm or 0.5 cm = 5 mm?`},
		{"[[part]]\nfile = 'a'\npercent = 1.07", `suit.toml:3:1: part.percent: 1.07 is out of range; expected 10 to 1000, as percent such as 107 or "107 %"; did you mean 107?`},
		{"[[part]]\nfile = 'a'\npercent = 5000", `suit.toml:3:1: part.percent: 5000 is out of range; expected 10 to 1000, as percent such as 107 or "107 %"`},
		{"[[part]]\nfile = 'a'\npercent = '107'", `suit.toml:3:1: part.percent: "107" is no percentage; expected percent such as 107 or "107 %"`},
		// words
		{"[[part]]\nfile = 'a'\nregion = 'lower leg'", `suit.toml:3:1: part.region: "lower leg" is not known here; expected one of foot, lower_leg, knee, thigh, hips, torso, shoulder, upper_arm, elbow, forearm, hand, neck, head; did you mean "lower_leg"?`},
		{"[[part]]\nfile = 'a'\nside = 'lfet'", `suit.toml:3:1: part.side: "lfet" is not known here; expected one of left, right; did you mean "left"?`},
		{"[[part]]\nfile = 'a'\nside = ''", `suit.toml:3:1: part.side: "" is not known here; expected one of left, right`},
		{"[[part]]\nfile = 'a'\nunit = 'inchs'", `suit.toml:3:1: part.unit: "inchs" is not known here; expected one of millimetre, centimetre, metre, inch, foot, micron; did you mean "inch"?`},
		{"[[part]]\nfile = 'a'\npanel = 'rear'", `suit.toml:3:1: part.panel: "rear" is not known here; expected one of back, front, left, right, inner, outer`},
		{"[[part]]\nfile = 'a'\nenter = 'top'", `suit.toml:3:1: part.enter: "top" is no opening; expected the letter that the report gives it, such as "A"`},
		{"[[part]]\nfile = 'a'\naxis = [0, 0, 0]", `suit.toml:3:1: part.axis: a list is no direction; expected three numbers, not all 0, such as [0, 0, 1]`},
		{"[[part]]\nfile = 'a'\naxis = [0, 1]", `suit.toml:3:1: part.axis: a list is no direction; expected three numbers, not all 0, such as [0, 0, 1]`},
		{"[[part]]\nfile = 'a'\naxis = [0, nan, 1]", `suit.toml:3:1: part.axis: a list is no direction; expected three numbers, not all 0, such as [0, 0, 1]`},
		{"[[part]]\nfile = 'a'\naxis = 'z'", `suit.toml:3:1: part.axis: "z" is no direction; expected three numbers, not all 0, such as [0, 0, 1]`},
		// patterns
		{"[[part]]\nfile = '../b.stl'", `suit.toml:2:1: part.file: "../b.stl" leads out of the suit's folder; expected a path from the suit's folder on`},
		{"[[part]]\nfile = '/b.stl'", `suit.toml:2:1: part.file: "/b.stl" leads out of the suit's folder; expected a path from the suit's folder on`},
		{"[[part]]\nfile = 'legs\\b.stl'", `suit.toml:2:1: part.file: "legs\\b.stl" has a backslash; expected / between folders; did you mean "legs/b.stl"?`},
		{"[[part]]\nfile = 'b[.stl'", `suit.toml:2:1: part.file: "b[.stl" is no pattern; expected a file name, * for any letters, ** for any folders`},
		{"[[assembly]]\nname = 'a'\nfiles = ['x.stl']", `suit.toml:3:1: assembly.files: a list is no list of files; expected two files or more such as ["boot-top.stl", "boot-toe.stl"]`},
		{"[[assembly]]\nname = 'a'\nfiles = ['x.stl', 3]", `suit.toml:3:1: assembly.files: a list is no list of files; expected two files or more such as ["boot-top.stl", "boot-toe.stl"]`},
		{"[[assembly]]\nname = 'a'\nfiles = ['x*']\n[[assembly]]\nname = 'a'\nfiles = ['y*']", `suit.toml:5:1: assembly.name: "a" is the name of another assembly; expected each to have its own`},
		// syntax
		{"[[part]]\nregion = lower_leg", `suit.toml:2:10: region: not valid TOML: "lower" is no value; did you mean region = "lower_leg"?`},
		{"[[part]]\nfile = “a.stl”", `suit.toml:2:8: file: not valid TOML: '“' is no value; did you mean file = "a.stl"?`},
		{"[[part]]\nhalves = yes # split", `suit.toml:2:10: halves: not valid TOML: "yes" is no value; did you mean halves = true?`},
		{"[printer]\nlayer = 0,2", `suit.toml:2:10: layer: not valid TOML: ',' stands where the line should end; did you mean layer = 0.2?`},
		{"[printer\nlayer = 1", `suit.toml:1:9: not valid TOML: the line ends within a heading: its closing bracket ] is missing`},
		{"[printer]\nwalls = 3\nwalls = 4", `suit.toml:3:1: printer.walls: not valid TOML: printer.walls is there twice`},
	} {
		s, errs := readSuit([]byte(test.text))
		if errs.Error() != test.want {
			t.Errorf("%q:\ngot  %v\nwant %s", test.text, errs, test.want)
		}
		if !reflect.DeepEqual(s, defaultSuit()) {
			t.Errorf("%q: a broken file sets %+v", test.text, s)
		}
	}
}

// All that is wrong is said at once, in the order of the lines.
func TestSeveralErrors(t *testing.T) {
	_, errs := readSuit([]byte("[shell]\nease = 'x'\n[printer]\nwalls = 0\nhieght = 3\nheight = 1\n"))
	want := `suit.toml:2:1: shell.ease: "x" is no length; expected a length such as 382 (mm), "38.2 cm" or "15 1/4 in"
suit.toml:4:1: printer.walls: 0 is out of range; expected 1 to 100
suit.toml:5:1: printer.hieght: unknown key; did you mean printer.height?
suit.toml:6:1: printer.height: 1 is out of range; expected 40 to 5000 mm; did you mean 1 m = 1000 mm or 1 ft = 304.8 mm?`
	if errs.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", errs, want)
	}
	var one *Error
	if err := errs.orNil(); !errors.As(err, &one) || one.Line != 2 || one.Key != "shell.ease" || one.File != suitFile {
		t.Errorf("the first error is %+v", one)
	}
	_, errs = readSuit([]byte(strings.Repeat("[[part]]\nfile = 1\n", 5000)))
	if len(errs) != maxErrors || !strings.HasSuffix(errs.Error(), "and more") {
		t.Errorf("got %d errors", len(errs))
	}
}

func TestDistance(t *testing.T) {
	for _, test := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"a", "", 1}, {"kitten", "sitting", 3}, // Wagner and Fischer's measure; the pair is folklore
		{"hieght", "height", 1}, {"ca", "abc", 3}, // optimal string alignment, not full Damerau (2)
		{"über", "uber", 1},
	} {
		if got := distance(test.a, test.b); got != test.want || distance(test.b, test.a) != test.want {
			t.Errorf("distance(%q, %q) = %d, want %d", test.a, test.b, got, test.want)
		}
	}
}

func FuzzSuit(f *testing.F) {
	for _, file := range Starter() {
		f.Add([]byte(file.Text))
		f.Add([]byte(uncommented(file.Text)))
	}
	f.Add([]byte(lanternSuit))
	f.Add([]byte("[printer]\nbed=[[],{}]\ninfill='nan%'\n[[part]]\naxis=[1e999,0,0]\nfile='**/**/[a-z'"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, errs := readSuit(text)
		checkErrors(t, errs)
		p := s.Printer
		for _, x := range []float64{p.Bed[0], p.Bed[1], p.Height, p.Layer, p.Flow, s.Shell.Padding, s.Shell.Loosest} {
			if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
				t.Errorf("got %+v, %+v", p, s.Shell)
			}
		}
		if side := max(p.Diameter, min(p.Bed[0], p.Bed[1])); p.Margin >= side/2 || p.Walls < 1 || p.Layer > p.Nozzle || p.Infill > 1 {
			t.Errorf("got %+v", p)
		}
		s.Pins("legs/greave-left.stl")
	})
}

func checkErrors(t *testing.T, errs Errors) {
	t.Helper()
	for _, e := range errs {
		if e.Fault == "" || e.File == "" || !printable(e.Error()) {
			t.Errorf("got %q of %#v", e.Error(), e)
		}
	}
}

// The sample of the project's design page, whole.
func TestSample(t *testing.T) {
	f := folderOf(t, `# suit.toml
[printer]
bed = [220, 220]          # or bed_diameter = 200
height = 250
margin = 5                # kept free at the bed's edge
nozzle = 0.4
layer = 0.2
walls = 3
infill = 0.15
speed = 60                # mm/s along walls
flow = 12                 # mm³/s at most
acceleration = 1500       # mm/s²
[filament]
diameter = 1.75
density = 1.24            # g/cm³
[shell]
padding = 5               # foam and undersuit between skin and shell, on each side
entry_padding = 2         # what of it remains when it is pressed on the way in
liner = 0                 # reinforcement added to the inside
ease = 6                  # girth wanted on top
loosest = 40              # ease above which the leading measure counts as loose
[[part]]
file = "legs/greave-*.stl"
region = "lower_leg"
side = "left"
unit = "inch"
axis = [0, 0, 1]          # only where the way through the part must be forced
enter = "A"               # opening by which the body enters
halves = true             # parted along its length: nothing has to pass
percent = 107             # the scale wanted; 100 where absent
`, `# wearer.toml
name = "Mira"
stature = "171 cm"
weight = "68 kg"
calf_girth = 382
heel_girth.left = 331
`, `# logbook.toml
[[tryon]]
part = "legs/greave-left.stl"
station = "calf_girth"
percent = 107
verdict = "tight"         # tight | fits | loose
[[printed]]
part = "legs/greave-left.stl"
percent = 110
hours = 22.4
grams = 310
`)
	want := analysis.DefaultBrief()
	want.Part = "legs/greave-left.stl"
	want.Shell.Asked = analysis.Asked{Padding: true, Ease: true, Loosest: true}
	want.Percent, want.PercentSet, want.Unit, want.Enter, want.Halves, want.Printed = 107, true, "inch", "A", true, 110
	want.Region = analysis.Region{Name: "lower_leg", Side: "left", Source: "config"}
	want.Axis = &r3.Vec{Z: 1}
	want.Wearer = analysis.Wearer{Measures: map[string]float64{"stature": 1710, "calf_girth": 382, "heel_girth.left": 331}, Weight: 68}
	want.Tryons = []analysis.Tryon{{Station: "calf_girth", Percent: 107, Verdict: "tight"}}
	if got := f.Brief("legs/greave-left.stl"); !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	require.Len(t, f.Logbook.Tryons, 1)
	require.Len(t, f.Logbook.Printed, 1)
}

// Units of files go by the names of the 3MF core specification, in the spelling
// of the reports, and by what people write.
func TestFileUnits(t *testing.T) {
	for written, want := range map[string]string{"millimetre": "millimetre", "mm": "millimetre", "millimeter": "millimetre",
		"cm": "centimetre", "centimeter": "centimetre", "m": "metre", "meter": "metre", "in": "inch", "inches": "inch",
		"inch": "inch", "ft": "foot", "feet": "foot", "foot": "foot", "micron": "micron"} {
		s, errs := readSuit([]byte("[[part]]\nfile = 'a'\nunit = '" + written + "'\n"))
		require.Empty(t, errs)
		if got := s.Parts[0].Unit; got != want {
			t.Errorf("unit = %q is read as %q, want %q", written, got, want)
		}
	}
}
