package likeness

import (
	"math"

	"gambeson/analysis/mesh"
)

// finest is the least grain that is reckoned with, mm: a part may have been
// moved, turned and saved several times, each time rounded, since it was last
// written coarsely. It is a hundredth of what a printer can place.
const finest = 2e-4

// grain returns the step in mm in which the places of m seem to be written:
// that of float32 at its farthest corner, or the decimals or digits of a text
// file where all places keep to them.
func grain(m *mesh.Mesh) float64 {
	far := float32(0)
	for _, column := range [3][]float32{m.X, m.Y, m.Z} {
		for _, x := range column {
			if x = max(x, -x); x > far && x <= math.MaxFloat32 {
				far = x
			}
		}
	}
	step := float64(math.Nextafter32(far, math.MaxFloat32)) - float64(far)
	if !(step < math.MaxFloat32) {
		return finest
	}
	for _, unit := range []float64{1, 25.4} { // millimetres, and inches
		for _, decimals := range []float64{1e2, 1e3, 1e4} {
			if unit/decimals > 2*step && written(m, decimals/unit) {
				return max(finest, unit/decimals)
			}
		}
	}
	if digits := digit(float64(far)); digits > 2*step && sixDigits(m) {
		return max(finest, digits)
	}
	return max(finest, step)
}

// digit returns the step of the sixth significant digit of x.
func digit(x float64) float64 { return math.Pow(10, math.Floor(math.Log10(x))-5) }

// sixDigits reports whether all places of m have no more than six significant
// digits, as most programs write them in ASCII STL and OBJ, as near as float32
// holds them.
func sixDigits(m *mesh.Mesh) bool {
	for _, column := range [3][]float32{m.X, m.Y, m.Z} {
		for _, x := range column {
			if x == 0 {
				continue
			}
			x := math.Abs(float64(x))
			step := digit(x)
			if math.Abs(x-step*math.Round(x/step)) > 0x1p-23*x {
				return false
			}
		}
	}
	return true
}

// written reports whether all places of m are multiples of 1/per, as near as
// float32 holds them.
func written(m *mesh.Mesh, per float64) bool {
	for _, column := range [3][]float32{m.X, m.Y, m.Z} {
		for _, x := range column {
			n := float64(x) * per
			whole := math.Round(n)
			if math.Abs(n-whole) > 0x1p-22*math.Abs(n) {
				return false
			}
		}
	}
	return true
}
