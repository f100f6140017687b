package guess

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// names are parts as they are called in downloads and on disks, and what they
// cover; "" where the name leaves it open. Which piece covers what is common
// practice, no source.
const names = `
# the demo suit
arms/forearm-left.stl | forearm | left
arms/shoulder-left.stl | shoulder | left
arms/upper-arm-left.obj | upper_arm | left
body/breastplate.stl | torso |
body/gorget.stl | neck |
body/hips.stl | hips |
body/torso.3mf | torso |
head/helm.stl | head |
legs/boot-left.stl | foot | left
legs/greave-left.stl | lower_leg | left
legs/greave-right.stl | lower_leg | right
legs/thigh-left.stl | thigh | left
kit.zip/arms/upper-arm-right.stl | upper_arm | right
kit.zip/legs/boot-right.stl | foot | right

# plain words, one for each piece
kit.zip/legs/L_Greave_v2.stl | lower_leg | left
greaves.stl | lower_leg |
Greave_R.STL | lower_leg | right
jambiere_gauche.stl | lower_leg | left
greave-links.stl | lower_leg | left
greave_DX.stl | lower_leg | right
shin guard.stl | lower_leg |
shin-guard-left.stl | lower_leg | left
shinguardleft.stl | lower_leg | left
ShinGuard_Right.3mf | lower_leg | right
calf_L.stl | lower_leg | left
calves.stl | lower_leg |
lower leg right.stl | lower_leg | right
LowerLeg.stl | lower_leg |
lowerlegR.stl | lower_leg | right
lowerleg.stl | lower_leg |
leg_lower_l.stl | lower_leg | left
Leg-Lower-Right.obj | lower_leg | right
knee.stl | knee |
kneecap_left.stl | knee | left
poleyn_L.stl | knee | left
Genouillère_R.stl | knee | right
knee cop.stl | knee |
KneeCop_L.stl | knee | left
kneepad right.stl | knee | right
left_knee_armor.stl | knee | left
leg_knee_r.stl | knee | right
Patella plate L.stl | knee | left
suneate.stl | lower_leg |
gaiters_r.stl | lower_leg | right
cuisse.stl | thigh |
Cuisses_L.stl | thigh | left
thigh plate R.stl | thigh | right
thighplate.stl | thigh |
upper_leg_left.stl | thigh | left
UpperLegL.stl | thigh | left
upper_left_leg.stl | thigh | left
leg upper right.stl | thigh | right
haidate.stl | thigh |
boot.stl | foot |
Boots_LFT.stl | foot | left
shoe-rgt.stl | foot | right
sabaton.v3.stl | foot |
Sabatons (L).stl | foot | left
foot [R].stl | foot | right
feet.stl | foot |
toe_cap_L.stl | foot | left
knee-high boot left.stl | foot | left
thigh high boots.stl | foot |
left_foot_armor.stl | foot | left
tasset.stl | hips |
tassets_left.stl | hips |
hip.stl | hips |
hip_ring_final.stl | hips |
belt.stl | hips |
UtilityBelt.stl | hips |
pelvis.stl | hips |
codpiece.stl | hips |
faulds.stl | hips |
waist.stl | hips |
cuirass.stl | torso |
Cuirass_Front.stl | torso |
chest.stl | torso |
chest-plate.stl | torso |
ChestPlateBack.stl | torso |
breast plate.stl | torso |
breastplatefront.stl | torso |
backplate.stl | torso |
back-plate_v12.stl | torso |
torso_top.stl | torso |
abdomen.stl | torso |
abs plate.stl | torso |
shin_ABS.stl | lower_leg |
part 7 ABS.stl | |
upper body.stl | torso |
upperbody.stl | torso |
chestpiece.stl | torso |
Lorica.stl | torso |
pauldron.stl | shoulder |
pauldronL.stl | shoulder | left
Pauldrons-right.stl | shoulder | right
spaulder_l.stl | shoulder | left
Épaulière droite R.stl | shoulder | right
shoulder pad left.stl | shoulder | left
shoulderpads.stl | shoulder |
ShoulderArmorR.stl | shoulder | right
rerebrace.stl | upper_arm |
bicep_L.stl | upper_arm | left
biceps.stl | upper_arm |
upper arm.stl | upper_arm |
upperarm.stl | upper_arm |
upperarmleft.stl | upper_arm | left
UpperArm_R.stl | upper_arm | right
UPPERARM_R.STL | upper_arm | right
arm_upper_L.stl | upper_arm | left
upper_l_arm.stl | upper_arm | left
elbow.stl | elbow |
elbow cop left.stl | elbow | left
ElbowCopR.stl | elbow | right
elbow_pad_L.stl | elbow | left
Cubitière.stl | elbow |
arm_elbow_R.stl | elbow | right
couter-right.stl | elbow | right
arm band.stl | upper_arm |
vambrace.stl | forearm |
Vambraces_l.stl | forearm | left
left vambrance.stl | forearm | left
bracer.stl | forearm |
BracerRight.stl | forearm | right
forearm_R.stl | forearm | right
Fore-Arm.stl | forearm |
ForeArmL.stl | forearm | left
forearmright.stl | forearm | right
lower_arm_l.stl | forearm | left
arm_lower.stl | forearm |
wrist.stl | forearm |
wristband.stl | forearm |
bracelet.stl | forearm |
cuff_left.stl | forearm | left
gauntlet.stl | hand |
gauntlets-R.stl | hand | right
Glove_L.stl | hand | left
LeftHand.stl | hand | left
hand_right.stl | hand | right
index finger 2.stl | hand |
fingers.stl | hand |
knuckles_r.stl | hand | right
handplate.stl | hand |
gorget.stl | neck |
Gorget-v1.1.stl | neck |
collar.stl | neck |
neck.stl | neck |
neck_seal.stl | neck |
helmet.stl | head |
Helm.stl | head |
helmet_left_half.stl | head |
mask.stl | head |
face_shield.stl | head |
facemask.stl | head |
HeadPiece.stl | head |
Kabuto.stl | head |
visor.stl | head |
crown.stl | head |

chin strap holder.stl | |
Right_Leg_Calf.stl | lower_leg | right
Left Shin Front 1 of 3.stl | lower_leg | left
01 - Boot Left (x2).stl | foot | left
Gauntlet_Thumb_Tip_R.stl | hand | right
Forearm_Gauntlet_Left.stl | forearm | left
Chest_Armor_Left_Ab.stl | torso |
ab plate.stl | torso |
Lower_Back.stl | torso |
cod piece.stl | hips |
L_Leg_Upper.stl | thigh | left
ArmUpperR.stl | upper_arm | right
calf-inner-left.stl | lower_leg | left
greave_left_120pct.stl | lower_leg | left
Shoe_Cover_Left.stl | foot | left
Ear_cap_L.stl | head |
thigh_holster_R.stl | | right
collarbone.stl | torso |
Thigh_Front_L_supported.stl | thigh | left
legs\greave_l.stl | lower_leg | left
lower cannon.stl | forearm |

# other spellings
grèves/greave.stl | lower_leg |
ＧＲＥＡＶＥ＿Ｌ.stl | lower_leg | left
Épaulette_L.stl | shoulder | left
"Greave" (right), v2!.stl | lower_leg | right
GREAVE.L.stl | lower_leg | left
greave_l..stl | lower_leg | left
greave__r_.stl | lower_leg | right
greave%20left.stl | lower_leg | left
greave01R.stl | lower_leg | right
greave_02_L_supported.stl | lower_leg | left
RH_greave.stl | lower_leg | right
lhs-vambrace.stl | forearm | left
left-hand greave.stl | lower_leg | left
left hand side pauldron.stl | shoulder | left
greave.stl.stl | lower_leg |
boot.left.zip | foot | left

# no letter inside a word is a side
Lower.stl | |
Leg.stl | |
Large.stl | |
Relic.stl | |
arm_r2.stl | |
greave_r2.stl | lower_leg |
greave_R3_L.stl | lower_leg | left
greavel.stl | |
lgreave.stl | lower_leg |
Rhand.stl | hand |
rear.stl | |
learn.stl | |
L1_greave.stl | lower_leg |
Mira's greave.stl | lower_leg |
l'epaule.stl | |
glove size L.stl | hand |
Glove_L_Size.stl | hand |
upright_boot.stl | foot |
copyright.stl | |
leftover.stl | |
RGB_helm.stl | head |
XL_boot.stl | foot |
mirror.stl | |
relief_thigh.stl | thigh |

# both sides are none
greaves_L_R.stl | lower_leg |
boots LR.stl | foot |
left and right greave.stl | lower_leg |
left/greaves_L+R.stl | lower_leg |

# the file before the folder, the nearest folder before the next
left/greave.stl | lower_leg | left
right/greave_L.stl | lower_leg | left
greaves/left.stl | lower_leg | left
greaves/L.stl | lower_leg | left
legs/greaves/part_01.stl | lower_leg |
boots/greave.stl | lower_leg |
arms/vambrace/right/top.stl | forearm | right
helmet/neck/part3.stl | neck |
gauntlet_kit.zip/L/thumb.stl | hand | left
Greaves.zip/right.stl | lower_leg | right
legs/left/part_7.stl | | left
thigh/leg.stl | thigh |
back.stl | |
cuirass/back.stl | torso |
greaves/knee_L.stl | knee | left
knees/L/part_2.stl | knee | left
arms/elbows/right.stl | elbow | right
knee/strap.stl | |

# words of the trade before the body's, and those before joints
wrist_gauntlet.stl | hand |
gauntlet_forearm.stl | forearm |
neck gorget.stl | neck |
shoulder-pauldron.stl | shoulder |
greave_knee_L.stl | lower_leg | left
knee_greave.stl | lower_leg |
greave with knee R.stl | lower_leg | right
greave_poleyn.stl | lower_leg |
greave and poleyn.stl | lower_leg |
knee and shin.stl | lower_leg |
shin_knee_plate.stl | lower_leg |
knee to ankle.stl | lower_leg |
cuisse_knee.stl | thigh |
thigh and knee.stl | |
elbow-to-wrist.stl | |
upper arm and elbow.stl | upper_arm |
rerebrace_couter.stl | upper_arm |
couter_vambrace_L.stl | forearm | left
knee-high sabaton.stl | foot |
boot_ankle.stl | foot |
thigh_knee.stl | thigh |
forearm_elbow_R.stl | forearm | right
ankle cuff.stl | lower_leg |
thigh cuff.stl | thigh |
leg bracers.stl | lower_leg |

# of two alike the later; joined ones are left open
boot greave.stl | lower_leg |
chest shoulder plate L.stl | shoulder | left
hand-to-forearm.stl | |
gauntlets/hand-to-forearm_R.stl | | right
shoulder and chest.stl | |
greave & sabaton.stl | foot |
greave and sabaton.stl | |
helm_and_mask.stl | head |
cuirass_with_tassets.stl | torso |
helm without visor.stl | head |
pad for left knee.stl | knee | left
armor_for_shin.stl | lower_leg |

# what goes on a shell is none
greave_strap.stl | |
greaves/strap_left.stl | | left
helmet_crest.stl | |
belt buckle.stl | |
boot_buckles/part1.stl | |
helmet stand.stl | |
chinstrap.stl | |
crest_helm.stl | head |
helm with horns.stl | head |
greave_strap_slots.stl | lower_leg |
helm magnet version.stl | head |
strap for greave.stl | |

# nothing to go by
part_07.stl | |
body.stl | |
armor.stl | |
Copper Heron/piece 3.stl | |
handle.stl | |
footprint.stl | |
headquarters.stl | |
chestnut.stl | |
shipyard.stl | |
whip.stl | |
alarm.stl | |
necklace.stl | |
.stl | |
 | |
`

func TestNames(t *testing.T) {
	cases := 0
	for line := range strings.SplitSeq(names, "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		fields := strings.Split(line, "|")
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
		}
		cases++
		region, side, reason, ok := FromName(fields[0])
		if region != fields[1] || side != fields[2] || ok != (fields[1] != "") {
			t.Errorf("%q is a %q %q (%q, %v), want %q %q", fields[0], side, region, reason, ok, fields[2], fields[1])
		}
		if (ok || side != "") && !strings.HasPrefix(reason, "the ") {
			t.Errorf("%q: guessed because %q", fields[0], reason)
		}
	}
	if cases < 150 {
		t.Errorf("only %d names", cases)
	}
}

func TestNameReasons(t *testing.T) {
	for _, c := range []struct{ part, want string }{
		{"greave.stl", "the file's name says greave"},
		{"kit.zip/legs/L_Greave_v2.stl", "the file's name says greave and L"},
		{"greaves/left.stl", "the folder's name says greaves and the file's name says left"},
		{"left/greave.stl", "the file's name says greave and the folder's name says left"},
		{"Greaves.zip/right.stl", "the archive's name says greaves and the file's name says right"},
		{"legs/left/part_7.stl", "the folder's name says left"},
		{"UpperArm.stl", "the file's name says upper arm"},
		{"leg_lower.stl", "the file's name says lower leg"},
		{"hand-to-forearm.stl", "the file's name says both hand and forearm"},
		{"greave_strap.stl", "the file's name says strap, which is no shell"},
		{"helmet_left.stl", "the file's name says helmet"},
		{"part_7.stl", ""},
	} {
		if _, _, got, _ := FromName(c.part); got != c.want {
			t.Errorf("%s: because %q, want %q", c.part, got, c.want)
		}
	}
}

func TestDetails(t *testing.T) {
	for _, c := range []struct{ part, want string }{
		{"greave_strap.stl", "strap"}, {"greaves/rivets/01.stl", "rivets"}, {"rivet.stl", "rivet"},
		{"rivets/greave.stl", ""}, {"greave.stl", ""}, {"part.stl", ""}, {"helm with horns.stl", ""},
	} {
		if got, ok := Detail(c.part); got != c.want || ok != (c.want != "") {
			t.Errorf("%s: detail %q, %v, want %q", c.part, got, ok, c.want)
		}
	}
}

// No word of the lexicon means two things, and each is found by itself, in the
// plural and written together.
func TestLexicon(t *testing.T) {
	seen := map[string]string{}
	lists := []string{details, traits, neutral, joiners, parters}
	for _, l := range lexicon {
		lists = append(lists, l.words)
	}
	for _, list := range lists {
		for word := range strings.SplitSeq(list, ", ") {
			if before, twice := seen[word]; twice {
				t.Errorf("%q is in %.30q and in %.30q", word, before, list)
			}
			seen[word] = list
		}
	}
	for _, l := range lexicon {
		for word := range strings.SplitSeq(l.words, ", ") {
			for _, name := range []string{word, word + "s", strings.ToUpper(word), strings.ReplaceAll(word, " ", ""), "left_" + word} {
				if region, _, _, _ := FromName(name + ".stl"); region != l.region {
					t.Errorf("%q is %q, want %q", name, region, l.region)
				}
			}
		}
	}
}

// Case, separators and revisions change nothing; every name can be read.
func TestNamesHoldAnyWriting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.SampledFrom([]string{"greave", "upper", "arm", "left", "right", "helm", "strap", "with", "and", "v2", "top", "x"}), 1, 6).Draw(t, "words")
		plain := strings.Join(words, "_") + ".stl"
		region, side, _, ok := FromName(plain)
		for _, sep := range []string{"-", " ", "__", ".", " - "} {
			other := strings.Join(words, sep) + ".STL"
			if r, s, _, o := FromName(strings.ToUpper(other)); r != region || s != side || o != ok {
				t.Fatalf("%q is %q %q, %q is %q %q", plain, side, region, other, s, r)
			}
		}
		capitals := ""
		for _, w := range words {
			capitals += strings.ToUpper(w[:1]) + w[1:]
		}
		if r, s, _, _ := FromName(capitals + ".stl"); !strings.Contains(plain, "x") && (r != region || s != side) {
			t.Fatalf("%q is %q %q, %q is %q %q", plain, side, region, capitals, s, r)
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "name")
		region, side, _, ok := FromName(name)
		if ok != (region != "") || side != "" && side != "left" && side != "right" {
			t.Fatalf("%q: %q %q %v", name, side, region, ok)
		}
	})
}

func FuzzFromName(f *testing.F) {
	for line := range strings.SplitSeq(names, "\n") {
		f.Add(strings.Split(line, "|")[0])
	}
	f.Fuzz(func(t *testing.T, name string) {
		region, _, reason, ok := FromName(name)
		if ok && (region == "" || reason == "") {
			t.Errorf("%q: %q because %q", name, region, reason)
		}
	})
}
