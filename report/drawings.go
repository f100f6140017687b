package report

import (
	"fmt"
	"image"
	"math"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"gambeson/analysis"
	"gambeson/report/answer"
	"gambeson/report/disk"
	"gambeson/report/picture"
	"gambeson/report/words"

	"gonum.org/v1/gonum/spatial/r3"
)

// pictures are the drawings of one part.
type pictures struct {
	part     drawing   // from two sides; without a file where it was not drawn
	bed      drawing   // on the bed; without a file where it was not drawn
	girths   []drawing // parallel to the ways; a way without stations has no file
	sections []drawing // parallel to Document.Outlines
	tapes    drawing   // of what is worth measuring; without a file where there is none
	pieces   drawing   // pulled apart; without a file where there are none
	ladder   drawing   // what is known of the scale; without a file where nothing is
}

// drawing is a picture with its file and what it says in words: as it was drawn,
// or packed.
type drawing struct {
	file, alt string
	image     *image.RGBA
	png       []byte // the file, where it is packed
	err       error  // of packing
}

// packed makes a file of the picture as soon as it is drawn: a hundred times
// smaller than what it was drawn on, and a part has many.
func (d drawing) packed() drawing {
	if d.image != nil {
		d.png, d.err = picture.PNG(d.image)
		picture.Free(d.image)
		d.image = nil
	}
	return d
}

func (p pictures) all() []drawing {
	return slices.DeleteFunc(slices.Concat([]drawing{p.part, p.bed, p.pieces, p.tapes, p.ladder}, p.girths, p.sections), func(d drawing) bool { return d.file == "" })
}

// drawing shows a picture where it was drawn.
func (b *page) drawing(d drawing, p disk.Place) {
	if d.file != "" {
		b.Picture(d.alt, words.Href(p.Report(), p.Under(d.file)))
	}
}

// pictureName names the n-th picture of a kind, from 0.
func pictureName(kind string, n int) string {
	if n == 0 {
		return kind + ".png"
	}
	return fmt.Sprintf("%s-%d.png", kind, n+1)
}

// ourPicture reports whether a name is one that pictureName gives.
func ourPicture(name string) bool {
	stem, ok := strings.CutSuffix(name, ".png")
	kind, n, numbered := strings.Cut(stem, "-")
	known := slices.Contains([]string{"part", "bed", "pieces", "tape", "ladder", "girth", "section"}, kind)
	return ok && known && (!numbered || strings.Trim(n, "0123456789") == "")
}

// draw draws and packs all pictures of a part.
func draw(d Document) pictures {
	all := answer.Ways(&d.Findings)
	out := pictures{girths: make([]drawing, len(all)), sections: make([]drawing, len(d.Outlines))}
	var work []func() // what takes longest stands first, so that all processors end together
	picture := func(of *drawing, draw func() drawing) { work = append(work, func() { *of = draw().packed() }) }
	picture(&out.part, d.drawPart)
	picture(&out.pieces, d.drawPieces)
	picture(&out.bed, d.drawBed)
	picture(&out.tapes, func() drawing { return tapePicture(d) })
	picture(&out.ladder, d.drawLadder)
	for i, w := range all {
		picture(&out.girths[i], func() drawing { return d.drawGirth(i, w) })
	}
	for i, o := range d.Outlines {
		picture(&out.sections[i], func() drawing { return d.drawSection(i, o, all) })
	}
	atOnce(d.Workers, work)
	return out
}

// atOnce does work on so many processors, at least one, and waits for it. Where
// some of it fails with a panic, so does the caller, with the first.
func atOnce(workers int, work []func()) {
	if workers <= 1 {
		for _, do := range work {
			do()
		}
		return
	}
	next := make(chan func(), len(work))
	for _, do := range work {
		next <- do
	}
	close(next)
	failed := make(chan string, workers)
	var all sync.WaitGroup
	for range min(workers, len(work)) {
		all.Go(func() {
			defer func() {
				if r := recover(); r != nil {
					failed <- fmt.Sprintf("%v\n%s", r, debug.Stack()) // the stack of the caller would not show where
				}
			}()
			for do := range next {
				do()
			}
		})
	}
	all.Wait()
	select {
	case why := <-failed:
		panic(why)
	default:
	}
}

// drawPart draws the part from two sides.
func (d Document) drawPart() drawing {
	if d.Shown == nil {
		return drawing{}
	}
	h := shell(d)
	alt := partAlt(h)
	h.Openings = labelled(h.Openings, answer.Ways(&d.Findings))
	h.TightestText = words.InUnits(h.TightestText, d.Brief)
	return drawing{file: pictureName("part", 0), alt: alt, image: picture.Part(h)}
}

// mostLabelled is how many openings get their letters in a picture: the breaths of a helm
// would lie on each other.
const mostLabelled = 6

// labelled are the openings that get their letters: where there are many only those that
// a way leads to.
func labelled(all []picture.Opening, lead []analysis.Centreline) []picture.Opening {
	if len(all) <= mostLabelled {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(o picture.Opening) bool {
		return !ledTo(o.Name, lead)
	})
}

// ledTo reports whether a way begins or ends at an opening.
func ledTo(opening string, ways []analysis.Centreline) bool {
	return slices.ContainsFunc(ways, func(w analysis.Centreline) bool { return w.From == opening || w.To == opening })
}

// drawBed draws the part on the bed.
func (d Document) drawBed() drawing {
	if b := d.Findings.Bed; b != nil && d.Shown != nil && d.Brief.Printer.Height > 0 {
		return d.drawOnBed(b)
	}
	return drawing{}
}

// drawGirth draws the girths along the i-th way.
func (d Document) drawGirth(i int, w analysis.Centreline) drawing {
	if len(w.Stations) == 0 || i > 0 && !wayOfBody(&d.Findings, w) {
		return drawing{}
	}
	c := curve(&d.Findings, w, i == 0)
	alt := girthAlt(c, w)
	c.Also = words.Also(d.Brief)
	for k := range c.Needs {
		c.Needs[k].Text = words.InUnits(c.Needs[k].Text, d.Brief)
	}
	return drawing{file: pictureName("girth", i), alt: alt, image: picture.Girth(c)}
}

// shell is the drawing of the part: its openings and the ways from the largest,
// the rings where bands are cut, the tightest place, and the panel, seen from
// its side.
func shell(d Document) picture.Shell {
	what := "The part at "
	if d.Own != nil {
		what = "The whole shell at "
	}
	h := picture.Shell{Title: what + words.Percent(d.Findings.Percent), Part: d.Shown, Panel: d.Panel}
	for _, w := range answer.Ways(&d.Findings) {
		if w.From != "A" && w.To != "A" {
			continue // from leg to leg nobody goes
		}
		var points []r3.Vec
		for _, s := range w.Stations {
			points = append(points, vec(s.Center))
		}
		h.Ways = append(h.Ways, smooth(points))
	}
	for _, c := range d.Findings.Cavities {
		for _, o := range c.Openings {
			h.Openings = append(h.Openings, picture.Opening{Name: o.Name, At: vec(o.Center), Facing: vec(o.Facing)})
		}
	}
	for _, o := range d.Outlines {
		text := "band at " + words.Along(o.Along)
		if o.Body != nil {
			text += ": " + words.BodyLabel(o.Body.Measure)
			if o.Body.Passes {
				text += " on its way in"
			}
		} else if len(d.Findings.Bands) == 0 {
			text = "section at " + words.Along(o.Along)
		}
		h.Rings = append(h.Rings, picture.Ring{Loop: o.Ring, Text: text})
	}
	if s, ok := d.Findings.Tightest(); ok {
		at := vec(s.Center)
		h.Tightest, h.TightestText = &at, "tightest, inner girth "+words.Girth(s.InnerGirth)
		if answer.IsOpen(s) {
			h.TightestText = "least wall, " + words.Girth(s.InnerGirth)
		}
	}
	if d.Findings.Fit != nil {
		for _, e := range d.Findings.Fit.Entries {
			if e.Panel != nil {
				h.From = vec(e.Panel.Facing)
				break
			}
		}
	}
	return h
}

// smooth draws a way without the jumps that the middle of a section makes where
// it opens into another way: each point is the mean of its neighbours, fewer near
// the ends, which stay.
func smooth(points []r3.Vec) []r3.Vec {
	const neighbours = 8
	out := make([]r3.Vec, len(points))
	for i := range points {
		n := min(neighbours, i, len(points)-1-i)
		for _, p := range points[i-n : i+n+1] {
			out[i] = r3.Add(out[i], r3.Scale(1/float64(2*n+1), p))
		}
	}
	return out
}

func vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// drawPieces draws the pieces pulled apart.
func (d Document) drawPieces() drawing {
	b := d.Findings.Bed
	if b == nil || len(b.Pieces) == 0 || len(d.Parted) != len(b.Pieces) {
		return drawing{}
	}
	p := picture.Parting{Title: "In " + words.Things(len(b.Pieces), "piece") + " at " + words.Percent(d.Findings.Percent)}
	for i, piece := range b.Pieces {
		text := words.InUnits(words.Size(piece.Bounds), d.Brief)
		if piece.Hours > 0 {
			text += ", " + words.Hours(piece.Hours)
		}
		p.Pieces = append(p.Pieces, picture.Piece{Mesh: d.Parted[i], Text: text})
	}
	for _, s := range b.Seams {
		p.Seams = append(p.Seams, picture.Seam{Point: vec(s.Plane.Point), Normal: vec(s.Plane.Normal), Above: s.Above, Below: s.Below})
	}
	return drawing{file: pictureName("pieces", 0), alt: p.Title + howApart(len(b.Seams)), image: picture.Pieces(p)}
}

// drawLadder draws what is known of the scale that fits, what the bed takes, the
// bands to print and what was tried on.
func (d Document) drawLadder() drawing {
	f := &d.Findings
	t := f.Testing
	if t == nil || !(t.Smallest > 0) || len(t.Odds) == 0 {
		return drawing{}
	}
	if t.Next == nil && len(t.Tried) == 0 && !slices.ContainsFunc(t.Odds, func(o [2]float64) bool { return o[1] < 0.995 }) {
		return drawing{} // it fits at every scale that was looked at, once on: nothing to see
	}
	b := picture.Belief{
		Title: "The scale that fits, by all that is known", Smallest: t.Smallest, SD: t.SD, Curve: t.Odds, Print: t.Print, Chance: t.Chance,
	}
	if f.Fit != nil {
		b.Least, b.Most = words.UpTenth(needed(f)), words.DownTenth(f.Fit.Loosest)
	}
	if f.Bed != nil && answer.LargestOnBed(f.Bed) < 1e5 {
		b.Bed = words.DownTenth(answer.LargestOnBed(f.Bed))
	}
	if t.Next != nil {
		b.Rungs = append(b.Rungs, picture.Rung{Percent: t.Next.Percent, Text: "print next"})
		for _, a := range t.Then {
			if a.Band > 0 {
				b.Rungs = append(b.Rungs, picture.Rung{Percent: a.Band, Text: "then, if it is " + words.Visible(a.Verdict)})
			}
		}
	}
	if t.Next == nil {
		b.Untested = true
		for _, band := range f.Bands {
			if rung := (picture.Rung{Percent: band.Percent, Text: "not needed"}); !slices.Contains(b.Rungs, rung) {
				b.Rungs = append(b.Rungs, rung)
			}
		}
	}
	for _, e := range t.Tried {
		trial := picture.Trial{Percent: e.Percent, Verdict: words.Visible(e.Verdict), Text: words.Visible(strings.ReplaceAll(e.Station, "_", " "))}
		switch {
		case e.Odd:
			trial.Text = "the odd one out"
		case !e.Counts:
			trial.Text = "says nothing"
		case e.Part != "":
			trial.Text = "on " + words.Visible(e.Part)
		}
		b.Tried = append(b.Tried, trial)
	}
	alt := "By all that is known " + beginsToFit(t) + " at " + words.Percent(t.Smallest) + " ± " + words.Percent(t.SD) + "; printed at " + words.Percent(t.Print) + " it fits, once on, " + words.Odds(t.Chance) + lessIsWorn(t)
	return drawing{file: pictureName("ladder", 0), alt: alt, image: picture.Ladder(b)}
}

// drawSection draws a section, with what of the body is there.
func (d Document) drawSection(i int, o analysis.Outline, all []analysis.Centreline) drawing {
	at := o.Percent
	if at <= 0 {
		at = d.Findings.Percent
	}
	other := math.Abs(at-d.Findings.Percent) > 0.05
	title, note := "Section "+words.Along(o.Along)+" along the part, at "+words.Percent(at), ""
	if o.Way >= 0 && o.Way < len(all) {
		title, note = sectionTitle(all[o.Way], o.Along, at), stationNote(all[o.Way], o.Along, at/d.Findings.Percent)
	}
	alt := title + ": " + note
	if o.Body != nil {
		body := words.BodyLabel(o.Body.Measure)
		if o.Body.Passes {
			body += " on its way in"
		}
		needs := words.Girth(o.Body.Needed)
		if !o.Body.Passes {
			needs += " with its ease" // which is not drawn
		}
		body = words.Capital(body) + ": " + words.Spare(o.Body.Has-o.Body.Needed) + ", needs " + needs + ", has " + words.Girth(o.Body.Has)
		alt = title + ". " + body + gapWordsOf(o.Body.Gaps)
		girths, _, _ := strings.Cut(note, ", capacity") // of any shape: it would be taken for the body's
		note = body + ". " + words.Capital(girths) + "."
	}
	if other && len(d.Findings.Bands) > 0 {
		note = "As the test band is. " + words.Capital(note)
		alt = strings.Replace(alt, title, title+", as the test band is", 1)
	}
	return drawing{file: pictureName("section", i), alt: alt, image: picture.Section(title, words.InUnits(words.Capital(note), d.Brief), o, words.Also(d.Brief))}
}

// gapWordsOf says the least and the greatest gap between body and wall.
func gapWordsOf(gaps []analysis.WallGap) string {
	if len(gaps) != 2 {
		return ""
	}
	if gaps[0].Gap < 0 {
		return "; as an ellipse it reaches " + words.Girth(-gaps[0].Gap) + " into the wall"
	}
	return "; gap to the wall " + words.Girth(gaps[0].Gap) + " to " + words.Girth(gaps[1].Gap)
}

// sectionTitle says where along a way a section is.
func sectionTitle(w analysis.Centreline, at, scale float64) string {
	where := words.Along(at) + " from " + words.Visible(words.StartOf(w)) + ", at " + words.Percent(scale)
	tightest, widest := w.Ends()
	name := func(closed, gaping string, i int) string {
		if answer.IsOpen(w.Stations[i]) {
			return gaping
		}
		return closed
	}
	switch {
	case tightest >= 0 && w.Stations[tightest].Along == at:
		return name("Tightest section, ", "Section with the least wall, ", tightest) + where
	case widest >= 0 && w.Stations[widest].Along == at:
		return name("Widest section, ", "Section with the most wall, ", widest) + where
	}
	return "Section " + where
}

// stationNote says what was measured at a place along a way, for the part larger
// by a factor.
func stationNote(w analysis.Centreline, at, factor float64) string {
	for _, s := range w.Stations {
		if s.Along != at {
			continue
		}
		note := "inner girth " + words.Girth(factor*s.InnerGirth)
		if answer.IsOpen(s) {
			note = "open: wall " + words.Girth(factor*s.InnerGirth) + ", gap " + words.Girth(factor*s.Gap)
		}
		if s.Capacity > 0 {
			note += ", capacity " + words.Girth(factor*s.Capacity)
		}
		return note
	}
	return ""
}

// strapped reports whether only straps hold a part on the body along a way: it is
// open all along, and no girth of the body was compared with it. How much room it
// has then depends on how it is strapped.
func strapped(f *analysis.Findings, w analysis.Centreline) bool {
	if f.Fit != nil && len(f.Fit.Sits)+len(f.Fit.Entries) > 0 {
		return false
	}
	return len(w.Stations) > 0 && !slices.ContainsFunc(w.Stations, func(s analysis.Station) bool { return !answer.IsOpen(s) }) &&
		slices.ContainsFunc(w.Stations, func(s analysis.Station) bool { return s.Capacity == 0 })
}

// curve is the picture of the girths along a way. The body's girths are drawn
// where they rest or pass; those that name no opening belong to the first way.
func curve(f *analysis.Findings, w analysis.Centreline, first bool) picture.Curve {
	strapped := strapped(f, w)
	c := picture.Curve{Title: "Girth " + words.Visible(wayWords(w)) + ", at " + words.Percent(f.Percent), From: words.Visible(words.StartOf(w))}
	for _, s := range w.Stations {
		st := picture.Station{Along: s.Along, Inner: s.InnerGirth, Capacity: s.Capacity, Open: answer.IsOpen(s)}
		if strapped {
			st.Capacity = 0
		}
		c.Stations = append(c.Stations, st)
	}
	c.Tightest, c.Widest = w.Ends()
	if f.Fit == nil {
		return c
	}
	for _, s := range f.Fit.Sits {
		at := s.Along
		switch {
		case s.From == w.From && (s.To == w.To || s.To == "") || s.From == "" && first:
		case s.From == w.To && s.To == w.From:
			at = w.Length - s.Along
		default:
			continue
		}
		c.Needs = append(c.Needs, picture.Need{
			Label: words.BodyLabel(s.Measure), Text: words.Spare(s.Capacity-s.Needed) + ": needs " + wanted(s.Needed, s.Source, s.SD) + ", has " + words.Girth(s.Capacity),
			Along: at, Body: s.Body, Girth: s.Needed, SD: doubt(s.Source, s.SD), Estimated: s.Source == "estimated", Has: s.Capacity,
		})
	}
	for _, e := range f.Fit.Entries {
		at := e.ThroatAlong
		switch {
		case e.Opening == w.From && (e.To == w.To || e.To == ""):
		case e.Opening == w.To && e.To == w.From:
			at = w.Length - at
		default:
			continue
		}
		label := words.BodyLabel(e.Measure)
		if slices.ContainsFunc(f.Fit.Entries, func(o analysis.Entry) bool {
			return o.Measure == e.Measure && o.Opening == e.To && e.Opening == o.To
		}) {
			label += " by " + words.Visible(e.Opening)
		}
		need := picture.Need{
			Label: label, Text: "must pass: needs " + wanted(e.Needed, e.Source, e.SD), Along: math.NaN(), Passes: true,
			Body: e.Body, Girth: e.Needed, SD: doubt(e.Source, e.SD), Estimated: e.Source == "estimated",
		}
		if e.Throat > 0 {
			need.Along, need.Has = at, e.Throat
			need.Text = words.Spare(e.Throat-e.Needed) + " on its way in: needs " + wanted(e.Needed, e.Source, e.SD) + ", has " + words.Girth(e.Throat)
		}
		c.Needs = append(c.Needs, need)
	}
	return c
}

// girthAlt says in words what the picture of the girths shows.
func girthAlt(c picture.Curve, w analysis.Centreline) string {
	var said []string
	if i := c.Tightest; i >= 0 {
		said = append(said, "tightest "+words.Girth(w.Stations[i].InnerGirth)+" at "+words.Along(w.Stations[i].Along))
	}
	for _, n := range c.Needs {
		text, _, _ := strings.Cut(n.Text, ": needs")
		said = append(said, n.Label+" "+text)
	}
	alt := c.Title
	if len(said) > 0 {
		alt += ": " + strings.Join(said, ", ")
	}
	return alt
}

// partAlt says in words what the picture of the part shows.
func partAlt(h picture.Shell) string {
	said := []string{words.Things(len(h.Openings), "opening")}
	if h.Tightest != nil {
		said = append(said, h.TightestText)
	}
	for _, r := range h.Rings {
		said = append(said, r.Text)
	}
	if h.Panel != nil {
		said = append(said, "a panel to take off")
	}
	return h.Title + " from two sides: " + strings.Join(said, ", ")
}

// wanted is a girth that is needed: an estimate with how far it may be off.
func wanted(mm float64, source string, sd float64) string {
	if doubt(source, sd) > 0 {
		return "about " + words.Decimal(mm, 1) + " ± " + words.Girth(sd)
	}
	return words.Girth(mm)
}

// doubt is the standard deviation that is worth drawing: that of an estimate.
func doubt(source string, sd float64) float64 {
	if source == "estimated" {
		return sd
	}
	return 0
}

// howApart says how pieces come apart; those of a file that holds several have no seam.
func howApart(seams int) string {
	if seams == 0 {
		return ", lying clear of each other"
	}
	return ", pulled apart at " + words.Things(seams, "seam")
}
