package suit

import (
	"slices"
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/words"
)

// suitSteps says what to do next for the whole suit, the cheapest answer first:
// a tape before all that hangs on it, a line in suit.toml before a print.
func suitSteps(s Suit, rows []Row) (said []string) {
	for _, step := range []string{tapeStep(s, rows), coverStep(rows), sizeStep(rows), apartStep(rows), togetherStep(rows), mendStep(rows), mirrorStep(s.Judged, rows), goneStep(rows), twiceStep(s.Kin, s.Judged.Pairs, rows), settleStep(s.Judged, rows), sidesStep(rows), percentStep(s.Judged, rows), printedStep(s.Judged, rows), strings.TrimSpace(loadStep(s.Judged, rows) + " " + againStep(s.Dropped, rows)), meetStep(s, rows), printStep(s, rows), doneStep(s, rows)} {
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
	var names, wait, against []string
	for _, r := range rows {
		p, _ := s.Part(r.Place.Name())
		switch {
		case r.Findings != nil && r.Findings.Unsettled():
			names = append(names, r.Place.Name())
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
	if len(against) > 0 {
		text += " Where a later try-on of the same place says other than an earlier one, as of " + partLinks(against, rows) + ", delete the entry that was wrong from `logbook.toml`."
	}
	return text
}

// sidesStep asks to try on again what was found otherwise on the two sides of a body.
func sidesStep(rows []Row) string {
	var said []string
	told := map[string]bool{}
	for _, r := range rows {
		if r.Findings == nil || r.Findings.Unsettled() || told[r.Place.Name()] { // that is to be settled first
			continue
		}
		own, other, found := answer.SidesDisagree(r.Findings)
		if !found {
			continue
		}
		told[other.Part] = true
		said = append(said, answer.SidesWords(own, other, nameLink(r.Place.Name(), rows), nameLink(other.Part, rows)))
	}
	return strings.Join(said, " ")
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

// taped is a measure that is to be taken, with what it tells.
type taped struct {
	name             string
	settles, narrows []string // parts whose scale it tells, or tells better
	decides          []string // parts of which nothing is set or printed before
	doubt            string
}

// toTape lists the measures that are to be taken, the most telling first: of those that
// estimates stand in for, then those that parts at high risk or in doubt wait for; without
// any measure of the wearer, all that settle how the parts fit.
func toTape(s Suit, rows []Row) (all []taped) {
	at, told := map[string]int{}, map[[2]string]bool{} // of measures; of measures and parts
	decides := func(measure, part string) {
		i, found := at[measure]
		if !found {
			i, all = len(all), append(all, taped{name: measure})
			at[measure] = i
		}
		if key := [2]string{measure, part}; !told[key] {
			told[key] = true
			t := &all[i]
			t.decides = append(t.decides, part)
			t.narrows = slices.DeleteFunc(t.narrows, func(p string) bool { return p == part })
		}
	}
	for _, m := range s.Judged.Measures {
		t := taped{name: m.Name, settles: m.Settled}
		at[m.Name] = len(all)
		for _, p := range m.Settled {
			told[[2]string{m.Name, p}] = true
		}
		t.narrows = slices.DeleteFunc(slices.Clone(m.Parts), func(p string) bool { return slices.Contains(m.Settled, p) })
		if m.Before > 0 {
			t.doubt = "± " + words.Percent(m.Before) + ", then ± " + words.Percent(m.After)
		}
		all = append(all, t)
	}
	for _, name := range guessedAtRisk(s.Judged) {
		p, _ := s.Judged.Part(name)
		for _, m := range p.Risk.Estimated {
			decides(m, name)
		}
	}
	for _, r := range rows {
		f := r.Findings
		if f == nil {
			continue
		}
		if f.Unsettled() {
			for _, m := range answer.OddGuesses(f) {
				decides(m, r.Place.Name())
			}
		}
		if unmeasured(s) && !f.Says(settledFirst...) && answer.Untold(f) && !f.IsPlate() {
			for _, m := range answer.Untaken(f.Region, s.Brief.Wearer) {
				decides(m, r.Place.Name())
			}
		}
	}
	return all
}

// unmeasured reports whether nothing is known of the wearer.
func unmeasured(s Suit) bool { return len(s.Brief.Wearer.Measures) == 0 && len(s.Judged.Measures) == 0 }

// tapeStep asks for the measures that are to be taken, and says what waits for them.
func tapeStep(s Suit, rows []Row) string {
	const where = "[what to measure next](#what-to-measure-next)"
	all := toTape(s, rows)
	if unmeasured(s) {
		if !slices.ContainsFunc(rows, func(r Row) bool { return r.Findings != nil && len(r.Findings.Cavities) > 0 }) {
			return ""
		}
		text := "Measure the wearer and write `wearer.toml`: without it only the girths of the parts are known. `gambeson start` puts one with every measure into the folder, unless one lies there already."
		if len(all) > 0 {
			text += " Begin with the " + words.Things(len(all), "measure") + " under " + where + ", which says how each is taken."
		}
		return text
	}
	var names []string
	for _, t := range all {
		names = append(names, "**"+words.Plainly(t.name)+"**")
	}
	text := "Measure the " + words.And(names) + " and write " + words.Verb(names, "it", "them") + " in `wearer.toml`: see " + where + "."
	switch {
	case len(names) == 0:
		return ""
	case len(names) > mostNamed:
		text = "Take the " + words.Things(len(names), "measure") + " under " + where + ", the " + names[0] + " first, and write them in `wearer.toml`."
	}
	if risky := guessedAtRisk(s.Judged); len(risky) > 0 {
		text += " Until then leave " + partLinks(risky, rows) + " as " + words.Verb(risky, "it is", "they are") + ": by the *estimate* the risk at the scale for the suit is **high**."
	}
	return text
}

// mostCopies is how many sets of copies are named before they are only counted (a guess).
const mostCopies = 3

// twiceStep asks to keep one of parts that lie in the folder more than once.
func twiceStep(kin []analysis.Relation, pairs []together.Pair, rows []Row) string {
	var sets [][]string
	of := map[string]int{} // the sets that parts are in
	for _, r := range kin {
		if r.Kind != "copy" || r.Mirror || paired(r, pairs) {
			continue
		}
		i, found := of[r.Earlier]
		if !found {
			if i, found = of[r.Later]; !found {
				i, sets = len(sets), append(sets, nil)
			}
		}
		for _, name := range []string{r.Earlier, r.Later} {
			if _, in := of[name]; !in {
				of[name], sets[i] = i, append(sets[i], name)
			}
		}
	}
	if len(sets) == 0 {
		return ""
	}
	if len(sets) > mostCopies {
		return words.Things(len(sets), "part") + " lie in the folder more than once: " + detailsLink("#the-same-shape-twice", "which they are") + ". Keep one file of each, or it is printed as often."
	}
	var said []string
	for _, set := range sets {
		var names []string
		for _, name := range set {
			names = append(names, nameLink(name, rows))
		}
		rest := "both are printed"
		if len(set) > 2 {
			rest = "all are printed"
		}
		said = append(said, words.And(names)+" are the same part: keep one file, or "+rest+".")
	}
	return strings.Join(said, " ")
}

// toMeasure says what each measure brings, the most telling first.
func (b *page) toMeasure(s Suit, rows []Row) {
	var cells [][]string
	for _, t := range toTape(s, rows) {
		var does []string
		for _, d := range []struct {
			what  string
			parts []string
		}{{"settles ", t.settles}, {"narrows ", t.narrows}, {"decides on ", t.decides}} {
			if len(d.parts) > 0 {
				does = append(does, d.what+partLinks(d.parts, rows))
			}
		}
		cells = append(cells, []string{words.Code(t.name), words.Prose(s.Hows[t.name]), strings.Join(does, "; "), t.doubt})
	}
	if len(cells) == 0 {
		return
	}
	b.Heading("What to measure next")
	b.Table([]string{"in `wearer.toml`", "where the tape runs", "the scale of", "known to, 9 in 10"}, cells)
}
