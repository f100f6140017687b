//go:build !race

package main

// wearers is how many people try the demo suit on.
const wearers = 200

// How often what takes its time is tried where no flag says otherwise.
const (
	usualKills, usualStops, usualReloads = 4, 3, 8
	usualOperations                      = 120
	usualDropped                         = 400
)
