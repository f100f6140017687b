package fit

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// strays collects what likely bodies find where they rest at one scale.
type strays struct {
	seat  *Seat
	scale scale
	rooms [][]float64 // by rest, one for each body that has it inside
	spare [][]float64 // the same, less the need
	needs [][]float64
}

func newStrays(s *Seat, factor float64) *strays {
	if s == nil || !(factor > 0) {
		return &strays{}
	}
	n := len(s.rests)
	return &strays{s, even(factor), make([][]float64, n), make([][]float64, n), make([][]float64, n)}
}

// take notes one body.
func (y *strays) take(f figure) {
	if y.seat == nil {
		return
	}
	at := y.seat.best(f, y.scale)
	for i := range y.seat.rests {
		if room, inside := y.seat.room(i, f, y.scale, at.rim); inside && room > 0 {
			y.rooms[i] = append(y.rooms[i], room)
			y.spare[i] = append(y.spare[i], room-f.need[i])
			y.needs[i] = append(y.needs[i], f.need[i])
		}
	}
}

// tell says it of each girth that rests in the part: of the variance of what is
// spare, that which is not of the need itself.
func (y *strays) tell(seated []Seated) {
	if y.seat == nil {
		return
	}
	for k := range seated {
		for i := range y.seat.rests {
			r := &y.seat.rests[i]
			if r.Measure != seated[k].Measure || r.way.To != seated[k].To || len(y.rooms[i]) < 2 {
				continue
			}
			own := stat.Variance(y.spare[i], nil) - stat.Variance(y.needs[i], nil)
			seated[k].Strays = seated[k].Room * math.Sqrt(max(0, own)) / stat.Mean(y.rooms[i], nil)
		}
	}
}
