package guess

import (
	"strings"
	"testing"

	"gambeson/analysis/fit/survey"
)

// boxed is a part without a hollow, of a longest side in mm.
func boxed(side float64) Part { return Part{Bounds: [3]float64{side / 3, side, side / 2}} }

func TestUnits(t *testing.T) {
	greave := straight(335, 320, 404)
	boot := turned(closed(straight(400, 284, 377)), 90)
	helm := closed(straight(274, 632, 690))
	for _, c := range []struct {
		what   string
		region string
		p      Part
		factor float64
		want   string
	}{
		{"a greave", "lower_leg", greave, 1, ""},
		{"a greave in inches", "lower_leg", greave.times(1 / 25.4), 1, "inch"},
		{"a greave in cm", "lower_leg", greave.times(0.1), 1, "centimetre"},
		{"a greave in metres", "lower_leg", greave.times(0.001), 1, "metre"},
		{"a greave in mm that says inches", "lower_leg", greave.times(25.4), 25.4, "millimetre"},
		{"a greave in cm that says inches", "lower_leg", greave.times(2.54), 25.4, ""},    // 2.54 times as large: a giant's
		{"a greave in inches that says cm", "lower_leg", greave.times(10 / 25.4), 10, ""}, // 0.39 times as large: a child's ankle
		{"a greave in metres that says cm", "lower_leg", greave.times(0.01), 10, "metre"},
		{"a greave for a child", "lower_leg", greave.times(0.6), 1, ""},
		{"a greave to be rescaled", "lower_leg", greave.times(1.7), 1, ""},
		{"an ankle ring", "lower_leg", straight(30, 190, 200), 1, ""},

		{"a boot", "foot", boot, 1, ""},
		{"a boot in inches", "foot", boot.times(1 / 25.4), 1, "inch"},
		{"a boot in cm", "foot", boot.times(0.1), 1, "centimetre"},
		{"a helm in inches", "head", helm.times(1 / 25.4), 1, "inch"},
		{"a helm in cm", "head", helm.times(0.1), 1, "centimetre"},
		{"a helm for a child", "head", helm.times(0.8), 1, ""},
		{"a glove in inches", "hand", closed(straight(206, 237, 276)).times(1 / 25.4), 1, "inch"},
		{"a finger ring", "hand", straight(8, 60, 60), 1, ""},
		{"a bracelet", "forearm", straight(20, 186, 186), 1, ""},

		// The bounding box alone.
		{"a breastplate", "torso", boxed(270), 1, ""},
		{"a breastplate in inches", "torso", boxed(270 / 25.4), 1, "inch"},
		{"a breastplate in cm", "torso", boxed(27), 1, "centimetre"},
		{"a breastplate in metres", "torso", boxed(0.27), 1, "metre"},
		{"a breastplate in mm that says inches", "torso", boxed(270 * 25.4), 25.4, "millimetre"},
		{"a half of a greave", "lower_leg", boxed(335), 1, ""},
		{"a greave's box in inches", "lower_leg", boxed(13.19), 1, "inch"},
		{"a greave's box in cm", "lower_leg", boxed(33.5), 1, "centimetre"},
		{"a knee plate on a greave", "lower_leg", boxed(90), 1, ""},
		{"a knee cop", "knee", closed(straight(60, 200, 500)), 1, ""},
		{"a knee cop in cm", "knee", closed(straight(60, 200, 500)).times(0.1), 1, "centimetre"},
		{"a tube for the knee in inches", "knee", straight(150, 430, 440).times(1 / 25.4), 1, "inch"},
		{"a tube for the elbow in metres", "elbow", straight(120, 330, 340).times(0.001), 1, "metre"},
		{"a tube for the elbow", "elbow", straight(120, 330, 340), 1, ""},
		{"a knee's plate", "knee", boxed(90), 1, ""},
		{"an elbow's plate in cm", "elbow", boxed(11), 1, "centimetre"},
		{"a finger's joint", "hand", boxed(28), 1, ""},
		{"a bolt hole in a hip plate", "hips", Part{Ways: []Way{{From: "A", To: "B", Length: 6, Tightest: 50, Widest: 60}}, Bounds: [3]float64{200, 150, 40}}, 1, ""},
		{"grains", "lower_leg", boxed(1e-6), 1, ""}, // no unit makes a greave of it

		// For nobody knows what.
		{"a small fitting", "", Part{Bounds: [3]float64{24, 15, 8}, Thick: 1.6}, 1, ""},
		{"a shell in cm", "", Part{Bounds: [3]float64{24, 15, 14}, Thick: 0.3}, 1, "centimetre"},
		{"a sheet of a long part", "", Part{Bounds: [3]float64{240, 150, 140}, Thick: 0.3}, 1, ""},
		{"a tube", "", greave, 1, ""},
		{"a tube in inches", "", greave.times(1 / 25.4), 1, "inch"},
		{"a tube in metres", "", greave.times(0.001), 1, "metre"},
		{"a tube in mm that says inches", "", greave.times(25.4), 25.4, "millimetre"},
		{"a ring", "", straight(8, 60, 60), 1, ""},
		{"a box", "", boxed(270), 1, ""},
		{"a small box", "", boxed(25), 1, ""},
		{"a box in inches", "", boxed(13), 1, "inch"},
		{"a box in metres", "", boxed(0.4), 1, "metre"},
		{"a box in mm that says inches", "", boxed(8509), 25.4, "millimetre"},
		{"a dot", "", boxed(0.01), 1, ""},
		{"nothing", "", Part{}, 1, ""},
		{"nothing for a foot", "foot", Part{}, 1, ""},
		{"no unit", "foot", boot, 0, ""},
		{"no such region", "tail", boxed(3), 1, ""},
	} {
		name, reason, ok := Unit(c.region, c.p, c.factor)
		if name != c.want || ok != (c.want != "") || ok != (reason != "") {
			t.Errorf("%s: %q because %q, want %q", c.what, name, reason, c.want)
		}
	}
}

func TestUnitReasons(t *testing.T) {
	for _, c := range []struct {
		region string
		p      Part
		factor float64
		want   string
	}{
		{"lower_leg", straight(335, 320, 404).times(1 / 25.4), 1, "its girths are 12.6 to 15.9 mm, which is no size for a lower leg; in inches they would be 320 to 404 mm"},
		{"", straight(335, 320, 404).times(1 / 25.4), 1, "its girths are 12.6 to 15.9 mm, which is no size for any part of the body; in inches they would be 320 to 404 mm"},
		{"upper_arm", boxed(0.165), 1, "its longest side is 0.165 mm, which is no size for an upper arm; in metres it would be 165 mm"},
		{"hips", boxed(420 * 25.4), 25.4, "its longest side is 10668 mm, which is no size for hips; in millimetres it would be 420 mm"},
	} {
		if _, got, _ := Unit(c.region, c.p, c.factor); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// Shells of every region for people small and large, drawn in every unit and
// taken for mm, are told from each other by their girths; those in mm raise no
// doubt.
func TestUnitsOfShells(t *testing.T) {
	all, told := 0, 0
	for _, quantile := range []float64{0.01, 0.5, 0.99} {
		for region, parts := range shells(wearer{survey.Anyone(), quantile}, 5) {
			for i, p := range parts {
				for _, u := range units {
					name, reason, ok := Unit(region, p.times(1/u.factor), 1)
					switch {
					case u.factor == 1 && ok:
						t.Errorf("%s %d of quantile %g in mm: %s", region, i, quantile, reason)
					case region == "hand" && u.factor == 10: // as wide as a finger
					case u.factor != 1:
						all++
						if name == u.name {
							told++
						} else {
							t.Logf("%s %d of quantile %g in %s: %q %s", region, i, quantile, u.many, name, reason)
						}
					}
				}
			}
		}
	}
	t.Logf("%d of %d told", told, all)
	if told < all*97/100 {
		t.Errorf("only %d of %d told", told, all)
	}
}

// A part in another unit is what it is in its own: only the reason's first
// numbers change with the unit it was taken for.
func TestUnitOfWhatItWasTakenFor(t *testing.T) {
	p := straight(335, 320, 404)
	for _, taken := range units {
		for _, drawn := range units {
			q := p.times(taken.factor / drawn.factor)
			name, reason, ok := Unit("lower_leg", q, taken.factor)
			alike := taken.factor/drawn.factor > 0.3 && taken.factor/drawn.factor < 3 // inch for cm
			if taken.name == drawn.name && ok || !alike && taken.name != drawn.name && name != drawn.name {
				t.Errorf("drawn in %s, taken for %s: %q %s", drawn.many, taken.many, name, reason)
			}
			if ok && !strings.Contains(reason, drawn.many) && !alike {
				t.Errorf("drawn in %s: %q", drawn.many, reason)
			}
		}
	}
}
