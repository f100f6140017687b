package analysis

import (
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func loaded(m *mesh.Mesh) *mesh.Loaded {
	return &mesh.Loaded{Mesh: m, Format: mesh.FormatSTLBinary, Unit: mesh.Unit{Name: "millimetre", Factor: 1}}
}

func examine(t *testing.T, m *mesh.Mesh, change func(*Brief), before *Findings) *Answer {
	t.Helper()
	brief := DefaultBrief()
	if change != nil {
		change(&brief)
	}
	a, err := Examine(t.Context(), loaded(m), brief, before, 2)
	require.NoError(t, err)
	return a
}

func tube() *mesh.Mesh { return shape.Tube{Sides: 64, Radius: 40, Wall: 3, Height: 60}.Mesh() }

// numbers leaves a test of numbers out under the race detector, where they take
// ten times as long; enough others look into whole parts there.
func numbers(t *testing.T) {
	t.Helper()
	if underRace {
		t.Skip("numbers, which take ten times as long under the race detector")
	}
}

func (f *Findings) has(code string) bool {
	for _, w := range f.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// What became of a file: the same, rescaled by so much, or another.
func TestChanged(t *testing.T) {
	first := examine(t, tube(), nil, nil).Findings
	if first.Changed.Kind != "new" {
		t.Errorf("the first look says %+v", first.Changed)
	}
	for _, c := range []struct {
		m       *mesh.Mesh
		kind    string
		percent float64
	}{
		{tube(), "same", 100},
		{tube().Scaled(1.07), "rescaled", 107},
		{tube().Scaled(0.5), "rescaled", 50},
		{shape.Tube{Sides: 64, Radius: 41, Wall: 3, Height: 60}.Mesh(), "edited", 0},
		{shape.Tube{Sides: 60, Radius: 40, Wall: 3, Height: 60}.Mesh(), "edited", 0},
	} {
		got := examine(t, c.m, nil, &first).Findings.Changed
		if got.Kind != c.kind || math.Abs(got.Percent-c.percent) > 0.001 {
			t.Errorf("%s %g: got %+v", c.kind, c.percent, got)
		}
	}
}

// Percent and unit scale what is said of the part; the mesh block describes
// the file as it lies.
func TestPercentAndUnit(t *testing.T) {
	numbers(t)
	plain := examine(t, tube(), nil, nil).Findings
	grown := examine(t, tube(), func(b *Brief) { b.Percent = 150 }, nil).Findings
	inches := examine(t, tube().Scaled(1/25.4), func(b *Brief) { b.Unit = "inch" }, nil).Findings
	a, _ := plain.Tightest()
	b, _ := grown.Tightest()
	c, _ := inches.Tightest()
	if math.Abs(b.InnerGirth/a.InnerGirth-1.5) > 1e-3 || math.Abs(c.InnerGirth/a.InnerGirth-1) > 1e-3 {
		t.Errorf("girths %.3f, at 150 %% %.3f, in inches %.3f", a.InnerGirth, b.InnerGirth, c.InnerGirth)
	}
	if grown.Mesh.Bounds != plain.Mesh.Bounds || math.Abs(grown.Bed.Largest.AsIs-plain.Bed.Largest.AsIs) > 1e-9 {
		t.Errorf("the file itself changed with the percent: %+v", grown.Mesh)
	}
	if inches.Unit.Source != "config" || inches.Unit.Factor != 25.4 || inches.has("unit-assumed") || !plain.has("unit-assumed") {
		t.Errorf("units %+v and %+v", inches.Unit, plain.Unit)
	}
	if math.Abs(grown.Bed.Placement.Size[2]-90) > 1e-3 || grown.Bands[0].Percent != 150 {
		t.Errorf("at 150 %%: placement %+v, band %+v", grown.Bed.Placement, grown.Bands[0])
	}
}

func TestOverflowSaysNoLongerOnlyOfWhatFitted(t *testing.T) {
	numbers(t)
	small := examine(t, tube(), nil, nil).Findings
	large := examine(t, tube().Scaled(4), nil, &small).Findings
	if !large.has("bed-overflow") || !large.Warned() || !strings.Contains(text(large, "bed-overflow"), "No longer fits the bed since the file was rescaled to 400.0 %") {
		t.Errorf("says %q", text(large, "bed-overflow"))
	}
	again := examine(t, tube().Scaled(4), nil, &large).Findings
	if strings.Contains(text(again, "bed-overflow"), "No longer") {
		t.Errorf("says again %q", text(again, "bed-overflow"))
	}
	asked := examine(t, tube(), func(b *Brief) { b.Percent = 400 }, &small).Findings
	if !strings.Contains(text(asked, "bed-overflow"), "since the scale wanted went from 100 % to 400 %") {
		t.Errorf("says %q", text(asked, "bed-overflow"))
	}
	if small.has("bed-overflow") || small.Warned() {
		t.Errorf("a small tube warns: %+v", small.Warnings)
	}
}

func text(f Findings, code string) string {
	for _, w := range f.Warnings {
		if w.Code == code {
			return w.Text
		}
	}
	return ""
}

// An open mesh is a warning, a plate has no cavity, and both have a bed.
func TestDoubtsAreData(t *testing.T) {
	open := examine(t, shape.DropFacets(tube(), 50, 3), nil, nil).Findings
	if !open.has("mesh-open") || open.Mesh.Closed {
		t.Errorf("an open mesh: %+v", open.Mesh)
	}
	plate := examine(t, shape.Plate{Width: 100, Height: 120, Wall: 3, Sides: 8}.Mesh(), nil, nil).Findings
	if !plate.has("no-cavity") || len(plate.Bands) != 0 || plate.Bed == nil || len(plate.Cavities) != 0 {
		t.Errorf("a plate: %+v", plate.Warnings)
	}
}

// A forced axis is followed, and knows no openings.
func TestForcedAxis(t *testing.T) {
	f := examine(t, tube(), func(b *Brief) { b.Axis = &r3.Vec{Z: 1} }, nil).Findings
	line := f.Cavities[0].Centrelines[0]
	if len(f.Cavities[0].Openings) != 0 || line.To != "end" || math.Abs(line.Length-60) > 1e-3 {
		t.Errorf("along z: %+v", f.Cavities[0].Openings)
	}
	want := 2 * 64 * 40 * math.Sin(math.Pi/64)
	for _, s := range line.Stations {
		if math.Abs(s.InnerGirth/want-1) > 1e-5 {
			t.Errorf("%.1f mm along: %.4f mm, want %.4f", s.Along, s.InnerGirth, want)
		}
	}
	across := examine(t, tube(), func(b *Brief) { b.Axis = &r3.Vec{X: 1} }, nil).Findings
	for _, c := range across.Cavities {
		for _, l := range c.Centrelines {
			for _, s := range l.Stations {
				if s.InnerGirth > want*0.99 {
					t.Errorf("across the tube: a loop of %.1f mm", s.InnerGirth)
				}
			}
		}
	}
}

// Stations near the closed end of a way are in its cap, not the tightest; open
// ones count only where none is closed.
func TestEnds(t *testing.T) {
	way := func(to string, length float64, girths ...float64) Centreline {
		c := Centreline{From: "A", To: to, Length: length}
		for i, g := range girths {
			s := Station{Along: 10 * float64(i), InnerGirth: math.Abs(g)}
			if g < 0 {
				s.Gap = 20
			}
			c.Stations = append(c.Stations, s)
		}
		return c
	}
	for _, c := range []struct {
		way             Centreline
		tightest, wider int
	}{
		{way("B", 40, 300, 280, 290, 310, 305), 1, 3},
		{way("end", 60, 300, 280, 290, 260, 200, 120), 1, 0}, // 260 mm has a radius of 41, 30 from the end
		{way("B", 40, 300, -100, 290, 310, -900), 2, 3},
		{way("end", 40, -100, -90, -95), 1, 0},
		{way("B", 0), -1, -1},
	} {
		if a, b := c.way.Ends(); a != c.tightest || b != c.wider {
			t.Errorf("%+v: %d and %d, want %d and %d", c.way.Stations, a, b, c.tightest, c.wider)
		}
	}
}

func TestFingerprintFollowsWhatItDependsOn(t *testing.T) {
	base := func() (sum [32]byte, b Brief, v string) { return [32]byte{1}, DefaultBrief(), "1" }
	sum, brief, v := base()
	first, err := Fingerprint(sum, brief, v)
	require.NoError(t, err)
	brief.Wearer.Measures = map[string]float64{"calf_girth": 380}
	other, _ := Fingerprint(sum, brief, v)
	newer, _ := Fingerprint(sum, DefaultBrief(), "2")
	bytes, _ := Fingerprint([32]byte{2}, DefaultBrief(), "1")
	same, _ := Fingerprint([32]byte{1}, DefaultBrief(), "1")
	if first != same || first == other || first == newer || first == bytes {
		t.Error("the fingerprint does not follow bytes, brief and version")
	}
	brief.Percent = math.NaN()
	if _, err := Fingerprint(sum, brief, v); err == nil {
		t.Error("a brief that is no number has a fingerprint")
	}
}

// What was not asked is absent, and what is there reads back the same.
func TestFindingsAsJSON(t *testing.T) {
	f := examine(t, tube(), nil, nil).Findings
	line, err := json.Marshal(f)
	require.NoError(t, err)
	for _, absent := range []string{`"fit"`, `"gap_mm"`, `"pieces"`, `"offer"`, `"second_printer"`} {
		if strings.Contains(string(line), absent) {
			t.Errorf("%s is there though nobody asked", absent)
		}
	}
	var back Findings
	require.NoError(t, json.Unmarshal(line, &back))
	again, err := json.Marshal(back)
	require.NoError(t, err)
	if string(again) != string(line) {
		t.Error("the findings do not survive being written and read")
	}
	refused := Refused("legs/a.stl", "byte 84: cut")
	if why, is := refused.Refusal(); !is || why != "byte 84: cut" || !refused.Warned() {
		t.Errorf("a refusal reads back as %q, %v", why, is)
	}
	if _, is := f.Refusal(); is {
		t.Error("a part that was read counts as refused")
	}
}

func TestCancelledExamineEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if a, err := Examine(ctx, loaded(tube()), DefaultBrief(), nil, 2); err == nil {
		t.Errorf("cancelled, yet it found %+v", a.Findings)
	}
}

// Planes at the ends of an open shell may run out over its rim; such a section is
// no station. By the formula a gutter has nowhere less wall than its arc at the
// narrow end.
func TestNoStationRunsOutOverARim(t *testing.T) {
	numbers(t)
	for turn, arc := range map[float64]float64{0: 180, 1.2: 200} {
		g := shape.Gutter{Bottom: 60, Top: 72, Wall: 3, Height: 130, Arc: arc, Round: true}
		m := g.Mesh().Map(r3.NewRotation(turn, r3.Vec{X: 1, Y: 2, Z: -1}).Rotate)
		f := examine(t, m, func(b *Brief) { b.Region = Region{Name: "shoulder", Side: "left", Source: "config"} }, nil).Findings
		s, ok := f.Tightest()
		if !ok {
			t.Fatalf("%v°: no station", arc)
		}
		least := 60 * arc * math.Pi / 180
		if s.InnerGirth < 0.97*least || s.InnerGirth > 1.05*least {
			t.Errorf("%v° turned by %v: least wall %.1f mm at %.0f mm, want about %.1f mm", arc, turn, s.InnerGirth, s.Along, least)
		}
		for _, c := range f.Cavities {
			for _, l := range c.Centrelines {
				if len(l.Stations) < 20 {
					t.Errorf("%v°: only %d stations over %.0f mm", arc, len(l.Stations), l.Length)
				}
			}
		}
	}
}
