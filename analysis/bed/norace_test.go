//go:build !race

package bed

const (
	// every how many of the sixty parts is parted.
	every = 1
	// underRace leaves numbers out that were shown without it.
	underRace = false
)
