package config

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gambeson/analysis"
)

// Wearer is what wearer.toml says of the body.
type Wearer struct {
	Name string
	analysis.Wearer
	// MeasuredOver is what lay under the tape: "skin", which is also what
	// holds where nothing is said, or "undersuit".
	MeasuredOver string
}

// Measure is one body measurement that a wearer can give, in mm.
type Measure struct {
	Name string
	// Sided measures may differ left and right and take a suffix: calf_girth.left.
	Sided bool
	// P1 and P99 are the 1st percentile of the smaller and the 99th of the
	// larger sex in Source.
	P1, P99 float64
	Source  string
	How     string   // how to measure it, in a line
	Example float64  // near the middle of both sexes
	also    []string // what people call it otherwise
}

// The surveys that the ranges come from: Gordon et al. 2014 (NATICK/TR-15/007),
// Gordon et al. 1989 (NATICK/TR-89/044), and the 1967 survey of US Air Force
// flyers (Churchill, Kikta, Churchill 1977), which measured men only: its P1
// and P99 are mean ∓ 2.326 SD, and P1 is lowered by the share of women to men
// in the girth next to it in ANSUR II (ball 0.905, hand 0.879).
const (
	ansur2   = "ANSUR II 2012"
	ansur88  = "ANSUR 1988"
	usaf67   = "USAF 1967, women by ratio"
	reckoned = "ANSUR II head girth × 1.14" // ellipse of USAF 1967 menton–occiput 256 mm by head breadth 156 mm: 657 mm; head girth 575 mm
)

// Measures lists every measure, from the ground up. Names follow ISO 8559-1 and
// ISO 7250-1 where these have one; heel_girth, hand_over_thumb_girth,
// head_over_face_girth and lower_thigh_girth are needed beyond them.
func Measures() []Measure {
	return []Measure{
		{"stature", false, 1482.55, 1927, ansur2, "height, barefoot, back against a wall, a book level on the head", 1690, []string{"height", "body_height", "size"}},

		{"foot_length", true, 219, 302, ansur2, "heel to the tip of the longest toe, standing on that foot", 258, []string{"foot", "shoe", "shoe_size"}},
		{"foot_breadth", true, 82.85, 115, ansur2, "widest place of the forefoot, straight across, standing", 97, []string{"foot_width"}},
		{"ball_girth", true, 203, 284, ansur2, "round the forefoot over both toe joints that stand out", 240, nil},
		{"instep_girth", true, 207, 285, usaf67, "round the middle of the foot over the top of the arch", 245, nil},
		{"heel_girth", true, 277, 385, ansur2, "round the tip of the heel and the crease where foot and shin meet", 327, []string{"heel", "heel_ankle_girth"}},
		{"ankle_girth", true, 185, 268, ansur2, "thinnest place of the leg, just above the ankle bones", 222, nil},
		{"ankle_height", true, 51, 87, ansur2, "floor to the point of the outer ankle bone", 68, nil},
		{"calf_girth", true, 312.7, 467, ansur2, "thickest place of the lower leg, standing on both feet", 382, nil},
		{"calf_height", true, 266, 410, ansur88, "floor to the thickest place of the lower leg", 334, nil},
		{"knee_girth", true, 317, 441, ansur88, "round the middle of the kneecap, leg straight but not locked", 375, nil},
		{"knee_height", true, 390, 556.19, ansur2, "floor to the middle of the kneecap, standing", 468, nil},
		{"lower_thigh_girth", true, 329, 501.15, ansur2, "just above the kneecap, standing", 403, nil},
		{"thigh_girth", true, 495, 774, ansur2, "thickest place of the thigh, level, right under the seat", 618, nil},
		{"crotch_height", false, 685, 960, ansur2, "floor to the crotch, a book pulled up firmly", 812, []string{"inseam", "inside_leg", "inside_leg_height"}},

		{"hip_girth", false, 861.81, 1218, ansur2, "level round the seat where it stands out most, feet together", 1018, []string{"seat", "seat_girth", "hips"}},
		{"waist_girth", false, 665, 1214, ansur2, "level round the belly at the navel, breathing out, not held in", 895, []string{"waist"}},
		{"waist_height", false, 868.7, 1186, ansur2, "floor to the navel", 1016, nil},
		{"chest_girth", false, 784, 1276.19, ansur2, "level round the fullest place of the chest, arms down, breathing quietly", 1000, []string{"bust", "bust_girth"}},
		{"back_waist_length", false, 364.85, 548.19, ansur2, "down the spine from the bone at the root of the neck to navel height", 450, nil},
		{"shoulder_girth", false, 915, 1341, ansur2, "round both shoulders and the chest over the widest place of the upper arms, arms down", 1100, nil},
		{"shoulder_breadth", false, 322, 463, ansur2, "between the bony tips of both shoulders, straight across", 390, []string{"shoulder_width"}},

		{"armscye_girth", true, 324, 515, ansur88, "from the bony tip of the shoulder through the armpit and back", 407, []string{"armhole_girth", "scye_girth"}},
		{"upper_arm_girth", true, 244, 448, ansur2, "thickest place of the upper arm, elbow bent square, fist clenched", 330, []string{"biceps", "biceps_girth", "bicep_girth", "arm_girth"}},
		{"upper_arm_length", true, 271, 377, ansur2, "bony tip of the shoulder to the outer hollow of the elbow, arm down", 323, nil},
		{"elbow_girth", true, 210, 314, ansur88, "round the point of the elbow, arm straight", 257, nil},
		{"forearm_girth", true, 225, 365, ansur2, "thickest place of the forearm, elbow bent square, fist clenched", 287, nil},
		{"lower_arm_length", true, 209.85, 308, ansur2, "outer hollow of the elbow to the wrist bone on the thumb's side", 254, []string{"forearm_length"}},
		{"wrist_girth", true, 138, 198, ansur2, "round the wrist over the bones on both sides", 165, nil},
		{"hand_girth", true, 167, 237, ansur2, "round the knuckles of the flat hand, without the thumb", 200, nil},
		{"hand_over_thumb_girth", true, 204, 283, usaf67, "round the widest place of the hand with the thumb folded in, as for a narrow sleeve", 242, []string{"hand_thumb_girth", "hand_entry_girth"}},
		{"hand_length", true, 160, 218, ansur2, "crease of the wrist to the tip of the middle finger", 187, nil},

		{"neck_girth", false, 291, 467.19, ansur2, "round the neck just below the larynx, a finger's room", 362, []string{"collar"}},
		{"neck_base_girth", false, 329, 502, ansur2, "round the root of the neck where a plain collar seam lies", 402, nil},
		{"head_girth", false, 521, 614.19, ansur2, "largest way round the head above the brows, hair pressed flat", 567, []string{"hat", "hat_size"}},
		{"head_over_face_girth", false, 594, 700, reckoned, "round chin and crown of the head past the ears, mouth closed, over the hair as worn", 650, nil},
		{"head_length", false, 171.85, 215, ansur2, "between the brows to the back of the head, straight", 195, nil},
		{"head_breadth", false, 136, 168, ansur2, "widest place above the ears, straight across", 151, []string{"head_width"}},
	}
}

// within is the range of lengths that can be a measure of a human: from half
// the survey's first percentile, which lets children in, to half as much again
// as its last. A length in cm, in or m typed as mm is never in it.
func (m Measure) within() span {
	return span{low: math.Floor(0.5 * m.P1), high: math.Ceil(1.5 * m.P99), usual: m.P1, usualMax: m.P99}
}

// body is the range of weights in kg, made from ANSUR II's as within is.
func body() span { return span{low: 23, high: 187, usual: 46.66, usualMax: 124.21} }

// measureNames lists the names of all measures.
func measureNames() (names []string) {
	for _, m := range Measures() {
		names = append(names, m.Name)
	}
	return names
}

// readWearer reads the text of a wearer.toml.
func readWearer(text []byte) (Wearer, Errors) {
	none := Wearer{MeasuredOver: "skin"}
	f, top := open(wearerFile, text)
	if top == nil {
		return none, f.errs
	}
	w := none
	w.Measures = map[string]float64{}
	top.text("name", "a name", &w.Name)
	top.quantity("weight", weights(), body(), &w.Weight)
	top.word("measured_over", []string{"skin", "undersuit"}, &w.MeasuredOver)
	for _, m := range Measures() {
		top.measure(m, w.Measures)
	}
	top.renamed()
	if errs := f.close(); len(errs) > 0 {
		return none, errs
	}
	return w, nil
}

// measure reads one measure, or its left and right.
func (t *table) measure(m Measure, to map[string]float64) {
	v, ok := t.take(m.Name)
	if !ok {
		return
	}
	if _, sides := v.(map[string]any); sides && m.Sided {
		both := t.sub(m.Name)
		for _, side := range []string{"left", "right"} {
			var mm float64
			if both.quantity(side, lengths(), m.within(), &mm) {
				to[m.Name+"."+side] = mm
			}
		}
		return
	} else if sides {
		t.wrong(m.Name, &Error{Fault: "has no left and right", Expected: "one value: " + m.Name + " = " + trim(m.Example, 0)})
		return
	}
	var mm float64
	if t.quantity(m.Name, lengths(), m.within(), &mm) {
		to[m.Name] = mm
	}
}

// renamed reports keys that are known by another name, and those with a side in
// quotes. Whatever else is unknown is left to the table.
func (t *table) renamed() {
	for _, m := range Measures() {
		for _, other := range m.also {
			if t.has(other) {
				t.asked = append(t.asked, other)
				t.wrong(other, &Error{Fault: "unknown key", Nearest: m.Name})
			}
		}
		for _, side := range []string{".left", ".right"} {
			if t.has(m.Name + side) {
				t.asked = append(t.asked, m.Name+side)
				t.wrong(m.Name+side, &Error{Fault: "unknown key", Nearest: m.Name + side + " without quotes"})
			}
		}
	}
}

// station reads where along a part something was found: the name of the measure
// that rests there, or a length along the way in.
func (t *table) station(key string, name *string, along *float64) {
	v, ok := t.take(key)
	s, isText := v.(string)
	switch {
	case !ok:
	case isText && slices.Contains(measureNames(), s):
		*name = s
	case isText && strings.IndexAny(s, "0123456789") != 0:
		t.wrong(key, &Error{Fault: show(s) + " is no measure", Expected: `the name of a measure such as "calf_girth", or a length along the part`, Nearest: strconv.Quote(nearest(s, measureNames()))})
	default:
		t.length(key, 0, 10_000, along)
	}
}
