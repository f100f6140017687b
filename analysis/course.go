package analysis

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// CourseGirth is what of a station is needed to lay parts over each other.
type CourseGirth struct {
	Along float64 // mm on the way
	Girth float64 // inner girth, mm; 0 where the part is not closed there
	Turn  float64 // angle of the way from how it runs at its beginning, radians
}

// closedCover is how far round what is closed goes, in degrees, as near as it is
// reckoned (a guess).
const closedCover = 359

// Girths lists the girths along the way, of all its stations.
func (c Centreline) Girths() []CourseGirth {
	if c.Course != nil {
		return c.Course
	}
	out := make([]CourseGirth, len(c.Stations))
	for i, s := range c.Stations {
		cosine := r3.Dot(runs(s.Normal), runs(c.Stations[0].Normal))
		out[i] = CourseGirth{Along: s.Along, Turn: math.Acos(max(-1, min(1, cosine)))}
		if s.Gap == 0 && s.Cover >= closedCover {
			out[i].Girth = s.InnerGirth
		}
	}
	return out
}

func runs(v [3]float64) r3.Vec { return r3.Unit(r3.Vec{X: v[0], Y: v[1], Z: v[2]}) }
