package report

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"gambeson/analysis"
)

// text is the report of a part that could be read: the answer, what to do,
// then every reason, in the order in which a maker asks.
func (d Document) text(p Place, drawn pictures, kept []string) string {
	f := &d.Findings
	var b page
	b.block("# " + code(p.Name()))
	b.block(strings.Join([]string{answer(f), bedAnswer(f)}, " "))
	if piece := pieceOf(f); piece != "" {
		b.block(piece)
	}
	b.items(false, warnings(f))
	b.steps(d.steps(p))
	b.drawing(drawn.part, p)
	b.scale(f, d.Brief)
	b.gettingIn(f, p)
	b.wearing(d, p, drawn)
	b.girths(f, p, drawn)
	b.printer(f, p, drawn.bed)
	b.drawing(drawn.pieces, p)
	b.bands(d, p)
	b.testing(f, p)
	b.drawing(drawn.ladder, p)
	b.condition(f)
	b.method(f, d.Brief)
	b.keptCopies(p.Report(), kept)
	region := ""
	if f.Region != nil {
		region = f.Region.Name
	}
	b.cautions(region)
	b.WriteString(notesTop)
	return b.String()
}

// pieceOf says with which files the part was judged as one, if with any.
func pieceOf(f *analysis.Findings) string {
	if f.Assembly == nil || f.Assembly.Name == "" {
		return ""
	}
	var mates []string
	for _, m := range f.Assembly.Mates {
		mates = append(mates, code(m))
	}
	return "This file is one piece of a shell, with " + strings.Join(mates, ", ") + ". What is said of the body holds for the whole shell, what is said of the bed and the mesh for this file alone."
}

// answer is the verdict on the body in one sentence with the number that
// matters.
func answer(f *analysis.Findings) string {
	at := " at " + percent(f.Percent)
	if len(f.Cavities) == 0 {
		return "**No way through for a body was found**, so there are no girths to compare: the part covers, but does not go round."
	}
	verdict := ""
	if f.Fit != nil {
		verdict = f.Fit.Verdict
	}
	switch verdict {
	case "blocked":
		for _, e := range f.Fit.Entries {
			if !e.Passes {
				return fmt.Sprintf("**The body does not get in%s:** the %s needs %s and the narrowest place on its way has %s.",
					at, bodyPart(e.Measure, e.Source), girth(e.Needed), girth(e.Throat))
			}
		}
		return "**The body does not get in" + at + ".**"
	case "tight":
		if s, ok := tightest(f); ok {
			return fmt.Sprintf("**Too tight%s:** the %s needs %s inside and the part has %s.", at, bodyPart(s.Measure, s.Source), girth(s.Needed), girth(s.Capacity))
		}
		return "**Too tight" + at + ".**"
	case "loose":
		if s, ok := lead(f); ok {
			return fmt.Sprintf("**Too loose%s:** the %s has %s.", at, bodyPart(s.Measure, s.Source), spare(s.Ease))
		}
		return "**Too loose" + at + ".**"
	case "fits":
		if s, ok := tightest(f); ok {
			return fmt.Sprintf("**Fits%s:** the tightest measure, the %s, has %s.", at, bodyPart(s.Measure, s.Source), spare(s.Ease))
		}
		return "**Fits" + at + ".**"
	}
	return girthAnswer(f, at)
}

// girthAnswer says how wide the part is inside where nothing more is known.
func girthAnswer(f *analysis.Findings, at string) string {
	tight, ok := f.Tightest()
	wide, _ := f.Widest()
	if !ok {
		return "**The part does not close round the body anywhere,** so there is no girth to compare."
	}
	where := along(tight.Along)
	for _, w := range ways(f) {
		if i, _ := w.Ends(); i >= 0 && w.Stations[i].Along == tight.Along && w.Stations[i].Center == tight.Center {
			where += " from " + prose(startWords(w))
			break
		}
	}
	if open(tight) {
		return fmt.Sprintf("**Open at the side%s:** where the wall is shortest, %s, it is %s long with a gap of %s, and %s long at the longest.",
			at, where, girth(tight.InnerGirth), girth(tight.Gap), girth(wide.InnerGirth))
	}
	return fmt.Sprintf("**Inside%s the girth is %s at the tightest place, %s,** and %s at the widest.",
		at, girth(tight.InnerGirth), where, girth(wide.InnerGirth))
}

// tightest returns the sit that has the least of what it needs.
func tightest(f *analysis.Findings) (analysis.Sit, bool) {
	var best analysis.Sit
	for i, s := range f.Fit.Sits {
		if i == 0 || s.Capacity*best.Needed < best.Capacity*s.Needed {
			best = s
		}
	}
	return best, len(f.Fit.Sits) > 0
}

// bodyPart is a measure in a sentence; one that is estimated says so.
func bodyPart(measure, source string) string {
	if source == "estimated" {
		return bodyPlace(measure) + " (*estimated*)"
	}
	return bodyPlace(measure)
}

// warnings lists what asks the person to act.
func warnings(f *analysis.Findings) []string {
	var out []string
	for _, w := range f.Warnings {
		if w.Level == analysis.LevelWarning {
			out = append(out, "**Warning:** "+prose(w.Text))
		}
	}
	return out
}

// mostSteps is how many things one can be asked to do next.
const mostSteps = 3

// steps says what to do next, the most useful first; a test band, the
// cheapest of all answers, is never crowded out.
func (d Document) steps(p Place) []string {
	f := &d.Findings
	if step := unitStep(f); step != "" {
		return []string{step}
	}
	var out []string
	for _, step := range []string{d.hollowStep(), d.measureStep(p), scaleStep(f), twoWayStep(f), panelStep(f, p), bedStep(f, p)} {
		if step != "" {
			out = append(out, step)
		}
	}
	last := d.bandStep(p)
	switch {
	case last != "":
	case len(out) == 0:
		last = "Print it: nothing stands against it."
	case f.Testing != nil && !f.Testing.WorthIt && measured(f):
		last = "Then print it: a test band would cost more hours than it saves."
	}
	if last != "" {
		out = append(out[:min(len(out), mostSteps-1)], last)
	}
	return out[:min(len(out), mostSteps)]
}

// measured reports whether the first thing to do is not to measure something.
func measured(f *analysis.Findings) bool {
	return f.Fit != nil && (len(f.Fit.Helps) == 0 || f.Fit.Helps[0].Cut < tellsMuch)
}

// unitStep asks for the unit before anything else can be said.
func unitStep(f *analysis.Findings) string {
	for _, w := range f.Warnings {
		switch w.Code {
		case "unit-unlikely":
			return "Say what unit the file was drawn in, as the warning above has it: nothing else that is said here holds before that."
		case "size-unlikely":
			return "Say what it covers, or what unit it was drawn in, as the warning above has it: nothing else that is said here holds before that."
		}
	}
	return ""
}

func (d Document) hollowStep() string {
	for _, w := range d.Findings.Warnings {
		if w.Code == "solid-block" {
			return "Hollow the part out in a modelling program: it is solid where the body should go. Then save it over this file."
		}
	}
	return ""
}

// tellsMuch is the share of the scale's uncertainty from which on a measure is
// worth a step of its own.
const tellsMuch = 0.25

// nineInTen is how many standard deviations hold a normal 9 times in 10.
const nineInTen = 1.645

// keyOf is the key under which a measure is to be written: with the side where
// the other one is given so.
func (d Document) keyOf(measure string) string {
	given := func(side string) bool { _, ok := d.Brief.Wearer.Measures[measure+"."+side]; return ok }
	if side := d.Findings.Region.Side; side != "" && (given("left") || given("right")) {
		return measure + "." + side
	}
	return measure
}

// measureStep asks for what the verdict is still missing.
func (d Document) measureStep(p Place) string {
	f := &d.Findings
	if len(f.Cavities) == 0 {
		return ""
	}
	if f.Region == nil || f.Region.Name == "" {
		return "Say what it covers: in `suit.toml`, under `[[part]]`, write " + code("file = "+strconv.Quote(visible(p.Name()))) +
			" and, for example, `region = \"lower_leg\"`."
	}
	if f.Fit != nil {
		if len(f.Fit.Helps) > 0 && f.Fit.Helps[0].Cut >= tellsMuch {
			h := f.Fit.Helps[0]
			return "Measure the " + tapeWords(h.Measure) + " and write " + code(d.keyOf(h.Measure)+" = …") + " in `wearer.toml`: the scale that fits is then known to ± " + percent(nineInTen*h.SD) + " instead of ± " + percent(nineInTen*doubtOf(f)) + ", 9 in 10."
		}
		if f.Fit.Verdict != "" && f.Fit.Verdict != "unknown" || len(d.Brief.Wearer.Measures) > 0 {
			return ""
		}
	}
	var words []string
	for _, m := range missing(f.Region, d.Brief.Wearer) {
		words = append(words, code(m))
	}
	if len(words) == 0 {
		return ""
	}
	return "Measure " + and(words) + " with a tape, on the skin or over one thin layer, and write them in `wearer.toml`, in millimetres. This report is then written again."
}

// twoWayStep offers a scale of its own for the length.
func twoWayStep(f *analysis.Findings) string {
	if f.Fit == nil || f.Fit.TwoWay == nil || f.Fit.TwoWay.Axes[0] == 0 {
		return ""
	}
	a := f.Fit.TwoWay.Axes
	return fmt.Sprintf("Or, since its length asks for another scale than its girth, rescale the file itself to x %s, y %s, z %s, save it over this one and leave percent at 100.", percent(a[0]), percent(a[1]), percent(a[2]))
}

// panelStep says how the body gets in where it does not: by a panel that
// comes off, or by halves.
func panelStep(f *analysis.Findings, p Place) string {
	if f.Fit == nil {
		return ""
	}
	for _, e := range f.Fit.Entries {
		if e.Passes || e.Panel == nil && !e.Halves {
			continue
		}
		text := "part it along its length in two halves that are strapped together, and write " + code("halves = true") + " for it in `suit.toml`: no panel lets the " + bodyPlace(e.Measure) + " pass."
		if q := e.Panel; q != nil {
			text = fmt.Sprintf("take a panel off the wall facing %s: %s wide, from opening %s down to %s. With it off, the %s passes.",
				towards(q.Facing), girth(q.Width), prose(e.Opening), along(q.To), bodyPlace(e.Measure))
			if q.File != "" && q.Rest != "" {
				text += " Both are cut: " + fileLink(p, q.File) + " and " + fileLink(p, q.Rest) + "."
			}
		}
		switch {
		case opened(f):
		case f.Fit.Rests > f.Percent: // too tight anyway
			return ""
		case scaleStep(f) != "":
			return "Or keep " + percent(f.Percent) + " and " + text
		}
		return capital(text)
	}
	return ""
}

// scaleStep names the scale to use, or the least one that the body asks for.
func scaleStep(f *analysis.Findings) string {
	if f.Fit == nil || f.Fit.Verdict == "fits" { // what is set need not be the best to do
		return ""
	}
	scale, text := f.Fit.Recommended, percent(f.Fit.Recommended)
	if scale <= 0 {
		if f.Fit.Smallest <= f.Percent {
			return ""
		}
		scale, text = f.Fit.Smallest, atLeast(f.Fit.Smallest)
	}
	if text == percent(f.Percent) {
		return ""
	}
	step := "Use " + text
	if f.Fit.Recommended <= 0 {
		step += " or more"
	}
	if opened(f) {
		step += ", and open the part to get in"
	}
	step += ": write " + code("percent = "+strings.TrimSuffix(text, " %")) + " for this part in `suit.toml`."
	if f.Bed != nil && scale > largest(f.Bed) {
		step += " That is more than the bed takes in one piece."
	}
	return step
}

// bandStep asks to print the first band and to note what it showed.
func (d Document) bandStep(p Place) string {
	f := &d.Findings
	if len(f.Bands) == 0 {
		return ""
	}
	if f.Testing != nil && !f.Testing.WorthIt {
		return ""
	}
	band := nextBand(f)
	step := "Print the test band " + fileLink(p, band.File) + " first (" + girth(band.Height) + " high"
	if band.Hours > 0 {
		step += ", " + hours(band.Hours)
	}
	if band.Grams > 0 {
		step += ", " + grams(band.Grams)
	}
	step += ") and try it on."
	if first := d.openRing(band); first != "" {
		step += " " + first
	}
	if name, ok := shellWord(p.Name()); ok {
		step += " Then note what it showed, `tight`, `fits` or `loose`: " +
			code("gambeson tried "+name+" --station "+station(f, band)+" --percent "+strings.TrimSuffix(decimal(band.Percent, 1), ".0")+" --verdict fits") + "."
	}
	return step
}

// station names the place of a band for the logbook: the measure that it
// answers for, else the distance in mm. (With several ways a distance does not
// tell the place, and where a measure both passes and rests the measure does
// not.)
func station(f *analysis.Findings, band analysis.Band) string {
	if f.Fit == nil {
		return decimal(band.Station, 0)
	}
	rests := slices.ContainsFunc(f.Fit.Sits, func(s analysis.Sit) bool { return s.Measure == band.Measure })
	if band.Measure != "" && !(band.Passes && rests) {
		return band.Measure
	}
	return decimal(band.Station, 0)
}

// shellWord quotes a name for a command line; false where it holds what
// cannot be typed.
func shellWord(name string) (string, bool) {
	if visible(name) != name {
		return "", false
	}
	if strings.IndexFunc(name, func(r rune) bool {
		return !(unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("./_-", r))
	}) < 0 && !strings.HasPrefix(name, "-") {
		return name, true
	}
	return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'", true
}

// fileLink links to a file of the part by the name it has in its folder.
func fileLink(p Place, file string) string {
	name := strings.TrimPrefix(file, p.Under("")+"/")
	if name == file {
		name = path.Base(file)
	}
	return link(code(name), href(p.Report(), file))
}

func (b *page) steps(steps []string) {
	b.heading("What to do next")
	b.items(true, steps)
}

// filled drops the rows that were not asked for.
func filled(rows [][]string) [][]string {
	var out [][]string
	for _, r := range rows {
		if r != nil {
			out = append(out, r)
		}
	}
	return out
}

// gettingIn tells the openings and whether the body passes.
func (b *page) gettingIn(f *analysis.Findings, p Place) {
	var openings, entries, panels [][]string
	for _, c := range f.Cavities {
		for _, o := range c.Openings {
			openings = append(openings, []string{prose(o.Name), known(o.Girth), known(o.Capacity), towards(o.Facing), spot(o.Center)})
		}
	}
	if f.Fit != nil {
		for _, e := range f.Fit.Entries {
			passes := "passes"
			if !e.Passes {
				passes = "**does not pass**"
			}
			from := ""
			if e.Percent > 0 {
				from = atLeast(e.Percent)
			}
			entries = append(entries, []string{prose(e.Opening), bodyPlace(e.Measure), bodySize(e.Body, e.Source, e.SD), girth(e.Needed), girth(e.Throat), along(e.ThroatAlong), passes, from})
			if e.Panel != nil {
				panels = append(panels, panelRow(e, p))
			}
		}
	}
	if len(openings)+len(entries) == 0 {
		return
	}
	b.heading("Getting in")
	b.table([]string{"by opening", "what must pass", "body", "it needs", "narrowest place", "distance in", "verdict", "passes from"}, entries)
	if len(panels) > 0 {
		b.block("What would have to come off the wall:")
	}
	b.table([]string{"from opening", "wide", "down to", "facing", "narrowest place then", "panel", "rest"}, panels)
	if len(openings) > 0 {
		b.block("The openings:")
	}
	b.table([]string{"opening", "girth of the rim", "capacity", "faces", "middle"}, openings)
}

// panelRow describes the panel that lets a body part pass.
func panelRow(e analysis.Entry, p Place) []string {
	q := e.Panel
	row := []string{prose(e.Opening), girth(q.Width), along(q.To), towards(q.Facing), known(q.Throat), "", ""}
	if q.File != "" {
		row[5] = fileLink(p, q.File)
	}
	if q.Rest != "" {
		row[6] = fileLink(p, q.Rest)
	}
	return row
}

// known is a girth, or nothing where it was not measured.
func known(mm float64) string {
	if mm == 0 {
		return ""
	}
	return girth(mm)
}

// girths shows the girth along every way, as a picture and as a table.
func (b *page) girths(f *analysis.Findings, p Place, drawn pictures) {
	all := ways(f)
	if len(all) == 0 {
		return
	}
	b.heading("Girth along the part")
	for i, w := range all {
		if len(all) > 1 {
			b.block("### " + capital(prose(wayWords(w))))
		}
		if i < len(drawn.girths) && drawn.girths[i].file != "" {
			b.picture(drawn.girths[i].alt, href(p.Report(), p.Under(drawn.girths[i].file)))
		}
		b.block("Lay the tape inside, square to the way through. Distances run " + prose(wayWords(w)) + ".")
		b.table([]string{"distance", "inner girth", "capacity", "goes round", "gap", ""}, stationRows(w))
	}
	for _, d := range drawn.sections {
		b.picture(d.alt, href(p.Report(), p.Under(d.file)))
	}
}

// A table of girths has a row about every 25 mm, where a maker would hold the
// tape, and not more of them than fit a page.
const (
	rowDistance = 25.0
	mostRows    = 26
)

// stationRows picks the stations for a table: about one every 25 mm, the two
// ends, the tightest and the widest.
func stationRows(w analysis.Centreline) [][]string {
	tightest, widest := w.Ends()
	last := len(w.Stations) - 1
	distance := rowDistance
	for last >= 0 && (w.Stations[last].Along-w.Stations[0].Along)/distance > mostRows {
		distance *= 2
	}
	var rows [][]string
	next := 0.0
	for i, s := range w.Stations {
		mark := ""
		switch i {
		case tightest:
			mark = "**tightest**"
		case widest:
			mark = "**widest**"
		}
		due := i == 0 || s.Along-w.Stations[0].Along >= next-1e-6
		if !due && mark == "" && i != last {
			continue
		}
		if due {
			next += distance
		}
		cells := []string{along(s.Along), girth(s.InnerGirth), known(s.Capacity), "", "", mark}
		if open(s) {
			cells[3] = "open"
			if s.Cover > 0 {
				cells[3] = degrees(s.Cover)
			}
			cells[4] = known(s.Gap)
		}
		rows = append(rows, cells)
	}
	return rows
}

// bands lists the test bands.
func (b *page) bands(d Document, p Place) {
	f := &d.Findings
	if len(f.Bands) == 0 {
		return
	}
	b.heading("Test bands")
	b.block(bandWords(f))
	if first := d.openRing(f.Bands[0]); first != "" {
		b.block("**" + first + "**")
	}
	var rows [][]string
	for _, band := range f.Bands {
		pieces, notches, cost := "", "none", []string{"", ""}
		if band.Arcs > 1 {
			pieces = things(band.Arcs, "arc")
		}
		if band.Sheet > 0 {
			pieces += ", file " + count(band.Sheet)
		}
		if band.Notches > 0 {
			notches = count(band.Notches)
		}
		if band.Hours > 0 {
			cost[0] = hours(band.Hours)
		}
		if band.Grams > 0 {
			cost[1] = grams(band.Grams)
		}
		rows = append(rows, []string{fileLink(p, band.File), notches, prose(band.Text), along(band.Station), prose(band.Reason), percent(band.Percent), girth(band.Height), pieces, cost[0], cost[1]})
	}
	b.table([]string{"band", "notches", "on its outside", "cut at", "it is", "scale", "height", "pieces", "about", "filament"}, rows)
}

// bandWords says what bands are, and how they are told apart and held together.
func bandWords(f *analysis.Findings) string {
	text := "A low ring of the part itself, to print and try on before the whole part. It lies flat on the bed as it is."
	first := f.Bands[0]
	if percent(first.Percent) != percent(f.Percent) {
		why := "the recommended one, since `suit.toml` asks for none"
		if f.Testing != nil && f.Testing.Next != nil {
			why = "the one that tells most"
		}
		text += " The scale is " + why + ": distances are those at " + percent(f.Percent) + "."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Notches > 0 }) {
		text += " Notches in the top rim tell the bands apart."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Text != "" }) {
		text += " Letters on the outside are bodies that overlap the wall: the printing program makes one of them."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Notches == 0 && b.Text == "" }) {
		text += " One without either had no room for them: write on it with a pen."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Flats }) {
		text += " Arcs go together number to number, with a clip over each pair of flats."
	}
	return text + " Nothing is changed on the inside."
}

// condition tells the faults of the mesh in plain words.
func (b *page) condition(f *analysis.Findings) {
	m := f.Mesh
	if m == nil {
		return
	}
	b.heading("The mesh")
	text := "The surface is closed: the printing program can tell inside from outside."
	if !m.Closed {
		text = "**The surface is not closed.**"
	}
	if m.Components > 1 {
		text += " The file holds " + count(m.Components) + " separate shells."
	}
	b.block(text)
	var rows [][]string
	for _, d := range m.Defects {
		name, means := defectWords(d.Kind)
		rows = append(rows, []string{prose(name), count(d.Count), spot(d.Where), means})
	}
	b.table([]string{"fault", "count", "for example near", "what it means"}, rows)
}

// method tells where every number comes from, and what was assumed.
func (b *page) method(f *analysis.Findings, brief analysis.Brief) {
	b.heading("Where the numbers come from")
	var rows [][]string
	row := func(what, value, source string) { rows = append(rows, []string{what, value, source}) }
	if m := f.Mesh; m != nil {
		row("mesh", formatWords(m.Format)+", "+things(m.Triangles, "triangle"), "read from the file")
		row("size of the file", size(m.Bounds), "measured on the mesh")
		row("material", volume(m.Volume)+" with "+area(m.Area)+" of surface", "measured on the mesh")
	}
	if u := f.Unit; u != nil {
		row("unit of the file", prose(u.Name), fromWhere(u.Source))
	}
	if len(f.Cavities) > 0 {
		row("inner girth", "length of the loop inside, where a plane square to the way through cuts the part", "measured on the mesh")
	}
	if slices.ContainsFunc(ways(f), func(w analysis.Centreline) bool {
		return slices.ContainsFunc(w.Stations, func(s analysis.Station) bool { return s.Capacity > 0 })
	}) {
		row("capacity", "girth of the greatest ellipse that fits inside there: the room that a body really has", "measured on the mesh")
	}
	if r := f.Region; r != nil && r.Name != "" {
		row("covers", regionWords(r), fromWhere(r.Source))
	}
	if f.Fit != nil {
		seen := map[string]bool{}
		for _, s := range f.Fit.Sits {
			if !seen[s.Measure] {
				seen[s.Measure] = true
				row(bodyPlace(s.Measure)+" of the body", bodySize(s.Body, s.Source, s.SD), fromWhere(s.Source))
			}
		}
		row("needed", "girth of the body and of all that lies between: a layer t thick makes it 2π·t longer", "worked out")
	}
	b.table([]string{"what", "value", "where it comes from"}, append(rows, settings(brief, wornShell(f))...))
	b.items(false, notes(f))
}

// wornShell is what was reckoned with between skin and shell, nil where no body
// was compared.
func wornShell(f *analysis.Findings) *analysis.Shell {
	if f.Fit == nil {
		return nil
	}
	return f.Fit.Shell
}

// settings lists what was assumed about shell and printer, with its source:
// a value that is the default counts as one.
func settings(brief analysis.Brief, shell *analysis.Shell) [][]string {
	usual := analysis.DefaultBrief()
	from := func(same bool) string {
		if same {
			return "default"
		}
		return "`suit.toml`"
	}
	var rows [][]string
	if s := shell; s != nil {
		region := func(asked bool) string {
			if asked {
				return "`suit.toml`"
			}
			return "usual for what it covers"
		}
		u := usual.Shell
		rows = append(rows,
			[]string{"padding, each side", girth(s.Padding), region(s.Asked.Padding)},
			[]string{"padding when pressed on the way in", girth(s.EntryPadding), from(s.EntryPadding == u.EntryPadding)},
			[]string{"lining of the shell", girth(s.Liner), from(s.Liner == u.Liner)},
			[]string{"ease wanted", girth(s.Ease), region(s.Asked.Ease)})
		if brief.Wearer.OverUndersuit {
			rows = append(rows, []string{"undersuit under the tape, which is taken off the girths", girth(s.Undersuit), "`wearer.toml`"})
		}
	}
	p, q := brief.Printer, usual.Printer
	same := p.Bed == q.Bed && p.Diameter == q.Diameter && p.Height == q.Height && p.Margin == q.Margin && len(p.Strips) == 0
	rows = append(rows, []string{"printer's bed", volumeWords(p), from(same)})
	if brief.Second != nil {
		rows = append(rows, []string{"second printer's bed", volumeWords(*brief.Second), from(false)})
	}
	return rows
}

// notes lists the doubts that do not ask for anything; faults of the mesh have
// their own chapter.
func notes(f *analysis.Findings) []string {
	var out []string
	for _, w := range f.Warnings {
		if w.Level != analysis.LevelWarning && !(strings.HasPrefix(w.Code, "mesh-") && f.Mesh != nil && len(f.Mesh.Defects) > 0) {
			out = append(out, prose(w.Text))
		}
	}
	return out
}

// keptCopies says where earlier versions with the person's changes are.
func (b *page) keptCopies(from string, kept []string) {
	if len(kept) == 0 {
		return
	}
	var files []string
	for _, k := range kept {
		files = append(files, link(code(path.Base(k)), href(from, k)))
	}
	b.block("An earlier version of this report had been changed above its notes. It is kept as it was: " + and(files) + ".")
}

func (b *page) cautions(regions ...string) {
	b.heading("Cautions")
	b.items(false, cautionsFor(regions))
}

// refusalText is the report of a file that could not be read. bands are those
// of an earlier version that are still there.
func refusalText(p Place, r Refusal, kept, bands []string) string {
	var b page
	b.block("# " + code(p.Name()))
	b.block("**This file could not be read:** " + r.why())
	remedy := "Save or download the file again."
	if r.Remedy != "" {
		remedy = capital(sentence(r.Remedy))
	}
	b.steps([]string{remedy, "Then wait: this report is written again as soon as the file changes."})
	if len(bands) > 0 {
		b.block("The test bands in " + link(code("bands"), href(p.Report(), p.Under("bands"))) + " belong to an earlier version of the file.")
	}
	b.keptCopies(p.Report(), kept)
	b.WriteString(notesTop)
	return b.String()
}

// why says what is wrong and where.
func (r Refusal) why() string {
	if r.Where == "" {
		return sentence(r.Cause)
	}
	return strings.TrimSuffix(sentence(r.Cause), ".") + " (at " + prose(r.Where) + ")."
}
