//go:build !race

package grid

// underRace says that the race detector is on.
const underRace = false
