package report

import (
	"math"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/paper"
	"gambeson/report/words"
)

// printer tells how the part goes on the bed and what printing it costs.
func (b *page) printer(f *analysis.Findings, p disk.Place, drawn drawing.Picture) {
	if f.Bed == nil && f.Print == nil {
		return
	}
	b.Heading("The printer")
	b.concerns(f, "printer")
	if bed := f.Bed; bed != nil {
		if bed.Fits || bed.Offer != nil || !slices.ContainsFunc(f.Warnings, overflows) {
			b.Block(onBed(f, bed, "the bed"))
		}
		if bed.Second != nil {
			b.Block(onBed(f, bed.Second, "the second printer"))
		}
		if need := answer.Needed(f); need > bed.UpTo() && need > f.Percent {
			b.Block("The body needs " + words.AtLeast(need) + ", the bed takes it up to " + words.AtMost(bed.UpTo()) + " in one piece, not tilted.")
		}
		if drawn.File != "" {
			b.Picture(drawn.Alt, words.Href(p.Report(), p.Under(drawn.File)))
		}
		b.scales(bed)
		b.pieces(bed, p)
		if text := loadsWords(bed); text != "" {
			b.Block(text)
		}
	}
	if w := f.Wall; w != nil {
		where := ""
		if w.From != "" && w.From != "end" {
			where = ", " + words.Along(w.Along) + " from opening " + words.Prose(w.From)
		}
		b.Block("The wall round the body is " + words.Girth(w.Thinnest) + " thick where it is thinnest" + where + ": " + words.Things(int(w.Lines+1e-6), "line") + " of the nozzle.")
	}
	if c := f.Print; c != nil {
		what := "Printing it"
		if f.Bed != nil && len(f.Bed.Pieces) > 0 {
			what = "Printing all its pieces"
		}
		corrected := ""
		if c.Prints > 0 {
			corrected = ", corrected by " + words.Things(c.Prints, "print") + " in `logbook.toml`"
		}
		b.Block(what + " takes about " + words.Give(words.Hours(c.Hours), words.Hours(c.HoursSD), c.HoursSD) + " and " + words.Give(words.Grams(c.Grams), words.Grams(c.GramsSD), c.GramsSD) + " of filament (" + words.Metres(c.Metres) + ") at " + words.Percent(f.Percent) + ", supports not counted." + atAdvised(f) + " These are *estimates*" + corrected + ".")
	}
}

// atAdvised says what the print takes at the scale that is advised, where that is
// another.
func atAdvised(f *analysis.Findings) string {
	to := f.Advised()
	if to <= 0 {
		return ""
	}
	c := f.Print.At(to)
	return " At the advised " + words.Percent(to) + " it is about " + words.Hours(c.Hours) + " and " + words.Grams(c.Grams) + "."
}

// overflows reports whether a warning says already that the bed is too small.
func overflows(w analysis.Warning) bool {
	return w.Level == analysis.LevelWarning && w.Code == "bed-overflow"
}

// pieces lists the pieces and how they go together.
func (b *page) pieces(bed *analysis.Bed, p disk.Place) {
	if len(bed.Pieces) == 0 {
		return
	}
	text := "In pieces it fits."
	if bed.Fits {
		text = "It is parted along its length, as `suit.toml` has it."
	}
	text += " Each file lies as it is printed best"
	if slices.ContainsFunc(bed.Seams, func(s analysis.Seam) bool { return len(s.Pins) > 0 }) {
		text += "; the holes for pins show how pieces go together"
	}
	if slices.ContainsFunc(bed.Seams, slanting) {
		text += ". A seam runs aslant where it takes fewer pieces so, or keeps the seam short and clear of where the body rests"
	}
	b.Block(text + ".")
	var rows [][]string
	for i, piece := range bed.Pieces {
		bodies := ""
		if piece.Bodies > 1 {
			bodies = "falls into " + words.Count(piece.Bodies) + " separate bodies"
		}
		rows = append(rows, []string{words.Count(i + 1), paper.FileLink(p, piece.File), words.Size(piece.Bounds), hung(piece.Overhang), cost(piece.Hours, words.Hours), cost(piece.Grams, words.Grams), bodies})
	}
	b.Table([]string{"piece", "file", "size", "hangs over", "about", "filament", "note"}, rows)
	rows = nil
	for _, s := range bed.Seams {
		pins := "none"
		var kinds []string
		for _, pin := range s.Pins {
			kinds = append(kinds, words.Count(pin.Count)+" of "+trimmed(pin.Diameter)+" mm ("+words.Along(pin.Depth)+" deep)")
		}
		if len(kinds) > 0 {
			pins = words.And(kinds)
		}
		switch {
		case s.Unkeyed != "" && len(kinds) == 0:
			pins = words.Prose(s.Unkeyed)
		case s.Unkeyed != "":
			pins += "; " + words.Prose(strings.ToLower(s.Unkeyed[:1])+s.Unkeyed[1:])
		}
		rows = append(rows, []string{numbers(s.Below) + " to " + numbers(s.Above), words.Along(s.Length), pins})
	}
	b.Table([]string{"seam between pieces", "length", "holes for pins"}, rows)
	if slices.ContainsFunc(bed.Seams, func(s analysis.Seam) bool { return len(s.Pins) == 0 || s.Unkeyed != "" }) {
		b.Block(joinWithoutPins)
	}
}

// joinWithoutPins says how a seam is joined that has no holes for pins (common practice,
// no source).
const joinWithoutPins = "**A seam without pin holes is glued over strips (common practice).** " +
	"Tape the pieces together from outside, edge to edge, and see that they meet all along. " +
	"Glue strips of the same plastic over the seam from inside, 20 to 30 mm wide and 1 to 2 mm thick. " +
	"Leave the tape on until the glue is firm. " +
	"The strips take room: keep them away from where the body has the least, or thin the padding there. " +
	"A seam that straps are to hold is not glued. " +
	"Glue and its fumes can harm skin, eyes and lungs: air the room, wear what its safety data sheet asks for, and follow that sheet where it says more than this report."

// slanting reports whether a seam lies along none of the file's axes.
func slanting(s analysis.Seam) bool {
	most := 0.0
	for _, x := range s.Plane.Normal {
		most = max(most, math.Abs(x))
	}
	return most < math.Cos(10*math.Pi/180)
}

// trimmed writes a diameter without needless decimals: 4, 1.75.
func trimmed(mm float64) string {
	text := words.Decimal(mm, 2)
	if strings.Contains(text, ".") {
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	return text
}

func numbers(list []int) string {
	var out []string
	for _, n := range list {
		out = append(out, words.Count(n))
	}
	return words.And(out)
}

// hung says an overhang in a table.
func hung(mm2 float64) string {
	if mm2 <= 0 {
		return "nothing"
	}
	return words.Area(mm2)
}

// cost writes what is known of a cost.
func cost(v float64, write func(float64) string) string {
	if v <= 0 {
		return ""
	}
	return write(v)
}

// loadsWords says how many prints it takes.
func loadsWords(bed *analysis.Bed) string {
	if bed.BandLoads == 0 && bed.Loads <= 1 {
		return "" // one print, as one knows
	}
	var said []string
	what := "the part"
	if len(bed.Pieces) > 0 {
		what = "its pieces"
	}
	if n := bed.BandLoads; n > 0 {
		said = append(said, words.Things(n, "print")+" for the test bands alone")
		what += " and the bands"
	}
	if n := bed.Loads; n > 0 {
		said = append(said, words.Things(n, "print")+" for "+what)
	}
	text := "It takes " + words.And(said) + "."
	if bed.BandLoads > 0 {
		text += " " + words.Code("gambeson loads") + " lays the bands of the whole suit out together."
	}
	return text
}

// onBed says how the part lies on one bed.
func onBed(f *analysis.Findings, bed *analysis.Bed, where string) string {
	at, l := " at "+words.Percent(f.Percent), bed.Placement
	if bed.Fits {
		text := "Fits " + where + at + ", " + words.Placement(l) + ": it is then " + words.Size(l.Size) + ". " + standing(l)
		if e := bed.Easier; e != nil {
			text += " " + words.Capital(words.Placement(*e)) + " it would be easier to print: " + hung(e.Overhang) + " would hang over, on a first layer of " + words.Area(e.FirstLayer) + "."
		}
		return text
	}
	text := "Does not fit " + where + at + ": " + answer.OverOr(bed, "too large") + "."
	if o := bed.Offer; o != nil {
		text += " It would fit " + words.Placement(*o) + ", " + words.Size(o.Size) + ". " + standing(*o)
	}
	return text
}

// standing says what a placement has under it.
func standing(l analysis.Placement) string {
	if l.FirstLayer <= 0 && l.Overhang <= 0 {
		return ""
	}
	text := "The first layer holds it on " + words.Area(l.FirstLayer)
	if l.Overhang <= 0 {
		return text + "; nothing of it hangs over by more than 45°."
	}
	return text + "; " + words.Area(l.Overhang) + " hang over by more than 45° and may need support (a rough measure)."
}

// scales lists the largest scale of every kind of placement.
func (b *page) scales(bed *analysis.Bed) {
	head := []string{"placement", "fits up to"}
	if bed.Second != nil {
		head = []string{"placement", "first printer, up to", "second printer, up to"}
	}
	kinds := [4]string{"as it lies", "turned on the bed", "laid on another side", "tilted, with supports"}
	first := kindScales(bed)
	if bed.Second == nil && first[0] > 0 && !slices.ContainsFunc(first[1:], func(s float64) bool { return words.AtMost(s) != words.AtMost(first[0]) }) {
		b.Block("It fits up to " + words.AtMost(first[0]) + " as it lies, and no further turned, laid on another side or tilted.")
		return
	}
	var rows [][]string
	for k, how := range kinds {
		if first[k] <= 0 {
			continue
		}
		r := []string{how, words.AtMost(first[k])}
		if bed.Second != nil {
			r = append(r, words.AtMost(kindScales(bed.Second)[k]))
		}
		rows = append(rows, r)
	}
	b.Table(head, rows)
}

func kindScales(bed *analysis.Bed) [4]float64 {
	l := bed.Largest
	return [4]float64{l.AsIs, l.Turned, l.Laid, l.Tilted}
}
