package analysis

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// bedOf answers for the printer alone.
func bedOf(m *mesh.Mesh, brief Brief) Findings {
	f := Findings{Percent: brief.Percent, Changed: &Changed{Kind: "new"}}
	f.placeOnBed(onBeds(m, brief, f.Percent), brief, nil)
	return f
}

func within(got, want, far float64) bool { return math.Abs(got-want) <= far }

func TestOnBedFromAsItLiesToTilted(t *testing.T) {
	brief := DefaultBrief()
	brief.Printer.Bed, brief.Printer.Height, brief.Printer.Margin = [2]float64{220, 220}, 220, 0
	// Longest rod of 20 mm that lies across the bed √2·220 − 20 = 291.13, and in
	// the cube √3·220 − √2·20 = 352.77.
	for _, c := range []struct {
		length       float64
		kind         string
		fits, offers bool
	}{{210, "as-is", true, false}, {285, "laid", true, false}, {345, "laid", false, true}, {360, "laid", false, false}} {
		rod := shape.Tube{Sides: 64, Radius: 8, Wall: 2, Height: c.length}.Mesh()
		f := bedOf(rod, brief)
		if f.Bed.Fits != c.fits || f.Bed.Placement.Kind != c.kind || (f.Bed.Offer != nil) != c.offers || f.Warned() == c.fits {
			t.Errorf("a rod of %g mm: %+v", c.length, f.Bed)
		}
		if text := text(f, "bed-overflow"); c.offers && !strings.Contains(text, "standing on supports") {
			t.Errorf("says %q", text)
		}
	}
}

func TestSecondPrinter(t *testing.T) {
	brief := DefaultBrief()
	brief.Second = &Printer{Bed: [2]float64{300, 100}, Height: 50, Margin: 5}
	long := shape.Bar{X: 280, Y: 30, Z: 30}.Mesh()
	f := bedOf(shape.Turn(long, shape.Rotation(3)), brief)
	if f.Bed.Fits || !f.Bed.Second.Fits || f.Warned() || !strings.Contains(text(f, "bed-second"), "Does not fit the first printer") ||
		!strings.Contains(text(f, "bed-second"), "It fits the second printer, ") {
		t.Errorf("%+v, second %+v, says %q", f.Bed, f.Bed.Second, text(f, "bed-second"))
	}
	f = bedOf(shape.Bar{X: 400, Y: 30, Z: 30}.Mesh(), brief)
	// On 290 × 90 ((a+b)/(p+q))² + ((a−b)/(p−q))² = 2 gives 73.25 % (Carver 1957).
	if !f.Warned() || !strings.Contains(text(f, "bed-overflow"), "On the second printer it fits up to 73.2 %") {
		t.Errorf("says %q", text(f, "bed-overflow"))
	}
}

// A strip with the margin round it is kept free, and the part lies beside it.
func TestStripsKeepTheirMargin(t *testing.T) {
	brief := DefaultBrief() // 220 × 220, 5 kept free
	brief.Printer.Strips = [][4]float64{{0, 0, 20, 220}}
	f := bedOf(shape.Bar{X: 180, Y: 100, Z: 10}.Mesh(), brief)
	p := f.Bed.Placement
	if want := 100 * 190.0 / 180; !within(f.Bed.Largest.AsIs, want, 1e-3) {
		t.Errorf("as it lies up to %.3f %%, want %.3f", f.Bed.Largest.AsIs, want)
	}
	if !within(p.Spot[0], 25+5, 1e-4) || !within(p.Spot[1], 60, 1e-4) {
		t.Errorf("lies from %v on, want 30, 60", p.Spot)
	}
	round := DefaultBrief()
	round.Printer.Bed, round.Printer.Diameter = [2]float64{}, 200
	tube := shape.Tube{Sides: 90, Radius: 50, Wall: 5, Height: 100}
	p = bedOf(tube.Mesh(), round).Bed.Placement
	if !within(p.Spot[0], 45, 0.1) || !within(p.Spot[1], 45, 0.1) || !within(p.FirstLayer, math.Pi*(55*55-50*50), 10) || p.Overhang != 0 {
		t.Errorf("in the middle of a round bed: %+v", p)
	}
}

// What a placement has under it grows with the square of the scale.
func TestPlacementIsThatOfTheScale(t *testing.T) {
	brief := DefaultBrief()
	table := shape.Join(shape.Bar{X: 100, Y: 50, Z: 4}.Mesh(), shape.Offset(shape.Bar{X: 10, Y: 20, Z: 30}.Mesh(), vec([3]float64{40, 10, -30})))
	one := bedOf(table, brief).Bed.Placement
	brief.Percent = 150
	large := bedOf(table, brief).Bed.Placement
	if !within(large.Overhang, 2.25*one.Overhang, 1e-6) || !within(large.FirstLayer, 2.25*one.FirstLayer, 1e-6) || !within(large.Size[0], 150, 1e-4) || !within(one.Overhang, 5000, 1) {
		t.Errorf("%+v at 100 %%, %+v at 150 %%", one, large)
	}
}

// A part without size fits anything, and its findings can still be written.
func TestNothingOnTheBed(t *testing.T) {
	m := &mesh.Mesh{}
	for range 3 {
		m.AddVertex(vec([3]float64{1, 2, 3}))
	}
	m.AddTriangle(0, 1, 2)
	f := bedOf(m, DefaultBrief())
	if !f.Bed.Fits {
		t.Errorf("%+v", f.Bed)
	}
	_, err := json.Marshal(f)
	require.NoError(t, err)
}

// A table stands on its leg as it is drawn, and its top hangs over all round;
// upside down nothing does.
func TestEasierPlacement(t *testing.T) {
	table := shape.Join(shape.Bar{X: 100, Y: 50, Z: 4}.Mesh(), shape.Offset(shape.Bar{X: 10, Y: 20, Z: 30}.Mesh(), vec([3]float64{40, 10, -30})))
	b := bedOf(table, DefaultBrief()).Bed
	if b.Placement.Kind != "as-is" || b.Easier == nil || b.Easier.Words() != "laid upside down" || b.Easier.Overhang > 250 {
		t.Errorf("%+v, easier %+v", b.Placement, b.Easier)
	}
	if b := bedOf(table.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: p.X, Y: -p.Y, Z: -p.Z} }), DefaultBrief()).Bed; b.Easier != nil {
		t.Errorf("upside down already: %+v", b.Easier)
	}
}
