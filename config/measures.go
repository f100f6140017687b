package config

import "math"

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
// flyers (Churchill, Kikta, Churchill 1977), which measured men only. What the
// older two alone have is carried to the people of 2012, who are heavier, along
// the measures next to it, and to women by ratio where there were none; a test
// of analysis/fit/survey holds all ranges against its summary. The head over
// the face is the sum of two arcs of 1988 between the fronts of the ears.
const (
	ansur2  = "ANSUR II 2012"
	ansur88 = "ANSUR 1988, carried to 2012"
	usaf67  = "USAF 1967, carried to 2012, women by ratio"
)

// Measures lists every measure, from the ground up. Names follow ISO 8559-1 and
// ISO 7250-1 where these have one; heel_girth, hand_over_thumb_girth,
// head_over_face_girth and lower_thigh_girth are needed beyond them. How says
// where the surveys laid the tape, since what is not given is told from them.
func Measures() []Measure {
	return []Measure{
		{"stature", false, 1482.55, 1927, ansur2, "height, barefoot, back against a wall, a book level on the head", 1690, []string{"height", "body_height", "size"}},

		{"foot_length", true, 219, 302, ansur2, "heel to the tip of the longest toe, weight on both feet", 258, []string{"foot", "shoe", "shoe_size"}},
		{"foot_breadth", true, 82.85, 115, ansur2, "widest place of the forefoot, straight across, standing", 97, []string{"foot_width"}},
		{"ball_girth", true, 203, 284, ansur2, "round the forefoot over both toe joints that stand out, standing", 240, nil},
		{"instep_girth", true, 208, 293, usaf67, "round the middle of the foot over the top of the arch, standing", 248, nil},
		{"heel_girth", true, 277, 385, ansur2, "under the tip of the heel and over the crease where foot and shin meet", 327, []string{"heel", "heel_ankle_girth"}},
		{"ankle_girth", true, 185, 268, ansur2, "thinnest place of the leg, just above the ankle bones, level", 222, nil},
		{"ankle_height", true, 51, 87, ansur2, "floor to the point of the outer ankle bone", 68, nil},
		{"calf_girth", true, 312.7, 467, ansur2, "thickest place of the lower leg, standing on both feet", 382, nil},
		{"calf_height", true, 260, 409, ansur88, "floor to the thickest place of the lower leg", 331, nil},
		{"knee_girth", true, 320, 462, ansur88, "round the middle of the kneecap, leg straight but not locked", 391, nil},
		{"knee_height", true, 390, 556.19, ansur2, "floor to the middle of the kneecap, standing", 468, nil},
		{"lower_thigh_girth", true, 329, 501.15, ansur2, "round the thigh at the upper edge of the kneecap, standing", 403, nil},
		{"thigh_girth", true, 495, 774, ansur2, "round the thigh in the fold right under the seat, level", 618, nil},
		{"crotch_height", false, 685, 960, ansur2, "floor to the crotch, a book pulled up firmly", 812, []string{"inseam", "inside_leg", "inside_leg_height"}},

		{"hip_girth", false, 861.81, 1218, ansur2, "level round the seat where it stands out most, feet together", 1018, []string{"seat", "seat_girth", "hips"}},
		{"waist_girth", false, 665, 1214, ansur2, "level round the belly at the navel, breathing out, not held in", 895, []string{"waist"}},
		{"waist_height", false, 868.7, 1186, ansur2, "floor to the navel", 1016, nil},
		{"chest_girth", false, 784, 1276.19, ansur2, "level round the fullest place of the chest, arms down, breathing quietly", 1000, []string{"bust", "bust_girth"}},
		{"back_waist_length", false, 364.85, 548.19, ansur2, "down the spine from the bone at the root of the neck to navel height", 450, nil},
		{"shoulder_girth", false, 915, 1341, ansur2, "round both shoulders and the chest where the upper arms stand out most, arms down", 1100, nil},
		{"shoulder_breadth", false, 322, 463, ansur2, "between the bony tips of both shoulders, straight across", 390, []string{"shoulder_width"}},

		{"armscye_girth", true, 325, 547, ansur88, "over the bony tip of the shoulder and through the armpit, arm down", 426, []string{"armhole_girth", "scye_girth"}},
		{"upper_arm_girth", true, 244, 448, ansur2, "thickest place of the upper arm, flexed: elbow bent square, fist clenched", 330, []string{"biceps", "biceps_girth", "bicep_girth", "arm_girth"}},
		{"upper_arm_length", true, 271, 377, ansur2, "bony tip of the shoulder to the outer hollow of the elbow, arm down", 323, nil},
		{"elbow_girth", true, 211, 328, ansur88, "round the point of the elbow, arm straight", 265, nil},
		{"forearm_girth", true, 225, 365, ansur2, "thickest place of the forearm, flexed: elbow bent square, fist clenched", 287, nil},
		{"lower_arm_length", true, 209.85, 308, ansur2, "outer hollow of the elbow to the wrist bone on the thumb's side", 254, []string{"forearm_length"}},
		{"wrist_girth", true, 138, 198, ansur2, "round the wrist over the bones on both sides", 165, nil},
		{"hand_girth", true, 167, 237, ansur2, "round the knuckles of the flat hand, without the thumb", 200, nil},
		{"hand_over_thumb_girth", true, 201, 283, usaf67, "round the widest place of the hand with the thumb folded in, as for a narrow sleeve", 240, []string{"hand_thumb_girth", "hand_entry_girth"}},
		{"hand_length", true, 160, 218, ansur2, "crease of the wrist to the tip of the middle finger", 187, nil},

		{"neck_girth", false, 291, 467.19, ansur2, "round the neck just below the larynx, lying close", 362, []string{"collar"}},
		{"neck_base_girth", false, 329, 502, ansur2, "round the root of the neck where a plain collar seam lies", 402, nil},
		{"head_girth", false, 521, 614.19, ansur2, "largest way round the head above the brows, hair pressed flat", 567, []string{"hat", "hat_size"}},
		{"head_over_face_girth", false, 603, 742, ansur88, "round the point of the chin and over the crown, close in front of both ears, mouth closed, hair as worn", 673, nil},
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

// measureNames lists the names of all measures.
func measureNames() (names []string) {
	for _, m := range Measures() {
		names = append(names, m.Name)
	}
	return names
}
