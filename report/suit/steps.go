package suit

import (
	"slices"
	"strings"

	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/words"
)

// suitSteps says what to do next for the whole suit, the cheapest answer first:
// a tape before a line in suit.toml before a print.
func suitSteps(s Suit, rows []Row) (said []string) {
	for _, step := range []string{coverStep(rows), sizeStep(rows), apartStep(rows), togetherStep(rows), mendStep(rows), mirrorStep(s.Judged, rows), goneStep(rows), settleStep(s.Judged, rows), sidesStep(rows), wearerStep(s, rows), tapeStep(s.Judged), percentStep(s.Judged, rows), printedStep(s.Judged, rows), strings.TrimSpace(loadStep(s.Judged, rows) + " " + againStep(s.Dropped, rows)), meetStep(s, rows), printStep(s, rows), doneStep(s, rows)} {
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
