// Package analysis answers what a costume maker asks of one mesh before the
// real print. A Brief says what is asked, Findings are the answers.
package analysis

import (
	"gambeson/analysis/cost"

	"gonum.org/v1/gonum/spatial/r3"
)

// Brief is what is asked of one part: everything beyond the mesh itself that
// an answer depends on. Lengths are mm. It is plain data: two equal briefs
// over the same bytes give the same findings.
type Brief struct {
	// Part is the name of the part, its path from the suit folder on: what it
	// covers is guessed from it.
	Part    string  `json:"part"`
	Percent float64 `json:"percent"` // scale wanted, percent of the file as it lies
	// PercentSet: somebody wants that scale; else it is only what the file is.
	PercentSet bool    `json:"percent_set"`
	Unit       string  `json:"unit"` // unit named in suit.toml; "" leaves it to the file
	Region     Region  `json:"region"`
	Axis       *r3.Vec `json:"axis"`   // forced way through the part, nil where free
	Enter      string  `json:"enter"`  // opening by which the body enters, "" where free
	Halves     bool    `json:"halves"` // parted along its length: nothing has to pass
	// Strapped: open along its length and opened to put on: nothing has to pass.
	Strapped bool `json:"strapped"`
	// Glued: closed for good, also where its pieces part along its length, which
	// otherwise counts as strapped.
	Glued bool `json:"glued"`
	// Rest pins how far in the region's leading measure rests, in mm from the rim
	// of the opening by which the body enters; nil lets the body slide.
	Rest *float64 `json:"rest"`
	// Assembly names the shell of which this file is a piece, "" where it is
	// whole, and Mates the other files of it with the sums of their bytes.
	// Named says that suit.toml names them; else their faces were found to meet.
	Assembly string `json:"assembly"`
	Named    bool   `json:"named"`
	Mates    []Mate `json:"mates"`
	// Apart names files with which this one made a shell before and which it no
	// longer meets.
	Apart []string `json:"apart"`
	// Gone names those that are no longer there.
	Gone []string `json:"gone"`
	// Renamed names those that are there under another name than suit.toml has or
	// than they had, by the old one; it may be among Mates, or this file's own.
	Renamed map[string]string `json:"renamed"`
	// Lost are the sums of the bytes of all in Gone and Renamed, as far as known.
	Lost map[string]string `json:"lost"`
	// Rival names a file that lies in the same place and was taken for a piece of a
	// shell instead of this one: a copy, or another version.
	Rival string `json:"rival"`
	// Panel is the side on which a panel comes off: back, front, left, right,
	// inner, outer; "" is the back.
	Panel string `json:"panel"`

	Printer  Printer  `json:"printer"`
	Second   *Printer `json:"second_printer"` // another bed to look at, nil where there is none
	Filament Filament `json:"filament"`
	Shell    Shell    `json:"shell"`
	Wearer   Wearer   `json:"wearer"`
	// Calibration is what prints that were made say of the forecast of hours and
	// grams; the zero one where none are known.
	Calibration cost.Calibration `json:"calibration"`
	// Printed is the scale at which the part was printed, percent of the file; 0 where
	// it was not.
	Printed float64 `json:"printed"`
	// Tryons are what was found when this part was tried on, in the order of the
	// logbook.
	Tryons []Tryon `json:"tryons"`
}

// Printer is the machine. A round bed has Diameter > 0 and Bed zero.
type Printer struct {
	Bed      [2]float64 `json:"bed"` // width (x), depth (y)
	Diameter float64    `json:"diameter"`
	Height   float64    `json:"height"`
	// Strips cannot be printed on: x and y of the low corner from the bed's (of
	// the square round a round one), width, depth.
	Strips       [][4]float64 `json:"strips"`
	Margin       float64      `json:"margin"` // kept free at the bed's edge and round strips: skirt, brim
	Nozzle       float64      `json:"nozzle"`
	Layer        float64      `json:"layer"`
	Walls        int          `json:"walls"`
	Infill       float64      `json:"infill"`       // share 0–1
	Speed        float64      `json:"speed"`        // mm/s along walls
	Flow         float64      `json:"flow"`         // mm³/s at most
	Acceleration float64      `json:"acceleration"` // mm/s²
}

// Filament is what is printed with.
type Filament struct {
	Diameter float64 `json:"diameter"` // mm
	Density  float64 `json:"density"`  // g/cm³
}

// Shell is what lies between skin and shell, and what is wanted of the fit.
type Shell struct {
	Padding      float64 `json:"padding"`       // foam and undersuit, each side
	EntryPadding float64 `json:"entry_padding"` // what remains of it on the way in
	Liner        float64 `json:"liner"`         // reinforcement added to the inside
	Ease         float64 `json:"ease"`          // girth wanted on top
	Loosest      float64 `json:"loosest"`       // ease above which a part is loose
	Undersuit    float64 `json:"undersuit"`     // what of the padding is undersuit
	// Asked tells which of them suit.toml gives: for the others the region's own
	// default holds.
	Asked Asked `json:"asked"`
}

// Asked tells what a person has asked for.
type Asked struct {
	Padding bool `json:"padding"`
	Ease    bool `json:"ease"`
	Loosest bool `json:"loosest"`
}

// Mate is another file of the same shell.
type Mate struct {
	Part string `json:"part"` // relative to the suit folder
	Sum  string `json:"sum"`  // of its bytes, hexadecimal
	// Unit named in suit.toml, and the scale wanted of it in percent.
	Unit    string  `json:"unit"`
	Percent float64 `json:"percent"`
}

// Wearer holds the body measurements that were given.
type Wearer struct {
	// Measures holds girths and lengths in mm by their name, with a suffix
	// ".left" or ".right" where a side was given: "calf_girth.left".
	Measures map[string]float64 `json:"measures"`
	Weight   float64            `json:"weight"` // kg, 0 where not given
	Sex      string             `json:"sex"`    // female, male or "" where not given
	// OverUndersuit: girths were taken over the undersuit, not on the skin.
	OverUndersuit bool `json:"over_undersuit"`
	// Inches: most lengths were given in inches or feet, so that reports say
	// inches beside mm.
	Inches bool `json:"inches,omitempty"`
}

// Measure returns the wearer's measure on a side ("left", "right" or ""),
// falling back from the side to the plain one; ok is false where none was given.
func (w Wearer) Measure(name, side string) (mm float64, ok bool) {
	if side != "" {
		if mm, ok = w.Measures[name+"."+side]; ok {
			return mm, true
		}
	}
	mm, ok = w.Measures[name]
	return mm, ok
}

// DefaultBrief is what holds where suit.toml says nothing: a common desktop
// printer with a 0.4 mm nozzle and PLA, and the padding of a plain costume
// (common practice, no source; knitted undersuit 1 mm, likewise; PLA density 1.24 g/cm³ from its data sheet).
func DefaultBrief() Brief {
	return Brief{
		Percent: 100,
		Region:  Region{Source: "unknown"},
		Printer: Printer{
			Bed: [2]float64{220, 220}, Height: 250, Margin: 5,
			Nozzle: 0.4, Layer: 0.2, Walls: 3, Infill: 0.15,
			Speed: 60, Flow: 12, Acceleration: 1500,
		},
		Filament: Filament{Diameter: 1.75, Density: 1.24},
		Shell:    Shell{Padding: 5, EntryPadding: 2, Ease: 6, Loosest: 40, Undersuit: 1},
	}
}
