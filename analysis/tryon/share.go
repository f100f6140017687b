package tryon

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Correlation is how much two needs have in common: common is the standard
// deviation of what moves both (the tape's error on the one measure they share,
// the ease that the wearer prefers), ownA and ownB of what moves one alone; mm.
// 0 where nothing moves.
func Correlation(common, ownA, ownB float64) float64 {
	if common == 0 {
		return 0
	}
	return common * common / (math.Hypot(common, ownA) * math.Hypot(common, ownB))
}

const (
	rounds   = 50   // of passing on what was learnt
	restless = 1e-9 // share of a standard deviation below which nothing moves
)

// Share returns what is believed of each station once the answers of all are
// learnt: what one calf found moves the other, and what else rests on a calf.
// correlation says of two stations (i < j, by their place) how much their needs
// have in common, −1 to 1. The needs are one normal vector before the answers;
// what a station's answers say is passed on to the others as a mean and a
// variance (expectation propagation, Minka 2001), to the station itself as it
// is. Beliefs are parallel to stations.
func Share(stations []Station, correlation func(i, j int) float64) ([]*Belief, error) {
	w, err := newWeb(stations, correlation)
	if err != nil {
		return nil, err
	}
	for range rounds {
		moved := 0.0
		for i := range stations {
			moved = max(moved, w.learn(i))
		}
		if moved < restless {
			break
		}
	}
	out := make([]*Belief, len(stations))
	for i, s := range stations {
		s.Mean, s.SD = w.others(i)
		if out[i], err = Believe(s); err != nil {
			return nil, fmt.Errorf("station %d: %w", i+1, err)
		}
	}
	return out, nil
}

// web is the needs of all stations as one normal vector, with what each
// station's own answers have put into it: a precision and that times a mean.
type web struct {
	stations []Station
	mean     []float64
	cov      *mat.SymDense
	put      []struct{ precision, shift float64 }
}

func newWeb(stations []Station, correlation func(i, j int) float64) (*web, error) {
	n := len(stations)
	w := &web{stations: stations, put: make([]struct{ precision, shift float64 }, n)}
	if n == 0 {
		return w, nil
	}
	w.cov = mat.NewSymDense(n, nil)
	together := mat.NewSymDense(n, nil)
	for i, s := range stations {
		if err := s.check(); err != nil {
			return nil, fmt.Errorf("station %d: %w", i+1, err)
		}
		w.mean = append(w.mean, s.Mean)
		w.cov.SetSym(i, i, s.SD*s.SD)
		together.SetSym(i, i, 1+1e-9) // those that are one need are allowed
		for j := range i {
			r := correlation(j, i)
			if !(r >= -1 && r <= 1) {
				return nil, fmt.Errorf("a correlation of %v between stations %d and %d; it must be from -1 to 1", r, j+1, i+1)
			}
			together.SetSym(j, i, r)
			w.cov.SetSym(j, i, r*s.SD*stations[j].SD)
		}
	}
	if !new(mat.Cholesky).Factorize(together) {
		return nil, fmt.Errorf("the correlations of %d stations cannot hold together", n)
	}
	return w, nil
}

// others is the normal belief about a station without its own answers.
func (w *web) others(i int) (mean, sd float64) {
	mean, variance := w.mean[i], w.cov.At(i, i)
	if own := w.put[i]; variance > 0 && own.precision != 0 {
		left := 1/variance - own.precision
		mean = (mean/variance - own.shift) / left
		variance = 1 / left
	}
	return mean, math.Sqrt(max(0, variance))
}

// learn puts what a station's answers say into the web anew, and returns by how
// many standard deviations its mean or spread moved.
func (w *web) learn(i int) float64 {
	s, v := w.stations[i], w.cov.At(i, i)
	if len(s.Answers) == 0 || v == 0 {
		return 0
	}
	own := w.put[i]
	if left := 1/v - own.precision; left <= 0 {
		return 0 // the others' say is lost for this round
	}
	s.Mean, s.SD = w.others(i)
	b, err := Believe(s)
	if err != nil {
		return 0
	}
	mean, sd := b.Mean(), b.SD()
	if sd == 0 {
		return 0
	}
	off, shrink := (mean-w.mean[i])/v, (sd*sd-v)/(v*v)
	w.put[i].precision = 1/(sd*sd) - 1/(s.SD*s.SD)
	w.put[i].shift = mean/(sd*sd) - s.Mean/(s.SD*s.SD)
	moved := math.Abs(off)*math.Sqrt(v) + math.Abs(sd/math.Sqrt(v)-1)
	column := mat.Col(nil, i, w.cov)
	for k := range w.mean {
		w.mean[k] += column[k] * off
	}
	w.cov.SymRankOne(w.cov, shrink, mat.NewVecDense(len(column), column))
	return moved
}
