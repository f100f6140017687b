package bend

import (
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/fit/survey"
	"gambeson/analysis/suit/joint"
	"gambeson/report/disk"
	"gambeson/report/sample"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
)

// limbPart is a part of the Copper Heron that covers a stretch of a limb: the
// place and the girth of its two rims.
func limbPart(file, region, side, limb string, place, girth, otherPlace, otherGirth float64) *analysis.Findings {
	return &analysis.Findings{
		Part: file, Percent: 104, Region: &analysis.Region{Name: region, Side: side},
		Fit: &analysis.Fit{Covers: &analysis.Covers{
			Limb: limb, Span: [2]float64{place, otherPlace}, Rims: [2]float64{girth, otherGirth}, SD: 6,
		}},
	}
}

// joined is the Copper Heron where its parts meet: knees with too little room,
// a left elbow whose shells overlap, ankles where a greave goes over the boot,
// a hip with room to spare, a forearm of which one rim is not known.
func joined() []*analysis.Findings {
	var out []*analysis.Findings
	for _, side := range []string{"left", "right"} {
		out = append(out,
			limbPart("legs/greave-"+side+".stl", "lower_leg", side, "leg", 420, 410, 110, 300),
			limbPart("legs/thigh-"+side+".stl", "thigh", side, "leg", 660, 640, 530, 470),
			limbPart("legs/boot-"+side+".stl", "foot", side, "leg", 125, 270, 0, 600),
			limbPart("arms/forearm-"+side+".stl", "forearm", side, "arm", 360, 330, 560, 0),
			limbPart("arms/hand-"+side+".stl", "hand", side, "arm", 590, 260, 680, 280))
	}
	return append(out,
		limbPart("arms/upper-left.stl", "upper_arm", "left", "arm", 90, 390, 370, 340),
		limbPart("arms/upper-right.stl", "upper_arm", "right", "arm", 90, 390, 270, 360),
		limbPart("hips.stl", "hips", "", "trunk", 1000, 960, 900, 700),
		limbPart("torso.stl", "torso", "", "trunk", 1450, 480, 1060, 880))
}

func joinedWearer() analysis.Wearer {
	return analysis.Wearer{Sex: survey.Female, Weight: 68, Measures: map[string]float64{
		"stature": 1710, "ankle_height": 68, "knee_height": 470, "crotch_height": 810, "waist_height": 1030,
		"upper_arm_length": 325, "lower_arm_length": 255,
	}}
}

// linked links to a part's report, which lies beside it.
func linked(part string) string {
	return words.Link(words.Code(part), words.Href(disk.SuitName, disk.Place{Part: part}.Report()))
}

func TestJointsReadAsAccepted(t *testing.T) {
	var b words.Page
	all := joint.Between(joined(), joinedWearer())
	Chapter(&b, disk.SuitName, all, linked, "SUIT.fit/joint.png")
	sample.Golden(t, "joints.md", b.String())
}

func TestNoJointsNoChapter(t *testing.T) {
	var b words.Page
	Chapter(&b, disk.SuitName, nil, nil, "")
	require.Empty(t, b.String())
	_, ok := Draw(nil, analysis.Brief{})
	require.False(t, ok)
}

// The picture shows the joint of which least is left, and none where nothing
// hinders.
func TestJointDrawingShowsTheWorst(t *testing.T) {
	all := joint.Between(joined(), joinedWearer())
	d, ok := Draw(all, analysis.Brief{})
	require.True(t, ok)
	j, bend, _ := mostHindered(all)
	for _, k := range all {
		for _, b := range k.Bends {
			if k.Gap > 0 && !slips(k) && b.Share < bend.Share {
				t.Errorf("%s has %v of its bend left, the drawn %s %v", k.Name, b.Share, j.Name, bend.Share)
			}
		}
	}
	if !strings.Contains(d.Alt, j.Name) || d.Image.Bounds().Empty() || d.File != "joint.png" {
		t.Errorf("drawn: %q, %q", d.File, d.Alt)
	}
	require.Equal(t, "right elbow", jointName(j)) // less is left at the waist, but the torso slips into the hip ring
	free := []joint.Joint{{Name: "knee", Gap: 300, Bends: []joint.Bend{{Share: 1, Touch: 150, Normal: 135}}}}
	_, ok = Draw(free, analysis.Brief{})
	require.False(t, ok)
}

// Every region that may meet another has a word for its shell.
func TestShellsHaveNames(t *testing.T) {
	for _, region := range []string{"foot", "lower_leg", "thigh", "hips", "torso", "shoulder", "upper_arm", "forearm", "hand", "neck", "head"} {
		if shells[region] == "" {
			t.Errorf("no word for the shell of the %s", region)
		}
	}
}

// Names of files are shown as they are, whatever they hold.
func TestJointsQuoteNames(t *testing.T) {
	parts := []*analysis.Findings{
		limbPart("a|b*.stl", "lower_leg", "left", "leg", 545, 410, 110, 300),
		limbPart("c`d.stl", "thigh", "left", "leg", 740, 640, 530, 470),
	}
	var b words.Page
	Chapter(&b, disk.SuitName, joint.Between(parts, joinedWearer()), words.Code, "")
	for _, want := range []string{`a\|b\*.stl`, "``c`d.stl``", "**Note:** At the left knee, c\\`d.stl and a\\|b\\*.stl overlap by 15 mm"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in\n%s", want, b.String())
		}
	}
}

// What goes into what is said of the same height: that neither goes is among what is
// to be settled before a print, for both parts; that one goes is not.
func TestOverlapsSayWhetherOneGoesIntoTheOther(t *testing.T) {
	all := func(o *joint.Overlap) []joint.Joint {
		rim := func(part, region string) joint.Rim { return joint.Rim{Part: part, Region: region} }
		return []joint.Joint{{Name: "ankle", Side: "left", Laps: true, Gap: -236, Clear: 20, Upper: rim("greave.stl", "lower_leg"), Lower: rim("boot.stl", "foot"), Overlap: o}}
	}
	said := func(o *joint.Overlap) (chapter, short string) {
		var c, h words.Page
		Chapter(&c, disk.SuitName, all(o), linked, "")
		Hindered(&h, all(o))
		return c.String(), h.String()
	}
	neither := &joint.Overlap{Inner: "boot.stl", Outer: "greave.stl", Room: -3, Lacks: -4.5, Sure: true}
	lacks := "the boot lacks 3.0 mm all round to go into the greave, the greave 4.5 mm to go into the boot"
	chapter, short := said(neither)
	require.Contains(t, chapter, "overlap by 236 mm at the left ankle, but **neither goes into the other** there: "+lacks)
	require.Contains(t, chapter, "before either is printed.")
	require.Contains(t, short, "The left ankle: the parts overlap by 236 mm, and neither goes into the other: "+lacks+".")
	held := Holds(all(neither))
	require.Len(t, held, 1)
	require.Equal(t, []string{"greave.stl", "boot.stl"}, held[0].Parts)
	require.Equal(t, "at the left ankle they overlap by 236 mm, and neither goes into the other: "+lacks+". Cut one of them back to where they no longer overlap, or give one of them another scale.", held[0].Text)

	chapter, short = said(&joint.Overlap{Inner: "greave.stl", Outer: "boot.stl", Room: 2, Lacks: -9, Sure: true})
	require.Contains(t, chapter, "The greave goes into the boot where both have one shape, with up to 2.0 mm left all round")
	require.Empty(t, short)
	for _, o := range []*joint.Overlap{nil, {Inner: "boot.stl", Room: -1}, {Inner: "boot.stl", Room: 1}} {
		chapter, short = said(o)
		require.Contains(t, chapter, "as they often do there.\n")
		require.NotContains(t, chapter, "apart all round")
		require.Empty(t, short)
		require.Empty(t, Holds(all(o)))
	}
}

// A knee that bends too little to walk holds both parts, with what to cut; one that
// only does not kneel does not, nor does an ankle that nothing hinders.
func TestWhatHoldsAPart(t *testing.T) {
	parts := func(thigh float64) []joint.Joint {
		return joint.Between([]*analysis.Findings{
			limbPart("greave.stl", "lower_leg", "left", "leg", 420, 410, 110, 300),
			limbPart("thigh.stl", "thigh", "left", "leg", 660, 470, thigh, 470),
		}, joinedWearer())
	}
	held := Holds(parts(475))
	require.Len(t, held, 1)
	require.Equal(t, []string{"thigh.stl", "greave.stl"}, held[0].Parts)
	require.Regexp(t, `^the left knee bends only \d+° of 135° before the rims touch, too little to walk\. To walk \(65°\), cut .*Cut first, or choose another scale\.$`, held[0].Text)
	require.Empty(t, Holds(parts(530)))
	require.Contains(t, Holds(joint.Between(joined(), joinedWearer()))[0].Text, "Shorten one of them first.")
}

// A shell round the joint itself is said to be one, not a rim that is not known, and one
// that goes into its neighbour slides there.
func TestShellRoundTheJointIsSaid(t *testing.T) {
	legs := append(joined(), limbPart("knee-left.stl", "knee", "left", "leg", 525, 450, 415, 440), limbPart("knee-right.stl", "knee", "right", "leg", 525, 450, 430, 440))
	all := joint.Between(legs, joinedWearer())
	var b words.Page
	Chapter(&b, disk.SuitName, all, linked, "")
	text := b.String()
	require.Contains(t, text, "A shell goes round the joint itself at the right shin below the knee and each thigh above the knee: how far the joint bends in it is not reckoned.")
	require.Contains(t, text, "The knee shell and the greave overlap by 5 mm at the left shin below the knee, as they often do there.")
	require.NotContains(t, text, "knee bends")
	require.Regexp(t, `\| right shin below the knee \| .*knee-right.* \| 10 mm ± 8 mm \|.* a shell goes round the joint \|`, text)
	j := joint.Joint{Name: "shin below the knee", Gap: -30, Laps: true, Round: true, Overlap: &joint.Overlap{Inner: "b", Outer: "a", Room: 4, Sure: true},
		Upper: joint.Rim{Part: "a", Region: "knee"}, Lower: joint.Rim{Part: "b", Region: "lower_leg"}}
	_, said := jointText(j)
	require.Contains(t, said, "it slides as far as that lets it.")
}
