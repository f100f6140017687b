package main

import (
	"slices"

	"gambeson/analysis"
)

// kinship is what was found of the likeness of parts, to be found again only
// when a shape has changed: every pair is looked at.
type kinship struct {
	of  []shaped
	all []analysis.Relation
}

// shaped is a part with its shape (analysis.Findings.Shape); an unchanged one is
// the same in memory.
type shaped struct {
	part  string
	shape any
}

// among returns how parts are alike, the oldest first.
func (k *kinship) among(found []*analysis.Findings) []analysis.Relation {
	of := make([]shaped, 0, len(found))
	for _, f := range found {
		if f != nil {
			of = append(of, shaped{f.Part, f.Shape})
		}
	}
	if k.of == nil || !slices.Equal(k.of, of) {
		k.of, k.all = of, analysis.Nearest(analysis.Kin(found))
	}
	return k.all
}
