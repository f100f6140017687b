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
