package suit

import (
	"slices"
	"strings"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/words"
)

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
	var said, names []string
	var opened []string
	open := toOpen(s, rows)
	told := openings{} // with the scale to set
	for _, scale := range scales {
		text := words.Percent(scale)
		at := openedAt(s, change[text], open, rows)
		said, names = append(said, text+" for "+partLinks(change[text], rows)), append(names, change[text]...)
		opened = append(opened, at.words(text, change[text], rows)+roomyAt(s, change[text], rows))
		told.halves, told.unglued, told.panel = slices.Concat(told.halves, at.halves), slices.Concat(told.unglued, at.unglued), slices.Concat(told.panel, at.panel)
	}
	open = open.but(told).but(openings{halves: risky, unglued: risky, panel: risky}) // those wait for a measure
	var text []string
	set, last := "", ""
	if len(said) > 0 {
		set = "Set the scales"
		if len(s.Measures) > 0 {
			set = "Set the scales, which measuring may still move"
		}
		for i, o := range opened {
			said[i] += "." + o
		}
		last = strings.TrimSpace(overruled(s, names, rows) + besideReports(s, names, rows) + untested(s, names, rows) + " " + detailsLink("#lines-for-suittoml", "The lines for `suit.toml`") + " are ready to copy. Each report then says what to print.")
		if len(said) == 1 {
			text = append(text, set+": "+said[0]+" "+last)
		}
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
		text = append(text, "Rescale the "+words.Verb(stretch.names, "file", "files")+" of "+partLinks(stretch.names, rows)+" "+words.Verb(stretch.names, "itself", "themselves")+" to "+stretch.to+". No single scale makes both girth and length fit."+stretchedAlone(stretch, rows))
	}
	if len(said) > 1 {
		return listed(set, slices.Concat(said, text), []string{last})
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
func (o openings) words(scale string, all []string, rows []Row) string {
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
			return " At " + scale + " the body gets in only " + way.how + "."
		default:
			ways = append(ways, "into "+partLinks(way.names, rows)+" only "+way.how)
		}
	}
	if ways == nil {
		return ""
	}
	return " At " + scale + " the body gets " + words.And(ways) + "."
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

// roomyAt says of parts that are too loose at the scales they are to get, closed as they are,
// that they may be smaller in halves; "" where none is.
func roomyAt(s together.Suit, names []string, rows []Row) string {
	text := ""
	for _, name := range names {
		p, _ := s.Part(name)
		f := findingsOf(name, rows)
		if f == nil || f.Fit == nil || p.Scale <= 0 || shutAt(f, p.Scale) {
			continue
		}
		w, ok := f.TwoWays()
		if !ok || p.Scale <= f.Fit.Roomiest {
			continue
		}
		text += " At " + words.Percent(p.Scale) + " " + partLinks([]string{name}, rows) + " is too loose, and so large only for the " + words.BodyPlace(w.Passes) + " to pass its rim closed. In two halves " + words.Percent(w.Halved) + " is enough, as its report says."
	}
	return text
}

// shutAt reports whether at a scale something of the body does not pass into the closed
// part by the tape, and no try-on shows that it does.
func shutAt(f *analysis.Findings, scale float64) bool {
	if in := f.Fit.GetsIn(); len(f.Fit.Entries) == 0 || in > 0 && scale >= in-analysis.SameScale {
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
		_, halves := f.Fit.Halved()
		switch {
		case halves && f.PartsAlong():
			o.unglued = append(o.unglued, p.Name)
		case halves:
			o.halves = append(o.halves, p.Name)
		case slices.ContainsFunc(f.Fit.Entries, func(e analysis.Entry) bool { return !e.Passes && e.Panel != nil }):
			o.panel = append(o.panel, p.Name)
		}
	}
	return o
}
