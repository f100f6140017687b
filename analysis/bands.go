package analysis

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gambeson/analysis/band"
	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// trial is a place where a test band tells something of the fit.
type trial struct {
	from, to string  // the way as the findings have it
	station  Station // on it
	measure  string
	passes   bool // the measure passes there; else it rests
	needed   float64
	room     float64 // at the scale of the band
	sd       float64 // of the measure
	lead     bool    // looseness is judged there
	loose    float64 // room from which on it counts as loose, 0 where it never does
	reason   string
}

// A fit is settled without a band where room and need differ by more than a
// measure is off by other than a blunder: three standard deviations or a tenth
// of the girth (a guess); and where it is not as near to being loose, by the first.
const (
	settledSD    = 3
	settledShare = 0.1
)

func (t trial) settled() bool {
	return math.Abs(t.room-t.needed) > max(settledSD*t.sd, settledShare*t.needed) &&
		(t.loose == 0 || math.Abs(t.room-t.loose) > settledSD*t.sd)
}

// ratio is how much of its need a measure has there.
func (t trial) ratio() float64 { return t.room / t.needed }

// cutBands cuts the fewest test bands that settle the fit, the most telling
// first, at the scale that would be printed, on so many processors.
func (a *Answer) cutBands(brief Brief, workers int) {
	a.cutBandsAt(brief, a.Findings.bandPercent(brief), workers)
}

// cutBandsAt cuts them at a scale, in place of any that were cut before; at the
// same places whatever the scale.
func (a *Answer) cutBandsAt(brief Brief, percent float64, workers int) {
	f := &a.Findings
	a.Bands, f.Bands = nil, nil
	f.Warnings = slices.DeleteFunc(f.Warnings, func(w Warning) bool {
		return w.Code == codeNoBand || w.Code == codeBandOpen || w.Code == codeBandLarge
	})
	if f.Says("no-wall", "not-held") || f.OnlyCovers() {
		return
	}
	names := map[string]bool{}
	trials := a.trials(f.bandPercent(brief) / f.Percent)
	cuts := make([]func() cutting, len(trials))
	for row, t := range trials {
		var settle func()
		cuts[row], settle = ahead(workers > 1 && row > 0, func() (c cutting) { // the first is cut here
			c.Band, c.err = a.cutBand(t, row+1, percent, brief)
			return c
		})
		defer settle()
	}
	for row, t := range trials {
		cut := cuts[row]()
		if cut.err != nil {
			f.note(codeNoBand, "A test band was not cut: "+cut.err.Error()+".")
			continue
		}
		f.noteBand(cut.Band, t)
		for i, m := range append([]*mesh.Mesh{cut.Mesh}, cut.More...) {
			out := Band{
				File: bandFile(t.station.Along, percent, names), Station: t.station.Along, From: t.from, To: t.to,
				Percent: percent, Height: cut.Height, Measure: t.measure, Passes: t.passes, Reason: t.reason,
				Capacity: t.room * percent / f.bandPercent(brief),
				Arcs:     cut.Arcs, Notches: cut.Notches, Text: cut.Text, Flats: cut.Flats,
				Apart: cut.Apart,
			}
			if len(cut.More) > 0 {
				out.Sheet = i + 1
			}
			a.Bands, f.Bands = append(a.Bands, brief.Printer.laid(m)), append(f.Bands, out)
		}
	}
}

// cutting is a band, or why there is none.
type cutting struct {
	band.Band
	err error
}

// cutBand cuts one band, with as many notches as its row has.
func (a *Answer) cutBand(t trial, row int, percent float64, brief Brief) (band.Band, error) {
	where := MeasureWords(t.measure)
	if t.measure == "" {
		where = fmt.Sprintf("%.0fmm", t.station.Along)
	}
	out, err := band.Cut(a.Shown, band.Wish{
		At: vec(t.station.Center), Normal: vec(t.station.Normal), Factor: percent / a.Findings.Percent,
		Marks: band.Marks{Notches: row, Texts: bandTexts(brief.Part, where, percent), Nozzle: brief.Printer.Nozzle},
		Fits:  brief.Printer.holds,
	})
	if err != nil {
		return out, err
	}
	for _, m := range append([]*mesh.Mesh{out.Mesh}, out.More...) {
		if area, volume := m.Measure(); 2*volume < noBand*area {
			return out, errors.New("its walls would hold no material, as where a shell lies twice in one place and once inside out; look at the mesh")
		}
	}
	return out, nil
}

// noBand is the thickness of wall in the mean, mm, below which a band is none: no nozzle
// draws a line so thin.
const noBand = 0.1

// Codes of notes about bands.
const (
	codeNoBand    = "no-band"
	codeBandOpen  = "band-open"
	codeBandLarge = "band-large"
)

// noteBand says what is not as one would wish it.
func (f *Findings) noteBand(b band.Band, t trial) {
	if b.Flaws.Any() {
		f.note(codeBandOpen, fmt.Sprintf("The surface is open where the test band at %.0f mm was cut, so the band's mesh is not closed; look at its preview before printing.", t.station.Along))
	}
	if b.TooLarge {
		f.note(codeBandLarge, fmt.Sprintf("The test band at %.0f mm does not fit the bed, and could not be parted into arcs that do.", t.station.Along))
	}
}

// holds reports whether something fits the bed as it lies or turned.
func (p Printer) holds(m *mesh.Mesh) bool { return bed.Place(m, p.Volume()).Turned.Fits(1) }

// laid returns what fits the bed only turned about the vertical as it lies then.
func (p Printer) laid(m *mesh.Mesh) *mesh.Mesh {
	if lies := bed.Place(m, p.Volume()); !lies.AsIs.Fits(1) && lies.Turned.Fits(1) {
		return bed.Spot{Turn: lies.Turned.Turn}.Put(m)
	}
	return m
}

// farOff is how far outside the range that fits, as a share, a scale that somebody wants
// may lie and still be thought over: common scales of a suit leave the range a little,
// and a file that was rescaled without its percent taken back is far from it (a guess).
const farOff = 0.05

// holdsTo reports whether the scale that somebody wants is the one to think about.
func (f *Findings) holdsTo(brief Brief) bool {
	if !brief.PercentSet || f.Fit == nil || len(brief.Tryons) > 0 {
		return brief.PercentSet // what was tried on may show another range than the tape
	}
	if f.TooRoomy() && f.Fit.WornOpened() {
		return false
	}
	least, most := f.Fit.Rests, f.Fit.Loosest
	return f.Percent >= least*(1-farOff) && (most == 0 || f.Percent <= max(least, f.Fit.Smallest, most)*(1+farOff))
}

// bandPercent is the scale that would be printed: the one that is wanted, where that is
// not far off, else the recommended one in halves of a percent, which do not take it
// below the smallest.
func (f *Findings) bandPercent(brief Brief) float64 {
	if f.holdsTo(brief) || f.Fit == nil || !(f.Fit.Recommended > 0) {
		return f.Percent
	}
	if rounded := math.Round(2*f.Fit.Recommended) / 2; rounded >= f.Fit.Smallest || f.Fit.Recommended < f.Fit.Smallest {
		return rounded
	}
	return math.Ceil(2*f.Fit.Recommended) / 2
}

// trials chooses where bands are cut, for the part at factor times its size:
// the throat of the entry, the tightest sit, the one by which the part counts as
// loose, and on each further way what rests there. What is settled anyhow needs
// no band, but there is always one.
func (a *Answer) trials(factor float64) []trial {
	f := &a.Findings
	var all []trial
	if a.asked != nil {
		all = f.rests(a, factor)
		if !f.Fit.Opened() { // else what does not pass comes in by the side
			all = append(f.throats(a, factor), all...)
		}
	}
	if len(all) == 0 {
		if t, ok := f.tightestTrial(); ok {
			return []trial{t}
		}
		return nil
	}
	slices.SortStableFunc(all, func(a, b trial) int { return cmp.Compare(a.ratio(), b.ratio()) })
	open := slices.DeleteFunc(slices.Clone(all), trial.settled)
	if len(open) == 0 {
		open = all[:1]
	}
	return merged(open, band.Height/factor)
}

// throats returns the narrowest of the ways in, where the body enters.
func (f *Findings) throats(a *Answer, factor float64) []trial {
	var worst []trial
	for _, e := range a.asked.Entries {
		t := trial{measure: e.Measure, passes: true, needed: e.Needed, room: factor * e.Throat, sd: e.Body.SD,
			reason: "where the " + MeasureWords(e.Measure) + " has the least room on its way in"}
		if f.setOn(&t, e.Opening, e.To, e.Along) && (len(worst) == 0 || t.ratio() < worst[0].ratio()) {
			worst = []trial{t}
		}
	}
	return worst
}

// rests returns the sits that decide: the tightest of all, the leading one, and
// the tightest of each measure on other ways than theirs.
func (f *Findings) rests(a *Answer, factor float64) []trial {
	var all []trial
	for _, s := range a.asked.SeatedAt(factor) {
		if s.Hole {
			continue // a tape tells as much
		}
		t := trial{measure: s.Measure, needed: s.Needed, room: s.Room, sd: s.Body.SD, lead: s.Lead && f.Fit.Loosest > 0,
			reason: "where the " + MeasureWords(s.Measure) + " rests"}
		if shell := f.Fit.Shell; t.lead && shell != nil {
			t.loose = s.Needed + shell.Loosest - shell.Ease
		}
		if f.setOn(&t, s.From, s.To, s.Along) {
			all = append(all, t)
		}
	}
	slices.SortStableFunc(all, func(a, b trial) int { return cmp.Compare(a.ratio(), b.ratio()) })
	var out []trial
	for i, t := range all {
		onWay := func(o trial) bool { return o.from == t.from && o.to == t.to }
		same := func(o trial) bool { return o.measure == t.measure }
		switch {
		case i == 0:
			t.reason += " and has the least room"
		case t.lead && !slices.ContainsFunc(out, same):
			t.reason += ": by it the part counts as loose"
		case slices.ContainsFunc(out, onWay), slices.ContainsFunc(out, same):
			continue
		}
		out = append(out, t)
	}
	return out
}

// merged joins trials that one band of a height serves: each goes to the first
// that is near enough.
func merged(all []trial, height float64) []trial {
	var out []trial
next:
	for _, t := range all {
		for i := range out {
			if o := &out[i]; near(o.station, t.station, height) {
				o.reason += "; also " + t.reason
				continue next
			}
		}
		out = append(out, t)
	}
	return out
}

// alike is the cosine of the angle, 25°, up to which two bands lie alike (a
// guess).
const alike = 0.9

// near reports whether two stations are in reach of one band.
func near(a, b Station, height float64) bool {
	return r3.Norm(r3.Sub(vec(a.Center), vec(b.Center))) < height &&
		math.Abs(r3.Dot(vec(a.Normal), vec(b.Normal))) > alike
}

// tightestTrial is the tightest place of a part of which no more is known.
func (f *Findings) tightestTrial() (t trial, ok bool) {
	s, ok := f.Tightest()
	if !ok {
		return t, false
	}
	t = trial{station: s, reason: "the tightest place of the part"}
	if s.Gap > 0 {
		t.reason = "where the wall is shortest from rim to rim"
	}
	for _, l := range f.Ways() {
		for _, o := range l.Stations {
			if o.Center == s.Center && o.Along == s.Along {
				t.from, t.to = l.From, l.To
			}
		}
	}
	return t, true
}

// setOn puts a trial on the station nearest to a place on the way between two
// openings, counted from the first.
func (f *Findings) setOn(t *trial, from, to string, along float64) bool {
	least := math.Inf(1)
	for _, l := range f.Ways() {
		at := along
		switch {
		case l.From == from && l.To == to:
		case l.From == to && l.To == from:
			at = l.Length - along
		default:
			continue
		}
		for _, s := range l.Stations {
			if off := math.Abs(s.Along - at); off < least {
				t.station, t.from, t.to, least = s, l.From, l.To, off
			}
		}
	}
	return !math.IsInf(least, 1)
}

// bandPlace returns the station that is shown: where the first band is cut, else
// the tightest.
func (f *Findings) bandPlace() (Station, bool) {
	var t trial
	if len(f.Bands) > 0 && f.setOn(&t, f.Bands[0].From, f.Bands[0].To, f.Bands[0].Station) {
		return t.station, true
	}
	return f.Tightest()
}

// bandTexts are what may stand on a band, the longest first: the part, the
// place and the scale.
func bandTexts(part, where string, percent float64) []string {
	name := path.Base(part)
	name = strings.TrimSuffix(name, path.Ext(name))
	scale := strings.TrimSuffix(tenths(percent), ".0") + "%"
	var out []string
	for _, words := range []string{name + " " + where, shortName(name) + " " + where, where, ""} {
		out = append(out, band.Spellable(words+" "+scale))
	}
	return out
}

// shortName is the first letters of a name.
func shortName(name string) string {
	const most = 8
	if runes := []rune(name); len(runes) > most {
		return string(runes[:most])
	}
	return name
}

// bandFile names the file of a band by the place it is cut at and its scale;
// where that is taken already a number goes on.
func bandFile(along, percent float64, taken map[string]bool) string {
	name := fmt.Sprintf("bands/%03.0fmm", along)
	if percent != 100 {
		name += "-at-" + strings.TrimSuffix(tenths(percent), ".0") + "-percent"
	}
	for n, first := 2, name; taken[name]; n++ {
		name = fmt.Sprintf("%s-%d", first, n)
	}
	taken[name] = true
	return name + ".stl"
}

var bandName = regexp.MustCompile(`^[0-9]{3,}mm(?:-at-([0-9.]+)-percent)?(?:-[0-9]+)?\.stl$`)

// BandScale is the scale of a band by the name of its file, without its folder; false
// where that is no band's name.
func BandScale(file string) (percent float64, ok bool) {
	found := bandName.FindStringSubmatch(file)
	if found == nil {
		return 0, false
	}
	if found[1] == "" {
		return 100, true
	}
	percent, err := strconv.ParseFloat(found[1], 64)
	return percent, err == nil
}
