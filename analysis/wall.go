package analysis

import (
	"fmt"

	"gambeson/analysis/cavity"
)

// Wall is the thinnest wall round the body, at Findings.Percent.
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
	// mm (a guess).
	pastRim = 10
)

// measureWall finds the thinnest wall round the body and warns where it is
// thinner than a shell can be printed strong.
func (f *Findings) measureWall(cavities []cavity.Cavity, brief Brief) {
	for _, c := range cavities {
		for _, l := range c.Lines {
			for _, s := range l.Stations {
				if s.Along < pastRim || l.To != cavity.End && l.Length-s.Along < pastRim {
					continue
				}
				thin, ok := s.Section.Thinnest(s.Void)
				if !ok || f.Wall != nil && thin.MM >= f.Wall.Thinnest {
					continue
				}
				f.Wall = &Wall{
					Thinnest: thin.MM, Lines: thin.MM / brief.Printer.Nozzle, From: l.From, Along: s.Along,
					Center: triple(s.Section.Plane.Lift(thin.At)),
				}
			}
		}
	}
	if w := f.Wall; w != nil && w.Lines < fewestLines-1e-3 { // as written
		f.warn("thin-wall", fmt.Sprintf("The wall is only %s mm thick, %s mm from opening %s: %s lines of a %g mm nozzle, and fewer than %d break easily. %s",
			tenths(w.Thinnest), tenths(w.Along), w.From, tenths(w.Lines), brief.Printer.Nozzle, fewestLines, f.thicker(brief)))
	}
}

// thicker says what helps a thin wall.
func (f *Findings) thicker(brief Brief) string {
	needed := f.Percent * fewestLines / f.Wall.Lines
	const most = 2 // beyond twice the size it is no longer the same part
	if needed > most*f.Percent {
		return "Thicken it before you print."
	}
	return fmt.Sprintf("It is thick enough from %s %% on; else thicken it, or plan for a coat that stiffens it.", ceilTenths(needed))
}
