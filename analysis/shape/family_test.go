package shape

import (
	"math"
	"testing"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// One shape of each kind, with sizes of real parts.
var (
	boot = Boot{
		Rim: Ellipse{68, 62}, Ankle: Ellipse{58, 48}, Instep: Ellipse{50, 47}, Ball: Ellipse{36, 50},
		Wall: 3, Shaft: 150, Bend: 72, Foot: 70, Toe: 55,
	}
	mitre = MitreBoot{Radius: 45, Wall: 3, Shaft: 160, Foot: 180}
	hips  = Hips{
		Waist: Ellipse{160, 115}, Seat: Ellipse{195, 135}, Leg: Ellipse{86, 92}, Wall: 3,
		Height: 300, Band: 40, SeatZ: 150, Drop: 45, Legs: 40, Apart: 100,
	}
	torso = Torso{
		Waist: Ellipse{150, 110}, Chest: Ellipse{175, 125}, Neck: Ellipse{75, 75}, Arm: Ellipse{60, 72}, Wall: 3,
		Band: 40, ChestZ: 270, NeckZ: 420, Height: 440, ArmX: 215, ArmZ: 290, Sleeve: 20,
	}
	helm = Helm{
		Neck: Ellipse{72, 80}, Skull: Ellipse{95, 115}, Wall: 3, NeckRise: 40, Widen: 50, Rise: 110, Dome: 100,
		SlotZ: 150, SlotDepth: 18, SlotSides: 40,
	}
)

func TestEveryShapeIsClosedAndFacesOutward(t *testing.T) {
	open := boot
	open.OpenSole = true
	for name, m := range map[string]*mesh.Mesh{
		"boot": boot.Mesh(), "open boot": open.Mesh(), "mitre": mitre.Mesh(), "hips": hips.Mesh(),
		"torso": torso.Mesh(), "helm": helm.Mesh(),
		"gutter":       Gutter{Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240}.Mesh(),
		"round gutter": Gutter{Bottom: 70, Top: 70, Wall: 3, Height: 200, Arc: 240, Round: true}.Mesh(),
		"forearm":      Flared(Circle(35), Ellipse{48, 42}, Circle(60), 240, 60, 3).Mesh(),
	} {
		t.Run(name, func(t *testing.T) {
			closed(t, m)
			if got := m.Volume(); !(got > 0) {
				t.Errorf("volume %g, want more than 0", got)
			}
			if got := pieces(m); got != 1 {
				t.Errorf("%d pieces, want 1", got)
			}
			if got := thinnest(m); got < 0.03 {
				t.Errorf("a facet is %g mm high: a sliver", got)
			}
		})
	}
}

// thinnest returns the least height of a facet over its longest edge.
func thinnest(m *mesh.Mesh) float64 {
	best := math.Inf(1)
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		longest := max(r3.Norm(r3.Sub(b, a)), r3.Norm(r3.Sub(c, b)), r3.Norm(r3.Sub(a, c)))
		best = min(best, r3.Norm(normal(m, t))/longest)
	}
	return best
}

// TestOpeningsAreHolesOfTheSurface counts them by topology: a closed wall round
// a cavity with n openings is a sphere with n − 1 handles, so that
// vertices − edges + facets = 4 − 2n (Euler and Poincaré).
func TestOpeningsAreHolesOfTheSurface(t *testing.T) {
	open := boot
	open.OpenSole = true
	blind := helm
	blind.SlotDepth = 0
	for _, s := range []struct {
		shell
		want int
	}{
		{Tube{Radius: 50, Wall: 3, Height: 12}, 2}, {boot, 1}, {open, 2}, {mitre, 1},
		{hips, 3}, {torso, 4}, {helm, 2}, {blind, 1},
	} {
		m := s.Mesh()
		if got := len(s.Openings()); got != s.want {
			t.Errorf("%T names %d openings, want %d", s.shell, got, s.want)
		}
		// Closed: three half-edges a facet.
		euler := m.Vertices() - len(m.T)/2 + m.Triangles()
		if euler != 4-2*s.want {
			t.Errorf("%T has the Euler number %d, want %d for %d openings", s.shell, euler, 4-2*s.want, s.want)
		}
	}
}

// pieces counts the parts of m that hang together by vertices.
func pieces(m *mesh.Mesh) int {
	_, n := m.Bodies()
	return n
}

func TestVolumes(t *testing.T) {
	near(t, "mitre", mitre.Mesh().Volume(), mitre.Volume(), rounding)
	near(t, "helm", helm.Mesh().Volume(), helm.Volume(), rounding)
	near(t, "boot", boot.Mesh().Volume(), boot.SmoothVolume(), 2e-3)
	near(t, "gutter", Gutter{Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240}.Mesh().Volume(),
		Gutter{Bottom: 70, Top: 85, Wall: 3, Height: 200, Arc: 240}.Volume(), rounding)
	arm := Flared(Circle(35), Ellipse{48, 42}, Circle(60), 240, 60, 3)
	near(t, "forearm", arm.Mesh().Volume(), arm.Volume(), rounding)
	closed(t, arm.Solid())
	near(t, "solid forearm", arm.Solid().Volume(), arm.SolidVolume(), rounding)
}
