package words

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNumbersHaveOnePrecisionAndAUnit(t *testing.T) {
	zero := math.Copysign(0, -1)
	for _, c := range []struct{ got, want string }{
		{Girth(389.44), "389.4 mm"}, {Girth(zero), "0.0 mm"}, {Girth(-0.04), "0.0 mm"}, {Girth(-0.06), "−0.1 mm"},
		{Girth(math.NaN()), "unknown"}, {Girth(math.Inf(-1)), "unknown"}, {Girth(1e-300), "0.0 mm"},
		{Girth(1e21), "1 000 000 000 000 000 000 000.0 mm"},
		{Along(71.5001), "72 mm"}, {Along(-0.4), "0 mm"},
		{Percent(107), "107 %"}, {Percent(97.227), "97.2 %"}, {Percent(99.96), "100 %"}, {Percent(zero), "0 %"},
		{AtMost(97.27), "97.2 %"}, {AtMost(100), "100 %"}, {AtMost(99.9999999999), "100 %"}, {AtMost(99.95), "99.9 %"},
		{AtLeast(110.41), "110.5 %"}, {AtLeast(110.4), "110.4 %"}, {AtLeast(100.0000000001), "100 %"},
		{Degrees(44.6), "45°"}, {Hours(22.42), "22.4 h"}, {Hours(0), "0.0 h"}, {Grams(310.4), "310 g"}, {Metres(104.24), "104.2 m"},
		{Area(241220), "2412.2 cm²"}, {Volume(362000), "362.0 cm³"},
		{Count(999), "999"}, {Count(9999), "9999"}, {Count(12800), "12 800"}, {Count(-1234567), "-1 234 567"},
		{Spare(9), "9.0 mm to spare"}, {Spare(-17.06), "17.1 mm too little"}, {Spare(zero), "just enough"}, {Spare(-0.01), "just enough"},
		{Spare(math.NaN()), "unknown"},
		{Size([3]float64{1, 20.06, 300}), "1.0 × 20.1 × 300.0 mm"}, {Things(1, "part"), "1 part"}, {Things(0, "part"), "0 parts"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestLimitsKeepToWhatWasFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(0.1, 1000).Draw(t, "percent")
		up, down := number(t, AtLeast(v)), number(t, AtMost(v))
		if up < v-1e-6 || up > v+0.1+1e-6 || down > v+1e-6 || down < v-0.1-1e-6 {
			t.Fatalf("%v is at least %v, at most %v", v, up, down)
		}
		if text := Girth(v * 1e6); strings.ContainsAny(text, "eE") {
			t.Fatalf("exponent in %q", text)
		}
	})
}

// 382 mm are 15.039 in and 1710 mm are 67.32 in (an inch is 25.4 mm exactly).
func TestInchesStandBesideMillimetres(t *testing.T) {
	for text, want := range map[string]string{
		"needs 382.0 mm.":              "needs 382.0 mm (15 1/16 in).",
		"1710 mm":                      "1710 mm (67 5/16 in)",
		"*about 471 mm* ± 14 mm":       "*about 471 mm (18 9/16 in)* ± 14 mm (9/16 in)",
		"131.0 × 118.5 × 355.0 mm":     "131.0 × 118.5 × 355.0 mm (5 3/16 × 4 11/16 × 14 in)",
		"12 345.6 mm":                  "12 345.6 mm (486 1/16 in)",
		"a 0.4 mm nozzle":              "a 0.4 mm (0.02 in) nozzle",
		"23.1 mm too little":           "23.1 mm (15/16 in) too little",
		"x −12.0, y 58.2, z 301.0 mm":  "x −12.0, y 58.2, z 301.0 mm",
		"`a 5 mm.stl` [b](c%20mm.stl)": "`a 5 mm.stl` [b](c%20mm.stl)",
		"60 mm/s and 12 mm³/s, 9 mmol": "60 mm/s and 12 mm³/s, 9 mmol",
		"```toml\nrest = 95 mm\n```":   "```toml\nrest = 95 mm\n```",
	} {
		if got := withInches(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

func number(t *rapid.T, text string) float64 {
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSuffix(text, " %"), " ", ""), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
