//go:build race

package bed

const (
	// every how many of the sixty parts is parted; the race detector takes its time.
	every = 30
	// underRace leaves numbers out that were shown without it.
	underRace = true
)
