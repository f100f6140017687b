//go:build !race

package cost

// How much is tried.
const (
	mostFacets = 5000
	mostLies   = 3
	runs       = 40
	steps      = 200_000
)
