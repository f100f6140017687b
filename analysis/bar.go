package analysis

import "fmt"

// A body part thickens and thins over its own width, a bar or a rib inside a shell
// within a hand's breadth. What was looked into so far has at most an eighth more room
// within suddenly on both sides of its narrowest places, where a body has room (the
// demo's parts and meshes drawn for tests), an open mesh for the face a fifth; a quarter
// more is taken for a sign that something stands in the way (a guess).
const (
	suddenly = 40.0  // mm along the way
	dip      = 1.25  // times the room
	limbs    = 120.0 // mm of room that the thinnest limb needs: a child's wrist (a guess)
)

// warnBars warns of places inside where there is suddenly far less room than before
// and after them: nothing of a body is waisted so, so that no scale helps.
func (f *Findings) warnBars() {
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			if line.To == "end" {
				continue // a toe or a pocket
			}
			if at, beside := narrowed(line); at != nil {
				f.warn("stands-in-way", fmt.Sprintf("Something stands in the way inside, a bar, a rib or a strip: %s mm from opening %s there is suddenly room for only %s mm, and for %s mm a little before and after. Take it out in a modelling program: no scale and no cut into halves makes room for it.",
					tenths(at.Along), line.From, tenths(at.Capacity), tenths(beside)))
				return
			}
		}
	}
}

// narrowed returns the station of a way that has the least room against what there is
// before and after it, and that room, nil where nothing stands in the way.
func narrowed(line Centreline) (at *Station, beside float64) {
	most := dip
	for i := range line.Stations {
		s := &line.Stations[i]
		if !(s.Capacity > 0) {
			continue
		}
		before, after := 0.0, 0.0
		for _, o := range line.Stations {
			switch {
			case o.Along < s.Along && o.Along >= s.Along-suddenly:
				before = max(before, o.Capacity)
			case o.Along > s.Along && o.Along <= s.Along+suddenly:
				after = max(after, o.Capacity)
			}
		}
		if more := min(before, after); more >= limbs && more/s.Capacity > most {
			at, beside, most = s, more, more/s.Capacity
		}
	}
	return at, beside
}
