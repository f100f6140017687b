// Package fit compares the room inside a part with the body that goes into it:
// does the body get in, and if not, which strip of wall must come off.
//
// Lengths are mm. A girth that must pass is compared with the throat, the
// least room on its way; room is the girth of the greatest ellipse of the
// aspect of that body part.
package fit

// Passage is a girth of the body that must pass on the way in.
type Passage struct {
	Measure string
	// Aspect is the range of minor to major axis of that section of the body,
	// as far as soft tissue lets it go.
	Aspect [2]float64
	// Until says where on the way the girth has come to rest.
	Until Rest
	// Facing: only the way to the opening that faces away from the entry, such
	// as a torso's neck.
	Facing bool
}

// Rest is a place on the way in.
type Rest int

const (
	// Through: it leaves again by the other end.
	Through Rest = iota
	// Bend: it rests where the way has made half of its turn (a heel in a
	// boot); without a bend it goes to the end.
	Bend
	// Widest: it rests where there is most room (a head in a helm).
	Widest
)

// Aspects of body sections. Limbs have no published pair of breadth and depth;
// their range takes in the circle and 1.35 to 1 (from memory: relaxed limbs
// 0.75 to 1.35). The others are depth by breadth of ANSUR II, USAF 1967, mean
// ± 2 standard deviations, the soft ones up to what a person can be pressed to
// (common practice, no source).
var (
	limb  = [2]float64{0.74, 1}
	foot  = [2]float64{0.5, 1}     // heel, instep: bone and sole give way in turning; common practice, no source
	hand  = [2]float64{0.5, 1}     // folded over the thumb; common practice, no source
	head  = [2]float64{0.70, 0.85} // head breadth/length 0.774 (SD 0.036), ANSUR II
	hips  = [2]float64{0.60, 0.85} // buttock depth/hip breadth 0.66–0.73 (SD 0.05)
	chest = [2]float64{0.65, 1}    // chest depth/breadth 0.70–0.92 (SD 0.06)
)

// Region is what is known of one region of the body.
type Region struct {
	Name string
	// Enters lists what must pass from the opening that the body enters by.
	Enters []Passage
	// AnyEnd: the body may enter by any entry opening; otherwise by the
	// largest, which on a limb is the end nearer to the trunk.
	AnyEnd bool
	// Apart says that such parts are mostly worn in two halves, so that an
	// entry that does not pass is no surprise.
	Apart bool
}

// Regions is the table of all regions, from the ground up. What passes which
// way is common practice, no source, but for the way of a heel through a boot
// (short heel girth, a shoemaker's measure) and of a hand over its thumb
// (USAF 1967).
func Regions() []Region {
	return []Region{
		{Name: "foot", Enters: []Passage{{Measure: "heel_girth", Aspect: foot, Until: Bend}}},
		{Name: "lower_leg", Enters: []Passage{{Measure: "heel_girth", Aspect: foot, Until: Through}}},
		{Name: "thigh", Enters: []Passage{{Measure: "heel_girth", Aspect: foot, Until: Through}, {Measure: "calf_girth", Aspect: limb, Until: Through}, {Measure: "knee_girth", Aspect: limb, Until: Through}}},
		{Name: "hips", Enters: []Passage{{Measure: "heel_girth", Aspect: foot, Until: Through}, {Measure: "hip_girth", Aspect: hips, Until: Widest}}},
		{Name: "torso", Enters: []Passage{{Measure: "chest_girth", Aspect: chest, Until: Widest}, {Measure: "head_girth", Aspect: head, Until: Through, Facing: true}}, Apart: true},
		{Name: "shoulder", Enters: nil},
		{Name: "upper_arm", Enters: []Passage{{Measure: "hand_over_thumb_girth", Aspect: hand, Until: Through}, {Measure: "forearm_girth", Aspect: limb, Until: Through}, {Measure: "elbow_girth", Aspect: limb, Until: Through}}},
		{Name: "forearm", Enters: []Passage{{Measure: "hand_over_thumb_girth", Aspect: hand, Until: Through}}},
		{Name: "hand", Enters: []Passage{{Measure: "hand_over_thumb_girth", Aspect: hand, Until: Widest}}},
		{Name: "neck", Enters: []Passage{{Measure: "head_over_face_girth", Aspect: head, Until: Through}}, AnyEnd: true},
		{Name: "head", Enters: []Passage{{Measure: "head_over_face_girth", Aspect: head, Until: Widest}}},
	}
}

// Of returns the region of a name; ok is false where there is none.
func Of(name string) (r Region, ok bool) {
	for _, r := range Regions() {
		if r.Name == name {
			return r, true
		}
	}
	return Region{}, false
}
