package picture

import (
	"slices"
	"strings"
	"testing"
)

// The tightest and the widest place keep their labels in inches too, shorter where
// there is no room for both.
func TestGirthInInches(t *testing.T) {
	c := limb()
	c.Also = func(float64) string { return "12 13/16 in" }
	s := c.sheet()
	look(t, "girth-inches", s)
	tidy(t, s)
	found := map[string]bool{}
	for _, l := range s.labels {
		for _, word := range []string{"tightest ", "widest "} {
			found[word] = found[word] || strings.HasPrefix(l.text, word)
		}
	}
	if !found["tightest "] || !found["widest "] {
		t.Errorf("labels of the tightest and the widest place: %v", found)
	}
}

// Where a body of its own shape has less room than the capacity that is drawn, its
// room is marked with a cross and explained; where it has as much, nothing is.
func TestGirthMarksRoomForAnOwnShape(t *testing.T) {
	c := limb()
	for i := range c.Needs {
		n := &c.Needs[i]
		n.Has = 0.995 * c.roomAt(n.Along) // within a hundredth: the same
	}
	if got := c.Own(); len(got) != 0 {
		t.Errorf("marked apart: %v", got)
	}
	calf := &c.Needs[0]
	calf.Has = c.roomAt(calf.Along) - 60
	s := c.sheet()
	look(t, "girth-own", s)
	tidy(t, s)
	if got := c.Own(); len(got) != 1 || got[0] != "calf" {
		t.Errorf("marked apart: %v, want the calf", got)
	}
	im := decoded(t, s)
	x, y := plot(c)
	for _, d := range [][2]float64{{-8, -8}, {8, 8}, {-8, 8}, {8, -8}} {
		if !inkNear(im, x.px(calf.Along)+d[0], y.px(calf.Has)+d[1], ink, 1) {
			t.Errorf("no cross at %v mm", calf.Has)
		}
	}
	if !slices.ContainsFunc(s.labels, func(l label) bool { return l.text == "room there for its own shape" }) {
		t.Error("the cross is not explained")
	}
}
