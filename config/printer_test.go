package config

import (
	"strings"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

func TestStripsAndSecondPrinter(t *testing.T) {
	f := folderOf(t, `[printer]
walls = 4
strips = [[0, 200, 40, 20], [-5, "1 cm", 15, 30]]
[second_printer]
bed_diameter = 300
height = "40 cm"
nozzle = 0.6
margin = 3
strips = [[140, 0, 20, 20]]
`, "", "")
	b := f.Brief("helm.stl")
	require.Equal(t, [][4]float64{{0, 200, 40, 20}, {-5, 10, 15, 30}}, b.Printer.Strips)
	require.NotNil(t, b.Second)
	if s := b.Second; s.Diameter != 300 || s.Bed != [2]float64{} || s.Height != 400 || s.Margin != 3 || s.Nozzle != 0.6 || s.Walls != 4 || len(s.Strips) != 1 {
		t.Errorf("got %+v", s)
	}
	// A brief is a copy of its own.
	b.Printer.Strips[0][0], b.Second.Strips[0][0], b.Second.Height = 7, 7, 7
	if c := f.Brief("helm.stl"); c.Printer.Strips[0][0] != 0 || c.Second.Strips[0][0] != 140 || c.Second.Height != 400 {
		t.Errorf("got %+v", c)
	}
	if f := folderOf(t, "[printer]\nstrips = []\n", "", ""); f.Suit.Second != nil || len(f.Suit.Printer.Strips) != 0 || f.Suit.Printer.Bed != analysis.DefaultBrief().Printer.Bed {
		t.Errorf("got %+v", f.Suit)
	}
}

func TestStripErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"[printer]\nstrips = 3", `suit.toml:2:1: printer.strips: 3 is no list of strips; expected a list such as [[0, 200, 40, 20]]`},
		{"[printer]\nstrips = [3]", `printer.strips: 3 is no strip; expected a list such as`},
		{"[printer]\nstrips = [[1, 2, 3]]", `printer.strips: a list is no strip; expected a list such as`},
		{"[printer]\nstrips = [[1, 2, 3, true]]", `printer.strips: true is no length`},
		{"[printer]\nstrips = [[300, 2, 3, 4]]", `printer.strips: a list does not lie on the bed`},
		{"[printer]\nstrips = [[0, 0, 10, 0]]", `printer.strips: a list does not lie on the bed`},
		{"[printer]\nstrips = [[-1, -1, 500, 500]]", `printer.strips: a list leaves nothing of the bed`},
		{"[second_printer]\nheight = 300", `suit.toml:1:1: second_printer.bed: missing key`},
		{"[second_printer]\nbed = [300, 300]\nnozle = 0.4", `suit.toml:3:1: second_printer.nozle: unknown key; did you mean second_printer.nozzle?`},
	} {
		_, errs := readSuit([]byte(test.text))
		if len(errs) != 1 || !strings.Contains(errs[0].Error(), test.want) {
			t.Errorf("%q says %v, want %q", test.text, errs, test.want)
		}
	}
}
