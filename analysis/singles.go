package analysis

import (
	"fmt"

	"gambeson/analysis/bed/parting"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Single is one of several parts of a suit in one file.
type Single struct {
	File   string     `json:"file"` // it alone, at 100 percent, where it lies in the file
	Bounds [3]float64 `json:"bounds_mm"`
	Ways   int        `json:"ways"` // through it
	// Object is what the file calls it, "" where it has no name of its own.
	Object string `json:"object,omitempty"`
}

// wideGap is the space between two pieces, mm, from which on it is doubted that they
// lie as they are worn: straps and joints leave a few (a guess).
const wideGap = 5.0

// tellApart looks whether the file holds parts that lie clear of each other. Where
// more than one has a way through of its own, each is a part of the suit by itself.
// Where the way goes between them, the space between counts as room.
func (a *Answer) tellApart(drawn *mesh.Mesh, brief Brief) {
	f := &a.Findings
	if f.Mesh.Components < 2 || brief.Assembly != "" {
		return
	}
	if a.tellByName(drawn) || len(f.Cavities) == 0 {
		return
	}
	pieces, gap := parting.Apart(drawn, wideGap)
	if len(pieces) < 2 {
		return
	}
	boxes := make([]r3.Box, len(pieces))
	for i, p := range pieces {
		boxes[i] = p.Mesh.Bounds()
	}
	ways, own, among := make([]int, len(pieces)), 0, false
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			i := boxAround(line, boxes, f.Percent/100)
			if i < 0 {
				among = among || line.open()
				continue
			}
			if ways[i]++; ways[i] == 1 {
				own++
			}
		}
	}
	switch {
	case own > 1:
		objects, called := f.objectsOf(boxes), ""
		for i, p := range pieces {
			single := Single{File: "singles/" + p.Name + ".stl", Bounds: triple(boxes[i].Size()), Ways: ways[i]}
			if objects != nil {
				single.Object = objects[i].Name
				single.File = fmt.Sprintf("singles/%d-of-%d-%s.stl", i+1, len(pieces), slug(single.Object))
				called = fmt.Sprintf(", called %s", listed(quoted(objects)))
			}
			f.Singles = append(f.Singles, single)
			a.Singles = append(a.Singles, p.Mesh)
		}
		each := "each with a way through of its own"
		if own < len(pieces) {
			each = fmt.Sprintf("%d of them with a way through of their own", own)
		}
		f.warn("parts-several", fmt.Sprintf("The file holds %s that lie clear of each other%s, %s: what is said here mixes them. Give each a file of its own.",
			count(len(pieces), "part"), called, each))
		f.noteSwapped(objects)
	case among && !brief.Strapped:
		f.warn("pieces-clear", fmt.Sprintf("The file holds %s that close round the body only together and lie at least %s mm apart: that space counts as room, so the scale that fits is found too small if the pieces are to meet when they are worn. Then move them together in the file. Where straps hold them so far apart, write strapped = true.",
			count(len(pieces), "piece"), tenths(gap)))
	}
}

// open reports whether the wall leaves a gap along most of a way.
func (l Centreline) open() bool {
	n := 0
	for _, s := range l.Stations {
		if s.Gap > 0 {
			n++
		}
	}
	return 2*n > len(l.Stations)
}

// boxAround returns which box holds a way, whose places are drawn at a factor; −1 where
// none holds all of it.
func boxAround(line Centreline, boxes []r3.Box, factor float64) int {
	const slack = 0.5 // mm: the first and the last place lie in the rims
next:
	for i, b := range boxes {
		for _, s := range line.Stations {
			p := r3.Scale(1/factor, vec(s.Center))
			if p.X < b.Min.X-slack || p.X > b.Max.X+slack || p.Y < b.Min.Y-slack || p.Y > b.Max.Y+slack || p.Z < b.Min.Z-slack || p.Z > b.Max.Z+slack {
				continue next
			}
		}
		return i
	}
	return -1
}
