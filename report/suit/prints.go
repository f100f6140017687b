package suit

import (
	"math"
	"path"
	"slices"
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/bend"
	"gambeson/report/disk"
	"gambeson/report/words"
)

// nextPrint is the next bed load: the few bands that tell most for what they
// cost and fit the bed together.
func (b *page) nextPrint(s together.Suit, rows []Row) {
	if len(s.First) == 0 {
		return
	}
	b.Heading("Next print")
	var items []string
	again, waits := false, guessedAtRisk(s)
	for _, t := range s.First {
		p, _ := s.Part(t.Part)
		f := findingsOf(t.Part, rows)
		text := trialWords(t, rows) + "."
		if len(t.Moves) > 0 {
			text += " It tells about " + partLinks(t.Moves, rows) + " too."
		}
		text += whyTested(p, f)
		if f != nil {
			if command, ok := words.TriedCommand(t.Part, answer.Station(f, t.Band), t.Band.Percent); ok {
				text += " Note: " + command
			}
		}
		items = append(items, text)
		again = again || wantsScale(p) && !slices.Contains(waits, t.Part) && words.Differs(p.Scale, t.Band.Percent)
	}
	saves := " At the scales for the suit these bands save most for what they cost."
	if len(s.First) == 1 {
		saves = " At the scale for the suit it saves most for what it costs."
	}
	what, cost := loadWords(s)
	text := "**" + words.Capital(what) + cost + ".**" + saves
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
	b.Block("Try " + itOrThem(s) + " on" + how + ", and note what it showed, `tight`, `fits` or `loose`, with the command that stands there.")
}

// loadStep asks to print the next bed load.
func loadStep(s together.Suit, rows []Row) string {
	if len(s.First) == 0 {
		return ""
	}
	what, cost := loadWords(s)
	text := "Print " + words.Link(what, "#next-print") + cost + "."
	waits := guessedAtRisk(s)
	if slices.ContainsFunc(s.First, func(t together.Trial) bool { return s.Measured(t.Part) || slices.Contains(waits, t.Part) }) {
		text = "Once the measures above are taken, p" + strings.TrimSuffix(text[1:], ".") + ", where this page still asks for " + itOrThem(s) + "."
	}
	text += " Try " + itOrThem(s) + " on."
	if len(s.Later) > 0 {
		text += " " + words.Verb(s.Later, "The band", "The bands") + " of " + printLinks(s.Later, rows) + " " + words.Verb(s.Later, "comes", "come") + " in a later load."
	}
	return text
}

// againStep asks to lay the bed loads out again, where some were taken away since they
// were.
func againStep(gone Dropped, rows []Row) string {
	if len(gone.Loads) == 0 {
		return ""
	}
	var loads, why []string
	for _, name := range gone.Loads {
		loads = append(loads, words.Code(path.Base(name)))
	}
	if gone.Bed {
		why = append(why, "the bed is another")
	}
	if len(gone.Parts) > 0 {
		why = append(why, "what is printed of "+partLinks(gone.Parts, rows)+" has changed since")
	}
	what := words.And(loads)
	if len(loads) > mostNamed {
		what = words.Things(len(loads), "bed load")
	}
	text := what + " " + words.Verb(loads, "was", "were") + " taken away"
	if len(why) > 0 {
		text += ", as " + words.And(why)
	}
	text += "."
	if !slices.ContainsFunc(rows, func(r Row) bool { return r.Findings != nil && len(r.Findings.Bands) > 0 }) {
		return words.Capital(text) // nothing is there to be laid out
	}
	return "Lay the bed loads out again, with `gambeson loads` and this folder: " + text
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

// prints are the parts that no other step of a suit names.
type prints struct {
	sure, unsure []string // they may be printed as they are; these though some do not fit
	bare         []string // too, though many have less ease than was asked for
	plates       []string // too, where a tape says so
	lengths      []string // too, where one accepts that they are too long or too short
	thin         []string // too, where one accepts that their wall is thin in a place
	held         []string // too, once what hinders where they meet another is settled
	taped        []string // too, once what their reports ask for is measured
	rest         []string // nothing else on the page says what to do with them
}

// toPrint tells which parts of a suit these are, and the greatest of the chances that
// one of the unsure, or of the bare, does not fit.
func toPrint(s Suit, rows []Row) (p prints, least, barest float64) {
	held := toSettle(s)
	for _, r := range rows {
		part, judged := s.Judged.Part(r.Place.Name())
		if !judged || part.Misprinted > 0 || s.Judged.Tested(part.Name) {
			continue
		}
		switch at := stageOf(s, r); {
		case at == warned && !part.Odd && onlyWarned(r.Findings, "thin-wall") && part.Risk.Unfit < together.LowBelow && part.Risk.Level != together.High:
			p.thin = append(p.thin, part.Name)
		case at == warned && !part.Odd && onlyWarned(r.Findings, "too-long", "too-short") && part.Range != nil && part.Risk.Unfit < together.LowBelow && part.Risk.Level != together.High:
			p.lengths = append(p.lengths, part.Name)
		case at == warned && !part.Odd && !named(r.Findings), at == unjudged:
			p.rest = append(p.rest, part.Name)
		case at != ready:
		case slices.ContainsFunc(held, func(h bend.Held) bool { return slices.Contains(h.Parts, part.Name) }):
			p.held = append(p.held, part.Name)
		case part.Risk.Level == together.High: // and yet its report has nothing against it
			p.bare = append(p.bare, part.Name)
			barest = max(barest, part.Risk.Unfit)
		case r.Findings.MeasureFirst() != "":
			p.taped = append(p.taped, part.Name)
		case answer.PlateSet(r.Findings):
			p.plates = append(p.plates, part.Name)
		case part.Risk.Unfit < together.LowBelow:
			p.sure = append(p.sure, part.Name)
		default:
			p.unsure = append(p.unsure, part.Name)
			least = max(least, part.Risk.Unfit)
		}
	}
	return p, least, barest
}

// contented reports whether the report of a part asks for nothing before it is printed as it
// is set, and counts it as fitting: by less ease than the suit asks for, as many would.
func contented(f *analysis.Findings) bool {
	return f.Testing != nil && !f.Testing.WorthIt && f.Advised() == 0 && f.MeasureFirst() == "" && f.Testing.ChanceAt(f.Percent) >= 1-together.LowBelow
}

// toSettle lists the joints that hinder too much to print what meets there, where not
// all of it is printed.
func toSettle(s Suit) []bend.Held {
	return slices.DeleteFunc(bend.Holds(s.Joints), func(h bend.Held) bool {
		return !slices.ContainsFunc(h.Parts, func(part string) bool { _, printed := s.Printed[part]; return !printed })
	})
}

// meetStep says what hinders where parts meet, before they are printed: once their scales
// are set, as it may be otherwise then.
func meetStep(s Suit, rows []Row) string {
	var said []string
	for _, h := range toSettle(s) {
		if slices.ContainsFunc(h.Parts, func(name string) bool { p, _ := s.Judged.Part(name); return wantsScale(p) }) {
			continue
		}
		left := slices.DeleteFunc(slices.Clone(h.Parts), func(name string) bool { _, printed := s.Printed[name]; return printed })
		said = append(said, partLinks(left, rows)+": "+h.Text)
	}
	if len(said) == 1 {
		return "Before you print " + said[0]
	}
	return listed("Settle where parts meet before you print them", said, nil)
}

// noted are the parts that are to be noted in the logbook once they are printed.
func (p prints) noted() []string {
	return slices.Concat(p.sure, p.unsure, p.bare, p.plates, p.lengths, p.thin, p.held, p.taped)
}

// onlyWarned reports whether a part is hindered by warnings of these codes alone: at the
// scale that the suit has for it nothing else is to be done.
func onlyWarned(f *analysis.Findings, codes ...string) bool {
	g := *f
	g.Warnings = slices.DeleteFunc(slices.Clone(f.Warnings), func(w analysis.Warning) bool { return slices.Contains(codes, w.Code) })
	return f.Hindered() && !g.Hindered()
}

// printStep names the parts that may be printed as they are, those that no test makes
// surer, and last those of which nothing else on the page says what to do.
func printStep(s Suit, rows []Row) string {
	p, least, barest := toPrint(s, rows)
	sure, unsure, plates, rest := p.sure, p.unsure, p.plates, p.rest
	var text, last []string
	if unmeasured(s) { // what only covers goes with the parts that are to be measured for
		follows := func(n string) bool { f := findingsOf(n, rows); return f != nil && f.OnlyCovers() && !f.PercentSet }
		covers := slices.DeleteFunc(slices.Clone(sure), func(n string) bool { return !follows(n) })
		unsureCovers := slices.DeleteFunc(slices.Clone(unsure), func(n string) bool { return !follows(n) })
		untold := func(n string) bool {
			f := findingsOf(n, rows)
			return f != nil && answer.Untold(f) && !f.IsPlate() && len(answer.Untaken(f.Region, s.Brief.Wearer)) > 0
		}
		if covers = slices.Concat(covers, unsureCovers); len(covers) > 0 && slices.ContainsFunc(rest, untold) {
			last = append(last, "Wait with "+printLinks(covers, rows)+" until the wearer is measured: "+words.Verb(covers, "it covers only, and goes", "they cover only, and go")+" at the scale of the parts beside "+words.Verb(covers, "it", "them")+".")
			sure, unsure = slices.DeleteFunc(slices.Clone(sure), follows), slices.DeleteFunc(slices.Clone(unsure), follows)
			p.sure, p.unsure = sure, unsure
			rest = slices.DeleteFunc(slices.Clone(rest), untold) // the tape comes first
		}
	}
	if len(sure) > 0 {
		text = append(text, "Print "+fileLinks(sure, rows)+": nothing that is known stands against "+words.Verb(sure, "it", "them")+".")
	}
	if len(unsure) > 0 {
		text = append(text, "Print "+fileLinks(unsure, rows)+": no test is worth its hours, though "+inTen(least)+" such prints do not fit.")
	}
	if names := p.bare; len(names) > 0 {
		text = append(text, "Print "+fileLinks(names, rows)+", though the risk is **high**: "+inTen(barest)+" such prints have less than all the padding and ease that are asked for. A little less counts as fitting in "+words.Verb(names, "its report, which asks", "their reports, which ask")+" for nothing before.")
	}
	if len(plates) > 0 {
		text = append(text, "Print "+fileLinks(plates, rows)+" at the "+words.Verb(plates, "scale that is set", "scales that are set")+", where a tape laid once more from rim to rim, as "+words.Verb(plates, "its report says", "their reports say")+", shows the same as the wall has.")
	}
	for _, name := range p.taped {
		f := findingsOf(name, rows)
		text = append(text, "Print "+fileLinks([]string{name}, rows)+" once you have measured the **"+words.Plainly(f.MeasureFirst())+"**, as its report asks: the scale that fits is known to ± "+words.Percent(analysis.NineInTen*f.Fit.Doubt())+" only.")
	}
	if names := p.lengths; len(names) > 0 {
		text = append(text, "Print "+fileLinks(names, rows)+", if you accept that "+words.Verb(names, "its length does", "their lengths do")+" not fit, as "+words.Verb(names, "its report warns", "their reports warn")+": in girth nothing that is known stands against "+words.Verb(names, "it", "them")+".")
	}
	if names := p.held; len(names) > 0 {
		text = append(text, "Print "+fileLinks(names, rows)+" once what hinders where "+words.Verb(names, "it meets another", "they meet others")+" is settled, or accepted where it only bends too little.")
	}
	if names := p.thin; len(names) > 0 {
		text = append(text, "Print "+fileLinks(names, rows)+" once "+words.Verb(names, "its wall is", "their walls are")+" thickened where "+words.Verb(names, "its report warns", "their reports warn")+", or as "+words.Verb(names, "it is if it is", "they are if they are")+" thin only there.")
	}
	if said := untested(s.Judged, slices.Concat(sure, unsure, p.lengths), rows); said != "" {
		last = append(last, strings.TrimSpace(said))
	}
	if names := p.noted(); len(names) > 0 {
		last = append(last, "Note "+words.Verb(names, "it", "each")+" in `logbook.toml` once it is printed: "+detailsLink("#"+logbookLines, "the lines")+" are ready to copy.")
	}
	if len(rest) > 0 {
		last = append(last, "See "+words.Verb(rest, "the report", "the reports")+" of "+printLinks(rest, rows)+" for what is to be done before "+words.Verb(rest, "it is", "they are")+" printed.")
	}
	return listed("Print", text, last)
}

// listed is a step of several sentences that say each what to do with other parts, as a list
// below it, and what holds for all of them once, last. Where there is but one it is told in
// a row. A sentence that begins with the step's own word leaves it out in the list.
func listed(step string, each, last []string) string {
	if len(each) < 2 {
		return strings.Join(slices.Concat(each, last), " ")
	}
	text := step + ":\n\n"
	for _, e := range each {
		text += rowIndent + "- " + words.Capital(strings.TrimPrefix(e, step+" ")) + "\n"
	}
	if len(last) > 0 {
		text += "\n" + rowIndent + strings.Join(last, " ") + "\n"
	}
	return text
}

// rowIndent is how far a list within a numbered step is moved in (CommonMark 0.31, 5.2),
// one of ten or more too.
const rowIndent = "    "

// doneStep says that all parts are printed, and what is left to do with them then: to
// open what does not let the body in, and to try on what nobody has yet.
func doneStep(s Suit, rows []Row) string {
	if len(s.ToCome) > 0 || len(rows) == 0 {
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
		if f.Fit == nil || f.OnlyCovers() || f.IsPlate() { // no girth is there to note
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

// fileLinks is printLinks where the parts are to be printed: with the folders in which their
// pieces lie.
func fileLinks(names []string, rows []Row) string {
	var out []string
	for _, n := range names {
		text := nameLink(n, rows)
		if f := findingsOf(n, rows); f != nil && f.Bed != nil && len(f.Bed.Pieces) > 0 {
			folder := path.Dir(f.Bed.Pieces[0].File)
			text += " (all " + words.Count(len(f.Bed.Pieces)) + " files in " + words.Link(words.Code(path.Base(folder)+"/"), words.Href(disk.SuitName, folder)) + ")"
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
