package analysis

import (
	"fmt"
	"math"

	"gambeson/analysis/bed/parting"
	"gambeson/analysis/fit"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r3"
)

// enter answers whether the body gets in: it returns what of in must pass, by
// all openings.
func (f *Findings) enter(in fit.Inside, wearer fit.Wearer, brief Brief) []fit.Entry {
	if brief.Halves || brief.Strapped {
		return nil
	}
	entries := fit.Entries(in.Passings, wearer, brief.wants())
	if len(entries) == 0 {
		f.noteUnpinned(brief)
	}
	for _, e := range entries {
		f.Fit.Entries = append(f.Fit.Entries, Entry{
			Opening: e.Opening, To: e.To, Measure: e.Measure, Body: e.Body.Mean, Source: source(e.Body.Given), SD: e.Body.SD,
			Needed: e.Needed, Throat: e.Throat, ThroatAlong: e.Along, Passes: e.Passes(), Percent: percentOf(f.Percent, e.Factor()),
		})
	}
	return entries
}

// percentOf is the scale that is factor times percent, 0 where there is none.
func percentOf(percent, factor float64) float64 {
	if math.IsInf(factor, 1) {
		return 0
	}
	return percent * factor
}

// noteUnpinned says where suit.toml names an opening that is not there.
func (f *Findings) noteUnpinned(brief Brief) {
	if brief.Enter == "" {
		return
	}
	for _, c := range f.Cavities {
		for _, o := range c.Openings {
			if o.Name == brief.Enter {
				return
			}
		}
	}
	f.warn("no-such-opening", fmt.Sprintf("suit.toml says that the body enters by opening %s, but the part has none of that name.", brief.Enter))
}

// way in by one opening: all its girths must pass.
type wayIn struct {
	name   string
	factor float64 // by which the part must be scaled for all to pass
}

// bestOpening returns the opening by which the body enters at the least scale.
func bestOpening(entries []fit.Entry) wayIn {
	worst := map[string]float64{}
	var names []string
	for _, e := range entries {
		if _, seen := worst[e.Opening]; !seen {
			names = append(names, e.Opening)
		}
		worst[e.Opening] = max(worst[e.Opening], e.Factor())
	}
	best := wayIn{factor: math.Inf(1)}
	for _, n := range names {
		if worst[n] < best.factor || best.name == "" {
			best = wayIn{n, worst[n]}
		}
	}
	return best
}

// openUp finds the panel for each way in by an opening and cuts the first one
// that there is.
func (a *Answer) openUp(entries []fit.Entry, opening string, brief Brief) {
	f := &a.Findings
	if f.Says("stands-in-way") { // no panel and no halves make room for it
		return
	}
	cut := false
	for i, e := range entries {
		if e.Opening != opening || e.Passes() {
			continue
		}
		if f.PartsAlong() { // nothing is to be cut
			f.Fit.Entries[i].Halves = true
			continue
		}
		if f.OverBed() { // cut for the bed as well, each piece would have to be sawn again
			a.halve(i)
			continue
		}
		p, ok := fit.PanelFor(sameWay(entries, e), sideOf(brief))
		if !ok {
			a.halve(i)
			continue
		}
		found := &Panel{To: p.To, Width: p.Width, Facing: triple(p.Facing)}
		f.Fit.Entries[i].Panel = found
		if !cut {
			if cut = a.cutPanel(p, sameWay(entries, e), found); !cut {
				f.Fit.Entries[i].Panel = nil
				a.halve(i)
			}
		}
	}
}

// halve says that an entry needs the part in halves, where a cut makes such as open it
// on that way.
func (a *Answer) halve(i int) {
	f := &a.Findings
	e := &f.Fit.Entries[i]
	for _, o := range f.Fit.Entries[:i] {
		if o.Halves && o.Opening == e.Opening && o.To == e.To {
			e.Halves = true
			return
		}
	}
	e.Halves = true
	wish := f.wish(Brief{})
	wish.Limbs = nil
	n := 0
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			ahead := e.Opening == line.From && (e.To == line.To || e.To == "")
			if ahead || e.Opening == line.To && (e.To == line.From || e.To == "") {
				wish.Limbs = append(wish.Limbs, n)
			}
			n++
		}
	}
	e.Halves = len(wish.Limbs) == 0 || f.inPieces() || parting.Opens(a.Own, wish)
}

// sameWay returns the entries that go the way of e, e first.
func sameWay(entries []fit.Entry, e fit.Entry) []fit.Entry {
	out := []fit.Entry{e}
	for _, other := range entries {
		if other.Opening == e.Opening && other.To == e.To && other.Measure != e.Measure {
			out = append(out, other)
		}
	}
	return out
}

// Names of the two pieces in the part's own folder.
const (
	panelFile = "panel/panel.stl"
	restFile  = "panel/rest.stl"
)

// spareThroat is how far a throat measured anew may lie below what is needed,
// as a share of it: the stations lie elsewhere.
const spareThroat = 2e-3

// cutPanel parts the shell into the strip and the rest, and measures the
// throats of the entries, the first of which the strip is for, again with the
// strip off. It reports whether that lets them pass.
func (a *Answer) cutPanel(p fit.Panel, entries []fit.Entry, found *Panel) bool {
	strip, rest, flaws := section.Carve(a.Shown, p.Sides)
	if strip.Triangles() == 0 || rest.Triangles() == 0 {
		return false
	}
	for _, e := range entries {
		if fit.ThroatOf(rest, e) < e.Needed*(1-spareThroat) {
			return false
		}
	}
	if flaws.Any() {
		a.Findings.note("panel-open", "The surface is open where the panel was cut, so the two pieces are not closed; look at their preview before printing.")
	}
	a.Panel, a.Rest = strip, rest
	found.File, found.Rest = panelFile, restFile
	found.Throat = fit.ThroatOf(rest, entries[0])
	return true
}

// sideOf returns the direction in which the panel's side of the body lies. A
// part is taken to stand upright and to look along −y, as files of figures
// mostly do (common practice, no source); the wearer's right is then −x.
func sideOf(brief Brief) r3.Vec {
	outward := r3.Vec{X: -1}
	if brief.Region.Side == "left" {
		outward = r3.Vec{X: 1}
	}
	switch brief.Panel {
	case "front":
		return r3.Vec{Y: -1}
	case "left":
		return r3.Vec{X: 1}
	case "right":
		return r3.Vec{X: -1}
	case "outer":
		return outward
	case "inner":
		return r3.Scale(-1, outward)
	}
	return r3.Vec{Y: 1}
}

// warnBlocked says what does not pass by the best opening, and what helps.
func (f *Findings) warnBlocked(opening string) {
	for i, e := range f.Fit.Entries {
		if e.Opening != opening || e.Passes || f.passesWorse(i) {
			continue
		}
		text := fmt.Sprintf("The %s does not get in by opening %s: with the padding pressed it needs %s mm, and %s mm from the rim there is room for %s mm",
			bodyWords(e.Measure, e.Source, e.Body, e.SD), e.Opening, tenths(e.Needed), tenths(e.ThroatAlong), tenths(e.Throat))
		if e.Percent > 0 {
			text += fmt.Sprintf(". It passes from %s %% on", ceilTenths(e.Percent))
		}
		switch {
		case e.Panel != nil:
			from := "from the rim down to " + tenths(e.Panel.To) + " mm"
			if f.WholeLength(e) {
				from = "over the whole length"
			}
			text += fmt.Sprintf(", or with a strip %s mm wide taken off %s.", tenths(e.Panel.Width), from)
		case e.Halves && f.PartsAlong():
			text += ". Or join its pieces, which part along their length, by straps in place of glue: then nothing has to pass. strapped = true says so in suit.toml."
		case e.Halves && f.OverBed():
			text += ". With a strip taken off it would still be larger than the bed: part the shell in two halves along its length, and write halves = true for it in suit.toml."
		case e.Halves:
			text += ". No strip is wide enough to help: part the shell in two halves along its length, and write halves = true for it in suit.toml."
		default:
			text += "."
		}
		if gap := f.OpenAlong(); gap > 0 && !f.PartsAlong() {
			text += fmt.Sprintf(" It is open along its length, %s mm at the least: if it bends open so far that it is put on through that and strapped, nothing has to pass, and strapped = true says so.", tenths(gap))
		}
		f.warn("does-not-enter", text)
	}
}

// OverBed reports whether the part fits no bed as it is set.
func (f *Findings) OverBed() bool {
	return f.Bed != nil && !f.Bed.Fits && (f.Bed.Second == nil || !f.Bed.Second.Fits)
}

// WholeLength reports whether the panel of an entry reaches from rim to rim, as near
// as it can be sawn.
func (f *Findings) WholeLength(e Entry) bool {
	const sawn = 1 // mm (a guess)
	for _, l := range f.Ways() {
		goes := l.From == e.Opening && (e.To == "" || e.To == l.To) || l.To == e.Opening && e.To == l.From
		if goes && l.To != "end" && e.Panel != nil && e.Panel.To > l.Length-sawn {
			return true
		}
	}
	return false
}

// passesWorse reports whether the same measure lacks more room on another way in
// by the same opening: one warning is enough.
func (f *Findings) passesWorse(i int) bool {
	e := f.Fit.Entries[i]
	for k, o := range f.Fit.Entries {
		if k != i && o.Opening == e.Opening && o.Measure == e.Measure && (o.Throat < e.Throat || o.Throat == e.Throat && k < i) {
			return true
		}
	}
	return false
}

// ceilTenths writes the percent of a limit so that the number written still passes.
func ceilTenths(x float64) string { return inPercent(math.Ceil(10*x-1e-6) / 10) }
