//go:build race

package likeness

// Under the race detector everything takes ten times as long.
const parts = 10
