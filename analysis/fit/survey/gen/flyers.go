package main

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// figure is a printed mean and standard deviation, mm.
type figure struct{ mean, sd float64 }

// men1967 is what USAF 1967 (Churchill, Kikta and Churchill 1977) has of 2420
// flyers.
var men1967 = map[string]figure{
	"instep_girth":          {256.93, 12.07},
	"heel_girth":            {339.46, 14.12},
	"ball_girth":            {248.40, 12.31},
	"hand_girth":            {215.54, 9.36},
	"hand_over_thumb_girth": {257.54, 10.81},
}

// difference is the standard deviation of one measure less another in the same
// person, mm, from the same survey.
type difference struct {
	one, other string
	sd         float64
}

var differences1967 = []difference{
	{"instep_girth", "heel_girth", 8.8},
	{"instep_girth", "ball_girth", 8.2},
	{"heel_girth", "ball_girth", 10.3},
	{"hand_over_thumb_girth", "hand_girth", 5.8},
}

// flyers lists what comes from 1967.
func flyers() []neighbour {
	return []neighbour{
		{"instep_girth", []string{"heel_girth", "ball_girth"}},
		{"hand_over_thumb_girth", []string{"hand_girth"}},
	}
}

// flyerLines returns the regressions of USAF 1967.
func flyerLines() ([]relation, error) {
	var out []relation
	for _, o := range flyers() {
		r, err := normal1967(append([]string{o.measure}, o.by...)).line(o.measure, o.by)
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}

// normal1967 returns the distribution of measures whose differences are all
// known: the covariance of two is half of what the sum of their variances is
// above the variance of their difference. Logarithms are taken to first order.
func normal1967(names []string) normal {
	n := normal{names: names, mean: make([]float64, len(names)), cov: mat.NewSymDense(len(names), nil)}
	for i, one := range names {
		a := men1967[one]
		n.mean[i] = math.Log(a.mean) - a.sd*a.sd/(2*a.mean*a.mean)
		n.cov.SetSym(i, i, a.sd*a.sd/(a.mean*a.mean))
		for j := range i {
			b := men1967[names[j]]
			for _, d := range differences1967 {
				if d.one == one && d.other == names[j] || d.one == names[j] && d.other == one {
					n.cov.SetSym(i, j, (a.sd*a.sd+b.sd*b.sd-d.sd*d.sd)/(2*a.mean*b.mean))
				}
			}
		}
	}
	return n
}
