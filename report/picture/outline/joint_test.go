package outline

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/report/picture"
	"gambeson/report/picture/proof"

	"gonum.org/v1/gonum/spatial/r2"
)

func joints() map[string]Joint {
	return map[string]Joint{
		"knee": {
			Title: "The left knee, from the side", Note: "Rims 60 mm above and 50 mm below the joint.",
			Upper: "thigh shell", Lower: "greave", Meet: "back",
			Above: 60, Below: 50, UpperRadius: 74.8, LowerRadius: 65.3, Gap: 110, Touch: 84.4, Normal: 135,
		},
		"elbow": {
			Title: "The right elbow, from the side", Note: "Rims 70 mm above and 45 mm below the joint.",
			Upper: "upper arm shell", Lower: "forearm shell", Meet: "inner side",
			Above: 70, Below: 45, UpperRadius: 55, LowerRadius: 52, Gap: 115, Touch: 106.1, Normal: 150,
		},
		"ankle": {
			Title: "The right ankle, from the side",
			Upper: "greave", Lower: "boot", Meet: "front",
			Above: 37, Below: -22, UpperRadius: 47.7, LowerRadius: 52.5, Gap: 15, Touch: 17.8, Normal: 20,
		},
		"waist": {
			Title: "The waist, from the side",
			Upper: "torso", Lower: "hip ring", Meet: "front",
			Above: 30, Below: 30, UpperRadius: 148, LowerRadius: 152.8, Axis: -44, Gap: 60, Touch: 17.76, Normal: 60, UpperTurns: true,
		},
		"free": {
			Title: "The knee, from the side",
			Upper: "thigh shell", Lower: "greave", Meet: "back",
			Above: 220, Below: 220, UpperRadius: 89, LowerRadius: 62, Gap: 440, Touch: 140, Normal: 135,
		},
		"overlap": {
			Title: "The knee, from the side",
			Upper: "thigh shell", Lower: "greave", Meet: "back",
			Above: -10, Below: -5, UpperRadius: 70, LowerRadius: 62, Gap: -15, Touch: 0, Normal: 135,
		},
	}
}

// tinted counts the pixels of a colour on the line between two places.
func tinted(im image.Image, f stance, from, to r2.Vec, like func(image.Image, float64, float64) bool) float64 {
	const steps = 50
	n := 0
	for i := range steps + 1 {
		x, y := f.at(r2.Add(from, r2.Scale(float64(i)/steps, r2.Sub(to, from))))
		if like(im, x, y) {
			n++
		}
	}
	return float64(n) / (steps + 1)
}

func blueAt(im image.Image, x, y float64) bool { return proof.InkNear(im, x, y, picture.Blue, 1) }
func inkAt(im image.Image, x, y float64) bool  { return proof.InkNear(im, x, y, picture.Ink, 1) }

func TestBentDrawsShellsWhereTheyAre(t *testing.T) {
	for name, j := range joints() {
		t.Run(name, func(t *testing.T) {
			s := j.sheet()
			proof.Look(t, "joint-"+name, s)
			proof.Tidy(t, s)
			im := proof.Decoded(t, s)
			straight, bent, _ := j.stances()
			views := []stance{straight, bent}
			if j.Gap <= 0 {
				views = views[:1]
			}
			for _, f := range views {
				for i, seen := range []func(image.Image, float64, float64) bool{inkAt, blueAt} {
					for k := range 2 {
						if share := tinted(im, f, f.tubes[i].rim[k], f.tubes[i].far[k], seen); share < 0.85 {
							t.Errorf("shell %d, wall %d: drawn on %.0f %%", i, k, 100*share)
						}
					}
				}
			}
			// From the axis straight on there is limb, not wall, and between the
			// rims none either.
			if j.Gap > 0 {
				up, down := straight.tubes[0].rim[1], straight.tubes[1].rim[1]
				mid := r2.Scale(0.5, r2.Add(up, down))
				if x, y := straight.at(mid); blueAt(im, x, y) || inkAt(im, x, y) {
					t.Error("a wall in the gap")
				}
			}
			px, py := bent.at(j.contact())
			marked := proof.InkNear(im, px+13, py, picture.Vermilion, 1) && proof.InkNear(im, px, py-13, picture.Vermilion, 1)
			if want := j.Touch > 0 && j.Touch < j.Normal; marked != want {
				t.Errorf("the touch is marked: %v, want %v", marked, want)
			}
		})
	}
}

// To scale: both views, along and across, as many pixels to the millimetre.
func TestBentIsToScale(t *testing.T) {
	for name, j := range joints() {
		straight, bent, height := j.stances()
		want := straight.scale()
		for _, f := range []stance{straight, bent} {
			for _, a := range []picture.Axis{f.x, f.y} {
				if got := math.Abs(a.End-a.Start) / (a.High - a.Low); math.Abs(got-want) > 1e-9 {
					t.Errorf("%s: %v px/mm, %v elsewhere", name, got, want)
				}
			}
			if f.x.End > picture.Width-picture.Edge+1e-9 || f.y.Start > float64(height) {
				t.Errorf("%s: leaves the sheet", name)
			}
		}
		rims := r2.Sub(straight.tubes[0].rim[0], straight.tubes[1].rim[0])
		if math.Abs(rims.Y-j.Gap) > 1e-9 {
			t.Errorf("%s: the rims are drawn %v mm apart, not %v", name, rims.Y, j.Gap)
		}
	}
}

// Where the drawing marks it the rims do touch: the marked edge of one shell
// lies on the rim or on the wall of the other, by the numbers that came in.
func TestBentTouchesWhereItIsMarked(t *testing.T) {
	for _, name := range []string{"knee", "elbow", "ankle", "waist"} {
		j := joints()[name]
		tubes := j.tubes(j.angle())
		at, least := j.contact(), math.Inf(1)
		for _, other := range tubes {
			if other.rim[1] == at {
				continue
			}
			for _, line := range [][2]r2.Vec{other.rim, {other.rim[1], other.far[1]}} {
				along := r2.Unit(r2.Sub(line[1], line[0]))
				from := r2.Sub(at, line[0])
				share := min(max(r2.Dot(from, along), 0), r2.Norm(r2.Sub(line[1], line[0])))
				least = min(least, r2.Norm(r2.Sub(from, r2.Scale(share, along))))
			}
		}
		if least > 0.3 { // the angles above are rounded
			t.Errorf("%s: %.2f mm between the shells", name, least)
		}
	}
}

func TestBentMovesWithItsNumbers(t *testing.T) {
	j := joints()["knee"]
	straight, _, _ := j.stances()
	x, y := straight.at(straight.tubes[1].rim[0])
	j.Below += 25
	j.Gap += 25
	moved, _, _ := j.stances()
	if x2, y2 := moved.at(moved.tubes[1].rim[0]); math.Hypot(x2-x, y2-y) < 5 {
		t.Error("the rim stays where it was")
	}
	if blueAt(proof.Decoded(t, j.sheet()), x, y+3) {
		t.Error("the wall stays where it was")
	}
}

func TestBentHoldsAnyJoint(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, seed))
	for round := range 15 {
		j := Joint{
			Title: "The right shoulder, from the side", Note: "Rims far above and far below the joint.",
			Upper: "upper arm shell", Lower: "forearm shell", Meet: "inner side",
			Above: rng.NormFloat64() * 80, Below: rng.NormFloat64() * 80,
			UpperRadius: 5 + rng.ExpFloat64()*80, LowerRadius: 5 + rng.ExpFloat64()*80,
			Touch: rng.Float64() * 180, Normal: 20 + rng.Float64()*160, UpperTurns: rng.IntN(2) == 0,
		}
		j.Gap = j.Above + j.Below
		j.Axis = (rng.Float64() - 0.5) * min(j.UpperRadius, j.LowerRadius)
		proof.Tidy(t, j.sheet())
		if t.Failed() {
			t.Fatalf("seed %d, round %d: %+v", seed, round, j)
		}
	}
}

// The gap is said in inches too where the wearer measures in them.
func TestBentInInches(t *testing.T) {
	for name, j := range joints() {
		j.Also = proof.Inches
		s := j.sheet()
		proof.Look(t, "joint-inches-"+name, s)
		proof.Tidy(t, s)
		if want := "(" + j.Also(math.Abs(j.Gap)) + ")"; !slices.ContainsFunc(s.Labels, func(l picture.Label) bool { return l.Text == want }) {
			t.Errorf("%s: %q is not said", name, want)
		}
	}
}
