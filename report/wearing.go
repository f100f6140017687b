package report

import (
	"math"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/drawing"
	"gambeson/report/words"
)

// wearing compares the part with the body, measure by measure, and ranks what
// is worth measuring.
func (b *page) wearing(d Document, p disk.Place, drawn drawing.Pictures) {
	f := &d.Findings
	if f.Fit == nil || len(f.Fit.Sits)+len(f.Fit.Lengths) == 0 {
		return
	}
	b.Heading("Wearing it")
	b.concerns(f, "wearing")
	b.sits(f, d.Brief)
	b.lengths(f)
	b.twoWay(f)
	b.helps(d, p, drawn)
}

// sits is the table of girths where they rest.
func (b *page) sits(f *analysis.Findings, brief analysis.Brief) {
	var rows [][]string
	for _, s := range f.Fit.Sits {
		where := words.Along(s.Along)
		if s.From != "" {
			where += " from " + words.Prose(s.From)
		}
		fill := ""
		if s.Extra >= 1 {
			fill = words.Girth(s.Extra)
		}
		twice := words.CountOf(f.Fit.Sits, func(o analysis.Sit) bool { return o.Measure == s.Measure }) > 1
		rows = append(rows, []string{words.BodyPlace(s.Measure) + toOther(s.To, twice), bodySize(s.Body, s.Source, s.SD), fromWhere(s.Source), words.Girth(s.Needed), words.Girth(s.Capacity), words.Spare(s.Capacity - s.Needed), fill, where})
	}
	if len(rows) == 0 {
		return
	}
	b.Table([]string{"measure", "body", "which is", "needed", "the part has", "that is", "padding to add", "at"}, rows)
	text := "Needed is the body with padding and the ease wanted, the girth left over to move in."
	if s, ok := f.Fit.LeadSit(); ok && s.From != "" {
		where := "The part may slide along the body. The best place counts, with the " + words.BodyPlace(s.Measure) + " " + words.Along(s.Along) + " in from opening " + words.Prose(s.From)
		if brief.Rest != nil {
			where = "`suit.toml` puts the " + words.BodyPlace(s.Measure) + " " + words.Along(s.Along) + " in from opening " + words.Prose(s.From)
		} else {
			where += ". To fix it elsewhere, write " + words.Code("rest = 95") + " (in mm) in `suit.toml`"
		}
		text += " " + where + "."
	}
	b.Block(text)
}

// bodySize is a measure of the body; one that is estimated looks so.
func bodySize(mm float64, source string, sd float64) string {
	if source != "estimated" {
		return words.Girth(mm)
	}
	text := "*about " + words.Along(mm) + "*"
	if sd > 0 {
		text += " ± " + words.Along(sd)
	}
	return text
}

// lengths compares the part's length with the body's.
func (b *page) lengths(f *analysis.Findings) {
	var rows [][]string
	for _, l := range f.Fit.Lengths {
		from, to := "", ""
		if l.Smallest > 0 {
			from = words.AtLeast(l.Smallest)
		}
		if l.Largest > 0 {
			to = words.AtMost(l.Largest)
		}
		rows = append(rows, []string{words.BodyPlace(l.Measure), bodySize(l.Body, l.Source, l.SD), fromWhere(l.Source), words.Girth(l.Room), from, to})
	}
	b.Table([]string{"length", "body", "which is", "the part has", "scale: long enough from", "too long above"}, rows)
}

// twoWay offers a scale of its own for the length.
func (b *page) twoWay(f *analysis.Findings) {
	w := f.Fit.TwoWay
	if w == nil {
		return
	}
	onceOpened := ""
	if w.Opened {
		onceOpened = " once the part is opened to get in"
	}
	text := "**Girth and length ask for different scales.** Scaled to " + words.Percent(w.Girth) + " across and " + words.Percent(w.Length) + " along the part, both fit" + onceOpened + "."
	if w.Axes[0] > 0 {
		text += " In the file that is " + words.ThreeScales(w.Axes) + "."
	} else {
		text += " The part lies askew in its file: turn it first until its length lies along an axis."
	}
	text += " It is then " + words.Size(w.Size)
	if w.Fits {
		text += " and fits the bed."
	} else {
		text += " and does not fit the bed."
	}
	b.Block(text)
}

// helps ranks the measures that were not given by what they would settle.
func (b *page) helps(d Document, p disk.Place, drawn drawing.Pictures) {
	var rows [][]string
	for _, h := range answer.Worth(&d.Findings) {
		rows = append(rows, []string{words.Code(answer.KeyOf(&d.Findings, d.Brief.Wearer, h.Measure)), words.Prose(d.Hows[h.Measure]), "± " + words.Percent(analysis.NineInTen*h.SD)})
	}
	if len(rows) == 0 {
		if len(d.Findings.Fit.Helps) > 0 {
			b.Block("Measuring more would hardly tell more: the scale that fits is known to ± " + words.Percent(analysis.NineInTen*d.Findings.Fit.Doubt()) + ", 9 in 10.")
		}
		return
	}
	b.Block("What measuring would settle, the most telling first. The scale that fits is now known to ± " + words.Percent(analysis.NineInTen*d.Findings.Fit.Doubt()) + ", 9 in 10.")
	b.Table([]string{"measure", "how", "then known to"}, rows)
	if drawn.Tapes.File != "" {
		b.Picture(drawn.Tapes.Alt, words.Href(p.Report(), p.Under(drawn.Tapes.File)))
	}
}

// scale says at which scales the part would do, and what became of the file.
func (b *page) scale(f *analysis.Findings, brief analysis.Brief) {
	row := func(what string, value float64, text func(float64) string, note string) []string {
		if value <= 0 {
			return nil
		}
		return []string{what, text(value), note}
	}
	asked := "`suit.toml`"
	if brief.Percent == 100 {
		asked = "the file as it lies"
	}
	rows := [][]string{row("this report is for", f.Percent, words.Percent, asked)}
	if f.Fit != nil {
		in, short := f.Fit.GetsIn(), ""
		if names := f.Fit.TooShortFor(); names != "" {
			short = "so short then that it does not reach " + names
		}
		switch {
		case f.Fit.WornOpened():
			rows = append(rows,
				row("closed, the body gets in from", in, words.AtLeast, ""),
				row("opened to get in, it fits from", f.Fit.Rests, words.AtLeast, short))
		case f.Fit.Rests > 0 && in > 0:
			rows = append(rows,
				row("the body gets in from", in, words.AtLeast, ""),
				row("once in, it has room from", f.Fit.Rests, words.AtLeast, short))
			fallthrough
		default:
			rows = append(rows, row("the body fits from", f.Fit.Smallest, words.AtLeast, between(f.Fit.SmallestInterval)))
		}
		rows = append(rows,
			row("too loose above", f.Fit.Loosest, words.AtMost, ""),
			row("too loose above", f.Fit.Roomiest, words.AtMost, "a third larger than what rests inside needs (*a guess*)"))
		if c := f.Fit.Cap; c != nil {
			rows = append(rows, row("its rim spans the "+words.BodyPlace(c.Measure)+" from", c.Least, words.AtLeast, capNote(c)))
		}
		for _, l := range f.Fit.HeededLengths() { // where they tell more than the girths above
			if l.Smallest > max(f.Fit.Smallest, f.Fit.Rests) {
				rows = append(rows, row("too short below", l.Smallest, words.AtLeast, words.BodyPlace(l.Measure)))
			}
			if f.Fit.Loosest == 0 || l.Largest < f.Fit.Loosest {
				rows = append(rows, row("too long above", l.Largest, words.AtMost, words.BodyPlace(l.Measure)))
			}
		}
		if scale, tried := f.TriedScale(); tried {
			rows = append(rows,
				row("by the tape alone one would take", f.Fit.Recommended, words.Percent, ""),
				row("with what was tried on", scale, words.Percent, "fits with a chance of "+words.Odds(f.Testing.Chance)+fittedElsewhere(f.Testing)))
		} else {
			rows = append(rows, row(recommendedName(f), f.Fit.Recommended, words.Percent, recommendedNote(f)))
		}
	}
	if f.Bed != nil {
		rows = append(rows, row("the bed takes up to", f.Bed.UpTo(), words.AtMost, "not tilted"))
	}
	if c := f.Changed; c != nil && c.Kind != "new" && c.Kind != "same" && c.Text != "" {
		rows = append(rows, []string{"since the last report", "the file was " + words.Prose(c.Text), ""})
	}
	b.Heading("Scale")
	b.concerns(f, "scale")
	b.Table([]string{"what", "scale", "note"}, filled(rows))
	b.twoWays(f)
	if f.Testing != nil {
		b.tried(f.Testing)
	}
}

// twoWays says of a part that is larger closed than what rests inside needs, as a helm for
// what passes its rim, what it takes closed and what in halves.
func (b *page) twoWays(f *analysis.Findings) {
	w, ok := f.TwoWays()
	if !ok {
		return
	}
	at := func(percent float64) string {
		if f.Print == nil {
			return ""
		}
		c := f.Print.At(percent)
		return " At " + words.Percent(percent) + " it takes about " + words.Hours(c.Hours) + " and " + words.Grams(c.Grams) + "."
	}
	text := "**Closed, or in two halves.** Closed, it has to be larger than what rests inside needs, for the " + words.BodyPlace(w.Passes) + " to pass the rim: from " + words.AtLeast(w.ClosedFrom) + " on." + at(w.Closed)
	if w.ClosedLoose {
		text += " At " + words.Percent(w.Closed) + " it is too loose."
	}
	b.Block(text + " In two halves that straps hold together (`halves = true` in `suit.toml`) nothing has to pass. It then has room from " + words.AtLeast(w.HalvedFrom) + " on." + at(w.Halved))
}

// fittedElsewhere says why a scale at which it was found to fit is not the one to print
// at, where that is so; the nearest of them.
func fittedElsewhere(t *analysis.Testing) string {
	best, told := 0.0, 0.0
	for _, e := range t.Tried {
		if !e.Fits() || e.Part != "" || e.Padding != nil {
			continue // over other padding it did not fit at this one's scale
		}
		if !words.Differs(e.Percent, t.Print) {
			return ""
		}
		if best == 0 || math.Abs(e.Percent-t.Print) < math.Abs(best-t.Print) {
			best, told = e.Percent, e.Told()
		}
	}
	if best == 0 {
		return ""
	}
	return "; at " + words.Percent(told) + ", where a band was found to fit, of " + words.Odds(t.ChanceAt(best))
}

// recommendedName is what the middle of the scales that fit is called: it is recommended
// only where it is the one to print at.
func recommendedName(f *analysis.Findings) string {
	if f.Advised() == 0 && words.Differs(f.Fit.Recommended, f.Percent) {
		return "the middle of what fits"
	}
	if f.Stretch() != nil {
		return "if one scale is to do for all directions"
	}
	return "recommended for this part alone"
}

func recommendedNote(f *analysis.Findings) string {
	switch i := f.Fit.Interval; {
	case i != nil && f.Fit.Recommended >= i[1]-0.05: // the upper end, rounded up
		return "on the safe side of what the body may need"
	default:
		return between(i)
	}
}

// between says an interval that holds 9 times in 10.
func between(interval *[2]float64) string {
	if interval == nil {
		return ""
	}
	return "between " + words.AtMost(interval[0]) + " and " + words.AtLeast(interval[1]) + ", 9 in 10"
}

// capNote says how wide a joint and the rim of its cap are.
func capNote(c *analysis.Cap) string {
	source := ""
	if c.Source == "estimated" {
		source = ", *estimated*"
	}
	return "about " + words.Girth(c.Needed) + " across with padding, taken as round (girth " + words.Girth(c.Body) + source + "); the rim has " + words.Girth(c.Rim) + " inside, the narrower way"
}
