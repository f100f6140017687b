package analysis

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gambeson/analysis/cavity"
	"gambeson/analysis/fit"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// comesOut names what has to come out at the far end of a shell of each region; the
// others end in the body part that they cover, or only lie on it.
var comesOut = map[string]string{
	"lower_leg": "foot", "knee": "foot", "thigh": "foot", "hips": "foot",
	"forearm": "hand", "elbow": "hand", "upper_arm": "hand",
	"torso": "head", "neck": "head",
}

const (
	// pierced is the width, mm, of an opening near the far end from which on that is
	// narrow and not shut: a drain or a screw hole is less, a child's wrist more (a guess).
	pierced = 30.0
	// behind is how far past the last section, mm, its wall may lie: some stations (a guess).
	behind = 20.0
	// gaping is the share of sections that go less than round the body from which on
	// it comes in by the side (a guess).
	gaping = 0.5
)

// warnShut warns of a shell of m in which the only way leads against a wall, where the
// limb has to come out again: no scale and no cut into halves helps.
func (f *Findings) warnShut(cavities []cavity.Cavity, m *mesh.Mesh, region fit.Region) {
	what, has := comesOut[region.Name]
	if !has {
		return
	}
	for _, c := range cavities {
		for _, l := range c.Lines {
			if l = l.Inward(); !region.Lid(fit.Cup(l)) && !region.LaidOn(l) && walled(c, l, m, region) {
				f.warn("stands-in-way", fmt.Sprintf(shutText+", %s mm from opening %s: no %s comes out there. Take the wall (a base plate, perhaps) away in a modelling program: no scale and no cut into halves makes an opening of it.",
					tenths(l.Length), l.From, what))
				return
			}
		}
	}
}

// shutText begins the warning of a shell that is shut.
const shutText = "It is shut at its far end"

// Shut reports whether the part was said to be shut at its far end.
func (f *Findings) Shut() bool {
	return slices.ContainsFunc(f.Warnings, func(w Warning) bool {
		return w.Code == "stands-in-way" && strings.HasPrefix(w.Text, shutText)
	})
}

// walled reports whether a way of c in m ends at a wall right across it, and none leads
// on from its opening to another.
func walled(c cavity.Cavity, l cavity.Line, m *mesh.Mesh, region fit.Region) bool {
	if l.From == cavity.End || l.To != cavity.End || len(l.Stations) < 2 {
		return false
	}
	for _, other := range c.Lines {
		if from, to := other.From == l.From, other.To == l.From; from && other.To != cavity.End || to && other.From != cavity.End {
			return false
		}
	}
	open := 0
	for i := range l.Stations {
		if region.Gapes(&l.Stations[i]) {
			open++
		}
	}
	last, before := l.Stations[len(l.Stations)-1], l.Stations[max(0, len(l.Stations)-5)]
	if float64(open) >= gaping*float64(len(l.Stations)) || last.Ellipse == nil {
		return false
	}
	for _, o := range c.Openings {
		if o.Name != l.From && o.Width >= pierced && r3.Norm(r3.Sub(o.Center, last.Center)) < last.Ellipse.Major/2+behind {
			return false
		}
	}
	ahead := last.Normal
	if r3.Dot(ahead, r3.Sub(last.Center, before.Center)) < 0 {
		ahead = r3.Scale(-1, ahead)
	}
	sin, cos := math.Sincos(last.Ellipse.Turn)
	against := 0 // of five places, the middle and half of the way to the wall about it
	for _, at := range [5][2]float64{{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		x, y := at[0]*last.Ellipse.Major/4, at[1]*last.Ellipse.Minor/4
		p := r2.Add(last.Ellipse.Center, r2.Vec{X: x*cos - y*sin, Y: x*sin + y*cos})
		if mm, ok := m.Ahead(last.Section.Plane.Lift(p), ahead); ok && mm <= behind {
			against++
		}
	}
	return against >= 4 // one may look through a hole for a screw
}
