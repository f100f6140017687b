package suit

import (
	"gambeson/analysis"
	"gambeson/report/words"
)

// totals sums what parts and bands take. Doubts add up: they are those of the
// same model. The files of one shell have the same bands, which count once.
type totals struct {
	shells map[string]bool

	parts, bands     int
	print            analysis.Print
	bandHours, bandG float64
	unknown          bool // of some part

	// What the advised tests take and save. Both sides of a pair are told by the
	// tests of one.
	sides             map[string]float64
	judged            int // parts of which it is known whether a test is worth it
	tests, savedAgain float64
	// load: bands are to be printed, be it that no report asks for one at the scale that
	// is best for its part alone.
	load bool
}

// addTests adds what the advised tests of a part take and save.
func (t *totals) addTests(f *analysis.Findings) {
	if f.Testing == nil {
		return
	}
	t.judged++
	if !f.Testing.WorthIt {
		return
	}
	hours := f.Testing.TestHours
	t.tests += hours
	t.savedAgain += f.Testing.Reprints
	if f.Region == nil || f.Region.Side == "" {
		return
	}
	if t.sides == nil {
		t.sides = map[string]float64{}
	}
	counted := t.sides[f.Region.Name]
	t.tests -= min(counted, hours)
	t.sides[f.Region.Name] = max(counted, hours)
}

// add adds a part at a scale, with its bands; what its print at that
// scale took, as far as it was noted, is no estimate.
func (t *totals) add(f *analysis.Findings, scale float64, took Took) {
	if f.Unknown() {
		t.unknown = true
		return
	}
	if p := f.Print; p != nil {
		c := took.or(p.At(scale))
		t.parts++
		t.print.Hours += c.Hours
		t.print.Grams += c.Grams
		if took.Hours == 0 {
			t.print.HoursSD += alike(p.HoursSD, p.Hours, c.Hours)
		}
		if took.Grams == 0 {
			t.print.GramsSD += alike(p.GramsSD, p.Grams, c.Grams)
		}
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
	t.addTests(f)
	for _, band := range f.Bands {
		if band.Hours > 0 {
			t.bands++
			t.bandHours += band.Hours
			t.bandG += band.Grams
		}
	}
}

// alike is the doubt of a number that is as doubtful as another.
func alike(sd, of, now float64) float64 {
	if of <= 0 {
		return sd
	}
	return sd * now / of
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
	text += ", at the suit's scale where they have one: " + words.Give(words.Hours(p.Hours), words.Hours(p.HoursSD), p.HoursSD) + ", " + weighing(p) + ", supports not counted."
	if t.bands > 0 {
		text += " All test bands: " + words.Hours(t.bandHours) + ", " + weight(t.bandG) + "."
	}
	return text + t.testWords() + " These are *estimates*."
}

// testWords says what the advised tests take and save.
func (t *totals) testWords() string {
	switch {
	case t.judged == 0, t.tests == 0 && t.load:
		return ""
	case t.tests == 0:
		return " By the reports no test is worth its hours."
	}
	text := " The tests that the reports advise take " + words.Hours(t.tests) + " on average, against " + words.Hours(t.print.Hours) + " of real prints, and save " + words.Hours(t.savedAgain) + " of prints done again"
	if len(t.sides) > 0 {
		text += ". What one shows of a left part tells of the right one"
	}
	return text + "."
}

// weighing writes grams with their doubt in the same unit.
func weighing(p analysis.Print) string {
	if p.Grams < 1000 {
		return words.Give(words.Grams(p.Grams), words.Grams(p.GramsSD), p.GramsSD)
	}
	return words.Give(weight(p.Grams), words.WithUnit(p.GramsSD/1000, 1, " kg"), p.GramsSD)
}

// weight writes grams, from a kilogram on in kilograms.
func weight(g float64) string {
	if g < 1000 {
		return words.Grams(g)
	}
	return words.WithUnit(g/1000, 1, " kg")
}
