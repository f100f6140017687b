package suit

import (
	"math"
	"slices"
	"strings"

	together "gambeson/analysis/suit"
	"gambeson/report/answer"
	"gambeson/report/words"
)

var numerals = []string{"No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten"}

// commonScales says in a sentence which scales serve the suit.
func (b *page) commonScales(s together.Suit, rows []Row) {
	if len(s.Scales) == 0 {
		return
	}
	b.Heading("Common scales")
	text := scalesAnswer(s.Scales, rows)
	if over := overAll(s.Scales); len(over) > 0 {
		text += " Not on the bed in one piece then: " + partLinks(over, rows) + "."
	}
	for _, scale := range followed(s, true) {
		text += " " + words.Capital(partLinks(scale.names, rows)) + " " + words.Verb(scale.names, "follows", "follow") + " the nearest parts at " + scale.text + "."
	}
	for _, scale := range spanning(s) {
		text += " " + words.Capital(partLinks(scale.names, rows)) + " " + words.Verb(scale.names, "needs", "need") + " " + scale.text + " for the rim to reach across the joint."
	}
	for _, p := range s.Pairs {
		if p.Apart != nil {
			text += " " + apartWords(s, p, rows)
		}
	}
	b.Block(text + " " + detailsLink("#scales", "Why these") + ".")
	if costs := sharingCosts(s, rows); len(costs) > 0 {
		b.Block("**What sharing a scale costs.** A part that is given its own in `suit.toml` keeps it.")
		b.Items(false, costs)
	}
}

// apartWords says why the two of a pair have each their own scale, and what that costs.
func apartWords(s together.Suit, p together.Pair, rows []Row) string {
	text := words.Capital(partLinks([]string{p.Left, p.Right}, rows)) + " each have their own: the " + words.BodyPlace(p.Apart.Measure) + " was measured as " +
		words.Girth(p.Apart.Left) + " on the left and " + words.Girth(p.Apart.Right) + " on the right, and no one scale serves both."
	l, _ := s.Part(p.Left)
	r, _ := s.Part(p.Right)
	if l.Stretch != nil || r.Stretch != nil || l.Scale <= 0 || r.Scale <= 0 {
		return text
	}
	ratio := r.Scale / l.Scale
	if p.Ratio > 0 {
		ratio *= p.Ratio
	}
	longer := "right"
	if ratio < 1 {
		longer, ratio = "left", 1/ratio
	}
	if more := math.Round(100 * (ratio - 1)); more >= 1 {
		text += " The " + longer + " one then is about " + words.Decimal(more, 0) + " % longer than the other."
	}
	return text
}

// sharingCosts says of each part what it costs to wear the scale of others, where that is
// not little.
func sharingCosts(s together.Suit, rows []Row) (said []string) {
	for _, p := range s.Parts {
		if p.Shares == nil {
			continue
		}
		own, text := p.Shares, nameLink(p.Name, rows)
		if p.Risk.Unfit-own.Misfit >= together.LowBelow {
			text += ": the chance that it does not fit is " + inTen(p.Risk.Unfit) + " at " + words.Percent(p.Scale) + ", " + inTen(own.Misfit) + " at its own " + words.Percent(own.Own)
			if own.Less > 0 {
				text += ", where it takes " + words.Hours(own.Less) + " less"
			}
		} else {
			text += " takes " + words.Hours(own.Less) + " more at " + words.Percent(p.Scale) + " than at its own " + words.Percent(own.Own)
		}
		said = append(said, text+".")
	}
	if len(said) > mostNamed {
		said = append(said[:mostNamed:mostNamed], "The like for "+words.Things(len(said)-mostNamed, "other part")+".")
	}
	return said
}

// overAll lists the parts that the bed does not take at the suit's scales.
func overAll(groups []together.Group) []string {
	var out []string
	for _, g := range groups {
		out = append(out, g.Over...)
	}
	return out
}

// lines are what to add to suit.toml for the suit's scales: of entries that
// match a part, a later one goes before an earlier one.
func (b *page) lines(s together.Suit, rows []Row) {
	var text strings.Builder
	wait := guessedAtRisk(s)
	open := toOpen(s, rows)
	for _, p := range s.Parts {
		if words.Visible(p.Name) != p.Name || slices.Contains(wait, p.Name) {
			continue
		}
		var keys []string
		if wantsScale(p) {
			keys = append(keys, "percent = "+strings.TrimSuffix(words.Percent(p.Scale), " %"))
		}
		if slices.Contains(open.halves, p.Name) {
			keys = append(keys, "halves = true")
		}
		if slices.Contains(open.unglued, p.Name) {
			keys = append(keys, "strapped = true")
		}
		if len(keys) > 0 {
			text.WriteString(words.PartLines(p.Name, strings.Join(keys, "\n")))
		}
	}
	if text.Len() == 0 {
		return
	}
	b.Heading("Lines for suit.toml")
	b.Block("Add these at its end for the common scales. Where entries match the same part, the later one counts.")
	b.Block("```toml\n" + text.String() + "```")
	if len(wait) > 0 {
		b.Block(words.Capital(partLinks(wait, rows)) + " " + words.Verb(wait, "waits", "wait") + " for a measure: by the *estimate* the risk at the common scale is **high**.")
	}
}

// logbookLines is the anchor of the chapter with what to note of prints.
const logbookLines = "lines-for-logbooktoml"

// noted are what to add to logbook.toml of each part that is to be printed, once it is.
func (b *page) noted(s Suit, rows []Row) {
	p, _, _ := toPrint(s, rows)
	var text strings.Builder
	for _, name := range p.noted() {
		if f := findingsOf(name, rows); f != nil && words.Visible(name) == name {
			text.WriteString("[[printed]]\npart = " + words.TOML(name) + "\npercent = " + strings.TrimSuffix(words.Percent(f.Percent), " %") + "\n")
		}
	}
	if text.Len() == 0 {
		return
	}
	b.Heading("Lines for logbook.toml")
	b.Block("Add those of a part at its end once it is printed. With `hours = …` and `grams = …` under them, what the print took counts in place of the estimate.")
	b.Block("```toml\n" + text.String() + "```")
}

// suitScales says which scales serve the suit.
func (b *page) suitScales(s together.Suit, rows []Row) {
	if len(s.Scales) == 0 {
		return
	}
	b.Heading("Scales")
	b.Block(scalesAnswer(s.Scales, rows))
	if tabled(s.Scales) {
		b.scaleTable(s.Scales, rows)
	}
	b.Items(false, scaleRemarks(s, rows))
	if len(s.OnBed) > 0 {
		n := "one scale"
		if len(s.OnBed) > 1 {
			n = strings.ToLower(numeral(len(s.OnBed))) + " scales"
		}
		b.Block("**To keep on the bed in one piece what can be kept there, it takes " + n + ":** " + groupWords(s.OnBed, rows) + ".")
		if tabled(s.OnBed) {
			b.scaleTable(s.OnBed, rows)
		}
	}
	if len(s.Scales) == 1 && len(s.Scales[0].Parts) == 1 {
		return
	}
	b.Block("A part's own report names the scale that is best for that part alone; these are what the suit needs to be of few scales. Fewer are not likely enough to fit at every part, or would move one that is set and good. Left and right get one size, unless both were measured and differ by more than one size serves; parts that meet at a joint do where they can, and each scale is as near as can be to what its parts would have by themselves. No part gets a scale at which, by what is known of the body, it would more likely than 1 in 4 have to be printed again, or likelier by more than 1 in 20 than at its own, unless it has hardly a better scale. A scale that is set already stays where it is nearly as good as the best, and what is printed keeps its own. What was tried on keeps the scale at which it fits, or gets one that this has shown to be nearly as good as the best. Where as many scales also keep to the bed, or are surer, those were taken.")
}

// scalesAnswer is the scales in one sentence.
func scalesAnswer(groups []together.Group, rows []Row) string {
	if len(groups) == 1 {
		g := groups[0]
		if len(g.Parts) == 1 {
			return "**" + words.Percent(g.Scale) + " serves " + partLinks(g.Parts, rows) + "**, the only part of which it is known what fits."
		}
		return "**One scale serves all: " + words.Percent(g.Scale) + "**, for the " + words.Things(len(g.Parts), "part") + " of which it is known what fits."
	}
	return "**" + numeral(len(groups)) + " scales serve all:** " + groupWords(groups, rows) + "."
}

// tabled reports whether a sentence does not name all parts of some scale.
func tabled(groups []together.Group) bool {
	for _, g := range groups {
		if len(g.Parts) > mostNamed {
			return true
		}
	}
	return false
}

func numeral(n int) string {
	if n < len(numerals) {
		return numerals[n]
	}
	return words.Count(n)
}

// groupWords lists scales with their parts: "104 % for a and b; 112 % for c".
func groupWords(groups []together.Group, rows []Row) string {
	var out []string
	for _, g := range groups {
		out = append(out, words.Percent(g.Scale)+" for "+partLinks(g.Parts, rows))
	}
	return strings.Join(out, "; ")
}

func (b *page) scaleTable(groups []together.Group, rows []Row) {
	var cells [][]string
	for _, g := range groups {
		over := ""
		if len(g.Over) > 0 {
			over = "not in one piece: " + allLinks(g.Over, rows)
		}
		cells = append(cells, []string{words.Percent(g.Scale), allLinks(g.Parts, rows), over})
	}
	b.Table([]string{"scale", "parts", "on the bed"}, cells)
}

// allLinks names parts, however many.
func allLinks(names []string, rows []Row) string {
	var out []string
	for _, n := range names {
		out = append(out, nameLink(n, rows))
	}
	return strings.Join(out, ", ")
}

// scaleRemarks says what the scales ask of single parts.
func scaleRemarks(s together.Suit, rows []Row) []string {
	var out []string
	for _, g := range s.Scales {
		if len(g.Over) > 0 {
			out = append(out, "At "+words.Percent(g.Scale)+" the bed does not take "+partLinks(g.Over, rows)+" in one piece.")
		}
		if len(g.Opened) > 0 {
			out = append(out, words.Capital(partLinks(g.Opened, rows))+" "+words.Verb(g.Opened, "has", "have")+" to be opened by a panel or in halves: a scale at which the body gets in without would be too loose.")
		}
		if len(g.Loose) > 0 {
			out = append(out, words.Capital(partLinks(g.Loose, rows))+": every scale that is wide enough is too loose at the leading measure. The smallest counts here; take up the room with padding.")
		}
	}
	for _, f := range followed(s, true) {
		out = append(out, words.Capital(partLinks(f.names, rows))+" "+words.Verb(f.names, "takes", "take")+" the scale of the nearest parts, "+f.text+": nothing of the body rests in "+words.Verb(f.names, "it", "them")+" that would tell.")
	}
	for _, f := range spanning(s) {
		out = append(out, words.Capital(partLinks(f.names, rows))+" "+words.Verb(f.names, "gets", "get")+" "+f.text+", more than the nearest parts: at less the rim does not reach across the joint, taken as round, over its padding. Where it is only to lie on the front, set any other in `suit.toml`.")
	}
	for _, f := range followed(s, false) {
		f.names = slices.DeleteFunc(f.names, func(name string) bool { // a tape tells its scale
			found := findingsOf(name, rows)
			return found != nil && answer.PlateSet(found)
		})
		if len(f.names) == 0 {
			continue
		}
		out = append(out, words.Capital(partLinks(f.names, rows))+" would look right at the scale of the nearest parts, "+f.text+". What fits in "+words.Verb(f.names, "it", "them")+" is not known yet: until then "+words.Verb(f.names, "it stays as it is", "they stay as they are")+".")
	}
	return out
}

// follower is parts that have no scale of their own and what would go with the
// nearest parts.
type follower struct {
	text  string // percent
	names []string
}

// followed lists them by scale: those that only cover and so take it, or those
// that a body goes into.
func followed(s together.Suit, take bool) []follower {
	return followers(s, func(p together.Part) bool { return p.Follows && !p.Spans && p.Risk.NoWay == take })
}

// spanning lists caps that the nearest parts' scale would leave narrower than their joint.
func spanning(s together.Suit) []follower {
	return followers(s, func(p together.Part) bool { return p.Spans })
}

// followers lists parts by scale.
func followers(s together.Suit, of func(together.Part) bool) []follower {
	var out []follower
	for _, p := range s.Parts {
		if !of(p) {
			continue
		}
		text := words.Percent(p.Scale)
		if i := slices.IndexFunc(out, func(f follower) bool { return f.text == text }); i >= 0 {
			out[i].names = append(out[i].names, p.Name)
		} else {
			out = append(out, follower{text, []string{p.Name}})
		}
	}
	return out
}

// pairs lists what gets one size, where one serves both sides.
func (b *page) pairs(s together.Suit, rows []Row) {
	var cells [][]string
	for _, p := range s.Pairs {
		how := map[together.Sign]string{
			together.ByName:  "their names",
			together.BySide:  "their sides: no other part covers this region",
			together.ByShape: "their shape: one is the mirror image or a copy of the other",
		}[p.By]
		scale, note := "", ""
		l, _ := s.Part(p.Left)
		r, _ := s.Part(p.Right)
		switch {
		case l.Stretch != nil || r.Stretch != nil:
			scale = "rescale the files"
		case l.Scale > 0 && words.Differs(l.Scale, r.Scale):
			scale = words.Percent(l.Scale) + " and " + words.Percent(r.Scale)
		case l.Scale > 0:
			scale = words.Percent(l.Scale)
		}
		if p.Ratio > 0 && words.Differs(100*p.Ratio, 100) {
			note = "the second file is drawn at " + words.Percent(100*p.Ratio) + " of the first, so each has its own scale for one size"
		}
		if p.Unlike {
			note = "drawn unlike, so that one scale is no one size: each keeps its own"
		}
		if a := p.Apart; a != nil {
			note = "two sizes: the " + words.BodyPlace(a.Measure) + " was measured as " + words.Girth(a.Left) + " and " + words.Girth(a.Right)
		}
		cells = append(cells, []string{nameLink(p.Left, rows), nameLink(p.Right, rows), how, scale, note})
	}
	if len(cells) == 0 {
		return
	}
	b.Heading("Pairs")
	b.Table([]string{"one", "the other", "told by", "scale for both", "mind"}, cells)
}
