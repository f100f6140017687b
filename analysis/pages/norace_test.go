//go:build !race

package pages

// underRace says that the race detector is on.
const underRace = false
