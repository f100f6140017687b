//go:build race

package pages

// underRace says that the race detector is on, which keeps some bytes of its own
// for each one that the program uses.
const underRace = true
