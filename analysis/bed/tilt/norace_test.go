//go:build !race

package tilt

// bodies is how many random bodies are held against brute force.
const bodies = 200
