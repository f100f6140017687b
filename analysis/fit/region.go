// Package fit compares the room inside a part with the body that goes into it:
// does the body get in, and if not, which strip of wall must come off; where
// does it rest, how much ease has it there, and at which scales has every
// girth what it needs.
//
// Lengths are mm. A girth that must pass is compared with the throat, the
// least room on its way; one that rests, with the room where it rests. Room is
// the girth of the greatest ellipse of the aspect of that body part.
package fit

import (
	"math"

	"gambeson/analysis/cavity"
)

// Passage is a girth of the body that must pass on the way in.
type Passage struct {
	Measure string
	// Aspect is the range of minor to major axis of that section of the body,
	// as far as soft tissue lets it go.
	Aspect [2]float64
	// Until says where on the way the girth has come to rest.
	Until Rest
	// Deep: where the rim flares and is the widest place, the girth rests at the widest
	// behind the narrow one, if that has at least this share of the rim's room.
	Deep float64
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

// Sit is a girth of the body that rests inside the part.
type Sit struct {
	Measure string
	Aspect  [2]float64
	At      Place // along the limb, in the sense of the region's limb
	// Lead marks the girth that the part hangs on: it must be inside, and by its
	// ease the part counts as loose.
	Lead bool
	// Spare: it needs room where it lies inside, but the part need not reach it.
	Spare bool
	// Hole: where it rests the part has a hole whose rim is cut back where it is tight, at
	// no cost to the rest: an arm hole. No scale is chosen for it.
	Hole bool
	// Rim says that it does not rest along the main way but at the rim of
	// another opening.
	Rim Rim
}

// Rim tells the openings at which a girth rests.
type Rim int

const (
	// NoRim: along the main way.
	NoRim Rim = iota
	// FarRim is the opening that faces away from the entry: a torso's neck.
	FarRim
	// SideRims are the other openings that a body part fits: legs, arms.
	SideRims
)

// Aspects of body sections. Limbs have no published pair of breadth and depth;
// their range takes in the circle and 1.35 to 1 (from memory: relaxed limbs
// 0.75 to 1.35). The others are depth by breadth of ANSUR II, USAF 1967, mean
// ± 2 standard deviations, the soft ones up to what a person can be pressed to
// (common practice, no source).
var (
	limb  = [2]float64{0.74, 1}
	foot  = [2]float64{0.5, 1}     // heel, instep: bone and sole give way in turning; common practice, no source
	ball  = [2]float64{0.5, 0.65}  // ellipse with the foot breadth and ball girth of ANSUR II: 0.53–0.54 (SD 0.05)
	hand  = [2]float64{0.5, 1}     // folded over the thumb; common practice, no source
	head  = [2]float64{0.70, 0.85} // head breadth/length 0.774 (SD 0.036), ANSUR II
	hips  = [2]float64{0.60, 0.85} // buttock depth/hip breadth 0.66–0.73 (SD 0.05)
	waist = [2]float64{0.60, 0.85} // waist depth/breadth 0.71–0.73 (SD 0.055), ANSUR II
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
	// Roomy says that the part is loose on what rests in it once the body has got
	// in: a helm that lets the face pass. There is then no loosest scale.
	Roomy bool
	// Cap says that such a part is often a cap that only lies on the body: nothing
	// rests in it unless a way leads through, or into a shell for a limb deeper than a cup.
	Cap bool
	// Necked: where what enters rests behind a narrow place, so does what the part hangs
	// on, though there be more room at the rim: the knuckles past a gauntlet's wrist,
	// however wide its cuff is.
	Necked bool
	// Limb is what places are counted along: see Limb.
	Limb Limb
	// Sits lists what rests inside.
	Sits []Sit
	// Stay says how the part may lie along the limb.
	Stay Stay
	// Lengths lists what the length of the part is compared with.
	Lengths []Length
	// Joined lists the same of a shell that goes round the joint at the end of the region:
	// it covers some of the next one too.
	Joined []Length
	// Usual is what is wanted where nobody says otherwise, mm; only Padding, the
	// eases and Loosest of it.
	Usual Wants
}

// Limb is the line along which places on the body are counted.
type Limb string

const (
	// Leg counts up from the floor, standing; so does Trunk.
	Leg   Limb = "leg"
	Trunk Limb = "trunk"
	// Arm counts down from the tip of the shoulder, the arm hanging.
	Arm Limb = "arm"
	// Crown counts up from the crown of the head, so that all of the head lies
	// below 0.
	Crown Limb = "crown"
	// Bent counts along the way into a boot, from the bend at the instep: the
	// leg lies before it (below 0), the toes behind.
	Bent Limb = "bent"
)

// Stay is what holds a part along the limb.
type Stay struct {
	// Sense is +1 where places grow along the way in, −1 where they fall: into
	// a greave the leg goes down, and its heights with it.
	Sense float64
	// By says what of the part is held; From and To are its range there.
	By Hold
	// From and To are the ends of the stretch of the limb that the part may
	// cover (ByRims), or the range of places on the limb of the deep end (ByEnd)
	// or of the bend (ByBend).
	From, To Place
}

// Hold is what of a part is held in place along the limb.
type Hold int

const (
	// ByRims: the part may slide as long as both rims stay on the stretch.
	ByRims Hold = iota
	// ByEnd: the body goes in up to the deep end (a head in a helm).
	ByEnd
	// ByBend: the bend of the way is where the body bends (a foot in a boot).
	ByBend
)

// Lid reports whether a part of the region into which only a way leads that ends, in a
// cup or not, lies on the body like a lid and holds nothing: where the region's parts
// often do so, or a limb would have to go on.
func (r Region) Lid(cup bool) bool {
	if r.tube() {
		return cup
	}
	return r.Cap
}

// Rounds reports whether the region is a joint with shells of its own: caps that lie on it,
// or such as close round it.
func (r Region) Rounds() bool { return r.Name == "knee" || r.Name == "elbow" }

// tube reports whether a limb goes through the shells of a region from end to end.
func (r Region) tube() bool {
	switch r.Name {
	case "lower_leg", "thigh", "upper_arm", "forearm":
		return true
	}
	return r.Rounds()
}

// Cup reports whether a way with these stations, of such a length, leads into a cup, as
// one for the knee or the elbow: it ends inside, the wall goes all the way round it but
// for slots, it is no deeper than it is wide, and no plate shuts it, as the one that a
// shell for a limb was printed on.
func Cup(l cavity.Line) bool {
	if l.From != cavity.End && l.To != cavity.End || len(l.Stations) == 0 {
		return false
	}
	open, wide := 0, 0.0
	for _, s := range l.Stations {
		if s.Gap > 0 {
			open++
		}
		wide = max(wide, s.Capacity)
	}
	return 2*open < len(l.Stations) && l.Length < wide/math.Pi && !plated(l, wide)
}

// asideReach is the share of its way to which what is open at the side lies open at least: cups
// and breast plates that go 160° to 220° of the way round do so over 0.48 to 0.77 of it, and
// a rim that is cut slantwise does on less (a guess).
const asideReach = 0.4

// LaidOn reports whether what such a way leads into is a shell that is laid on the body and
// held by straps: a limb or the trunk would have to go on, so it is no far end that is shut.
func (r Region) LaidOn(l cavity.Line) bool {
	return (r.tube() || r.Name == "torso" || r.Name == "hips") && Aside(l)
}

// Aside reports whether a way comes in by the side of its shell, such as half a dome for the
// knee or a breast plate: it ends inside and is no deeper than it is wide, the wall leaves a
// gap at the rim through which a body comes, which closes further in for good, and what is
// left there narrows as a bulge does.
func Aside(l cavity.Line) bool {
	if l.From != cavity.End && l.To != cavity.End || len(l.Stations) == 0 {
		return false
	}
	st := l.Inward().Stations
	last, wide, gaped := 0, 0.0, false // last is the last station with a gap
	for i := range st {
		if st[i].Gap > 0 {
			last = i
			gaped = gaped || st[i].Gap >= strapped*st[i].InnerGirth
		}
		wide = max(wide, st[i].Capacity)
	}
	end := len(st) - 1
	return gaped && last < end && math.Abs(st[last].Along-st[0].Along) >= asideReach*math.Abs(st[end].Along-st[0].Along) &&
		l.Length < wide/math.Pi && st[end].Capacity < plateWide*wide
}

// A way ends at a plate where there is as much room as a little before, but for plateTaper
// of it within plateNear mm: a ball of the width of a knee loses a third in its last two
// centimetres. Short of plateDeep of its width, and where less than plateWide of its room
// is left, it is a cup with a flat face (guesses).
const (
	plateTaper, plateNear = 0.1, 20.0
	plateDeep, plateWide  = 0.6, 0.6
)

// plated reports whether a way that ends inside ends at a plate; wide is its most room.
func plated(l cavity.Line, wide float64) bool {
	st, end := l.Inward().Stations, l.Length
	if l.From == cavity.End {
		end = 0
	}
	last := st[len(st)-1].Capacity
	if l.Length < plateDeep*wide/math.Pi || last < plateWide*wide || math.Abs(end-st[len(st)-1].Along) > plateNear {
		return false
	}
	for _, s := range st {
		if math.Abs(end-s.Along) <= plateNear && s.Capacity > last*(1+plateTaper) {
			return false
		}
	}
	return true
}

// Length is a comparison of lengths.
type Length struct {
	Name string // the measure, or in words where it is a stretch between two
	Body Place  // length of the body, mm
	// Foot: the part's inside length from heel to toe; otherwise the length of
	// the way between the rims.
	Foot bool
	// Least and Most: the part must be longer than the body by at least Least
	// (where that is asked) and by no more than Most, mm. Padding at both ends
	// is reckoned for a foot.
	Asked       bool
	Least, Most float64
}

// Toe room of a shoe, mm: 10 to 15 are customary, and above 30 the foot slides
// (shoemakers' common practice, no source). The Mondopoint size of ISO 9407 is
// the length of the foot itself, without it.
const (
	toeLeast = 10
	toeMost  = 30
)

// What is usually wanted (common practice, no source): 5 mm of foam and
// undersuit and a finger's width of girth on a limb; more padding where a shell
// hangs on the trunk and more ease where the body breathes, bends and sits; a
// collar that two fingers go into (a finger is about 15 mm thick, two of them
// make a girth 2π·7.5 mm longer); room to turn in a helm.
var (
	onLimb = Wants{Padding: 5, Ease: 6, Loosest: 40}
	onFoot = Wants{Padding: 3, Ease: 6, Loosest: 40}
	// A joint grows round as it bends: the means of knee_girth.bent and elbow_girth.bent in
	// USAF 1967 are 1.016 and 1.130 of the straight ones (see survey.Changes), 6 mm more of a
	// usual knee and 34 mm of a usual elbow, which comes on top of the finger's width.
	onKnee  = Wants{Padding: 5, Ease: 12, Loosest: 60}
	onElbow = Wants{Padding: 5, Ease: 40, Loosest: 80}
	onThigh = Wants{Padding: 5, Ease: 12, Loosest: 60}
	onTrunk = Wants{Padding: 8, Ease: 40, LimbEase: 12, Loosest: 140}
	onHand  = Wants{Padding: 2, Ease: 8, Loosest: 40}
	onNeck  = Wants{Padding: 3, Ease: 45, Loosest: 110}
	onHead  = Wants{Padding: 10, Ease: 10}
)

// What the length of a shell round the elbow, or the knee, is compared with: all that limb
// shells cover of an arm or a leg.
var (
	wholeArm = []Length{{Name: "tip of the shoulder to past the wrist", Body: of("upper_arm_length").times("lower_arm_length", 1).plus(30)}}
	wholeLeg = []Length{{Name: "outer ankle to the hip", Body: of("crotch_height").plus(hipJoint).less("ankle_height")}}
)

// Regions is the table of all regions, from the ground up. What passes which
// way, what rests where within a part and how far it may slide is common
// practice, no source, but for the way of a heel through a boot (short heel
// girth, a shoemaker's measure) and of a hand over its thumb (USAF 1967). Where
// on the body a girth lies, with its source, is in place.go.
func Regions() []Region {
	return []Region{
		{
			Name: "foot", Usual: onFoot, Limb: Bent,
			Enters:  []Passage{{Measure: "heel_girth", Aspect: foot, Until: Bend}},
			Sits:    []Sit{{Measure: "heel_girth", Aspect: foot, At: mm(0), Lead: true}, {Measure: "ankle_girth", Aspect: limb, At: ankleBeforeBend()}, {Measure: "instep_girth", Aspect: foot, At: instepPastBend()}, {Measure: "ball_girth", Aspect: ball, At: ballPastBend()}},
			Stay:    Stay{Sense: 1, By: ByBend, From: mm(-10), To: mm(10)},
			Lengths: []Length{{Name: "foot_length", Body: of("foot_length"), Foot: true, Asked: true, Least: toeLeast, Most: toeMost}},
		}, {
			Name: "lower_leg", Usual: onLimb, Limb: Leg,
			Enters:  []Passage{{Measure: "heel_girth", Aspect: foot, Until: Through}},
			Sits:    []Sit{{Measure: "calf_girth", Aspect: limb, At: of("calf_height"), Lead: true}, {Measure: "ankle_girth", Aspect: limb, At: ankleHeight()}, {Measure: "knee_girth", Aspect: limb, At: of("knee_height"), Spare: true}},
			Stay:    Stay{Sense: -1, From: of("ankle_height"), To: of("knee_height").plus(kneecap)},
			Lengths: []Length{{Name: "outer ankle to above the kneecap", Body: of("knee_height").plus(kneecap).less("ankle_height")}},
			Joined:  wholeLeg,
		}, {
			Name: "knee", Usual: onKnee, Limb: Leg, Cap: true,
			Enters:  []Passage{{Measure: "heel_girth", Aspect: foot, Until: Through}, {Measure: "calf_girth", Aspect: limb, Until: Through}},
			Sits:    []Sit{{Measure: "knee_girth", Aspect: limb, At: of("knee_height"), Lead: true}, {Measure: "lower_thigh_girth", Aspect: limb, At: lowerThighHeight(), Spare: true}, {Measure: "calf_girth", Aspect: limb, At: of("calf_height"), Spare: true}, {Measure: "thigh_girth", Aspect: limb, At: thighHeight(), Spare: true}},
			Stay:    Stay{Sense: -1, From: of("knee_height").plus(-roundKnee), To: of("knee_height").plus(roundKnee)},
			Lengths: []Length{{Name: "upper calf to lower thigh", Body: mm(2 * overKnee)}},
			Joined:  wholeLeg,
		}, {
			Name: "thigh", Usual: onThigh, Limb: Leg,
			Enters:  []Passage{{Measure: "heel_girth", Aspect: foot, Until: Through}, {Measure: "calf_girth", Aspect: limb, Until: Through}, {Measure: "knee_girth", Aspect: limb, Until: Through}},
			Sits:    []Sit{{Measure: "thigh_girth", Aspect: limb, At: thighHeight(), Lead: true}, {Measure: "lower_thigh_girth", Aspect: limb, At: lowerThighHeight()}, {Measure: "knee_girth", Aspect: limb, At: of("knee_height"), Spare: true}},
			Stay:    Stay{Sense: -1, From: of("knee_height").plus(-kneecap), To: of("crotch_height").plus(hipJoint)},
			Lengths: []Length{{Name: "below the kneecap to the hip", Body: of("crotch_height").plus(hipJoint + kneecap).less("knee_height")}},
			Joined:  wholeLeg,
		}, {
			Name: "hips", Usual: onTrunk, Limb: Trunk,
			Enters:  []Passage{{Measure: "heel_girth", Aspect: foot, Until: Through}, {Measure: "hip_girth", Aspect: hips, Until: Widest, Deep: 0.8}},
			Sits:    []Sit{{Measure: "hip_girth", Aspect: hips, At: hipHeight(), Lead: true}, {Measure: "waist_girth", Aspect: waist, At: of("waist_height"), Spare: true}, {Measure: "thigh_girth", Aspect: limb, Rim: SideRims}},
			Stay:    Stay{Sense: -1, From: of("crotch_height").plus(-220), To: of("waist_height").plus(100)},
			Lengths: []Length{{Name: "mid-thigh to above the waist", Body: of("waist_height").plus(320).less("crotch_height")}},
		}, {
			Name: "torso", Usual: onTrunk, Limb: Trunk, Apart: true,
			Enters:  []Passage{{Measure: "chest_girth", Aspect: chest, Until: Widest, Deep: 0.7}, {Measure: "head_over_face_girth", Aspect: head, Until: Through, Facing: true}},
			Sits:    []Sit{{Measure: "chest_girth", Aspect: chest, At: chestHeight(), Lead: true}, {Measure: "waist_girth", Aspect: waist, At: of("waist_height")}, {Measure: "neck_base_girth", Aspect: limb, Rim: FarRim}, {Measure: "armscye_girth", Aspect: foot, Rim: SideRims, Hole: true}},
			Stay:    Stay{Sense: 1, From: of("waist_height").plus(-150), To: of("waist_height").plus(40).times("back_waist_length", 1)},
			Lengths: []Length{{Name: "under the waist to the neck", Body: of("back_waist_length").plus(190)}},
		}, {
			Name: "shoulder", Usual: onLimb, Limb: Arm, Cap: true,
			Sits: []Sit{{Measure: "upper_arm_girth", Aspect: limb, At: upperArmPlace(), Lead: true}},
			Stay: Stay{Sense: 1, From: mm(-80), To: share("upper_arm_length", 0.9)},
		}, {
			Name: "upper_arm", Usual: onLimb, Limb: Arm,
			Enters:  []Passage{{Measure: "hand_over_thumb_girth", Aspect: hand, Until: Through}, {Measure: "forearm_girth", Aspect: limb, Until: Through}, {Measure: "elbow_girth", Aspect: limb, Until: Through}},
			Sits:    []Sit{{Measure: "upper_arm_girth", Aspect: limb, At: upperArmPlace(), Lead: true}, {Measure: "elbow_girth", Aspect: limb, At: of("upper_arm_length"), Spare: true}},
			Stay:    Stay{Sense: 1, From: mm(0), To: of("upper_arm_length").plus(30)},
			Lengths: []Length{{Name: "tip of the shoulder to below the elbow", Body: of("upper_arm_length").plus(30)}},
			Joined:  wholeArm,
		}, {
			Name: "elbow", Usual: onElbow, Limb: Arm, Cap: true,
			Enters:  []Passage{{Measure: "hand_over_thumb_girth", Aspect: hand, Until: Through}, {Measure: "forearm_girth", Aspect: limb, Until: Through}},
			Sits:    []Sit{{Measure: "elbow_girth", Aspect: limb, At: of("upper_arm_length"), Lead: true}, {Measure: "upper_arm_girth", Aspect: limb, At: upperArmPlace(), Spare: true}},
			Stay:    Stay{Sense: 1, From: of("upper_arm_length").plus(-roundElbow), To: of("upper_arm_length").plus(roundElbow)},
			Lengths: []Length{{Name: "a hand's breadth above the elbow to one below it", Body: mm(2 * overElbow)}},
			Joined:  wholeArm,
		}, {
			Name: "forearm", Usual: onLimb, Limb: Arm,
			Enters:  []Passage{{Measure: "hand_over_thumb_girth", Aspect: hand, Until: Through}},
			Sits:    []Sit{{Measure: "forearm_girth", Aspect: limb, At: forearmPlace(), Lead: true}, {Measure: "wrist_girth", Aspect: limb, At: wristPlace()}, {Measure: "elbow_girth", Aspect: limb, At: of("upper_arm_length"), Spare: true}},
			Stay:    Stay{Sense: 1, From: of("upper_arm_length").plus(-30), To: wristPlace().plus(30)},
			Lengths: []Length{{Name: "above the elbow to past the wrist", Body: of("lower_arm_length").plus(60)}},
			Joined:  wholeArm,
		}, {
			Name: "hand", Usual: onHand, Limb: Arm, Necked: true,
			Enters: []Passage{{Measure: "hand_over_thumb_girth", Aspect: hand, Until: Widest, Deep: 0.5}},
			Sits:   []Sit{{Measure: "hand_girth", Aspect: hand, At: handPlace(), Lead: true}, {Measure: "wrist_girth", Aspect: limb, At: wristPlace(), Spare: true}},
			Stay:   Stay{Sense: 1, From: wristPlace().plus(-150), To: wristPlace().times("hand_length", 1).plus(30)},
		}, {
			Name: "neck", Usual: onNeck, Limb: Trunk, AnyEnd: true,
			Enters: []Passage{{Measure: "head_over_face_girth", Aspect: head, Until: Through}},
			Sits:   []Sit{{Measure: "neck_girth", Aspect: limb, At: neckHeight(), Lead: true}, {Measure: "neck_base_girth", Aspect: limb, At: neckBaseHeight()}},
			Stay:   Stay{Sense: 1, From: neckBaseHeight().plus(-40), To: neckHeight().plus(50)},
		}, {
			Name: "head", Usual: onHead, Limb: Crown, Roomy: true,
			Enters: []Passage{{Measure: "head_over_face_girth", Aspect: head, Until: Widest, Deep: 0.55}},
			Sits:   []Sit{{Measure: "head_girth", Aspect: head, At: headPlace(), Lead: true}},
			Stay:   Stay{Sense: 1, By: ByEnd, From: mm(0), To: mm(40)},
		},
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

// Lead returns the measure that a part of the region hangs on.
func (r Region) Lead() string { return r.lead().Measure }

func (r Region) lead() Sit {
	for _, s := range r.Sits {
		if s.Lead {
			return s
		}
	}
	return Sit{Aspect: limb}
}
