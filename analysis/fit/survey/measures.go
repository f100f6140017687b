package survey

import "slices"

// Source is the survey that a measure's numbers come from.
type Source string

// The surveys. All three are works of the US Government in the public domain
// (17 U.S.C. 105).
const (
	// Ansur2012 is ANSUR II: Gordon et al. 2014, NATICK/TR-15/007.
	Ansur2012 Source = "ANSUR II 2012"
	// Ansur1988 is ANSUR: Gordon et al. 1989, NATICK/TR-89/044.
	Ansur1988 Source = "ANSUR 1988"
	// Usaf1967 is the survey of flyers, men only: Churchill, Kikta and
	// Churchill 1977. Its means, standard deviations and differences were
	// read, not its people.
	Usaf1967 Source = "USAF 1967"
)

// Measure says which column of which survey a measure of the wearer is, and
// how well a wearer reads it.
type Measure struct {
	Name   string // as in wearer.toml
	Source Source
	Column string // its name in the raw table of Source
	Shared string // its column in ANSUR 1988 where Source is ANSUR II and 1988 has it as well
	// Tape is the standard deviation of one reading, mm (weight: kg).
	Tape float64
	// Sides is the standard deviation of one side of the body against the
	// other, as a share of the measure; 0 where there are no sides.
	Sides float64
}

// Weight is the name of the one measure that is no length: kg.
const Weight = "weight"

// Standard deviations of one reading, mm. The classes and numbers are the
// greatest mean differences that ISO 20685 allows between a scan and a skilled
// tape (Anthropometry, Apparel Sizing and Design, p. 41). A limit that 95 % of
// skilled readings keep is about two of their standard deviations, and a wearer
// at home is taken to err twice as much as a skilled measurer (a guess), so one
// standard deviation at home is the limit itself. Against it: the right calf of
// USAF 1967 differs from the left by an SD of 6.45, so one reading by less than
// 4.6; and the allowable errors of ANSUR (Gordon and Bradtmiller 1992, from
// memory: calf 5, ankle 4, thigh 6, waist 11, hip 12, chest 15, hand 4, foot
// length 3, head 5) are differences of two skilled readings, which makes SDs of
// 1.1 to 5.4, half of these.
const (
	tapeHeight     = 4.0
	tapeSegment    = 5.0
	tapeBreadth    = 4.0
	tapeSmallGirth = 4.0
	tapeLargeGirth = 9.0 // from the thigh up
	tapeFoot       = 2.0 // lengths and breadths; round the foot is a small girth
	tapeHead       = 2.0
	tapeHand       = 2.0 // ISO 20685 has 1, but a tape is read to about 2: common practice, no source
	tapeArmscye    = 9.0 // a small girth that is hard to place: a guess
	scale          = 1.0 // kg, of a bathroom scale, with the hour of the day and clothes: common practice, no source
)

// One side against the other: SD of right − left over mean, USAF 1967 (2420
// men). They hold the errors of two readings as well and are upper bounds.
const (
	sidesLeg  = 6.45 / 371.93 // calf girth
	sidesArm  = 9.4 / 327.45  // upper arm girth, flexed
	sidesBone = 1.1 / 99.75   // bone breadth of the knee; for foot, ankle, wrist and hand a guess
)

// Measures lists all measures, in the order of the summary: those of
// wearer.toml from the ground up, then weight.
//
// What the columns mean, where the name leaves it open (definitions of the
// surveys, from memory): heel girth goes under the tip of the heel and over
// the crease of the foot and shin; ankle girth is the least one above the
// ankle bones; thigh girth lies at the fold under the seat, lower thigh girth
// at the upper edge of the kneecap; waist girth, waist height and back waist
// length are those of the navel (omphalion); neck girth lies just below the
// larynx; upper arm and forearm girth are of the bent arm with the fist
// clenched; armscye girth goes over the tip of the shoulder. Head girth was
// taken over the hair. head_over_face_girth is the sum of two arcs between the
// fronts of the ears, one round the chin, one over the crown.
func Measures() []Measure {
	return []Measure{
		{"stature", Ansur2012, "stature", "STATURE", tapeHeight, 0},

		{"foot_length", Ansur2012, "footlength", "FOOT_LNTH", tapeFoot, sidesBone},
		{"foot_breadth", Ansur2012, "footbreadthhorizontal", "FOOT_BRTH", tapeFoot, sidesBone},
		{"ball_girth", Ansur2012, "balloffootcircumference", "FOOT_CIRC", tapeSmallGirth, sidesBone},
		{"instep_girth", Usaf1967, "instep_girth", "", tapeSmallGirth, sidesBone},
		{"heel_girth", Ansur2012, "heelanklecircumference", "HEEL_ANKLE_CIRC", tapeSmallGirth, sidesBone},
		{"ankle_girth", Ansur2012, "anklecircumference", "ANKLE_CIRC", tapeSmallGirth, sidesBone},
		{"ankle_height", Ansur2012, "lateralmalleolusheight", "LATERAL-MALLEOUS_HT", tapeHeight, sidesBone},
		{"calf_girth", Ansur2012, "calfcircumference", "CALF_CIRC", tapeSmallGirth, sidesLeg},
		{"calf_height", Ansur1988, "CALF_HT", "", tapeHeight, sidesBone},
		{"knee_girth", Ansur1988, "KNEE_CIRC", "", tapeSmallGirth, sidesLeg},
		{"knee_height", Ansur2012, "kneeheightmidpatella", "PATELLA-MID_HT", tapeHeight, sidesBone},
		{"lower_thigh_girth", Ansur2012, "lowerthighcircumference", "THIGH_CIRC-DISTAL", tapeSmallGirth, sidesLeg},
		{"thigh_girth", Ansur2012, "thighcircumference", "THIGH_CIRC-PROXIMAL", tapeLargeGirth, sidesLeg},
		{"crotch_height", Ansur2012, "crotchheight", "CROTCH_HT", tapeHeight, 0},

		{"hip_girth", Ansur2012, "buttockcircumference", "BUTTOCK_CIRC", tapeLargeGirth, 0},
		{"waist_girth", Ansur2012, "waistcircumference", "WAIST_CIRC-OMPHALION", tapeLargeGirth, 0},
		{"waist_height", Ansur2012, "waistheightomphalion", "WAIST_HT-OMPHALION", tapeHeight, 0},
		{"chest_girth", Ansur2012, "chestcircumference", "CHEST_CIRC", tapeLargeGirth, 0},
		{"back_waist_length", Ansur2012, "waistbacklength", "WAIST_OMPH_LNTH", tapeSegment, 0},
		{"shoulder_girth", Ansur2012, "shouldercircumference", "SHOULDER_CIRC", tapeLargeGirth, 0},
		{"shoulder_breadth", Ansur2012, "biacromialbreadth", "BIACROMIAL_BRTH", tapeBreadth, 0},

		{"armscye_girth", Ansur1988, "SCYE_CIRC_OVER_ACROMION", "", tapeArmscye, sidesArm},
		{"upper_arm_girth", Ansur2012, "bicepscircumferenceflexed", "ARMCIRCBCPS_FLEX", tapeSmallGirth, sidesArm},
		{"upper_arm_length", Ansur2012, "acromionradialelength", "ACR-RADL_LNTH", tapeSegment, sidesBone},
		{"elbow_girth", Ansur1988, "ELBOW_CIRC-EXTENDED", "", tapeSmallGirth, sidesArm},
		{"forearm_girth", Ansur2012, "forearmcircumferenceflexed", "FOREARM_CIRC-FLEXED", tapeSmallGirth, sidesArm},
		{"lower_arm_length", Ansur2012, "radialestylionlength", "RADIALE-STYLION_LNTH", tapeSegment, sidesBone},
		{"wrist_girth", Ansur2012, "wristcircumference", "WRIST_CIRC-STYLION", tapeSmallGirth, sidesBone},
		{"hand_girth", Ansur2012, "handcircumference", "HAND_CIRC_AT_METACARPALE", tapeHand, sidesBone},
		{"hand_over_thumb_girth", Usaf1967, "hand_circ_over_thumb", "", tapeSmallGirth, sidesBone},
		{"hand_length", Ansur2012, "handlength", "HAND_LNTH", tapeHand, sidesBone},

		{"neck_girth", Ansur2012, "neckcircumference", "NECK_CIRC-OVER_LARYNX", tapeSmallGirth, 0},
		{"neck_base_girth", Ansur2012, "neckcircumferencebase", "NECK_CIRC-BASE", tapeSmallGirth, 0},
		{"head_girth", Ansur2012, "headcircumference", "HEAD_CIRC", tapeHead, 0},
		{"head_over_face_girth", Ansur1988, "BITR_MENTON_ARC+BITR-CORONAL_ARC", "", tapeSmallGirth, 0},
		{"head_length", Ansur2012, "headlength", "HEAD_LNTH", tapeHead, 0},
		{"head_breadth", Ansur2012, "headbreadth", "HEAD_BRTH", tapeHead, 0},

		{Weight, Ansur2012, "weightkg", "WEIGHT", scale, 0},
	}
}

// index returns the place of a measure in Measures, -1 where there is none.
func index(measures []Measure, name string) int {
	return slices.IndexFunc(measures, func(m Measure) bool { return m.Name == name })
}
