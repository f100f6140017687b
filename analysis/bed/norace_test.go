//go:build !race

package bed

// every how many of the sixty parts is parted.
const every = 1
