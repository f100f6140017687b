// Package guess tells what a part covers where nobody said so, from its name or
// from its shape, and whether it was drawn in another unit than was taken.
//
// Every answer comes with its reason in words, and there is none where nothing
// is near. The sizes that parts are compared with are those of the people of
// the survey. Lengths are mm; regions are named as in suit.toml.
package guess

import (
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Part is what a guess needs to know of a part: the hollow that a body would go
// into, and the size of all.
type Part struct {
	Openings []Opening
	Ways     []Way
	Bounds   [3]float64 // of the mesh, in any order
	Thick    float64    // of its wall in the mean, 0 where not known
}

// Opening is a place where the hollow meets the open air.
type Opening struct {
	Name     string
	Girth    float64 // 0 where not known
	Capacity float64 // 0 where there is none
	Facing   r3.Vec  // unit vector out of the hollow
}

// Way is a way through the hollow.
type Way struct {
	From, To string // names of openings; To is none of them where Closed or Open
	Length   float64
	// Tightest and Widest are the inner girths there, or where the part is open
	// along its length the room of what it goes round.
	Tightest, Widest float64
	Bend             float64 // degrees from the way's first direction to its last
	Closed           bool    // it ends in the deep
	Open             bool    // the part is open along it, like a gutter
}

// Words says a region in words: "lower leg".
func Words(region string) string { return strings.ReplaceAll(region, "_", " ") }

// WithArticle says a region in a sentence: "a lower leg", "an upper arm", "hips".
func WithArticle(region string) string {
	switch {
	case region == "hips":
		return region
	case strings.ContainsRune("aeiou", rune(region[0])):
		return "an " + Words(region)
	}
	return "a " + Words(region)
}

// mm writes a length with about three digits.
func mm(x float64) string {
	digits := 0
	switch {
	case x < 1:
		digits = 3
	case x < 100:
		digits = 1
	}
	return strconv.FormatFloat(x, 'f', digits, 64)
}

// span says a range of lengths in mm: "326 to 408 mm", "378 mm".
func span(low, high float64) string {
	if mm(low) == mm(high) {
		return mm(low) + " mm"
	}
	return mm(low) + " to " + mm(high) + " mm"
}
