package analysis

import (
	"fmt"

	"gambeson/analysis/cavity"
)

// Wall is the thinnest wall round the body, at Findings.Percent: all but a
// hundredth of it is thicker.
type Wall struct {
	Thinnest float64    `json:"thinnest_mm"`
	Lines    float64    `json:"nozzle_lines"` // how many lines of the nozzle's width that is
	From     string     `json:"from"`         // the way on which it lies, counted from here
	Along    float64    `json:"along_mm"`
	Center   [3]float64 `json:"where_mm"`
}

const (
	// A shell of fewer lines than three breaks where it bends (common practice, no
	// source).
	fewestLines = 3
	// Rims are often rounded or drawn sharp: the wall is measured from here on,
	// mm (a guess). Where an opening's rim runs along the way, as it does in a cup,
	// a section shows it as the edge in which inside and outside meet, and this is
	// counted from that edge along the wall. An edge that is drawn out thinner over
	// more than this is a thin wall.
	pastRim = 10
	// No more than this of the width of a narrow wall, as that of a bar, is left out
	// at each edge: half of it is measured whatever its width (a guess).
	edgeShare = 0.25
	// The wall that is left out beside an edge is judged by what lies this near to it,
	// mm; where nothing does, as on a bar, it is not left out (a guess).
	besideEdge = 2 * pastRim
	// What the thinnest hundredth of the wall is thinner than does not count: an
	// edge between two ways, a groove, the grain of a texture (a guess).
	thinShare = 0.01
)

// measureWall finds the thinnest wall round the body and warns where it is
// thinner than a shell can be printed strong.
func (f *Findings) measureWall(cavities []cavity.Cavity, brief Brief) {
	var all wallPlaces
	looked := false
	for _, c := range cavities {
		for _, l := range c.Lines {
			all.line++
			for _, s := range l.Stations {
				all.plane(s.Section.Plane)
				atRim := s.Along < pastRim || l.To != cavity.End && l.Length-s.Along < pastRim
				looked = looked || !atRim
				for _, t := range s.Section.Thicknesses(s.Void) {
					all.add(t, s.Section.Plane.Lift(t.At), Wall{Thinnest: t.MM, From: l.From, Along: s.Along}, atRim)
				}
			}
		}
	}
	f.Wall = all.thinnest()
	if f.Wall == nil {
		if looked && !f.Mesh.Closed {
			f.warn("no-wall", fmt.Sprintf("It is a surface without a wall, which cannot be printed as it is. Give it one of %s mm or more in a modelling program, outward, so that the room inside stays.",
				tenths(fewestLines*brief.Printer.Nozzle)))
		}
		return
	}
	f.Wall.Lines = f.Wall.Thinnest / brief.Printer.Nozzle
	if w := f.Wall; w != nil && w.Lines < fewestLines-1e-3 { // as written
		where := ""
		if w.From != "" && w.From != cavity.End {
			where = fmt.Sprintf(", %s mm from opening %s", tenths(w.Along), w.From)
		}
		f.warn("thin-wall", fmt.Sprintf("The wall is only %s mm thick%s: %s lines of a %g mm nozzle, and fewer than %d break easily. %s",
			tenths(w.Thinnest), where, tenths(w.Lines), brief.Printer.Nozzle, fewestLines, f.thicker(brief)))
	}
}

// thicker says what helps a thin wall.
func (f *Findings) thicker(brief Brief) string {
	needed := f.Percent * fewestLines / f.Wall.Lines
	const most = 2 // beyond twice the size it is no longer the same part
	if needed > most*f.Percent {
		return "Thicken it before you print, or print it as it is if it is only there."
	}
	return fmt.Sprintf("It is thick enough from %s %% on; else thicken it, plan for a coat that stiffens it, or print it as it is if it is only there.", ceilTenths(needed))
}
