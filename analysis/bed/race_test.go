//go:build race

package bed

// sixty is how many parts are parted; the race detector takes its time.
const sixty = 12
