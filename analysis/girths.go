package analysis

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"sync/atomic"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// GirthsSchema names the form of Girths.
const GirthsSchema = "gambeson.girths/1"

// Girths are how far round a mesh is, level by level, as it lies in its file:
// what a tape finds on it, and nothing about any body. They answer at once what
// Examine takes its time for along the way through the part.
type Girths struct {
	Schema  string       `json:"schema"`
	Part    string       `json:"part"`
	Percent float64      `json:"percent"` // scale at which all is given
	Unit    Unit         `json:"unit"`
	Height  float64      `json:"height_mm"`
	Levels  []GirthLevel `json:"levels"`
}

// GirthLevel is a level section.
type GirthLevel struct {
	Up    float64     `json:"up_mm"` // above the lowest point
	Loops []GirthLoop `json:"loops"` // the largest girth first; none where there is a gap
}

// GirthLoop is a line in which a level meets the surface from outside.
type GirthLoop struct {
	Girth  float64    `json:"girth_mm"`            // of a tape drawn tight round it
	Size   [2]float64 `json:"size_mm"`             // along x and y
	Open   float64    `json:"open_mm,omitempty"`   // between its ends, where it does not close
	Inside []float64  `json:"inside_mm,omitempty"` // along the wall of each hole in it, the longest first
}

// mostLevels bounds how many levels one asks for.
const mostLevels = 10_000

// GirthsOf returns the girths of the mesh in a file at levels every so many mm
// above its lowest point, at the scale and in the unit that brief has; where the
// part is lower than that, halfway up. Of brief nothing else counts. More than
// 10,000 levels are not given: they lie further apart then.
//
// A binary STL is cut while it is read, and kept whole only where that finds a
// level that does not close, as it does where it crosses a crack, or nothing at all.
// (A crack that lies between two levels is not seen, and moves no girth by more than
// its width.)
func GirthsOf(ctx context.Context, file *mesh.File, brief Brief, every float64, l mesh.Limits) (*Girths, error) {
	st, ok, err := file.Stream(l)
	if err != nil {
		return nil, err
	}
	if ok {
		g, up := beginGirths(brief, st.Unit())
		var some atomic.Bool
		err := section.Stream(ctx, st, r3.Vec{Z: 1}, g.levels(up, every), func(i int, s section.Section) error {
			if s.Open() {
				return errOpenLevel
			}
			if len(s.Chains) > 0 {
				some.Store(true)
			}
			g.measure(i, s, up)
			return nil
		})
		switch {
		case err == nil && some.Load():
			return g, nil
		case err != nil && !errors.Is(err, errOpenLevel):
			return nil, err
		}
	}
	loaded, err := file.Load(ctx, l)
	if err != nil {
		return nil, err
	}
	return GirthsOfMesh(ctx, loaded, brief, every)
}

// errOpenLevel says that a file has to be kept whole.
var errOpenLevel = errors.New("a level does not close")

// GirthsOfMesh returns what GirthsOf does, of a mesh that was read. The only error is
// that of ctx.
func GirthsOfMesh(ctx context.Context, l *mesh.Loaded, brief Brief, every float64) (*Girths, error) {
	g, up := beginGirths(brief, l.Unit)
	box := l.Mesh.Bounds()
	through := g.levels(up, every)(box.Min.Z, box.Max.Z)
	err := section.SweepEach(ctx, l.Mesh, r3.Vec{Z: 1}, through, func(i int, s section.Section) error {
		g.measure(i, s, up)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return g, nil
}

// beginGirths returns girths of no level yet, and by what all of the mesh is scaled.
func beginGirths(brief Brief, of mesh.Unit) (g *Girths, scale float64) {
	unit, scale := unitOf(of, brief.Unit)
	return &Girths{Schema: GirthsSchema, Part: brief.Part, Percent: brief.Percent, Unit: unit, Levels: []GirthLevel{}}, scale * brief.Percent / 100
}

// levels notes the heights of the levels, and returns a point of each in the mesh.
func (g *Girths) levels(scale, every float64) func(low, high float64) []r3.Vec {
	return func(low, high float64) []r3.Vec {
		g.Height, g.Levels = scale*(high-low), g.Levels[:0]
		every := max(every, g.Height/mostLevels)
		through := []r3.Vec{}
		at := func(up float64) {
			g.Levels = append(g.Levels, GirthLevel{Up: up, Loops: []GirthLoop{}})
			through = append(through, r3.Vec{Z: low + up/scale})
		}
		for i := 1; float64(i)*every < g.Height; i++ {
			at(float64(i) * every)
		}
		if len(through) == 0 && g.Height > 0 {
			at(g.Height / 2)
		}
		return through
	}
}

// measure fills in what is found at a level.
func (g *Girths) measure(i int, s section.Section, scale float64) {
	g.Levels[i].Loops = append(g.Levels[i].Loops, loopsOf(s, scale)...)
}

// loopsOf returns the loops of a section: chains in an even number of others are
// seen from outside, those directly in them are holes.
func loopsOf(s section.Section, scale float64) []GirthLoop {
	around := s.Nesting()
	outer := func(i int) bool {
		depth := 0
		for ; around[i] >= 0; i = around[i] {
			depth++
		}
		return depth%2 == 0
	}
	var loops []GirthLoop
	place := map[int]int{} // of each chain that is seen from outside: its place in loops
	for i, c := range s.Chains {
		if !outer(i) {
			continue
		}
		place[i] = len(loops)
		wide, deep := c.Size()
		loop := GirthLoop{Girth: scale * c.HullGirth(), Size: [2]float64{scale * wide, scale * deep}}
		if ends := len(c.Points) - 1; !c.Closed && ends > 0 {
			loop.Open = scale * r2.Norm(r2.Sub(c.Points[ends], c.Points[0]))
		}
		loops = append(loops, loop)
	}
	for i, c := range s.Chains {
		if !outer(i) {
			loop := &loops[place[around[i]]]
			loop.Inside = append(loop.Inside, scale*c.Length())
		}
	}
	for i := range loops {
		slices.SortFunc(loops[i].Inside, func(a, b float64) int { return cmp.Compare(b, a) })
	}
	slices.SortStableFunc(loops, func(a, b GirthLoop) int { return cmp.Compare(b.Girth, a.Girth) })
	return loops
}
