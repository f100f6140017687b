// Package joint tells how the parts of a suit go together where the body bends:
// the gap that two of them leave along the limb, and how far the joint bends
// before their rims touch.
//
// The model is a simple one. Each rim is a disc as large as its girth, square
// to its part of the limb, at its distance from the joint's axis, and the shell
// runs straight on from it; the joint is a hinge. Walls, padding, flesh that is
// squeezed and shells that shift are not in it. It is guidance.
package joint

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"gambeson/analysis"
	"gambeson/analysis/fit/survey"
)

// Joint is a place where two parts meet. Lengths are mm, angles degrees.
// Places are above the floor, on the arm below the tip of the shoulder.
type Joint struct {
	Name  string  `json:"joint"`          // knee
	Side  string  `json:"side,omitempty"` // left, right or ""
	Limb  string  `json:"limb"`           // leg, arm, trunk: that of the lower part
	Upper Rim     `json:"upper"`          // on the arm nearer to the shoulder
	Lower Rim     `json:"lower"`
	Gap   float64 `json:"gap_mm"` // along the limb; negative where they overlap
	SD    float64 `json:"gap_sd_mm"`
	// Clear is by how much the radius of one rim is greater than that of the
	// other, 0 where a girth is not known. A wall of the narrower one is in it.
	Clear float64 `json:"clear_mm,omitempty"`
	// Laps: parts often overlap here by design, one sliding over the other.
	Laps bool `json:"laps,omitempty"`
	// Round: one of the two goes round the bending joint itself, so that no bend is reckoned.
	Round bool   `json:"round,omitempty"`
	Axis  *Axis  `json:"axis,omitempty"`  // nil where the wearer's lengths are not known
	Bends []Bend `json:"bends,omitempty"` // none without axis or without the girth of a rim
	// Overlap tells whether one goes into the other where they overlap by design; nil
	// where they do not, or it is not known.
	Overlap *Overlap `json:"overlap,omitempty"`
	// Note is a doubt to be raised: shells that overlap where they should not.
	Note *analysis.Warning `json:"note,omitempty"`
}

// Rim is the end of a part that faces the joint.
type Rim struct {
	Part    string  `json:"part"` // as Findings names it
	Region  string  `json:"region"`
	Percent float64 `json:"percent"` // scale at which it is judged
	At      float64 `json:"at_mm"`
	Girth   float64 `json:"girth_mm,omitempty"` // 0 where not known
	SD      float64 `json:"sd_mm,omitempty"`    // of At
	Length  float64 `json:"length_mm"`          // of the limb under the part
	// Away is how far the rim stays from the axis; negative where the part
	// reaches past it, 0 without an axis.
	Away float64 `json:"away_mm,omitempty"`
}

// Radius is that of the disc with the rim's girth.
func (r Rim) Radius() float64 { return r.Girth / (2 * math.Pi) }

// slip is the difference of radii, in mm, from which on the narrower part goes
// into the wider one: two walls, and some room to move (a guess).
const slip = 8

// Into returns the wider rim and whether the narrower part may go into it
// instead of touching it.
func (j Joint) Into() (wider Rim, may bool) {
	wider = j.Lower
	if j.Upper.Girth > j.Lower.Girth {
		wider = j.Upper
	}
	return wider, j.Clear >= slip
}

// Axis is where the joint bends along the limb.
type Axis struct {
	At float64 `json:"at_mm"`
	SD float64 `json:"sd_mm"`
}

// Bend is one way in which the joint bends, and how far the parts let it.
type Bend struct {
	Name   string  `json:"bend"`  // what the joint does: "bends", "lifts the toes"
	Where  string  `json:"where"` // where the rims meet: "behind it"
	Side   string  `json:"side"`  // of the limb where they meet: "at the back"
	Touch  float64 `json:"touch_deg"`
	SD     float64 `json:"touch_sd_deg"`
	Normal float64 `json:"normal_deg"` // of a healthy grown-up
	Share  float64 `json:"share"`      // of Normal before the rims touch, 0–1
	Needs  []Need  `json:"needs"`      // of everyday life, the least first
	Cuts   []Cut   `json:"cuts,omitempty"`
	// Offset is how far the axis lies from the middle of the limb towards where
	// the rims meet.
	Offset float64 `json:"offset_mm"`
}

// Need is what a movement of everyday life asks of a joint.
type Need struct {
	For   string  `json:"for"` // "to walk"
	Angle float64 `json:"angle_deg"`
}

// Cut is what to take off a rim on the side where the rims meet, so that there
// is room for a need.
type Cut struct {
	Need
	// Part is the one whose rim gives the room for the least cut, "" where it
	// takes both; Rim is its upper or lower rim.
	Part string  `json:"part,omitempty"`
	Rim  string  `json:"rim,omitempty"`
	Side string  `json:"side"`             // of the rim: "at the back"
	Off  float64 `json:"off_mm,omitempty"` // along the limb, at the deepest
	Wide float64 `json:"wide_mm"`          // along the rim, running out to nothing
	// Each is what to take off both rims instead, where that is less for each; 0
	// where it is not.
	Each float64 `json:"each_mm,omitempty"`
}

// asSaid is half a degree: angles are said in whole ones, and a need that the joint
// reaches as it is said is met.
const asSaid = 0.5

func (b Bend) meets(n Need) bool { return n.Angle <= b.Touch+asSaid }

// Met lists the needs that there is room for, Unmet the others.
func (b Bend) Met() []Need {
	return slices.DeleteFunc(slices.Clone(b.Needs), func(n Need) bool { return !b.meets(n) })
}

// Unmet lists the needs that there is no room for, the least first.
func (b Bend) Unmet() []Need { return slices.DeleteFunc(slices.Clone(b.Needs), b.meets) }

// Stopped reports whether the movement is enough for no need, not the least.
func (b Bend) Stopped() bool { return len(b.Needs) > 0 && len(b.Met()) == 0 }

// Between lists where parts of a suit meet, from the ground up and the arm from
// the shoulder down, left before right. Parts without a region, or of which is
// not known what they cover, meet nobody. A part without a side meets those of
// both sides. Of several parts of one region those nearest to the joint count.
//
// The standard deviations take what is not known of one part, of the other and
// of the joint's place as independent. They come from the same body and partly
// cancel, so they are upper bounds rather than best guesses.
func Between(parts []*analysis.Findings, wearer analysis.Wearer) []Joint {
	var out []Joint
	known := bodies{wearer: wearer, sides: map[string]*survey.Body{}}
	all := dress(parts, known)
	for _, k := range kinds() {
		for _, side := range k.sides(all) {
			if upper, lower, ok := k.rims(all, side); ok {
				j := k.joint(upper, lower, side, known.of(side))
				k.laid(&j, all)
				out = append(out, j)
			}
		}
	}
	return out
}

// bodies are the two sides of the wearer, estimated when they are asked for.
type bodies struct {
	wearer analysis.Wearer
	sides  map[string]*survey.Body
}

func (b bodies) of(side string) *survey.Body {
	if _, asked := b.sides[side]; !asked {
		b.sides[side] = estimate(b.wearer, side)
	}
	return b.sides[side]
}

// estimate returns what is known of the wearer's body on a side, nil where
// nothing is. Readings that the survey cannot take are left out.
func estimate(w analysis.Wearer, side string) *survey.Body {
	given := maps.Clone(w.Measures)
	if given == nil {
		given = map[string]float64{}
	}
	if w.Weight > 0 {
		given[survey.Weight] = w.Weight
	}
	maps.DeleteFunc(given, func(key string, v float64) bool {
		_, err := survey.Estimate(map[string]float64{key: v}, "")
		return err != nil
	})
	body, err := survey.Estimate(survey.Side(given, side), w.Sex)
	if err != nil {
		return nil
	}
	return &body
}

// at returns where the axis lies on a body.
func (p place) at(body *survey.Body) (Axis, bool) {
	a, variance := Axis{At: p.fixed}, p.doubt*p.doubt
	for _, s := range p.shares {
		if body == nil {
			return Axis{}, false
		}
		v, known := body.Of(s.measure)
		if !known {
			return Axis{}, false
		}
		a.At += s.times * v.Mean
		for _, o := range p.shares {
			variance += s.times * o.times * body.Cov(s.measure, o.measure)
		}
	}
	a.SD = math.Sqrt(variance)
	return a, true
}

// joint fills in what can be said of two rims.
func (k kind) joint(upper, lower Rim, side string, body *survey.Body) Joint {
	j := Joint{Name: k.name, Side: side, Limb: k.limb(), Upper: upper, Lower: lower, Laps: k.laps, Round: k.round}
	j.Gap, j.SD = k.up(upper.At)-k.up(lower.At), math.Hypot(upper.SD, lower.SD)
	if upper.Girth > 0 && lower.Girth > 0 {
		j.Clear = math.Abs(upper.Radius() - lower.Radius())
	}
	if j.Gap < 0 && !k.laps {
		j.Note = &analysis.Warning{Level: analysis.LevelNote, Code: "parts-overlap", Text: overlapText(j)}
	}
	if k.round {
		return j
	}
	axis, ok := k.axis.at(body)
	if !ok {
		return j
	}
	j.Axis = &axis
	j.Upper.Away, j.Lower.Away = k.up(upper.At)-k.up(axis.At), k.up(axis.At)-k.up(lower.At)
	if !(upper.Girth > 0 && lower.Girth > 0) {
		return j
	}
	for _, m := range k.bends {
		j.Bends = append(j.Bends, m.bend(j))
	}
	return j
}

// up turns a place along the limb into one that grows upward.
func (k kind) up(at float64) float64 {
	if k.arm {
		return -at
	}
	return at
}

func (k kind) limb() string {
	switch {
	case k.arm:
		return "arm"
	case k.lower == "hips" || k.lower == "torso" || k.lower == "neck":
		return "trunk"
	}
	return "leg"
}

// bend reckons one movement of a joint whose axis and rims are known.
func (m movement) bend(j Joint) Bend {
	r := rims{above: j.Upper.Away, below: j.Lower.Away, upper: j.Upper.Radius(), lower: j.Lower.Radius()}
	r.axis = m.axis * min(r.upper, r.lower)
	b := Bend{Name: m.name, Where: m.where, Side: m.side, Touch: r.touch(), Normal: m.normal, Needs: m.needs, Offset: r.axis}
	b.SD = math.Sqrt(m.variance(r, j.Upper.SD, j.Lower.SD, j.Axis.SD))
	b.Share = min(1, b.Touch/m.normal)
	for _, n := range b.Unmet() {
		if c, ok := m.cut(r, j, n); ok {
			b.Cuts = append(b.Cuts, c)
		}
	}
	return b
}

// variance is that of the angle that the joint reaches, in degrees², by half
// its change from one standard deviation below to one above of each rim's place
// and of the axis. Beyond the normal range nothing changes.
func (m movement) variance(r rims, upper, lower, axis float64) float64 {
	half := func(above, below float64) float64 {
		plus, minus := r, r
		plus.above, plus.below = r.above+above, r.below+below
		minus.above, minus.below = r.above-above, r.below-below
		return (min(plus.touch(), m.normal) - min(minus.touch(), m.normal)) / 2
	}
	u, l, a := half(upper, 0), half(0, lower), half(axis, -axis)
	return u*u + l*l + a*a
}

// mostCut is the share of a part that a cut may take off: a guess, beyond which
// it is another part.
const mostCut = 1.0 / 3

// cut finds the lesser cut that makes room for a need, off the lower part
// where both are equal; ok is false where not even both parts are long enough.
func (m movement) cut(r rims, j Joint, n Need) (Cut, bool) {
	most := [2]float64{mostCut * j.Upper.Length, mostCut * j.Lower.Length}
	upper, upperOK := r.cut(n.Angle, 1, 0, most[0])
	lower, lowerOK := r.cut(n.Angle, 0, 1, most[1])
	each, eachOK := r.cut(n.Angle, 1, 1, min(most[0], most[1]))
	wideUpper, wideLower := r.width(n.Angle)
	c := Cut{Need: n, Side: m.side}
	switch {
	case lowerOK && (!upperOK || lower <= upper+1e-6):
		c.Part, c.Rim, c.Off, c.Wide = j.Lower.Part, "upper", lower, wideLower
	case upperOK:
		c.Part, c.Rim, c.Off, c.Wide = j.Upper.Part, "lower", upper, wideUpper
	}
	if eachOK && (c.Part == "" || each < c.Off) {
		c.Each = each
	}
	if c.Part == "" {
		c.Wide = max(wideUpper, wideLower)
	}
	return c, c.Part != "" || eachOK
}

func overlapText(j Joint) string {
	side := ""
	if j.Side != "" {
		side = j.Side + " "
	}
	text := fmt.Sprintf("At the %s%s, %s and %s overlap by %.0f mm", side, j.Name, j.Upper.Part, j.Lower.Part, -j.Gap)
	if j.SD > 0 {
		text += fmt.Sprintf(" (give or take %.0f mm)", j.SD)
	}
	return text + " along the limb, so that the joint cannot bend. Shorten one of them."
}
