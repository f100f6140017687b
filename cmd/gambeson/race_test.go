//go:build race

package main

// wearers is few under the race detector, which makes numbers ten times as slow.
const wearers = 3
