package suit

import (
	"math"
	"slices"
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/words"
)

// suitSteps says what to do next for the whole suit, the cheapest answer first:
// a tape before a line in suit.toml before a print.
func suitSteps(s Suit, rows []Row) (said []string) {
	for _, step := range []string{coverStep(rows), sizeStep(rows), apartStep(rows), togetherStep(rows), mendStep(rows), mirrorStep(s.Judged, rows), goneStep(rows), settleStep(s.Judged, rows), wearerStep(s, rows), tapeStep(s.Judged), percentStep(s.Judged, rows), printedStep(s.Judged, rows), loadStep(s.Judged, rows), printStep(s, rows), doneStep(s, rows)} {
		if step != "" {
			said = append(said, step)
		}
	}
	return said
}

// Codes of warnings that have steps of their own.
var (
	oddSize      = []string{"unit-unlikely", "size-unlikely"}
	toMend       = []string{"no-wall", "stands-in-way", "solid-block", "mesh-speck"}
	settledFirst = slices.Concat(oddSize, toMend, []string{"parts-several", "pieces-clear", "assembly-gone"})
)

// coverStep asks what the parts cover of which neither name nor shape tells.
func coverStep(rows []Row) string {
	var names []string
	for _, r := range rows {
		if f := r.Findings; f != nil && len(f.Singles) == 0 && len(f.Cavities) > 0 && (f.Region == nil || f.Region.Name == "") {
			names = append(names, r.Place.Name())
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Say in `suit.toml` what " + partLinks(names, rows) + " " + words.Verb(names, "covers", "cover") + ": `region = …` under `[[part]]`."
}

// sizeStep asks what the parts are whose size fits nobody.
func sizeStep(rows []Row) string {
	names := warnedOf(rows, oddSize...)
	if len(names) == 0 {
		return ""
	}
	return "Settle what " + partLinks(names, rows) + " " + words.Verb(names, "covers", "cover") + " or the unit of " + words.Verb(names, "its file", "their files") + " in `suit.toml`, as " + words.Verb(names, "its report says", "their reports say") + ": until then nothing that is said of " + words.Verb(names, "it", "them") + " holds."
}

// apartStep asks for a file for each part where some hold several.
func apartStep(rows []Row) string {
	names := warnedOf(rows, "parts-several")
	if len(names) == 0 {
		return ""
	}
	return "Give each part in " + partLinks(names, rows) + " a file of its own: they lie ready, as " + words.Verb(names, "its report says", "their reports say") + "."
}

// togetherStep asks to move pieces together that lie apart in their file.
func togetherStep(rows []Row) string {
	names := warnedOf(rows, "pieces-clear")
	if len(names) == 0 {
		return ""
	}
	return "Move the pieces in " + partLinks(names, rows) + " together, as " + words.Verb(names, "its report says", "their reports say") + ": until then nothing that is said of " + words.Verb(names, "it", "them") + " holds."
}

// mendStep asks to mend the files that cannot be worn or printed as they are.
func mendStep(rows []Row) string {
	names := warnedOf(rows, toMend...)
	if len(names) == 0 {
		return ""
	}
	return "Mend " + partLinks(names, rows) + " in a modelling program, as " + words.Verb(names, "its report says", "their reports say") + ", before anything of " + words.Verb(names, "it", "them") + " is printed."
}

// copies lists the pairs of which one is made for the other side.
func copies(s together.Suit) (out []together.Pair) {
	for _, p := range s.Pairs {
		if p.Copied {
			out = append(out, p)
		}
	}
	return out
}

// copyWarnings says of which pairs one is made for the other side.
func copyWarnings(s together.Suit, rows []Row) (out []string) {
	for _, p := range copies(s) {
		out = append(out, partLinks([]string{p.Right}, rows)+" is a copy of "+partLinks([]string{p.Left}, rows)+", not its mirror image.")
	}
	return out
}

// mirrorStep asks to mirror one of each such pair.
func mirrorStep(s together.Suit, rows []Row) string {
	var pairs []string
	for _, p := range copies(s) {
		pairs = append(pairs, partLinks([]string{p.Left, p.Right}, rows))
	}
	both := "both"
	switch {
	case len(pairs) == 0:
		return ""
	case len(pairs) > 1:
		both = "each two"
	}
	return "Mirror one file of " + strings.Join(pairs, ", and of ") + ": " + both + " have one shape that is not the same left and right, so one of the two is made for the other side. Where they are to be alike, leave them."
}

// goneStep asks to put back the pieces of shells that are no longer there.
func goneStep(rows []Row) string {
	names := warnedOf(rows, "assembly-gone")
	if len(names) == 0 {
		return ""
	}
	var gone []string
	for _, r := range rows {
		if f := r.Findings; f != nil && f.Assembly != nil {
			for _, g := range f.Assembly.Gone {
				if !slices.Contains(gone, words.Code(g)) {
					gone = append(gone, words.Code(g))
				}
			}
		}
	}
	missing := words.And(gone)
	if len(gone) > mostNamed || len(gone) == 0 {
		missing = "the missing pieces"
	}
	return "Put " + missing + " back, or say in `suit.toml` that the shell is whole without, as " + words.Verb(names, "the report of ", "the reports of ") + partLinks(names, rows) + " " + words.Verb(names, "has", "have") + " it: what is said of " + words.Verb(names, "it", "them") + " is of what is left."
}

// settleStep asks to settle try-ons that do not go with what else is known.
func settleStep(s together.Suit, rows []Row) string {
	var names, wait, guessed, against []string
	for _, r := range rows {
		p, _ := s.Part(r.Place.Name())
		switch {
		case r.Findings != nil && r.Findings.Unsettled():
			names = append(names, r.Place.Name())
			for _, m := range answer.OddGuesses(r.Findings) {
				if text := "**" + words.Plainly(m) + "**"; !slices.Contains(guessed, text) {
					guessed = append(guessed, text)
				}
			}
			if answer.Contradiction(r.Findings) != "" {
				against = append(against, r.Place.Name())
			}
		case p.Odd && p.Printed == 0:
			wait = append(wait, r.Place.Name())
		}
	}
	if len(names) == 0 {
		return ""
	}
	before := words.Verb(names, "it", "them")
	if len(wait) > 0 {
		before += ", or " + partLinks(wait, rows) + ","
	}
	text := "Settle what was tried on of " + partLinks(names, rows) + ", as " + words.Verb(names, "its report says", "their reports say") + ", before more of " + before + " is set or printed."
	if len(guessed) > 0 {
		text += " Measure the " + words.And(guessed) + " for it, which " + words.Verb(guessed, "is", "are") + " only *estimated*."
	}
	if len(against) > 0 {
		text += " Where a later try-on of the same place says other than an earlier one, as of " + partLinks(against, rows) + ", delete the entry that was wrong from `logbook.toml`."
	}
	return text
}

// warnedOf lists the parts with a warning of one of these codes.
func warnedOf(rows []Row, codes ...string) []string {
	var names []string
	for _, r := range rows {
		if r.Findings != nil && r.Findings.Says(codes...) {
			names = append(names, r.Place.Name())
		}
	}
	return names
}

// wearerStep asks for the first measures where none were given.
func wearerStep(s Suit, rows []Row) string {
	if len(s.Brief.Wearer.Measures) > 0 || len(s.Judged.Measures) > 0 {
		return ""
	}
	for _, r := range rows {
		if r.Findings != nil && len(r.Findings.Cavities) > 0 {
			return "Measure the wearer and write `wearer.toml`: without it only the girths of the parts are known. `gambeson start` puts one with every measure into the folder, unless one lies there already."
		}
	}
	return ""
}

// tapeStep asks for the measures that tell most.
func tapeStep(s together.Suit) string {
	var names []string
	for _, m := range s.Measures {
		names = append(names, "**"+words.Plainly(m.Name)+"**")
	}
	if len(names) == 0 {
		return ""
	}
	return "Measure the " + words.And(names) + " and write " + words.Verb(names, "it", "them") + " in `wearer.toml`: see [what to measure next](#what-to-measure-next)."
}

// toMeasure says what each measure brings, the most telling first.
func (b *page) toMeasure(s Suit, rows []Row) {
	var cells [][]string
	for _, m := range s.Judged.Measures {
		narrowed := slices.DeleteFunc(slices.Clone(m.Parts), func(p string) bool { return slices.Contains(m.Settled, p) })
		var does []string
		if len(m.Settled) > 0 {
			does = append(does, "settles "+partLinks(m.Settled, rows))
		}
		if len(narrowed) > 0 {
			does = append(does, "narrows "+partLinks(narrowed, rows))
		}
		doubt := ""
		if m.Before > 0 {
			doubt = "± " + words.Percent(m.Before) + ", then ± " + words.Percent(m.After)
		}
		cells = append(cells, []string{words.Code(m.Name), words.Prose(s.Hows[m.Name]), strings.Join(does, "; "), doubt})
	}
	if len(cells) == 0 {
		return
	}
	b.Heading("What to measure next")
	b.Table([]string{"in `wearer.toml`", "where the tape runs", "the scale of", "known to, 9 in 10"}, cells)
}

// wantsScale reports whether a part is to get another scale than is wanted so
// far. What a body goes into is not to be scaled by its looks.
func wantsScale(p together.Part) bool {
	return p.Printed == 0 && !p.Odd && suited(p) && words.Differs(p.Scale, p.Wanted)
}

// percentStep asks to write the suit's scales where others are wanted so far.
func percentStep(s together.Suit, rows []Row) string {
	risky := guessedAtRisk(s)
	var scales []float64
	change := map[string][]string{}
	for _, p := range s.Parts {
		if !wantsScale(p) || slices.Contains(risky, p.Name) {
			continue
		}
		text := words.Percent(p.Scale)
		if change[text] == nil {
			scales = append(scales, p.Scale)
		}
		change[text] = append(change[text], p.Name)
	}
	var said []string
	open := toOpen(s, rows)
	told := openings{} // with the scale to set
	for _, scale := range scales {
		text := words.Percent(scale)
		at := openedAt(s, change[text], open, rows)
		said = append(said, text+" for "+partLinks(change[text], rows)+at.words(change[text], rows))
		told.halves, told.unglued, told.panel = slices.Concat(told.halves, at.halves), slices.Concat(told.unglued, at.unglued), slices.Concat(told.panel, at.panel)
	}
	open = open.but(told)
	var text []string
	if len(said) > 0 {
		set := "Set the scales"
		if len(s.Measures) > 0 {
			set = "Set the scales, which measuring may still move"
		}
		text = append(text, set+": "+strings.Join(said, "; ")+". "+detailsLink("#lines-for-suittoml", "The lines for `suit.toml`")+" are ready to copy.")
	}
	lines := ""
	if len(said) == 0 {
		lines = " (" + detailsLink("#lines-for-suittoml", "lines for `suit.toml`") + ")"
	}
	if names := open.halves; len(names) > 0 {
		text = append(text, "Part "+partLinks(names, rows)+" along "+words.Verb(names, "its", "their")+" length in two halves, with `halves = true`: closed, the body gets in only at scales that are too large"+lines+".")
	}
	if names := open.unglued; len(names) > 0 {
		text = append(text, "Join the pieces "+partLinks(names, rows)+" by straps in place of glue, with `strapped = true`: closed, the body gets in only at scales that are too large"+lines+".")
	}
	if names := open.panel; len(names) > 0 {
		text = append(text, "Take off "+partLinks(names, rows)+" the panel that "+words.Verb(names, "its report has", "their reports have")+", to get in.")
	}
	for _, stretch := range toStretch(s) {
		text = append(text, "Rescale the "+words.Verb(stretch.names, "file", "files")+" of "+partLinks(stretch.names, rows)+" "+words.Verb(stretch.names, "itself", "themselves")+" to "+stretch.to+": at no scale that is the same in all directions do both girth and length fit.")
	}
	if len(risky) > 0 {
		text = append(text, "Leave "+partLinks(risky, rows)+" as "+words.Verb(risky, "it is", "they are")+" until you have measured: by the *estimate* the risk at the scale for the suit is **high**.")
	}
	return strings.Join(text, " ")
}

// stretched are parts whose files are to be rescaled along their axes to the same scales.
type stretched struct {
	to    string
	names []string
}

func toStretch(s together.Suit) (out []stretched) {
	for _, p := range s.Parts {
		if p.Stretch == nil {
			continue
		}
		to := words.ThreeScales(p.Stretch.Axes)
		at := slices.IndexFunc(out, func(o stretched) bool { return o.to == to })
		if at < 0 {
			at = len(out)
			out = append(out, stretched{to: to})
		}
		out[at].names = append(out[at].names, p.Name)
	}
	return out
}

// openings are the parts that the body gets into at the suit's scales only opened, by
// what opens them.
type openings struct {
	halves  []string
	unglued []string // pieces that are strapped together, as they part along their length
	panel   []string
	// unsaid are parts that the body gets into closed at the scale that is set, and at the
	// suit's no longer: their reports say how they are opened once that is set.
	unsaid []string
}

// but returns the openings without those of other parts.
func (o openings) but(other openings) openings {
	less := func(names, gone []string) []string {
		return slices.DeleteFunc(slices.Clone(names), func(n string) bool { return slices.Contains(gone, n) })
	}
	return openings{halves: less(o.halves, other.halves), unglued: less(o.unglued, other.unglued), panel: less(o.panel, other.panel)}
}

// words says how the body gets into parts that get a scale, "" where they stay closed.
func (o openings) words(all []string, rows []Row) string {
	var ways []string
	for _, way := range []struct {
		names []string
		how   string
	}{
		{o.panel, "with the panel of " + words.Verb(o.panel, "its report", "their reports") + " off"},
		{o.halves, "parted along " + words.Verb(o.halves, "its", "their") + " length in two halves (`halves = true`)"},
		{o.unglued, "with the pieces joined by straps in place of glue (`strapped = true`)"},
		{o.unsaid, "opened, as " + words.Verb(o.unsaid, "its report then says", "their reports then say")},
	} {
		switch len(way.names) {
		case 0:
		case len(all):
			return ", at which the body gets in only " + way.how
		default:
			ways = append(ways, "into "+partLinks(way.names, rows)+" only "+way.how)
		}
	}
	if ways == nil {
		return ""
	}
	return ", at which the body gets " + words.And(ways)
}

// openedAt tells of the parts that are to get a scale which the body gets into there only
// opened, and by what.
func openedAt(s together.Suit, names []string, open openings, rows []Row) (o openings) {
	for _, name := range names {
		p, _ := s.Part(name)
		f := findingsOf(name, rows)
		if f == nil || f.Fit == nil || !shutAt(f, p.Scale) {
			continue
		}
		switch {
		case slices.Contains(open.halves, name):
			o.halves = append(o.halves, name)
		case slices.Contains(open.unglued, name):
			o.unglued = append(o.unglued, name)
		case slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return !e.Passes && e.Panel != nil }):
			o.panel = append(o.panel, name)
		default:
			o.unsaid = append(o.unsaid, name)
		}
	}
	return o
}

// shutAt reports whether at a scale something of the body does not pass into the closed
// part by the tape, and no try-on shows that it does.
func shutAt(f *analysis.Findings, scale float64) bool {
	if in := answer.GetsIn(f); len(f.Fit.Entries) == 0 || in > 0 && scale >= in-analysis.SameScale {
		return false
	}
	return f.Testing == nil || !slices.ContainsFunc(f.Testing.Tried, func(t analysis.Tried) bool {
		passed := slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return e.Measure == t.Station })
		return passed && t.Fits() && t.Percent <= scale+analysis.HalfStep
	})
}

// toOpen tells which parts of a suit these are.
func toOpen(s together.Suit, rows []Row) (o openings) {
	findings := map[string]*analysis.Findings{}
	for _, r := range rows {
		findings[r.Place.Name()] = r.Findings
	}
	for _, p := range s.Parts {
		f := findings[p.Name]
		triedFirst := p.Misprinted > 0 && f != nil && f.PrintFound() == "" // as printedStep asks
		if f == nil || f.Fit == nil || p.Range == nil || !p.Range.Opened || p.Printed > 0 || triedFirst || p.Scale > 0 && !shutAt(f, p.Scale) {
			continue
		}
		_, halves := answer.Halved(f)
		switch {
		case halves && answer.PartsAlong(f):
			o.unglued = append(o.unglued, p.Name)
		case halves:
			o.halves = append(o.halves, p.Name)
		case slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return !e.Passes && e.Panel != nil }):
			o.panel = append(o.panel, p.Name)
		}
	}
	return o
}

// guessedAtRisk lists the parts that are to get another scale at which, by what
// is only estimated, they are likely not to fit.
func guessedAtRisk(s together.Suit) []string {
	var out []string
	for _, p := range s.Parts {
		if wantsScale(p) && p.Risk.Level == together.High && len(p.Risk.Estimated) > 0 {
			out = append(out, p.Name)
		}
	}
	return out
}

// nextPrint is the next bed load: the few bands that tell most for what they
// cost and fit the bed together.
func (b *page) nextPrint(s together.Suit, rows []Row) {
	if len(s.First) == 0 {
		return
	}
	b.Heading("Next print")
	var items []string
	again, alone := false, false
	for _, t := range s.First {
		text := trialWords(t, rows)
		if len(t.Moves) > 0 {
			text += "; it tells about " + partLinks(t.Moves, rows) + " too"
		}
		if f := findingsOf(t.Part, rows); f != nil {
			if command, ok := words.TriedCommand(t.Part, answer.Station(f, t.Band), t.Band.Percent); ok {
				text += ": " + command
			}
		}
		items = append(items, text)
		if p, _ := s.Part(t.Part); wantsScale(p) && !p.Follows && words.Differs(p.Scale, t.Band.Percent) {
			again = true
		}
		if f := findingsOf(t.Part, rows); f == nil || f.Testing == nil || f.Testing.WorthIt {
			alone = true
		}
	}
	saves := " At the common scales these bands save most for what they cost."
	if len(s.First) == 1 {
		saves = " At the common scales it saves most for what it costs."
	}
	what, cost := loadWords(s)
	text := "**" + words.Capital(what) + cost + ".**" + saves
	if !alone {
		text += " Printed each at its own best scale, the parts would need no test: see their reports."
	}
	if again {
		text += " Set the scales before: bands are then cut anew."
	}
	b.Block(text)
	b.Items(false, items)
	how := " over all the padding"
	switch words.CountOf(s.First, func(t together.Trial) bool { return t.Band.Passes }) {
	case len(s.First):
		how = answer.Over(true)
	case 0:
	default:
		how += " (what only has to pass a band, as a heel or a hand, with it pressed)"
	}
	b.Block("Try " + itOrThem(s) + " on" + how + ", and note what it showed, `tight`, `fits` or `loose`, with the command behind it.")
}

// loadStep asks to print the next bed load.
func loadStep(s together.Suit, rows []Row) string {
	if len(s.First) == 0 {
		return ""
	}
	what, cost := loadWords(s)
	text := "Print " + words.Link(what, "#next-print") + cost + ", and try " + itOrThem(s) + " on."
	if len(s.Later) > 0 {
		text += " " + words.Verb(s.Later, "The band", "The bands") + " of " + printLinks(s.Later, rows) + " " + words.Verb(s.Later, "comes", "come") + " in a later load."
	}
	return text
}

// itOrThem stands for the bands of the next bed load.
func itOrThem(s together.Suit) string {
	if len(s.First) == 1 {
		return "it"
	}
	return "them"
}

// loadWords says what is on the next bed load, and what that takes.
func loadWords(s together.Suit) (what, cost string) {
	var took, weighs float64
	for _, t := range s.First {
		took, weighs = took+t.Band.Hours, weighs+t.Band.Grams
	}
	what = "one bed load of " + words.Things(len(s.First), "test band")
	if len(s.First) == 1 {
		what = "one test band"
	}
	if took > 0 {
		cost = ", about " + words.Hours(took) + " and " + words.Grams(weighs)
	}
	return what, cost
}

// trialWords names a band with its part and its cost.
func trialWords(t together.Trial, rows []Row) string {
	at := "at " + words.Along(t.Band.Station)
	if t.Measure != "" {
		at = "at the " + words.BodyPlace(t.Measure)
	}
	cost := []string{words.Percent(t.Band.Percent)}
	if t.Band.Hours > 0 {
		cost = append(cost, words.Hours(t.Band.Hours))
	}
	if t.Band.Grams > 0 {
		cost = append(cost, words.Grams(t.Band.Grams))
	}
	return words.Link("Band "+at, words.Href(disk.SuitName, t.Band.File)) + " of " + partLinks([]string{t.Part}, rows) + " (" + strings.Join(cost, ", ") + ")"
}

// prints are the parts that no other step of a suit names.
type prints struct {
	sure, unsure []string // they may be printed as they are; these though some do not fit
	plates       []string // too, where a tape says so
	lengths      []string // too, where one accepts that they are too long or too short
	rest         []string // nothing else on the page says what to do with them
}

// toPrint tells which parts of a suit these are, and the greatest of the chances that
// one of the unsure does not fit.
func toPrint(s Suit, rows []Row) (p prints, least float64) {
	for _, r := range rows {
		part, judged := s.Judged.Part(r.Place.Name())
		if !judged || part.Misprinted > 0 || s.Judged.Tested(part.Name) {
			continue
		}
		switch at := stageOf(s, r); {
		case at == warned && !part.Odd && onlyLength(r.Findings) && part.Range != nil && part.Risk.Unfit < together.LowBelow && part.Risk.Level != together.High:
			p.lengths = append(p.lengths, part.Name)
		case at == warned && !part.Odd && !named(r.Findings), at == ready && part.Risk.Level == together.High, at == unjudged:
			p.rest = append(p.rest, part.Name)
		case at != ready:
		case answer.PlateSet(r.Findings):
			p.plates = append(p.plates, part.Name)
		case part.Risk.Unfit < together.LowBelow:
			p.sure = append(p.sure, part.Name)
		default:
			p.unsure = append(p.unsure, part.Name)
			least = max(least, part.Risk.Unfit)
		}
	}
	return p, least
}

// noted are the parts that are to be noted in the logbook once they are printed.
func (p prints) noted() []string { return slices.Concat(p.sure, p.unsure, p.plates, p.lengths) }

// onlyLength reports whether a part is hindered by its length alone: at the scale that
// the suit has for it nothing else is to be done.
func onlyLength(f *analysis.Findings) bool {
	g := *f
	g.Warnings = slices.DeleteFunc(slices.Clone(f.Warnings), func(w analysis.Warning) bool { return w.Code == "too-long" || w.Code == "too-short" })
	return answer.Hindered(f) && !answer.Hindered(&g)
}

// printStep names the parts that may be printed as they are, those that no test makes
// surer, and last those of which nothing else on the page says what to do.
func printStep(s Suit, rows []Row) string {
	p, least := toPrint(s, rows)
	sure, unsure, plates, rest := p.sure, p.unsure, p.plates, p.rest
	var text []string
	if len(sure) > 0 {
		text = append(text, "Print "+printLinks(sure, rows)+": nothing that is known stands against "+words.Verb(sure, "it", "them")+".")
	}
	if len(unsure) > 0 {
		text = append(text, "Print "+printLinks(unsure, rows)+": no test is worth its hours, though "+inTen(least)+" such prints do not fit.")
	}
	if len(plates) > 0 {
		text = append(text, "Print "+printLinks(plates, rows)+" at the "+words.Verb(plates, "scale that is set", "scales that are set")+", where a tape laid once more from rim to rim, as "+words.Verb(plates, "its report says", "their reports say")+", shows the same as the wall has.")
	}
	if names := p.lengths; len(names) > 0 {
		text = append(text, "Print "+printLinks(names, rows)+", if you accept that "+words.Verb(names, "its length does", "their lengths do")+" not fit, as "+words.Verb(names, "its report warns", "their reports warn")+": in girth nothing that is known stands against "+words.Verb(names, "it", "them")+".")
	}
	tested := slices.DeleteFunc(slices.Concat(sure, unsure, p.lengths), func(name string) bool {
		f := findingsOf(name, rows)
		return f == nil || f.Testing == nil || !f.Testing.WorthIt
	})
	if len(tested) > 0 {
		text = append(text, words.Verb(tested, "The test that the report of ", "The tests that the reports of ")+printLinks(tested, rows)+" "+words.Verb(tested, "advises is for the best scale of that part alone: this one needs none.", "advise are for the best scales of those parts alone: these need none."))
	}
	if names := p.noted(); len(names) > 0 {
		text = append(text, "Note "+words.Verb(names, "it", "each")+" in `logbook.toml` once it is printed: "+detailsLink("#"+logbookLines, "the lines")+" are ready to copy.")
	}
	if len(rest) > 0 {
		text = append(text, "See "+words.Verb(rest, "the report", "the reports")+" of "+printLinks(rest, rows)+" for what is to be done before "+words.Verb(rest, "it is", "they are")+" printed.")
	}
	return strings.Join(text, " ")
}

// doneStep says that all parts are printed, and what is left to do with them then: to
// open what does not let the body in, and to try on what nobody has yet.
func doneStep(s Suit, rows []Row) string {
	if s.ToCome > 0 || len(rows) == 0 {
		return ""
	}
	var panel, untried []string
	command := ""
	for _, r := range rows {
		f := r.Findings
		p, judged := s.Judged.Part(r.Place.Name())
		if !judged || p.Misprinted > 0 || p.Odd || stageOf(s, r) != printedStage {
			return ""
		}
		if f.Fit == nil || f.OnlyCovers() || answer.IsPlate(f) { // no girth is there to note
			continue
		}
		if f.Fit.Verdict == "blocked" && slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return !e.Passes && e.Panel != nil }) {
			panel = append(panel, p.Name)
		}
		if !triedPrint(f) {
			untried = append(untried, p.Name)
			if text, ok := words.TriedCommand(p.Name, f.Fit.Lead, p.Printed); ok && f.Fit.Lead != "" && command == "" {
				command = text
			}
		}
	}
	text := "All parts are printed."
	if len(panel) > 0 {
		text += " Take off " + partLinks(panel, rows) + " the panel that " + words.Verb(panel, "its report has", "their reports have") + ", to get in."
	}
	if len(untried) == 0 {
		return text + " What was tried on fits: nothing is left to print."
	}
	text += " Try " + partLinks(untried, rows) + " on over all the padding, and note what you find, `tight`, `fits` or `loose`, with `gambeson tried`"
	if command != "" {
		text += ", as in " + command
	}
	return text + "."
}

// triedPrint reports whether a part was tried on as it is printed.
func triedPrint(f *analysis.Findings) bool {
	return f.Testing != nil && slices.ContainsFunc(f.Testing.Tried, func(t analysis.Tried) bool {
		return t.Counts && t.Part == "" && math.Abs(t.Percent-f.Printed) <= analysis.HalfStep
	})
}

// named reports whether another step names a part for what its report warns of.
func named(f *analysis.Findings) bool {
	return f.Says(settledFirst...)
}

// printLinks names parts, all of them however many, as nothing else says which; with the
// pieces in which they are printed.
func printLinks(names []string, rows []Row) string {
	var out []string
	for _, n := range names {
		text := nameLink(n, rows)
		if f := findingsOf(n, rows); f != nil && f.Bed != nil && len(f.Bed.Pieces) > 0 {
			text += " (in " + words.Count(len(f.Bed.Pieces)) + " pieces)"
		}
		out = append(out, text)
	}
	return words.And(out)
}

// printedStep asks to try on what is printed, and likely does not fit by what is known
// since.
func printedStep(s together.Suit, rows []Row) string {
	var odd, found, stuck []string
	for _, p := range s.Parts {
		f := findingsOf(p.Name, rows)
		switch {
		case p.Misprinted == 0 || p.Odd || f == nil: // what is odd is to be settled first
		case f.PrintFound() != "":
			found = append(found, p.Name)
		case stuckPrint(f):
			stuck = append(stuck, p.Name)
		default:
			odd = append(odd, p.Name)
		}
	}
	text := ""
	if len(found) > 0 {
		text = "Print " + partLinks(found, rows) + " again at " + words.Verb(found, "its new scale", "their new scales") + ": " + words.Verb(found, "the print was", "the prints were") + " found not to fit."
	}
	if len(stuck) > 0 {
		text = strings.TrimSpace(text + " Open " + partLinks(stuck, rows) + ", as " + words.Verb(stuck, "its report says", "their reports say") + ", and try " + words.Verb(stuck, "it", "them") + " on once inside: that the way in was tight says nothing of what rests there. Note that with `gambeson tried` before you print " + words.Verb(stuck, "it", "them") + " again.")
	}
	if len(odd) == 0 {
		return text
	}
	if text != "" {
		text += " "
	}
	return text + "Try on " + partLinks(odd, rows) + ", " + words.Verb(odd, "which is", "which are") + " printed: by what is known now " + words.Verb(odd, "it likely does", "they likely do") + " not fit. Note with `gambeson tried` what you find, before you print " + words.Verb(odd, "it", "them") + " again."
}

// stuckPrint reports whether a part was found tight as it is printed where the body only
// passes, and is to be opened, so that this says nothing of the scale.
func stuckPrint(f *analysis.Findings) bool {
	return f.Testing != nil && f.Fit != nil && slices.ContainsFunc(f.Testing.Tried, func(t analysis.Tried) bool {
		return !t.Counts && t.Part == "" && t.Verdict == "tight" && math.Abs(t.Percent-f.Printed) <= analysis.HalfStep &&
			slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return e.Measure == t.Station })
	})
}

// partLinks names parts, or counts them where they are many.
func partLinks(names []string, rows []Row) string {
	if len(names) > mostNamed {
		return words.Things(len(names), "part")
	}
	var out []string
	for _, n := range names {
		out = append(out, nameLink(n, rows))
	}
	return words.And(out)
}

// nameLink links to the report of a part by its name.
func nameLink(name string, rows []Row) string {
	for _, r := range rows {
		if r.Place.Name() == name {
			return rowLink(r)
		}
	}
	return words.Code(name)
}

// inTen says a chance as people do.
func inTen(chance float64) string {
	switch n := math.Round(10 * chance); {
	case chance < 0.05:
		return "less than 1 in 20"
	case n >= 10:
		return "almost certain"
	default:
		return "about " + words.Decimal(max(n, 1), 0) + " in 10"
	}
}

// stakeWords says what a wrong print costs.
func stakeWords(s together.Suit, stake together.Stake) string {
	text := words.Hours(stake.Cost) + " to print"
	if s.ByVolume {
		text = words.Volume(stake.Cost) + " of material"
	}
	switch n := len(stake.Parts); {
	case n == 2:
		text += " for both"
	case n > 2:
		text += " for all " + words.Count(n)
	}
	return text
}
