//go:build race

package tilt

// bodies is how many random bodies are held against brute force: few, as the
// race detector takes its time.
const bodies = 25
