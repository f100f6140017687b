package joint

// kind is a joint of the body between what two regions cover.
type kind struct {
	name         string
	upper, lower string // regions; on the arm the upper one is nearer to the shoulder
	round        bool   // one of the two goes round the bending joint itself
	unless       string // a region between them: where a part covers it they do not meet
	arm          bool   // places are mm below the tip of the shoulder, else above the floor
	laps         bool   // parts overlap here by design, one sliding over the other
	axis         place
	bends        []movement
}

// place is where a joint's axis lies along the limb: a fixed distance and
// shares of measures. doubt is the standard deviation of bodies about it, mm.
type place struct {
	shares []share
	fixed  float64
	doubt  float64
}

type share struct {
	measure string
	times   float64
}

// movement is one way in which a joint bends.
type movement struct {
	name   string  // what the joint does: "bends", "lifts the toes"
	where  string  // where the rims meet: "behind it"
	side   string  // of the rim: "at the back"
	normal float64 // degrees, of a healthy grown-up
	// axis is how far from the middle of the limb, towards where the rims meet,
	// the axis lies: a share of the smaller rim's radius.
	axis  float64
	needs []Need
}

// Normal ranges are those of the American Academy of Orthopaedic Surgeons,
// Joint Motion: Method of Measuring and Recording (1965), all from memory,
// unless another source stands beside them; what everyday life asks is from
// memory as well, rounded, with its study where one is known.
var (
	knee = movement{"bends", "behind it", "at the back", 135, 0, []Need{
		{"to walk", 65},          // 60–67°: Murray et al. 1964; Kettelkamp et al. 1970
		{"to sit", 90},           // 93°: Laubenthal, Smidt and Kettelkamp 1972
		{"to climb stairs", 100}, // 83° there for usual steps, up to 100° for steep ones
		{"to kneel", 110},        // on one knee: 106–117° there, tying a shoe and lifting
	}}
	toesUp = movement{"lifts the toes", "in front of it", "in front", 20, 0, []Need{
		{"to walk", 10}, {"to climb stairs", 15},
	}}
	toesDown = movement{"points the toes", "behind it", "at the back", 50, 0, []Need{
		{"to walk", 20}, {"to go down stairs", 30}, {"to stand on the toes", 40},
	}}
	hip = movement{"lifts the thigh", "in front of it", "in front", 120, 0, []Need{
		{"to walk", 35}, {"to climb stairs", 65}, {"to sit", 100}, // 67°, 104°: Johnston and Smidt 1970
	}}
	elbow = movement{"bends", "in its crook", "on the inner side", 150, 0, []Need{
		{"to carry things", 90}, {"to eat and drink", 130}, // Morrey, Askew and Chao 1981
	}}
	palm     = movement{"bends to the palm", "on the palm's side", "on the palm's side", 80, 0, handling}
	backhand = movement{"bends to the back of the hand", "on the back of the hand", "on the side of the back of the hand", 70, 0, handling}
	handling = []Need{{"to handle things", 40}} // Ryu et al. 1991
	// The shell of the shoulder is taken to stay with the trunk. In truth a
	// third of the lift is the shoulder blade's (Inman, Saunders and Abbott
	// 1944) and may carry it along.
	arm = movement{"lifts the arm sideways", "above it", "on the outer side", 180, 0, []Need{
		{"to hold the arm level", 90}, {"to reach overhead", 130},
	}}
	// Only the loins bend, for the torso's shell holds the ribs: 60° (American
	// Medical Association, Guides to the Evaluation of Permanent Impairment,
	// from memory). The spine's middle lies some 75 mm from the back of a waist
	// 240 mm deep (from memory), 45 mm behind its middle: 0.3 of the radius.
	waist = movement{"bends forward", "in front of it", "in front", 60, -0.3, []Need{
		{"to sit", 35}, {"to bend down", 50},
	}}
	// The neck nods by 45° either way. Half of it lies between skull and second
	// vertebra (White and Panjabi 1990, from memory), the rest below: that a
	// collar parts it so is a guess, and so is what seeing the way needs.
	nod       = movement{"nods", "in front of it", "in front", 45, 0, []Need{{"to see the way before the feet", 30}}}
	tilt      = movement{"tilts back", "behind it", "at the back", 45, 0, []Need{{"to look up", 30}}}
	nodPart   = movement{"nods", "in front of it", "in front", 22.5, 0, []Need{{"to see the way before the feet", 15}}}
	tiltPart  = movement{"tilts back", "behind it", "at the back", 22.5, 0, []Need{{"to look up", 15}}}
	neckBends = []movement{nodPart, tiltPart}
)

// kinds lists the joints from the ground up, then the arm from the shoulder
// down. At which of them parts lap by design is common practice, no source.
//
// Where the axes lie. Ankle: at the tip of the outer ankle bone (Inman 1976,
// from memory). Knee: the outer bump of the thigh bone lies 3.3 mm below the
// middle of the kneecap in 1774 men and 2.4 mm above it in 2208 women, SD 6.7
// (ANSUR 1988, reckoned from its people), the axis within 10 mm of it. Hip:
// level with the greater trochanter (from memory), which is 55.1 mm (SD 19.5)
// above the crotch in men, 63.1 (16.0) in women (ANSUR II, likewise). Waist:
// at the navel's height, that of the fourth lumbar vertebra (from memory).
// Root of the neck: at 0.864 of the stature (SD 0.0067) in men, 0.857 (0.0068)
// in women, the height of its lowest bone (ANSUR II, likewise), and half of
// the way up where one shell spans it. Skull: at the ear's, 131.1 mm (6.1)
// below the crown in men, 126.4 (6.5) in women (ANSUR II, likewise; that the
// head nods there is from memory). Shoulder: the middle of the arm bone's
// head, of radius 24 mm, under 19 mm of bone and tendon (from memory). Elbow
// and wrist: where the measures end, which is within 15 mm (from memory).
//
// A closed shell round a knee or an elbow lies on both sides of the axis: as it tilts
// with either limb, how far the joint bends in it is not reckoned. Its lames slide over
// its neighbours.
func kinds() []kind {
	return []kind{
		{name: "ankle", upper: "lower_leg", lower: "foot", laps: true,
			axis: place{[]share{{"ankle_height", 1}}, 0, 8}, bends: []movement{toesUp, toesDown}},
		{name: "shin below the knee", upper: "knee", lower: "lower_leg", round: true, laps: true},
		{name: "knee", upper: "thigh", lower: "lower_leg", unless: "knee",
			axis: place{[]share{{"knee_height", 1}}, 0, 12}, bends: []movement{knee}},
		{name: "thigh above the knee", upper: "thigh", lower: "knee", round: true, laps: true},
		{name: "hip", upper: "hips", lower: "thigh",
			axis: place{[]share{{"crotch_height", 1}}, 59, 18}, bends: []movement{hip}},
		{name: "waist", upper: "torso", lower: "hips", laps: true,
			axis: place{[]share{{"waist_height", 1}}, 0, 20}, bends: []movement{waist}},
		{name: "root of the neck", upper: "neck", lower: "torso", laps: true,
			axis: place{[]share{{"stature", 0.8605}}, 0, 19}, bends: neckBends},
		{name: "neck", upper: "head", lower: "torso", unless: "neck", laps: true,
			axis: place{[]share{{"stature", 0.93025}}, -64.5, 19}, bends: []movement{nod, tilt}},
		{name: "head on the neck", upper: "head", lower: "neck", laps: true,
			axis: place{[]share{{"stature", 1}}, -129, 16}, bends: neckBends},
		{name: "shoulder", upper: "shoulder", lower: "upper_arm", arm: true, laps: true,
			axis: place{nil, 43, 10}, bends: []movement{arm}},
		{name: "upper arm above the elbow", upper: "upper_arm", lower: "elbow", arm: true, round: true, laps: true},
		{name: "elbow", upper: "upper_arm", lower: "forearm", unless: "elbow", arm: true,
			axis: place{[]share{{"upper_arm_length", 1}}, 0, 10}, bends: []movement{elbow}},
		{name: "forearm below the elbow", upper: "elbow", lower: "forearm", arm: true, round: true, laps: true},
		{name: "wrist", upper: "forearm", lower: "hand", arm: true, laps: true,
			axis: place{[]share{{"upper_arm_length", 1}, {"lower_arm_length", 1}}, 0, 10}, bends: []movement{palm, backhand}},
	}
}
