//go:build !race

package analysis

// underRace says that the race detector is on.
const underRace = false
