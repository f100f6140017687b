package guess

import "strings"

// rank says how much a word weighs against another in the same name.
type rank int

const (
	edge  rank = 1 + iota // where two regions meet: wrist, ankle, knee
	body                  // a stretch of the body: shin, chest
	trade                 // the name of a piece of armour or clothing: greave, cuirass
)

// lexicon lists the words that name a region, singular, without accents. The
// trade's are those of plate armour as museums and armourers use them, with the
// Roman, Greek and Japanese ones that costume makers borrow, and a few common
// slips of the pen; which piece covers what is common practice, no source.
//
// What lies between two regions goes where its girth counts: ankle and wrist with
// the shells that end there. Knee and elbow have shells of their own, but see joins.
// Tassets hang from the hips. Of a gauntlet, which often goes up the forearm, only the hand is sure.
// "Arm", "leg", "body" and "back" alone name no region, and "ABS" is a plastic.
var lexicon = []struct {
	region string
	rank   rank
	words  string
}{
	{"foot", trade, "boot, shoe, sabaton, solleret, soleret, sandal, slipper, sneaker, bootie, caliga, overshoe"},
	{"foot", body, "foot, feet, instep"},
	{"foot", edge, "toe, heel, sole"},

	{"lower_leg", trade, "greave, greive, grieve, greeve, demigreave, schynbald, shynbald, jambeau, jambeaux, jambart, jambiere, shin guard, shin pad, shin plate, gaiter, suneate, ocrea, anklet, ankle cuff, leg bracer, shin bracer, ankle bracer"},
	{"lower_leg", body, "lower leg, shin, calf, calves, shank, tibia"},
	{"lower_leg", edge, "ankle"},

	{"knee", trade, "poleyn, genouillere, knee cop"},
	{"knee", edge, "knee, patella"},

	{"thigh", trade, "cuisse, cuish, haidate"},
	{"thigh", body, "thigh, upper leg, femur"},

	{"hips", trade, "tasset, fauld, culet, girdle, belt, loincloth, codpiece, kusazuri, cingulum, skirt, tuille, cod piece, loin cloth"},
	{"hips", body, "hip, pelvis, pelvic, groin, crotch, buttock, butt, lower body, glute, loin, cod"},
	{"hips", edge, "waist, waistline"},

	{"torso", trade, "cuirass, breastplate, backplate, chestplate, breast plate, back plate, chest plate, back armor, back armour, plackart, placard, lorica, linothorax, thorax, corset, corselet, corslet, brigandine, hauberk, bustier, vest, ab plate, abs plate, abplate"},
	{"torso", body, "torso, chest, breast, abdomen, abdominal, belly, stomach, midriff, bust, ribcage, rib cage, spine, upper body, lower back, upper back, sternum, lumbar, pec, pectoral, oblique, clavicle, collarbone, collar bone"},

	{"shoulder", trade, "pauldron, paldron, pauldren, poldron, spaulder, monnion, epaulette, epaulet, epauliere, besagew, gardbrace, sode, shoulder pad, shoulder plate, ailette"},
	{"shoulder", body, "shoulder, sholder, deltoid"},

	{"upper_arm", trade, "rerebrace, brassard, brassart, armband, arm band, armlet, upper cannon"},
	{"upper_arm", body, "upper arm, bicep, biceps, tricep, triceps, humerus"},

	{"elbow", trade, "couter, cowter, coudiere, cubitiere, elbow cop"},
	{"elbow", edge, "elbow"},

	{"forearm", trade, "vambrace, vambrance, bracer, bracelet, bangle, wristband, wrist band, kote, bazuband, lower cannon"},
	{"forearm", body, "forearm, forarm, fore arm, lower arm, ulna"},
	{"forearm", edge, "wrist, cuff"},

	{"hand", trade, "glove, mitten, mitt, tekko, hand guard, hand plate"},
	{"hand", body, "hand, palm, finger, thumb, knuckle, fingertip, pinky, pinkie"},
	{"hand", edge, "gauntlet, gantlet, gauntelet, guantlet, gauntlett"},

	{"neck", trade, "gorget, collar, bevor, buffe, choker, torc, torque, nodowa, neck guard, neck seal, aventail"},
	{"neck", body, "neck, throat"},

	{"head", trade, "helmet, helm, mask, visor, sallet, bascinet, basinet, barbute, armet, burgonet, morion, spangenhelm, kabuto, menpo, mempo, galea, hood, cowl, crown, tiara, circlet, coronet, diadem, headband, head band, headpiece, headdress, hat, coif, face shield, face plate, faceplate"},
	{"head", body, "head, face, skull, forehead, cranium"},
	{"head", edge, "jaw, chin, cheek, brow, mouth, ear, mandible"},
}

// joins says what a joint's word names where another region is named as well, as in
// "greave_knee": then the shell covers that one too, and the knee goes with the greave,
// whose rim it is, the elbow with the upper arm, whose narrow end it is.
var joins = map[string]string{"knee": "lower_leg", "elbow": "upper_arm"}

// details are small things that go on another part, or hold one: a name that
// ends in one of them is no shell that a body goes into.
const details = "strap, buckle, clip, rivet, screw, bolt, nut, pin, peg, dowel, magnet, hinge, bracket, clasp, hook, connector, spacer, washer, plug, " +
	"stand, holder, mount, rack, jig, template, mould, mold, display, " +
	"spike, stud, horn, crest, plume, feather, lens, gem, jewel, pouch, bag, button, knob, emblem, badge, ornament, sticker, decal, holster, sheath, scabbard, blade, battery"

// traits make a detail a feature of the part named before it: "helm magnet
// version", "greave strap slots".
const traits = "slot, hole, cutout, groove, channel, version, variant, edition, less, ready"

// neutral words say nothing about the region; they are known so that words
// written together ("shinguardleft") can be told apart.
const neutral = "upper, lower, arm, leg, fore, armor, armour, plate, guard, pad, padding, cap, cover, piece, part, front, back, rear, side, inner, outer, top, bottom, middle, half, shell, shield, seal, cop, cannon, abs, base, main, body, gear, wear, fix, final, new, full, whole, hand side"

// joiners join what stands before and after them, parters part the thing itself
// from what it is with or for.
const (
	joiners = "and, to, plus, und, n, till, through"
	parters = "with, without, for, of, no, on, w"
)

// sides are the words for a side; a single letter counts only where it stands
// alone.
var sides = map[string]string{
	"l": "left", "left": "left", "lft": "left", "lh": "left", "lhs": "left",
	"r": "right", "right": "right", "rgt": "right", "rght": "right", "rh": "right", "rhs": "right",
	"links": "left", "rechts": "right", "gauche": "left", "droite": "right", "droit": "right",
	"izquierda": "left", "izquierdo": "left", "derecha": "right", "derecho": "right",
	"sinistra": "left", "sinistro": "left", "destra": "right", "destro": "right", "sx": "left", "dx": "right",
	"esquerda": "left", "esquerdo": "left", "direita": "right", "direito": "right",
	"lr": "both", "rl": "both",
}

// kind is what a word does in a name.
type kind int

const (
	filling  kind = iota // nothing
	naming               // names a region
	trimming             // names a detail
	having               // makes the detail before it a feature
	joining
	parting
)

// word is what is known of a word, or of two in a row.
type word struct {
	kind   kind
	region string
	rank   rank
}

// known holds every word and pair of words that means something, pairs with a
// space between.
var known = func() map[string]word {
	out := map[string]word{}
	add := func(list string, w word) {
		for text := range strings.SplitSeq(list, ", ") {
			out[text] = w
		}
	}
	add(neutral, word{})
	add(joiners, word{kind: joining})
	add(parters, word{kind: parting})
	add(details, word{kind: trimming})
	add(traits, word{kind: having})
	for _, l := range lexicon {
		add(l.words, word{naming, l.region, l.rank})
	}
	return out
}()

// meaning returns what is known of a word or a pair; a plural counts as its
// singular.
func meaning(text string) (word, bool) {
	for _, ending := range [3]string{"", "s", "es"} {
		if w, ok := known[strings.TrimSuffix(text, ending)]; ok && strings.HasSuffix(text, ending) {
			return w, true
		}
	}
	return word{}, false
}
