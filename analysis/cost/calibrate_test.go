package cost

import (
	"math"
	"testing"
)

// By hand: two prints that took 1.2 and 1.3 times as long. Weights 1/0.25² = 16
// for the prior and 1/0.08² = 156.25 for each print; mean of the logarithms
// 156.25·(ln 1.2 + ln 1.3)/328.5 = 0.211513, of which e is 1.235546; doubt
// √(1/328.5 + 0.08²) = 0.097181.
func TestCalibrationByHand(t *testing.T) {
	pairs := []Pair{
		{Forecast: Taken{Hours: 10, Grams: 100}, Took: Taken{Hours: 12}, Scale: 1},
		{Forecast: Taken{Hours: 20, Grams: 300}, Took: Taken{Hours: 26}, Scale: 1},
	}
	c := Calibrate(pairs)
	for what, v := range map[string][2]float64{
		"hours": {c.Hours, 1.235546}, "doubt of hours": {c.HoursSD, 0.097181},
		"grams": {c.Grams, 1}, "doubt of grams": {c.GramsSD, math.Hypot(0.08, 0.03)},
	} {
		if math.Abs(v[0]-v[1]) > 2e-6 {
			t.Errorf("%s: %.6f, want %.6f", what, v[0], v[1])
		}
	}
	if c.Prints != 2 {
		t.Errorf("learnt from %d prints", c.Prints)
	}
	if c != Calibrate([]Pair{pairs[1], pairs[0]}) {
		t.Error("the order of the prints tells")
	}
}

func TestNothingPrinted(t *testing.T) {
	none := Calibrate(nil)
	if none.Hours != 1 || none.Grams != 1 {
		t.Errorf("corrected by nothing: %+v", none)
	}
	for _, p := range []Pair{
		{}, {Forecast: Taken{Hours: 3}, Scale: 1}, {Took: Taken{Hours: 3, Grams: 1}, Scale: 1},
		{Forecast: Taken{Hours: 3, Grams: 5}, Took: Taken{Hours: 3, Grams: 5}},
		{Forecast: Taken{Hours: math.NaN()}, Took: Taken{Hours: 3}, Scale: 1},
		{Forecast: Taken{Hours: 4}, Took: Taken{Hours: -3}, Scale: 1},
	} {
		if got := Calibrate([]Pair{p}); got != none {
			t.Errorf("%+v: learnt %+v", p, got)
		}
	}
}

// Many prints leave the doubt of a single one; a print at another size tells
// less; the factor lies between 1 and what was found.
func TestCalibrationLearns(t *testing.T) {
	last := Calibrate(nil)
	var pairs []Pair
	for range 50 {
		pairs = append(pairs, Pair{Forecast: Taken{10, 200}, Took: Taken{13, 190}, Scale: 1})
		c := Calibrate(pairs)
		if !(c.Hours > last.Hours && c.Hours < 1.3 && c.HoursSD < last.HoursSD && c.Grams < last.Grams && c.Grams > 0.95 && c.GramsSD < last.GramsSD) {
			t.Fatalf("%d prints: %+v after %+v", len(pairs), c, last)
		}
		last = c
	}
	near1(t, "hours", last.Hours, 1.3, 0.001)
	near1(t, "doubt", last.HoursSD, spreadHours, 0.03)

	same := Calibrate([]Pair{{Forecast: Taken{10, 200}, Took: Taken{13, 190}, Scale: 1}})
	grown := math.Pow(1.2, power)
	larger := Calibrate([]Pair{{Forecast: Taken{10, 200}, Took: Taken{13 * grown, 190 * grown}, Scale: 1.2}})
	if !(larger.Hours > 1 && larger.Hours < same.Hours && larger.HoursSD > same.HoursSD && larger.GramsSD > same.GramsSD) {
		t.Errorf("a print at 120 %% tells %+v, one at 100 %% %+v", larger, same)
	}
}
