//go:build !race

package bed

// sixty is how many parts are parted.
const sixty = 60
