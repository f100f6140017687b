//go:build race

package main

// wearers is few under the race detector, which makes numbers ten times as slow.
const wearers = 3

// How often what takes its time is tried where no flag says otherwise.
const (
	usualKills, usualStops, usualReloads = 1, 1, 3
	usualOperations                      = 40
	usualDropped                         = 50
)
