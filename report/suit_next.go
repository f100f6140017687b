package report

import (
	"math"
	"strings"

	together "gambeson/analysis/suit"
)

// suitSteps says what to do next for the whole suit, the cheapest answer first:
// a tape before a line in suit.toml before a band before the real print.
func (b *page) suitSteps(s Suit, rows []Row) {
	var steps []string
	steps = append(steps, coverStep(rows), wearerStep(s, rows))
	for i, m := range s.Judged.Measures {
		steps = append(steps, measureWords(m, i > 0, rows))
	}
	steps = append(steps, percentStep(s.Judged, rows), firstStep(s.Judged, rows), printStep(s.Judged, rows))
	var said []string
	for _, step := range steps {
		if step != "" {
			said = append(said, step)
		}
	}
	if len(said) > 0 {
		b.steps(said)
	}
}

// coverStep asks what the parts cover of which neither name nor shape tells.
func coverStep(rows []Row) string {
	var names []string
	for _, r := range rows {
		if f := r.Findings; f != nil && len(f.Cavities) > 0 && (f.Region == nil || f.Region.Name == "") {
			names = append(names, r.Place.Name())
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Say in `suit.toml` what " + partLinks(names, rows) + " " + verb(names, "covers", "cover") + ": `region = …` under `[[part]]`."
}

// wearerStep asks for the first measures where none were given.
func wearerStep(s Suit, rows []Row) string {
	if len(s.Brief.Wearer.Measures) > 0 || len(s.Judged.Measures) > 0 {
		return ""
	}
	for _, r := range rows {
		if r.Findings != nil && len(r.Findings.Cavities) > 0 {
			return "Measure the wearer and write `wearer.toml`: without it only the girths of the parts are known. `gambeson start` puts one with every measure into the folder."
		}
	}
	return ""
}

// measureWords asks for a measure and says what it brings, after others where
// then is true.
func measureWords(m together.Measure, then bool, rows []Row) string {
	does := "narrows"
	if m.Settles() {
		does = "settles"
	}
	whose := "the scale of " + partLinks(m.Parts, rows)
	if len(m.Parts) > mostNamed {
		whose = "the scale of " + things(len(m.Parts), "part")
	}
	ask := "Measure the **"
	if then {
		ask = "Then measure the **"
	}
	text := ask + plainly(m.Name) + "** and write " + code(m.Name+" = …") + " in `wearer.toml`: it " + does + " " + whose
	if m.Before > 0 {
		about := ""
		if then {
			about = "about "
		}
		text += " (" + about + "± " + percent(m.Before) + " becomes ± " + percent(m.After) + ", 9 in 10)"
	}
	return text + "."
}

// differs reports whether two scales read differently.
func differs(a, b float64) bool { return percent(a) != percent(b) }

// percentStep asks to write the suit's scales where others are wanted so far.
func percentStep(s together.Suit, rows []Row) string {
	var scales []float64
	change := map[string][]string{}
	for _, p := range s.Parts {
		if p.Scale <= 0 || !differs(p.Scale, p.Wanted) || p.Follows && !p.Risk.NoWay {
			continue // what a body goes into is not to be scaled by its looks
		}
		text := percent(p.Scale)
		if change[text] == nil {
			scales = append(scales, p.Scale)
		}
		change[text] = append(change[text], p.Name)
	}
	var said []string
	for _, scale := range scales {
		text := percent(scale)
		whose := partLinks(change[text], rows)
		if len(change[text]) > mostNamed {
			whose += " (see the column *for the suit*)"
		}
		said = append(said, code("percent = "+strings.TrimSuffix(text, " %"))+" for "+whose)
	}
	if len(said) == 0 {
		return ""
	}
	set := "Set the scales"
	if len(s.Measures) > 0 {
		set = "Set the scales, which measuring may still move"
	}
	return set + ": in `suit.toml`, under `[[part]]`, write " + strings.Join(said, "; ") + ". Reports, bands and pieces are then made for these scales."
}

// firstStep asks to print the band, or the few bands, that tell most.
func firstStep(s together.Suit, rows []Row) string {
	if len(s.First) == 0 {
		return ""
	}
	text := "Print first " + trialWords(s.First[0], rows) + " and try it on: of all bands it saves most for what it costs"
	if told := s.First[0].Moves; len(told) > 0 {
		text += ", and it tells about " + partLinks(told, rows) + " as well"
	}
	text += "."
	if more := s.First[1:]; len(more) > 0 {
		var bands []string
		for _, t := range more {
			bands = append(bands, trialWords(t, rows))
		}
		text += " On the same bed there is room for " + and(bands) + "."
	}
	for _, t := range s.First {
		if p, _ := s.Part(t.Part); p.Scale > 0 && !p.Follows && differs(p.Scale, t.Band.Percent) {
			text += " Set the scales before: the bands are then cut anew."
			break
		}
	}
	return text + " The part's report says how to note what a band showed."
}

// trialWords names a band with its part and its cost.
func trialWords(t together.Trial, rows []Row) string {
	at := "at " + along(t.Band.Station)
	if t.Measure != "" {
		at = "at the " + bodyPlace(t.Measure)
	}
	cost := []string{girth(t.Band.Height) + " high"}
	if t.Band.Hours > 0 {
		cost = append(cost, hours(t.Band.Hours))
	}
	if t.Band.Grams > 0 {
		cost = append(cost, grams(t.Band.Grams))
	}
	return "the test band " + link(at, href(suitName, t.Band.File)) + " of " + partLinks([]string{t.Part}, rows) + " (" + strings.Join(cost, ", ") + ")"
}

// printStep names the parts that may be printed as they are.
func printStep(s together.Suit, rows []Row) string {
	var ready []string
	for _, p := range s.Parts {
		f, r := findingsOf(p.Name, rows), p.Risk
		asWanted := r.At == p.Wanted && (p.Scale <= 0 || !differs(p.Scale, p.Wanted))
		if r.Level == together.Low && asWanted && f != nil && f.Fit != nil && f.Fit.Verdict == "fits" && !f.Warned() {
			ready = append(ready, p.Name)
		}
	}
	if len(ready) == 0 {
		return ""
	}
	return "Print " + partLinks(ready, rows) + ": nothing that is known stands against " + verb(ready, "it", "them") + "."
}

// partLinks names parts, or counts them where they are many.
func partLinks(names []string, rows []Row) string {
	if len(names) > mostNamed {
		return things(len(names), "part")
	}
	var out []string
	for _, n := range names {
		out = append(out, nameLink(n, rows))
	}
	return and(out)
}

// nameLink links to the report of a part by its name.
func nameLink(name string, rows []Row) string {
	for _, r := range rows {
		if r.Place.Name() == name {
			return rowLink(suitName, r)
		}
	}
	return code(name)
}

// verb picks the form for one or for several.
func verb(names []string, one, several string) string {
	if len(names) == 1 {
		return one
	}
	return several
}

// inTen says a chance as people do.
func inTen(chance float64) string {
	switch n := math.Round(10 * chance); {
	case chance < 0.05:
		return "less than 1 in 20"
	case n >= 10:
		return "almost certain"
	default:
		return "about " + decimal(max(n, 1), 0) + " in 10"
	}
}

// stakeWords says what a wrong print costs.
func stakeWords(s together.Suit, stake together.Stake) string {
	text := hours(stake.Cost) + " to print"
	if s.ByVolume {
		text = volume(stake.Cost) + " of material"
	}
	switch n := len(stake.Parts); {
	case n == 2:
		text += " for both"
	case n > 2:
		text += " for all " + count(n)
	}
	return text
}
