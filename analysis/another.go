package analysis

import (
	"math"
	"slices"
	"sync"

	"gambeson/analysis/band"
	"gambeson/analysis/mesh"
)

// Bench tells what bands of one part take, without cutting each anew: a band is
// cut where none was yet, and where one was, it takes as much more as it is
// larger. The zero Bench has cut none; several may use one at the same time.
type Bench struct {
	lock  sync.Mutex
	known []knownBand
}

// knownBand is what a band takes at 100 percent.
type knownBand struct {
	from, to     string
	along        float64
	hours, grams float64
}

// nearBand is how far along the part another band takes the same, mm: two
// stations.
const nearBand = 2 * stationStep

// On answers about another wearer, or with other padding and try-ons, what
// Examine answered: the brief may differ from that one in nothing else. What
// follows in the mesh is left out: no panel, no piece, and no band is cut but to
// tell what it takes. Warnings are only those of the fit and of the try-ons.
// There is no answer where no body was asked about.
func (a *Answer) On(brief Brief, bench *Bench, workers int) (f Findings, ok bool) {
	if a.Kept == nil {
		return f, false
	}
	in, ok := a.Kept.Inside.Unpack()
	if !ok {
		return f, false
	}
	f = a.Findings
	f.Fit, f.Bands, f.Testing, f.Warnings = nil, nil, nil, nil
	brief.Region = *f.Region
	brief.Halves = brief.Halves && !a.Findings.Says(uncut)
	j, ok := f.judge(in, brief, nil)
	if !ok {
		return f, false
	}
	f.warnWear(j.answer, j.brief)
	at := &Answer{Findings: f, Shown: a.Shown, asked: &j.question}
	percent := f.bandPercent(brief)
	names := map[string]bool{}
	for _, t := range at.trials(percent / f.Percent) {
		takes, ok := bench.takes(at, t, brief, workers)
		if !ok {
			continue
		}
		f.Bands = append(f.Bands, Band{
			File: bandFile(t.station.Along, percent, names), Station: t.station.Along, From: t.from, To: t.to,
			Percent: percent, Height: band.Height, Measure: t.measure, Passes: t.passes, Reason: t.reason, Capacity: t.room,
			Hours: takes.hours * asBand(percent/100), Grams: takes.grams * asBand(percent/100),
		})
	}
	if asked, ok := f.weigh(brief); ok {
		f.doubtTryons(asked)
	}
	return f, true
}

// takes is what a band takes at 100 percent; ok is false where none can be cut.
func (b *Bench) takes(a *Answer, t trial, brief Brief, workers int) (k knownBand, ok bool) {
	b.lock.Lock()
	defer b.lock.Unlock()
	at := slices.IndexFunc(b.known, func(k knownBand) bool {
		return k.from == t.from && k.to == t.to && math.Abs(k.along-t.station.Along) <= nearBand
	})
	if at >= 0 {
		return b.known[at], b.known[at].hours > 0
	}
	k = knownBand{from: t.from, to: t.to, along: t.station.Along}
	percent := a.Findings.bandPercent(brief)
	on := costing{f: &a.Findings, brief: brief, workers: workers}
	if cut, err := a.cutBand(t, 1, percent, brief); err == nil {
		for _, m := range append([]*mesh.Mesh{cut.Mesh}, cut.More...) {
			c := on.of(m, upward, brief.Printer)
			k.hours += c.Hours * asBand(100/percent)
			k.grams += c.Grams * asBand(100/percent)
		}
	}
	b.known = append(b.known, k)
	return k, k.hours > 0
}
