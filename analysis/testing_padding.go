package analysis

import (
	"math"
	"strings"

	"gambeson/analysis/fit"
)

// sameFile is how far the scale that a capacity stands for may be from the one that was
// noted, as a share of it, for the file to be the one that was tried on (a guess). A file
// is rescaled by more than that to be worth it; and by less differs the room where a
// measure rests over other padding, as it rests elsewhere then.
const sameFile = 0.02

// leastRoom is what is left of a room, mm, that more padding than goes into it takes up: no
// body goes in there, however much more it is.
const leastRoom = 1.0

// pads returns the padding that it was tried over and what there is of it now, mm on each
// side, where the body rests or passes.
func (e Tryon) pads(now Shell, passes bool) [2]float64 {
	noted, mm := e.Padding, now.Padding
	if passes {
		noted, mm = e.EntryPadding, now.EntryPadding
	}
	if noted == nil {
		return [2]float64{mm, mm}
	}
	return [2]float64{*noted, mm}
}

// over returns the room over the padding that there is now which is for the body what a
// room was over the padding tried: the curve at a distance r from a convex one is 2πr
// longer (Steiner). What both are is nil where they are the same.
func (e Tryon) over(now Shell, passes bool, room float64) (float64, *[2]float64) {
	pads := e.pads(now, passes)
	if pads[0] == pads[1] {
		return room, nil
	}
	return max(leastRoom, room+2*math.Pi*(pads[1]-pads[0])), &pads
}

// noted is the scale of the file as it lies at which something was tried whose capacity
// stands for another: as it was noted, unless the file is not the same any more.
func (e Tryon) noted(stands float64) float64 {
	if math.Abs(stands-e.Percent) <= sameFile*e.Percent {
		return e.Percent
	}
	return stands
}

// Told is the scale that was tried, as who tried it knows it; see Noted.
func (e Tried) Told() float64 {
	if e.Noted > 0 {
		return e.Noted
	}
	return e.Percent
}

// Over says over what it was tried where there is other padding now: " over 5 mm of
// padding"; else "".
func (e Tried) Over() string {
	if e.Padding == nil {
		return ""
	}
	return " over " + millimetres(e.Padding[0]) + " of padding"
}

// Reckoned says what it was tried over and what it is reckoned for, where these differ:
// "tried over 5 mm of padding, reckoned for 12 mm"; else "".
func (e Tried) Reckoned() string {
	if e.Padding == nil {
		return ""
	}
	return "tried" + e.Over() + ", reckoned for " + millimetres(e.Padding[1])
}

// millimetres writes the thickness of a layer: 5 mm, 2.5 mm.
func millimetres(mm float64) string { return strings.TrimSuffix(tenths(mm), ".0") + " mm" }

// Padding returns what a brief asks to lie between skin and shell of the part, mm on each
// side, where the body rests and where it only passes; false where neither the brief nor
// the findings, which may be nil, tell what the part covers, on which that depends.
func (f *Findings) Padding(b Brief) (rests, passes float64, ok bool) {
	name, _ := b.covers()
	if b.Region.Name == "" && f != nil && f.Region != nil {
		name = f.Region.Name
	}
	region, known := fit.Of(name)
	s := b.Shell.on(region)
	return s.Padding, s.EntryPadding, known || b.Shell.Asked.Padding
}
