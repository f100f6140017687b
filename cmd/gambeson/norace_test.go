//go:build !race

package main

// wearers is how many people try the demo suit on.
const wearers = 200
