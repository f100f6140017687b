package analysis

import (
	"fmt"
	"math"

	"gambeson/analysis/bed"
	"gambeson/analysis/mesh"
)

// Lay returns the part that brief asks for as it lies on the bed, its low corner
// at the origin.
func (p Placement) Lay(l *mesh.Loaded, brief Brief) *mesh.Mesh {
	_, scale := unitOf(l.Unit, brief.Unit)
	return bed.Lie{Rotation: p.Rotation}.Put(l.Mesh.Scaled(scale * brief.Percent / 100))
}

// Words says how the part lies on the bed: "as it lies", "turned by 38°
// anticlockwise", "laid on its back", "laid on a face 20° from its back", "tilted
// by 45°". Sides are those of the file: a part looks along −y, z is up. Turns are
// seen from above.
func (p Placement) Words() string {
	switch p.Kind {
	case "as-is":
		return "as it lies"
	case "turned":
		return turnWords(math.Atan2(p.Rotation[1][0], p.Rotation[0][0]))
	case "laid", "tilted":
		return p.restWords()
	}
	return p.Kind
}

// turnWords says a turn about the vertical. On the bed half a turn more makes
// no difference: the smaller one is said.
func turnWords(turn float64) string {
	turn = math.Mod(turn*180/math.Pi+360, 180)
	if turn > 90 {
		return fmt.Sprintf("turned by %.0f° clockwise", 180-turn)
	}
	return fmt.Sprintf("turned by %.0f° anticlockwise", turn)
}

// restWords says on which side of the file the part lies.
func (p Placement) restWords() string {
	down := p.Rotation[2] // its opposite comes to lie down
	most := 2             // half-way between two sides it counts from how it stands
	for k := range down {
		if math.Abs(down[k]) > math.Abs(down[most])+1e-3 {
			most = k
		}
	}
	if down[most] == 0 {
		return p.Kind
	}
	sides := [3][2]string{{"its right side (−x)", "its left side (+x)"}, {"its front", "its back"}, {"its foot", "its top"}}
	side := 0
	if down[most] < 0 {
		side = 1
	}
	said := sides[most][side]
	angle := math.Round(math.Acos(min(1, math.Abs(down[most]))) * 180 / math.Pi)
	switch {
	case p.Kind == "laid" && angle > 0:
		return fmt.Sprintf("laid on a face %.0f° from %s", angle, said)
	case most == 2 && side == 0:
		said = "stood as in the file"
	case most == 2:
		said = "laid upside down"
	default:
		said = "laid on " + said
	}
	switch {
	case angle == 0:
		return said
	case most == 2 && side == 0:
		return fmt.Sprintf("tilted by %.0f°", angle)
	}
	return fmt.Sprintf("%s, tilted by %.0f°", said, angle)
}
