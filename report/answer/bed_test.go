package answer

import (
	"math"
	"strings"
	"testing"

	"gambeson/analysis"
)

func TestPrinterInWords(t *testing.T) {
	fits := func(kind string, rotation [3][3]float64) *analysis.Bed {
		return &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 90, Turned: 100, Laid: 101, Tilted: 120}, Placement: analysis.Placement{Kind: kind, Rotation: rotation}}
	}
	large := func(second *analysis.Bed, offer *analysis.Placement) *analysis.Bed {
		return &analysis.Bed{Largest: analysis.Largest{AsIs: 90, Turned: 97.27, Laid: 97.27, Tilted: 112.46}, Placement: analysis.Placement{Kind: "as-is"},
			Over: [3]float64{12.5, 0, 3}, Second: second, Offer: offer}
	}
	sin, cos := math.Sincos(12 * math.Pi / 180)
	turned := [3][3]float64{{cos, -sin, 0}, {sin, cos, 0}, {0, 0, 1}}
	tilted := [3][3]float64{{1, 0, 0}, {0, math.Sqrt2 / 2, -math.Sqrt2 / 2}, {0, math.Sqrt2 / 2, math.Sqrt2 / 2}}
	for _, c := range []struct {
		bed                *analysis.Bed
		says, step, tabled string
	}{
		{fits("as-is", [3][3]float64{}), "It fits the bed, as it lies.", "", "yes, as it lies"},
		{fits("turned", turned), "It fits the bed, turned by 12° anticlockwise.", "", "yes, turned by 12° anticlockwise"},
		{fits("laid", laidOnItsBack), "It fits the bed, laid on its back.", "", "yes, laid on its back"},
		{large(nil, nil), "**It does not fit the bed: as it lies it is 12.5 mm too wide (x) and 3.0 mm too high (z).** In one piece the bed takes it up to 97.2 %.",
			"Make it fit the bed: print it at 97.2 % at most, part it in two or use a larger printer.", "**no**, up to 97.2 %"},
		{large(fits("turned", turned), nil), "It does not fit the first printer: as it lies it is 12.5 mm too wide (x) and 3.0 mm too high (z). It fits the second, turned by 12° anticlockwise.", "", "second printer, turned by 12° anticlockwise"},
		{large(nil, &analysis.Placement{Kind: "tilted", Rotation: tilted}), "Tilted by 45° it would fit, on supports.",
			"print it tilted by 45° on supports", "**no**, up to 97.2 %"},
	} {
		f := &analysis.Findings{Percent: 107, Bed: c.bed}
		if got := BedAnswer(f); !strings.Contains(got, c.says) {
			t.Errorf("says  %q\nwants %q", got, c.says)
		}
		if got := BedStep(f); !strings.Contains(got, c.step) || c.step == "" && got != "" {
			t.Errorf("asks  %q\nwants %q", got, c.step)
		}
		if got := OnBed(f); got != c.tabled {
			t.Errorf("tables %q\nwants  %q", got, c.tabled)
		}
	}
}

// laidOnItsBack lies on the back: what faces −y comes up.
var laidOnItsBack = [3][3]float64{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}}
