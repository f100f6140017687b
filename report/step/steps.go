// Package step says what to do next with one part: what has to be known, set or mended
// before it is printed, which band to print first, and when to print it.
package step

import (
	"fmt"
	"math"
	"path"
	"strconv"
	"strings"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/words"
)

// mostSteps is how many things one can be asked to do next.
const mostSteps = 3

// part is what is asked what to do next with it.
type part struct {
	Findings analysis.Findings
	Brief    analysis.Brief
	Hows     map[string]string // how each measure is taken, by its name
}

// Next says what to do next with a part, the most useful first: three steps at most,
// each Markdown. hows says how each measure is taken, by its name; p is where the part's
// report lies, from which they link.
func Next(f *analysis.Findings, brief analysis.Brief, hows map[string]string, p disk.Place) []string {
	return part{*f, brief, hows}.steps(p)
}

// steps says what to do next, the most useful first; a test band, the
// cheapest of all answers, is never crowded out.
func (d part) steps(p disk.Place) []string {
	f := &d.Findings
	if first := d.barred(p); first != "" {
		return []string{first}
	}
	if f.PrintFits() {
		return oncePrinted(f, p)
	}
	out := misprinted(f, p)
	measure := d.measureStep()
	if odd := oddStep(f); odd != "" { // no scale and no print before that
		if guessed := answer.OddGuesses(f); len(guessed) > 0 {
			measure = d.tapeStep(guessed, "Only then it shows whether what was tried on goes with the rest.")
		}
		if measure != "" {
			out = append(out, measure)
		}
		return append(out, odd)
	}
	scale := scaleStep(f, measure != "" && f.Stretch() == nil)
	if after, told := afterFits(f); told && after > 0 && !f.Fit.WornOpened() {
		scale = "" // the test says which
	}
	panel := panelStep(f, scale != "", p)
	if or, ok := strings.CutPrefix(panel, "Or "); ok && measure != "" {
		panel = "Or, where this report then still says so, " + or
	} else if measure != "" && panel != "" {
		panel = "Where this report still says so once that is measured: " + strings.ToLower(panel[:1]) + panel[1:]
	}
	for _, step := range []string{measure, d.coverStep(p), missingStep(f), d.togetherStep(), plateStep(f, p), capStep(f), twoWayStep(f, measure != ""), instead(f, scale), holeStep(f), panel, answer.BedStep(f)} {
		if step != "" {
			out = append(out, step)
		}
	}
	if f.Stretch() != nil { // bands and pieces are cut once it is rescaled
		return out[:min(len(out), mostSteps)]
	}
	band := d.bandStep(p, measure != "")
	print := ""
	if !answer.PlateSet(f) { // that says it with the tape
		print = d.printStep(p, len(out) > 0 || band != "", band != "")
	}
	if band == "" {
		band, print = print, ""
	}
	if band != "" {
		out = append(out[:min(len(out), mostSteps-1)], band)
	}
	if print != "" {
		out = append(out, print)
	}
	return out[:min(len(out), mostSteps)]
}

// barred says what has to come before all else that could be said of a part, "" where
// nothing has.
func (d part) barred(p disk.Place) string {
	f := &d.Findings
	for _, step := range []string{barStep(f), unitStep(f), speckStep(f), twiceStep(f), singlesStep(f, p), d.hollowStep()} {
		if step != "" {
			return step
		}
	}
	return ""
}

// oncePrinted says what is left to do of a part that is printed and fits: to open it.
func oncePrinted(f *analysis.Findings, p disk.Place) []string {
	text := "It is printed at " + words.Percent(f.Printed) + ", says `logbook.toml`"
	if words.Differs(f.Printed, f.Percent) {
		return []string{text + ", and this report is of " + words.Percent(f.Percent) + ". To have it of the part that you have, " + addTo(f.Part, "percent = "+strings.TrimSuffix(words.Percent(f.Printed), " %"))}
	}
	if open := panelStep(f, false, p); open != "" {
		return []string{text + ".", open}
	}
	return []string{text + ": nothing is left to print."}
}

// misprinted says what to do first of a part whose print does not fit as far as is
// known: to try it on, unless that is how it is known.
func misprinted(f *analysis.Findings, p disk.Place) []string {
	if f.Printed == 0 {
		return nil
	}
	text := "It is printed at " + words.Percent(f.Printed) + ", says `logbook.toml`, and "
	if found := f.PrintFound(); found != "" {
		return []string{text + "was found " + found + ": what follows is for the next print."}
	}
	text += "by what is known now that does not fit: try it on before you print it again"
	if f.Fit != nil && f.Fit.Lead != "" {
		if command, ok := words.TriedCommand(p.Name(), f.Fit.Lead, f.Printed); ok {
			text += ", and note what you find, `tight`, `fits` or `loose`: " + command
		}
	}
	return []string{text + "."}
}

// oddStep asks to settle try-ons that do not go with what else is known.
func oddStep(f *analysis.Findings) string {
	if !f.Unsettled() {
		return ""
	}
	text := "Settle what was tried on, as the warning under " + words.Link("Scale", "#scale") + " has it, before anything more is printed."
	if pair := answer.Contradiction(f); pair != "" {
		text += " The logbook has " + pair + ": delete the entry that was wrong from `logbook.toml`."
	}
	return text
}

// printStep asks to print the part, where nothing has to be known first or where
// it goes in pieces; then says that other steps come before, tested that a band does.
func (d part) printStep(p disk.Place, then, tested bool) string {
	f := &d.Findings
	pieces := f.Bed != nil && len(f.Bed.Pieces) > 0
	needless := f.Testing != nil && !f.Testing.WorthIt && d.Findings.MeasureFirst() == ""
	if then && !needless && !pieces {
		return ""
	}
	what := "Print "
	switch {
	case then:
		what = "Then print "
	case f.Hindered():
		what = "Settle what is warned of, or accept it; then print "
	}
	if d.goesWithOthers() {
		what := words.Code(path.Base(p.Name()))
		if pieces {
			what = "all files in " + piecesLink(f, p) + ", cut anew for it"
		}
		return "Measure the body first, as " + suitLink(p) + " asks. Then set the scale that it has for this part, and print " + what + "."
	}
	if d.unlikely() {
		return "Do not print it yet: the best scale, " + words.Percent(f.Testing.Print) + ", fits with a chance of only " + words.Odds(f.Testing.Chance) + ", and no test band finds a better one. Look at the warnings, change the file or the padding, or have it opened (`halves = true`)."
	}
	what += toPrint(f, p, tested && !needless)
	if !(tested && pieces && !needless) {
		what += printCost(f)
	}
	switch {
	case needless:
		return what + "." + alreadyScaled(f) + " " + d.needless()
	case pieces, f.Hindered():
		return what + "." + alreadyScaled(f)
	}
	return what + ": nothing stands against it."
}

// unlikely reports whether a part is not to be printed at any scale yet, as no test finds
// one that is likely to fit.
func (d part) unlikely() bool {
	t := d.Findings.Testing
	return t != nil && !t.WorthIt && d.Findings.MeasureFirst() == "" && t.Print > 0 && t.Chance < analysis.WillDo
}

// needless says why no test band is asked for: its hours, at the scale that the part is
// likeliest to fit at.
func (d part) needless() string {
	f := &d.Findings
	at := f.Percent
	if to := f.Advised(); to > 0 {
		at = to
	}
	t := f.Testing
	if best := t.Print; best > 0 && math.Abs(best-at) > analysis.HalfStep && t.Chance > t.ChanceAt(at) && words.Odds(t.ChanceAt(at)) != words.Odds(t.Chance) {
		return "It fits with a chance of " + words.Odds(t.ChanceAt(at)) + ". To be surer, set " + words.Percent(best) + ": there it is " + words.Odds(t.Chance) + ", and no test band is worth its hours."
	}
	return "A test band would cost more hours than it saves."
}

// suitLink leads to what is said of all parts together.
func suitLink(p disk.Place) string {
	return words.Link(words.Code(disk.SuitName), words.Href(p.Report(), disk.SuitName))
}

// mostPieces is how many pieces are named one by one (a guess).
const mostPieces = 4

// toPrint names the files that are printed and the scale to set for them: the part, or its
// pieces for the bed, which will be others at another scale, be it that a band asks for it.
func toPrint(f *analysis.Findings, p disk.Place, tested bool) string {
	at, _ := advisedWords(f)
	if f.Bed == nil || len(f.Bed.Pieces) == 0 {
		text := words.Code(path.Base(p.Name())) + " at " + at
		if words.Percent(100) != at {
			text += ", set in the printing program"
		}
		return text
	}
	all := f.Bed.Pieces
	switch {
	case tested:
		return "all files in " + piecesLink(f, p) + ", " + words.Things(len(all), "piece") + " now. They are cut anew where another scale is set"
	case f.Advised() > 0:
		return "all files that then lie in " + piecesLink(f, p) + ", cut anew for " + at
	case len(all) > mostPieces:
		return "all " + words.Count(len(all)) + " files in " + piecesLink(f, p)
	}
	var files []string
	for _, piece := range all {
		files = append(files, paper.FileLink(p, piece.File))
	}
	return "it in pieces, " + words.And(files)
}

// piecesLink leads to the folder in which the pieces for the bed lie.
func piecesLink(f *analysis.Findings, p disk.Place) string {
	folder := path.Dir(f.Bed.Pieces[0].File)
	return words.Link(words.Code(path.Base(folder)+"/"), words.Href(p.Report(), folder))
}

// alreadyScaled says that pieces are not to be scaled once more.
func alreadyScaled(f *analysis.Findings) string {
	if f.Advised() == 0 && !words.Differs(f.Percent, 100) || f.Bed == nil || len(f.Bed.Pieces) == 0 {
		return ""
	}
	return " Do not scale them again in the printing program: they have their scale already."
}

// printCost says what the print takes, at the scale that is advised.
func printCost(f *analysis.Findings) string {
	if f.Print == nil {
		return ""
	}
	at := f.Percent
	if to := f.Advised(); to > 0 {
		at = to
	}
	c := f.Print.At(at)
	return " (about " + words.Hours(c.Hours) + " and " + words.Grams(c.Grams) + ")"
}

// addTo asks for lines at the end of suit.toml, where they go before what is
// said there of the same part.
func addTo(part string, keys ...string) string {
	if words.Visible(part) != part {
		return "in `suit.toml`, under `[[part]]`, write " + words.Code(strings.Join(keys, ", ")) + " for this part."
	}
	lines := strings.Split("```toml\n"+words.PartLines(part, strings.Join(keys, "\n"))+"```", "\n")
	return "add at the end of `suit.toml`:\n\n" + stepIndent + strings.Join(lines, "\n"+stepIndent) + "\n"
}

// stepIndent is how far a block within a numbered step is moved in (CommonMark
// 5.2).
const stepIndent = "   "

// unitStep asks for the unit before anything else can be said.
func unitStep(f *analysis.Findings) string {
	for _, w := range f.Warnings {
		switch w.Code {
		case "unit-unlikely":
			text := "Say what unit the file was drawn in: nothing else that is said here holds before that."
			if f.Unit.Likely != "" {
				text += " Most likely it is the " + f.Unit.Likely + "; if the " + f.Unit.Name + " is right as it is, write that instead. " +
					words.Capital(addTo(f.Part, "unit = "+strconv.Quote(f.Unit.Likely)))
			}
			return text
		case "size-unlikely":
			return "Say what it covers, or what unit it was drawn in, as the warning above has it: nothing else that is said here holds before that."
		}
	}
	return ""
}

// twiceStep asks to take back a scale that the file has already.
func twiceStep(f *analysis.Findings) string {
	if !f.Says("percent-twice") {
		return ""
	}
	return "The file has the scale already: " + addTo(f.Part, "percent = 100")
}

// singlesStep asks for a file for each part.
func singlesStep(f *analysis.Findings, p disk.Place) string {
	var files []string
	for _, s := range f.Singles {
		files = append(files, words.Link(words.Code(path.Base(s.File)), words.Href(p.Report(), s.File)))
	}
	if files == nil {
		return ""
	}
	return "Copy " + words.And(files) + " into the suit's folder, each under a name that says what it covers and on which side (as `forearm-left.stl`), and take this file out of the folder. Each is then looked into by itself; nothing else that is said here holds before that."
}

// speckStep asks to delete what lies far outside.
func speckStep(f *analysis.Findings) string {
	if !f.Says("mesh-speck") {
		return ""
	}
	return "Delete the speck that the warning above names, and save the part over this file: what is said of its size, the bed and parting it does not hold before that."
}

// barStep asks to take out what stands in the way inside.
func barStep(f *analysis.Findings) string {
	if !f.Says("stands-in-way") {
		return ""
	}
	what := "Look at the girths along the part below, take out in a modelling program what stands in the way there"
	if f.Shut() {
		what = "Take away in a modelling program what shuts it at its far end"
	}
	return what + ", and save the part over this file: what is said of getting in, of the scale and of parting it does not hold before that."
}

func (d part) hollowStep() string {
	switch {
	case d.Findings.Says("no-wall"):
		return "Give it a wall in a modelling program, outward, and save it over this file: as it is it has none and cannot be printed. The room inside is measured already, so that the scale holds."
	case d.Findings.Says("solid-block"):
		return "Hollow the part out in a modelling program: it is solid where the body should go. Then save it over this file."
	}
	return ""
}

// holeStep asks to cut holes wider that are too small at the scale to be printed.
func holeStep(f *analysis.Findings) string {
	at := f.Percent
	if to := f.Advised(); to > 0 {
		at = to
	}
	text := answer.WidenHoles(f, at)
	if text == "" {
		return ""
	}
	return words.Capital(text) + ", in a modelling program or, once it is printed, with a file. No scale of the part is chosen for that."
}

func (d part) togetherStep() string {
	if !d.Findings.Says("pieces-clear") {
		return ""
	}
	return "Move its pieces together in a modelling program first and save that over this file: all girths here count the space between them as room. Where straps hold them as far apart as they lie in the file, write `strapped = true` for it instead."
}

// missingStep asks for the pieces of the shell that are no longer there.
func missingStep(f *analysis.Findings) string {
	if !f.Says("assembly-gone") || f.Assembly == nil {
		return ""
	}
	var gone []string
	for _, g := range f.Assembly.Gone {
		gone = append(gone, words.Code(g))
	}
	return "Put " + words.And(gone) + " back into the folder: what follows is of the shell without."
}

// plateStep says how to find the scale of what goes only part of the way round; once it
// is set, to print it.
func plateStep(f *analysis.Findings, p disk.Place) string {
	if !f.IsPlate() {
		return ""
	}
	wide, _ := f.Widest()
	if f.LaidOn() {
		return laidOnStep(f, p)
	}
	from := " over all the padding, round the body from where one rim is to lie to where the other is, at its widest place: "
	if !answer.PlateSet(f) {
		return "Lay a tape" + from + "the wall has " + words.Girth(wide.InnerGirth) + " there. Where the tape shows more or less by so many percent, set `percent` to as many more or less."
	}
	text := "Lay the tape once more" + from + "at " + words.Percent(f.Percent) + ", as set, the wall has " + words.Girth(wide.InnerGirth) + " there. Where the tape shows the same, "
	if f.Hindered() {
		text += "settle what is warned of, or accept it; then "
	}
	return text + "print " + toPrint(f, p, false) + printCost(f) + "; else set `percent` to as many percent more or less."
}

// laidOnStep is plateStep of what bulges: no section along its way runs round the body, so
// that its width has to be taken off the part itself.
func laidOnStep(f *analysis.Findings, p disk.Place) string {
	size := f.Mesh.Bounds
	for k := range size {
		size[k] *= f.Percent / 100
	}
	widths := fmt.Sprintf("straight across the body over all the padding, where the rims are to lie, and across the inside of the part from rim to rim, in your printing program (at %s it is %s outside)",
		words.Percent(f.Percent), words.Size(size))
	if !answer.PlateSet(f) {
		return "Measure " + widths + ". Where the body is wider or narrower by so many percent, set `percent` to as many more or less."
	}
	text := "Measure once more " + widths + ". Where both are the same, "
	if f.Hindered() {
		text += "settle what is warned of, or accept it; then "
	}
	return text + "print " + toPrint(f, p, false) + printCost(f) + "; else set `percent` to as many percent more or less."
}

// capStep asks for a larger scale of a cap that is narrower than the joint it lies on.
func capStep(f *analysis.Findings) string {
	if !narrowCap(f) {
		return ""
	}
	c := f.Fit.Cap
	return "Use " + words.AtLeast(c.Least) + " or more, unless it is only to lie on the front: at " + words.Percent(f.Percent) + " its rim is " + words.Girth(c.Rim) +
		" wide inside, the narrower way, and the " + words.BodyPlace(c.Measure) + " with its padding about " + words.Girth(c.Needed) + ". " +
		words.Capital(addTo(f.Part, "percent = "+strings.TrimSuffix(words.AtLeast(c.Least), " %")))
}

// coverStep asks what the part covers.
func (d part) coverStep(p disk.Place) string {
	f := &d.Findings
	if f.OnlyCovers() || f.Region != nil && f.Region.Name != "" {
		return ""
	}
	return "Say what it covers (here, for example, a lower leg): " + addTo(p.Name(), `region = "lower_leg"`)
}

// measureStep asks for what the verdict is still missing, and says where the tape runs.
func (d part) measureStep() string {
	f := &d.Findings
	if f.OnlyCovers() || f.Region == nil || f.Region.Name == "" {
		return ""
	}
	if f.Fit != nil {
		if f.MeasureFirst() != "" {
			h := f.Fit.Helps[0]
			return d.tapeStep([]string{h.Measure}, closer(f.Fit.Doubt(), h.SD))
		}
		if f.Fit.Verdict != "" && f.Fit.Verdict != "unknown" || len(d.Brief.Wearer.Measures) > 0 {
			return ""
		}
	}
	if f.IsPlate() { // the tape is laid where its rims are to lie
		return ""
	}
	measures := answer.Untaken(f.Region, d.Brief.Wearer)
	if len(measures) == 0 {
		return ""
	}
	then := "This report is then written again, and names the scale."
	if len(d.Brief.Wearer.Measures) == 0 {
		then += " Where there is no `wearer.toml` yet, `gambeson start` with the suit's folder makes one."
	}
	return d.tapeStep(measures, then)
}

// closer says how much closer a measure tells the scale; the numbers stand under Wearing it.
func closer(before, after float64) string {
	if times := math.Round(before / after); after > 0 && times >= 2 {
		return "The scale is then known about " + words.Count(int(times)) + " times as closely."
	}
	return "The scale is then known more closely."
}

// tapeStep asks for measures of the body: how each is taken, and where to write it; then
// says what follows from them.
func (d part) tapeStep(measures []string, then string) string {
	key := func(m string) string {
		if r := d.Findings.Region; r == nil {
			return words.Code(m + " = …")
		}
		return words.Code(answer.KeyOf(&d.Findings, d.Brief.Wearer, m) + " = …")
	}
	if len(measures) == 1 {
		text := "Measure the " + tapeWords(measures[0]) + " and write " + key(measures[0]) + " (in mm) in `wearer.toml`."
		if how := d.Hows[measures[0]]; how != "" {
			text += " Where the tape runs: " + words.Sentence(how)
		}
		return text + " " + then
	}
	text := "Measure with a tape, on the skin or over one thin layer, and write in `wearer.toml`, in mm:\n\n"
	for _, m := range measures {
		text += stepIndent + "- " + key(m)
		if how := d.Hows[m]; how != "" {
			text += " " + words.Prose(how)
		}
		text += "\n"
	}
	return text + "\n" + stepIndent + then + "\n"
}

// twoWayStep offers a scale of its own for the length.
func twoWayStep(f *analysis.Findings, measured bool) string {
	if f.Stretch() == nil {
		return ""
	}
	to, open := "leave", ""
	if f.Fit.TwoWay.Opened {
		open = " The part has still to be opened to get in."
	}
	if words.Differs(f.Percent, 100) {
		to = "set"
	}
	rescale := "Rescale the file itself to "
	if measured {
		rescale = "After that, rescale the file itself to what this report then has, by the *estimate* "
	}
	return rescale + words.ThreeScales(f.Fit.TwoWay.Axes) + ": its length asks for another scale than its girth. Save it over this one and " + to + " percent at 100." + open
}

// mostTooLong is how many times as long as the body a part may be for it to be offered to
// accept that (a guess).
const mostTooLong = 1.25

// instead puts one scale for all after the two, and says what is wrong with it.
func instead(f *analysis.Findings, scale string) string {
	if scale == "" || f.Stretch() == nil {
		return scale
	}
	text := "Or " + strings.ToLower(scale[:1]) + scale[1:]
	to := f.Advised()
	for _, l := range f.Fit.Lengths {
		if l.Largest > 0 && to > l.Largest {
			if l.Room*to/f.Percent > mostTooLong*l.Body {
				return "" // nobody walks in that
			}
			text = fmt.Sprintf("Or accept that it is too long: %s inside, where the body has %s. In a boot that makes one stumble. Then ", words.Girth(l.Room*to/f.Percent), words.Girth(l.Body)) + strings.ToLower(scale[:1]) + scale[1:]
		}
	}
	return text
}

// panelStep says how the body gets in where it does not: by a panel that
// comes off, or by halves; after a step with another scale, it is the other way.
func panelStep(f *analysis.Findings, scaled bool, p disk.Place) string {
	if f.Fit == nil {
		return ""
	}
	for _, e := range f.Fit.Entries {
		if e.Passes || e.Panel == nil && !e.Halves {
			continue
		}
		how, why, key := inHalves(f, e)
		text := how + ". " + why + " " + words.Capital(addTo(f.Part, key))
		if q := e.Panel; q != nil {
			text = fmt.Sprintf("take a panel off the wall facing %s: %s wide, from opening %s %s. With it off, the %s passes.",
				words.Towards(q.Facing), words.Girth(q.Width), words.Prose(e.Opening), answer.DownTo(f, e), words.BodyPlace(e.Measure))
			if q.File != "" && q.Rest != "" {
				text += " Both are cut: " + paper.FileLink(p, q.File) + " and " + paper.FileLink(p, q.Rest) + "."
			}
		}
		_, halves := f.Fit.Halved()
		switch {
		case halves && f.Advised() > 0: // said with the scale
			return ""
		case f.Fit.WornOpened():
		case f.Fit.Rests > f.Percent: // too tight anyway
			return ""
		case f.Advised() > 0 && scaled:
			return "Or keep " + words.Percent(f.Percent) + " and " + text
		case f.Advised() > 0:
			return "To keep " + words.Percent(f.Percent) + ", " + text
		}
		return words.Capital(text)
	}
	return ""
}

// scaleStep names the scale to use, and the halves to part it in where only that
// lets the body in.
func scaleStep(f *analysis.Findings, measured bool) string {
	scale := f.Advised()
	if scale <= 0 {
		return ""
	}
	text := words.Percent(scale)
	_, tried := f.TriedScale()
	atLeastThat := f.Fit.Recommended <= 0 && !tried
	if atLeastThat {
		text = words.AtLeast(scale)
	}
	if text == words.Percent(f.Percent) {
		return ""
	}
	step := "Use " + text
	if measured {
		step = "After that, use the scale that this report then names, by the *estimate* " + text
	}
	switch {
	case atLeastThat:
		step += " or more"
	case tried:
		step += ", " + answer.AsTried(f)
	}
	keys, besides := []string{"percent = " + strings.TrimSuffix(text, " %")}, ""
	if e, ok := f.Fit.Halved(); ok {
		how, why, key := inHalves(f, e)
		if e.Passes {
			why = "Closed, the " + words.BodyPlace(e.Measure) + " does not pass at that scale."
		}
		step += ", and " + how + ". " + why
		keys = append(keys, key)
		if gap := f.OpenAlong(); gap > 0 && key == "halves = true" {
			besides = "\n" + stepIndent + "It is open along its length, " + words.Girth(gap) + " wide at the least. If it bends open so far that you put it on through that and strap it, write `strapped = true` in place of `halves = true`: then nothing has to pass.\n"
		}
	} else if f.Fit.WornOpened() {
		step += ", and open the part to get in."
	} else {
		step += "."
	}
	if f.Bed != nil && scale > f.Bed.UpTo() {
		step += " That is more than the bed takes in one piece."
	}
	return step + " " + words.Capital(addTo(f.Part, keys...)) + besides
}

// inHalves says how a part is opened along its length for what does not pass, why in a
// sentence of its own, and what suit.toml is to say of it.
func inHalves(f *analysis.Findings, e analysis.Entry) (how, why, key string) {
	if f.PartsAlong() {
		return "join its pieces by straps in place of glue", "Glued together they do not let the " + words.BodyPlace(e.Measure) + " pass.", "strapped = true"
	}
	why = "No panel lets the " + words.BodyPlace(e.Measure) + " pass."
	if f.OverBed() {
		why = "That lets the " + words.BodyPlace(e.Measure) + " pass. With a panel taken off instead it would still be larger than the bed."
	}
	return "part it along its length in two halves that are strapped together", why, "halves = true"
}

// bandStep asks to print the first band and to note what it showed.
func (d part) bandStep(p disk.Place, measured bool) string {
	f := &d.Findings
	if len(f.Bands) == 0 {
		return ""
	}
	if f.Testing != nil && !f.Testing.WorthIt {
		return ""
	}
	band := nextBand(f)
	step := "Print the test band " + paper.FileLink(p, band.File) + " first ("
	if measured {
		step = "After that, where this report still asks for it, print the test band " + paper.FileLink(p, band.File) + " ("
	}
	step += words.Girth(band.Height) + " high"
	if band.Hours > 0 {
		step += ", " + words.Hours(band.Hours)
	}
	if band.Grams > 0 {
		step += ", " + words.Grams(band.Grams)
	}
	step += ") and try it on" + answer.Over(band.Passes) + "."
	if words.Differs(band.Percent, 100) {
		step += " It has its scale already: do not scale it again in the printing program."
	}
	if first := OpenRing(f, d.Brief, band); first != "" {
		step += " " + first
	}
	if command, ok := words.TriedCommand(p.Name(), answer.Station(f, band), band.Percent); ok {
		step += " Then note what it showed: " + command + ", or `tight` or `loose` in place of `fits`."
	}
	if after, told := afterFits(f); told && after > 0 && !measured {
		step += " If it fits, print the part at " + words.Percent(after) + ". What another answer leads to stands under " + words.Link("Is a test worth it", "#is-a-test-worth-it") + "."
	}
	return step
}

// afterFits is the scale to print the part at where the next band fits, 0 where
// another band follows; ok is false where no test is advised.
func afterFits(f *analysis.Findings) (scale float64, ok bool) {
	if f.Testing == nil || !f.Testing.WorthIt {
		return 0, false
	}
	for _, a := range f.Testing.Then {
		if a.Verdict == "fits" && a.Band <= 0 {
			return a.Print, true
		}
	}
	return 0, true
}

// tapeWords names a measure in a sentence, as Markdown: "calf girth".
func tapeWords(measure string) string { return words.Plainly(measure) }

// nextBand is the band to print next: the advised one, else the first.
func nextBand(f *analysis.Findings) analysis.Band {
	if f.Testing != nil && f.Testing.Next != nil {
		for _, b := range f.Bands {
			if b.File == f.Testing.Next.Band {
				return b
			}
		}
	}
	return f.Bands[0]
}
