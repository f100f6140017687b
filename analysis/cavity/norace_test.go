//go:build !race

package cavity

// underRace says that the race detector is on.
const underRace = false
