//go:build race

package bed

// every how many of the sixty parts is parted; the race detector takes its time.
const every = 7
