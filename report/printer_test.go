package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/shape"
	"gambeson/report/disk"
	"gambeson/report/sample"
	"gambeson/report/words"

	"github.com/stretchr/testify/require"
)

func bedded() Document {
	d := plate()
	d.Shown = shape.Tube{Sides: 32, Radius: 40, Wall: 3, Height: 200}.Mesh()
	d.Findings.Bed.Placement = analysis.Placement{Kind: "laid", Rotation: onItsBack,
		Size: [3]float64{86, 200, 86}, Spot: [2]float64{67, 10}, Overhang: 4210, FirstLayer: 155}
	return d
}

func TestReportShowsThePartOnItsBed(t *testing.T) {
	root := sample.Folder(t)
	d := bedded()
	p := disk.Place{Root: root, Part: "torso/back-plate.obj"}
	require.NoError(t, Write(p, d))
	text := sample.ReadFile(t, root, p.Report())
	if !strings.Contains(text, "](back-plate.obj.fit/bed.png)") {
		t.Errorf("the report does not show the bed:\n%s", text)
	}
	require.FileExists(t, filepath.Join(root, "torso/back-plate.obj.fit/bed.png"))
	d.Shown = nil
	require.NoError(t, Write(p, d))
	if _, err := os.Stat(filepath.Join(root, "torso/back-plate.obj.fit/bed.png")); err == nil {
		t.Error("a picture of an earlier run is left")
	}
}

// Placements that all take the same scale are said once.
func TestPlacementsAlikeAreSaidOnce(t *testing.T) {
	var same, other page
	bed := &analysis.Bed{Fits: true, Largest: analysis.Largest{AsIs: 119.41, Turned: 119.43, Laid: 119.44, Tilted: 119.44}}
	same.scales(bed)
	require.Equal(t, "It fits up to 119.4 % as it lies, and no further turned, laid on another side or tilted.\n\n", same.String())
	bed.Largest.Tilted = 130
	other.scales(bed)
	require.Contains(t, other.String(), "| tilted, with supports | 130 % |")
}

// A panel from rim to rim is said to be so, in the table and in the step.
func TestPanelOverTheWholeLength(t *testing.T) {
	d := boot()
	f := &d.Findings
	f.Cavities[0].Centrelines[0].To = "B"
	e := &f.Fit.Entries[0]
	e.Opening, e.To, e.Panel.To = f.Cavities[0].Centrelines[0].From, "B", f.Cavities[0].Centrelines[0].Length-0.2
	row := panelRow(f, *e, disk.Place{Part: f.Part})
	require.Equal(t, "over its whole length", row[2])
	e.Panel.To -= 30
	row = panelRow(f, *e, disk.Place{Part: f.Part})
	require.Equal(t, words.Along(e.Panel.To), row[2])
}

// onItsBack lies on the back: what faces −y comes up.
var onItsBack = [3][3]float64{{1, 0, 0}, {0, 0, 1}, {0, -1, 0}}
