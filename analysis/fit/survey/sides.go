package survey

import (
	"maps"
	"strings"
)

// parted splits "calf_girth.left" into the measure and the side.
func parted(key string) (measure, side string) {
	measure, side, _ = strings.Cut(key, ".")
	return measure, side
}

// Side returns the readings to estimate one side of the body from ("left",
// "right"; "" where it is not known which). What was read on that side takes
// the plain name; a reading of the other side keeps its suffix, and only where
// nothing better was given. Estimate takes a reading with a suffix as one of
// the other side: it says nearly as much, less by the common difference of
// sides. With both sides given and neither wanted, both keep their suffix and
// the estimate lies between.
func Side(given map[string]float64, side string) map[string]float64 {
	out := maps.Clone(given)
	for key, v := range given {
		measure, of := parted(key)
		if of == "" {
			continue
		}
		_, plain := given[measure]
		own, onSide := given[measure+"."+side]
		switch {
		case side != "" && onSide:
			out[measure] = own
			delete(out, key)
		case plain:
			delete(out, key)
		default:
			out[key] = v
		}
	}
	return out
}
