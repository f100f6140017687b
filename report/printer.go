package report

import (
	"strings"

	"gambeson/analysis"
)

// bedAnswer is the verdict on the printer in one sentence or two.
func bedAnswer(f *analysis.Findings) string {
	bed := f.Bed
	switch {
	case bed == nil:
		return ""
	case bed.Fits:
		return "It fits the bed, " + placementWords(bed.Placement) + "."
	case bed.Second != nil && bed.Second.Fits:
		return "It does not fit the first printer: " + overOr(bed, "too large") + ". It fits the second, " + placementWords(bed.Second.Placement) + "."
	}
	text := "**It does not fit the bed: " + overOr(bed, "too large") + ".**"
	if l := largest(bed); l > 0 {
		text += " It fits up to " + atMost(l) + ", you need " + percent(f.Percent) + "."
	}
	if bed.Offer != nil {
		text += " " + capital(placementWords(*bed.Offer)) + " it would fit, on supports."
	}
	return text
}

// bedStep says how to come to a part that fits.
func bedStep(f *analysis.Findings, p Place) string {
	bed := f.Bed
	if bed == nil || bed.Fits || bed.Second != nil && bed.Second.Fits {
		return ""
	}
	if len(bed.Pieces) > 0 {
		var files []string
		for _, piece := range bed.Pieces {
			files = append(files, fileLink(p, piece.File))
		}
		return "Print it in pieces: " + and(files) + "."
	}
	ways := []string{"part it in two", "use a larger printer"}
	if bed.Offer != nil {
		ways = append([]string{"print it " + placementWords(*bed.Offer) + " on supports"}, ways...)
	}
	if l := largest(bed); l > 0 && wearable(f, l) {
		ways = append([]string{"print it at " + atMost(l) + " at most"}, ways...)
	}
	return "Make it fit the bed: " + or(ways) + "."
}

// wearable reports whether nothing that is known of the body stands against a
// smaller scale.
func wearable(f *analysis.Findings, scale float64) bool {
	if f.Fit == nil {
		return true
	}
	return f.Fit.Verdict != "tight" && f.Fit.Verdict != "blocked" && scale >= f.Fit.Smallest
}

// printer tells how the part goes on the bed and what printing it costs.
func (b *page) printer(f *analysis.Findings, p Place, drawn drawing) {
	if f.Bed == nil && f.Print == nil {
		return
	}
	b.heading("The printer")
	if bed := f.Bed; bed != nil {
		b.block(onBed(f, bed, "the bed"))
		if bed.Second != nil {
			b.block(onBed(f, bed.Second, "the second printer"))
		}
		if need := needed(f); need > largest(bed) && need > f.Percent {
			b.block("The body needs " + atLeast(need) + ", the bed takes it up to " + atMost(largest(bed)) + " in one piece without supports.")
		}
		if drawn.file != "" {
			b.picture(drawn.alt, href(p.Report(), p.Under(drawn.file)))
		}
		b.scales(bed)
		var rows [][]string
		for _, piece := range bed.Pieces {
			rows = append(rows, []string{fileLink(p, piece.File), size(piece.Bounds)})
		}
		b.table([]string{"piece", "size"}, rows)
	}
	if c := f.Print; c != nil {
		b.block("Printing it takes about " + hours(c.Hours) + " and " + grams(c.Grams) + " of filament (" + metres(c.Metres) + "). These are *estimates*.")
	}
}

// needed is the least scale at which the body gets in and fits; 0 where it is
// not known.
func needed(f *analysis.Findings) float64 {
	if f.Fit == nil {
		return 0
	}
	return f.Fit.Smallest
}

// onBed says how the part lies on one bed.
func onBed(f *analysis.Findings, bed *analysis.Bed, where string) string {
	at, l := " at "+percent(f.Percent), bed.Placement
	if bed.Fits {
		return "Fits " + where + at + ", " + placementWords(l) + ": it is then " + size(l.Size) + ". " + standing(l)
	}
	text := "Does not fit " + where + at + ": " + overOr(bed, "too large") + "."
	if o := bed.Offer; o != nil {
		text += " It would fit " + placementWords(*o) + ", " + size(o.Size) + ". " + standing(*o)
	}
	return text
}

// standing says what a placement has under it.
func standing(l analysis.Placement) string {
	if l.FirstLayer <= 0 && l.Overhang <= 0 {
		return ""
	}
	text := "The first layer holds it on " + area(l.FirstLayer)
	if l.Overhang <= 0 {
		return text + "; nothing of it hangs over by more than 45°."
	}
	return text + "; " + area(l.Overhang) + " hang over by more than 45° and may need support (a rough measure)."
}

// scales lists the largest scale of every kind of placement.
func (b *page) scales(bed *analysis.Bed) {
	head := []string{"placement", "fits up to"}
	if bed.Second != nil {
		head = []string{"placement", "first printer, up to", "second printer, up to"}
	}
	kinds := [4]string{"as it lies", "turned on the bed", "laid on another side", "tilted, with supports"}
	first := kindScales(bed)
	var rows [][]string
	for k, how := range kinds {
		if first[k] <= 0 {
			continue
		}
		r := []string{how, atMost(first[k])}
		if bed.Second != nil {
			r = append(r, atMost(kindScales(bed.Second)[k]))
		}
		rows = append(rows, r)
	}
	b.table(head, rows)
}

func kindScales(bed *analysis.Bed) [4]float64 {
	l := bed.Largest
	return [4]float64{l.AsIs, l.Turned, l.Laid, l.Tilted}
}

// bedWords says in a table whether the part fits the bed.
func bedWords(f *analysis.Findings) string {
	bed := f.Bed
	switch {
	case bed == nil:
		return ""
	case bed.Fits:
		return "yes, " + placementWords(bed.Placement)
	case bed.Second != nil && bed.Second.Fits:
		return "second printer, " + placementWords(bed.Second.Placement)
	}
	return "**no**, up to " + atMost(largest(bed))
}

// largest is the largest scale that needs no supports.
func largest(b *analysis.Bed) float64 {
	return max(b.Largest.AsIs, b.Largest.Turned, b.Largest.Laid)
}

// placementWords says how the part lies on the bed.
func placementWords(p analysis.Placement) string { return prose(p.Words()) }

// overOr says by how much a part is over the build volume, and lying how.
func overOr(bed *analysis.Bed, otherwise string) string {
	var out []string
	for k, side := range [3]string{"wide (x)", "deep (y)", "high (z)"} {
		if bed.Over[k] > 0 {
			out = append(out, girth(bed.Over[k])+" too "+side)
		}
	}
	if len(out) == 0 {
		return otherwise
	}
	return placementWords(bed.Placement) + " it is " + and(out)
}

// or joins words as a sentence does.
func or(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " or " + words[n-1]
	}
	return strings.Join(words, "")
}
