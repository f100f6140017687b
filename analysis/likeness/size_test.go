//go:build !race

package likeness

// parts is how many parts the large tests draw.
const parts = 100
