package cavity

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// across is the angle between a way and the facing of an opening above which the
	// opening lies in the wall beside the way (a guess: the rim of a limb is cut at 45°
	// at most).
	across = 50 * math.Pi / 180
	// passed is how far a way goes on beyond an opening beside it at least, mm (a guess).
	passed = 15
	// beyond is how far off it lies at most, against the mean radius of the shell there (a
	// guess: in the wall it is about 1).
	beyond = 1.5
)

// Passes reports whether an opening that the line does not lead to lies beside it, in the
// wall: a window or a cut-out of a limb's shell, and the armhole of a torso from its waist
// to its neck.
func (l *Line) Passes(o *Opening) bool {
	if l.From == o.Name || l.To == o.Name || len(l.Stations) == 0 {
		return false
	}
	at, least := 0, math.Inf(1)
	for i := range l.Stations {
		if far := r3.Norm(r3.Sub(l.Stations[i].Center, o.Center)); far < least {
			at, least = i, far
		}
	}
	s := &l.Stations[at]
	return least < beyond*(s.InnerGirth+s.Gap)/(2*math.Pi) && s.Along > passed && s.Along < l.Length-passed && math.Abs(r3.Dot(s.Normal, o.Facing)) < math.Cos(across)
}

// passes is Passes for a line on its way to be measured.
func (l *line) passes(o *Opening) bool {
	const step = 2 // mm
	out := Line{From: "from", To: "to", Length: l.curve.length()}
	for s := 0.0; s < out.Length; s += step {
		out.Stations = append(out.Stations, Station{Along: s, Center: l.curve.at(s), Normal: l.curve.run(s), InnerGirth: 2 * math.Pi * l.curve.reach})
	}
	return out.Passes(o)
}
