//go:build race

package cost

// The race detector makes all of this twenty times slower.
const (
	mostFacets = 300
	mostLies   = 1
	runs       = 4
	steps      = 50_000
)
