package suit

import (
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/words"
)

// suitParts is the table of all parts with what was decided about them, and what
// they take together.
func (b *page) suitParts(s together.Suit, took map[string]Took, rows []Row) {
	var cells [][]string
	all := totals{load: len(s.First) > 0}
	for _, r := range rows {
		f := r.Findings
		if f == nil {
			cells = append(cells, []string{rowLink(r), "**not read**", "", "", "", "", "", ""})
			continue
		}
		p, _ := s.Part(f.Part)
		scale := scaleOf(p, f)
		noted := took[f.Part].of(f, scale)
		all.add(f, scale, noted)
		cost := []string{"", ""}
		if f.Print != nil && !f.Unknown() {
			c := noted.or(f.Print.At(scale))
			cost = []string{words.Hours(c.Hours), words.Grams(c.Grams)}
		}
		cells = append(cells, append([]string{
			rowLink(r), answer.Verdict(f, atOther(f)), bedInShort(f, p), fitting(p), ofSuit(p) + ofReport(p, f),
		}, append(cost, riskInShort(p))...))
	}
	if len(cells) == 0 {
		return
	}
	b.Heading("Parts")
	b.Table([]string{"part", "on the body", "on the bed", "fits at", "for the suit", "hours", "filament", "risk"}, cells)
	if text := riskNote(s); text != "" {
		b.Block(text)
	}
	if text := all.words(); text != "" {
		b.Block(text)
	}
}

// ofReport names the scale that the report of a part has for it alone, where that is
// another.
func ofReport(p together.Part, f *analysis.Findings) string {
	if !parts(p, f) {
		return ""
	}
	own := words.Percent(alone(f))
	if best, better := reportBest(f); better {
		own += " will do"
		if words.Differs(best, p.Scale) {
			own = words.Percent(best) + ", and " + own
		}
	}
	return " (its report: " + own + ")"
}

// reportBest is what the report of a part recommends, where that is another scale than the
// one that is set, which will do all the same.
func reportBest(f *analysis.Findings) (best float64, better bool) {
	if _, tried := f.TriedScale(); tried || f.Fit == nil || f.Fit.Verdict != "fits" || f.Advised() > 0 {
		return 0, false
	}
	return f.Fit.Recommended, f.Fit.Recommended > 0 && words.Differs(f.Fit.Recommended, f.Percent)
}

// atOther names the scale that a verdict is for where it is not the file's own.
func atOther(f *analysis.Findings) string {
	if !words.Differs(f.Percent, 100) {
		return ""
	}
	return " at " + words.Percent(f.Percent)
}

// bedInShort says whether the bed takes a part.
func bedInShort(f *analysis.Findings, p together.Part) string {
	bed := f.Bed
	switch {
	case bed == nil || f.Unknown():
		return ""
	case bed.Fits:
		if p.Stretch != nil && !p.Stretch.Fits {
			return "yes, but not once rescaled"
		}
		if p.Scale > 0 && p.OverBed(p.Scale) {
			return "yes, but not at " + words.Percent(p.Scale)
		}
		if len(bed.Pieces) > 0 {
			return "in " + words.Things(len(bed.Pieces), "piece")
		}
		return "yes"
	case bed.Second != nil && bed.Second.Fits:
		return "the second"
	case len(bed.Pieces) > 0:
		return "in " + words.Things(len(bed.Pieces), "piece")
	case bed.UpTo() > 0:
		return "**no**, up to " + words.AtMost(bed.UpTo())
	}
	return "**no**"
}

// riskInShort is the risk in a word, with its chance where it is not low.
func riskInShort(p together.Part) string {
	switch p.Risk.Level {
	case "":
		return ""
	case together.Unknown:
		return "not known"
	case together.Low:
		return "low"
	}
	return riskLevel(p.Risk) + ", " + strings.TrimPrefix(inTen(p.Risk.Misfit), "about ")
}

// riskLevel is the level, bold where it is high.
func riskLevel(r together.Risk) string {
	if r.Level == together.High {
		return "**high**"
	}
	return string(r.Level)
}

// fitting is the scales at which a part fits the body.
func fitting(p together.Part) string {
	switch {
	case p.Stretch != nil:
		return words.ThreeScales(p.Stretch.Axes)
	case p.Range == nil:
		return ""
	case p.Range.Opened:
		return span(p.Range) + ", opened"
	}
	return span(p.Range)
}

func span(r *together.Range) string {
	switch {
	case r.Smallest > 0 && r.Loosest > r.Smallest:
		return strings.TrimSuffix(words.AtLeast(r.Smallest), " %") + " to " + words.AtMost(r.Loosest)
	case r.Smallest > 0 && r.Loosest > 0:
		return "at " + words.AtLeast(r.Smallest) + ", with more padding elsewhere"
	case r.Smallest > 0:
		return words.AtLeast(r.Smallest) + " or more"
	default:
		return words.AtMost(r.Loosest) + " or less"
	}
}

// ofSuit is the suit's scale for a part.
func ofSuit(p together.Part) string {
	if p.Stretch != nil {
		return "rescale the file"
	}
	if p.Printed > 0 {
		return words.Percent(p.Printed) + ", printed"
	}
	if !suited(p) {
		return ""
	}
	return words.Percent(p.Scale)
}

// suited reports whether a part has a scale for the suit.
func suited(p together.Part) bool { return p.Scale > 0 && (!p.Follows || p.Risk.NoWay) }

// scaleOf is the scale at which a part is to be printed, as far as that is known:
// the suit's, else the one that is set.
func scaleOf(p together.Part, f *analysis.Findings) float64 {
	switch {
	case p.Stretch != nil:
		return p.Planned()
	case suited(p):
		return p.Scale
	}
	return f.Percent
}

// riskWords is the risk in a word with its reasons.
func riskWords(p together.Part, f *analysis.Findings) string {
	r := p.Risk
	word := riskLevel(r)
	switch r.Level {
	case "":
		return ""
	case together.Unknown:
		if p.Region.Name == "" {
			return "not known: what it covers is missing"
		}
		if f.IsPlate() {
			return "not known: straps hold it, so that no girth tells"
		}
		return "not known: measures are missing"
	}
	switch {
	case p.Stretch != nil:
		word += " once it is rescaled"
	case words.Differs(r.At, p.Wanted):
		word += " at " + words.Percent(r.At)
	}
	why := riskReasons(p, f)
	switch {
	case r.NoWay:
		why = append([]string{"it only covers"}, why...)
	case r.Opened:
		why = append([]string{"once it is opened"}, why...)
	}
	if len(why) > 0 {
		word += ": " + strings.Join(why, ", ")
	}
	return word
}

// riskReasons says what makes a part a risk.
func riskReasons(p together.Part, f *analysis.Findings) []string {
	r := p.Risk
	var out []string
	switch {
	case r.Blocked:
		out = append(out, "it is solid where the body goes")
	case r.TooSmall:
		out = append(out, "too tight")
	case r.TooLarge:
		out = append(out, "too loose")
	case p.Range == nil && f.Fit != nil:
		out = append(out, map[string][]string{"tight": {"too tight"}, "loose": {"too loose"}, "blocked": {"the body does not get in"}}[f.Fit.Verdict]...)
	}
	if r.TooShort {
		out = append(out, "too short")
	}
	if r.TooLong {
		out = append(out, "too long")
	}
	var guessed []string
	for _, m := range r.Estimated {
		guessed = append(guessed, words.Plainly(m))
	}
	switch {
	case len(guessed) > 2:
		out = append(out, words.Count(len(guessed))+" measures only *estimated*")
	case len(guessed) > 0:
		out = append(out, words.And(guessed)+" only *estimated*")
	case r.Uncertain:
		out = append(out, "what fits is only known to ± "+words.Percent(p.Range.Doubt()))
	}
	if r.OpenMesh {
		out = append(out, "open mesh")
	}
	if r.OverBed {
		out = append(out, "over the bed")
	}
	return out
}

// mostAtRisk is how many parts are named as the most at risk.
const mostAtRisk = 3

// atRisk lists the parts by what a wrong print is expected to cost.
func (b *page) atRisk(s together.Suit, rows []Row) {
	var items []string
	for _, stake := range s.Stakes {
		p, _ := s.Part(stake.Parts[0])
		if p.Risk.Level == together.Low || len(items) == mostAtRisk {
			continue
		}
		at := " at " + words.Percent(p.Risk.At)
		if p.Stretch != nil {
			at = ", once rescaled"
		}
		text := partLinks(stake.Parts, rows) + at + ": " + inTen(stake.Misfit) + " that it has to be printed again, " + stakeWords(s, stake)
		if f := findingsOf(p.Name, rows); f != nil {
			if why := riskReasons(p, f); len(why) > 0 {
				text += " (" + strings.Join(why, ", ") + ")"
			}
		}
		items = append(items, text+".")
	}
	if len(items) == 0 {
		return
	}
	b.Heading("Most at risk")
	by := "By the chance that a print is too tight or too loose for all the padding and ease asked for, times its hours."
	if s.ByVolume {
		by = "By the chance that a print is too tight or too loose for all the padding and ease asked for, times its material, which stands in for hours that are not known."
	}
	b.Block(by + " A part's own report counts less ease as fitting too, as many wearers would. An open mesh, parting for the bed or being too long counts as 1 in 10, which is a guess.")
	b.Items(true, items)
}

// partReasons is the table of what each part covers, its girths, bands and risk.
func (b *page) partReasons(s together.Suit, rows []Row) {
	var cells [][]string
	for _, r := range rows {
		f := r.Findings
		if f == nil {
			continue
		}
		p, _ := s.Part(f.Part)
		cells = append(cells, []string{
			rowLink(r), words.Region(f.Region), tightestWords(f), answer.OnBed(f), bandLinks(r), riskWords(p, f),
		})
	}
	if len(cells) == 0 {
		return
	}
	b.Heading("Part by part")
	b.Table([]string{"part", "covers", "tightest inside", "on the bed", "test bands", "risk that it does not fit"}, cells)
}
