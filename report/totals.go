package report

import "gambeson/analysis"

// totals sums what parts and bands take. Doubts add up: they are those of the
// same model. The files of one shell have the same bands, which count once.
type totals struct {
	shells map[string]bool

	parts, bands     int
	print            analysis.Print
	bandHours, bandG float64
	unknown          bool // of some part
}

func (t *totals) add(f *analysis.Findings) {
	if p := f.Print; p != nil {
		t.parts++
		t.print.Hours += p.Hours
		t.print.HoursSD += p.HoursSD
		t.print.Grams += p.Grams
		t.print.GramsSD += p.GramsSD
	} else {
		t.unknown = true
	}
	if a := f.Assembly; a != nil && a.Name != "" {
		if t.shells[a.Name] {
			return
		}
		if t.shells == nil {
			t.shells = map[string]bool{}
		}
		t.shells[a.Name] = true
	}
	for _, band := range f.Bands {
		if band.Hours > 0 {
			t.bands++
			t.bandHours += band.Hours
			t.bandG += band.Grams
		}
	}
}

// words says the sums, "" where nothing is known.
func (t *totals) words() string {
	if t.parts == 0 {
		return ""
	}
	p := t.print
	text := "All parts"
	if t.unknown {
		text = "The parts whose cost is known"
	}
	text += ": " + give(hours(p.Hours), hours(p.HoursSD), p.HoursSD) + ", " + weighing(p) + ", supports not counted."
	if t.bands > 0 {
		text += " All test bands: " + hours(t.bandHours) + ", " + weight(t.bandG) + "."
	}
	return text + " These are *estimates*."
}

// weighing writes grams with their doubt in the same unit.
func weighing(p analysis.Print) string {
	if p.Grams < 1000 {
		return give(grams(p.Grams), grams(p.GramsSD), p.GramsSD)
	}
	return give(weight(p.Grams), withUnit(p.GramsSD/1000, 1, " kg"), p.GramsSD)
}

// weight writes grams, from a kilogram on in kilograms.
func weight(g float64) string {
	if g < 1000 {
		return grams(g)
	}
	return withUnit(g/1000, 1, " kg")
}
