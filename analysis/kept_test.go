package analysis

import (
	"encoding/json"
	"slices"
	"testing"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// kept sends what was kept of an examination through JSON, as a cache does.
func kept(t *testing.T, a *Answer, brief Brief) Kept {
	t.Helper()
	require.NotNil(t, a.Kept)
	require.NoError(t, a.Kept.Seal(brief, "v", &a.Findings))
	data, err := json.Marshal(a.Kept)
	require.NoError(t, err)
	var k Kept
	require.NoError(t, json.Unmarshal(data, &k))
	return k
}

// Another wearer is judged by what was kept exactly as by looking into the
// part once more: only the panel and a scale of its own for the length, which
// are of the mesh, are left out.
func TestKeptJudgesAsTheMeshDoes(t *testing.T) {
	numbers(t)
	greave := shape.Limb{Wall: 3, Rings: []shape.Ring{
		{Inner: ellipse(338, 1.1)}, {Center: r3.Vec{Z: 45}, Inner: ellipse(326, 1.06)}, {Center: r3.Vec{Z: 130}, Inner: ellipse(362, 1)},
		{Center: r3.Vec{X: -4, Y: -7, Z: 225}, Inner: ellipse(402, 1.04)}, {Center: r3.Vec{Z: 335}, Inner: ellipse(408, 1.06)},
	}}
	hips := shape.Hips{
		Waist: ellipse(1006, 0.74), Seat: ellipse(1048, 0.73), Leg: ellipse(628, 1.06), Wall: 4,
		Height: 290, Band: 30, SeatZ: 150, Drop: 45, Legs: 35, Apart: 110,
	}
	for name, c := range map[string]struct {
		m      *mesh.Mesh
		region string
	}{
		"greave": {greave.Mesh(), "lower_leg"},
		"boot":   {wornBoot().Mesh(), "foot"},
		"hips":   {hips.Mesh(), "hips"},
	} {
		one := func(b *Brief) {
			b.Region = Region{Name: c.region, Side: "left", Source: "config"}
			b.Printer.Bed, b.Printer.Height = [2]float64{600, 600}, 600
			b.Wearer.Measures = map[string]float64{"stature": 1710, "calf_girth": 382, "chest_girth": 930, "foot_length": 246}
		}
		other := func(b *Brief) {
			one(b)
			b.Wearer.Measures = map[string]float64{"stature": 1820, "calf_girth": 395, "heel_girth": 350, "waist_girth": 900, "foot_length": 281}
			b.Shell.Padding, b.Shell.Asked.Padding = 8, true
		}
		brief := DefaultBrief()
		one(&brief)
		first := examine(t, c.m, one, nil)
		k := kept(t, first, brief)

		brief = DefaultBrief()
		other(&brief)
		want := examine(t, c.m, other, nil).Findings
		got, ok := k.Judge(&first.Findings, brief)
		require.True(t, ok, name)
		for i := range want.Fit.Entries {
			want.Fit.Entries[i].Panel, want.Fit.Entries[i].Halves = nil, false
		}
		want.Fit.TwoWay, got.Fit.TwoWay = nil, nil // is the earlier one
		require.NotEqual(t, first.Findings.Fit.Smallest, want.Fit.Smallest, name)
		require.Equal(t, want.Fit, got.Fit, name)
		codes := func(f Findings) (out []string) {
			for _, w := range f.Warnings {
				if w.Code != codeNoBand && w.Code != codeBandOpen && w.Code != codeBandLarge && w.Code != "panel-open" {
					out = append(out, w.Code)
				}
			}
			return out
		}
		require.Equal(t, codes(want), codes(got), name)
		require.Equal(t, first.Findings.Bands, got.Bands, "they lie there as they were")

		geometry, err := Geometry(brief, "v")
		require.NoError(t, err)
		require.Equal(t, k.Asked, geometry, "neither wearer nor padding counts")
		brief.Percent = 101
		geometry, err = Geometry(brief, "v")
		require.NoError(t, err)
		require.NotEqual(t, k.Asked, geometry)
	}
}

// What was kept for another region, or is torn, tells nothing.
func TestKeptOfSomethingElse(t *testing.T) {
	a := examine(t, tube(), leg(382), nil)
	k := kept(t, a, DefaultBrief())
	thigh := a.Findings
	thigh.Region = &Region{Name: "thigh"}
	_, ok := k.Judge(&thigh, DefaultBrief())
	require.False(t, ok)
	for _, spoil := range []func(*Kept){
		func(k *Kept) { k.Inside.Region = "tail" },
		func(k *Kept) { k.Inside.Lengths = nil },
		func(k *Kept) { k.Inside.Seats[0].Rooms = nil },
		func(k *Kept) { k.Inside.Seats[0].Rests[0].Sit = 99 },
	} {
		k := kept(t, a, DefaultBrief())
		k.Inside.Seats = slices.Clone(k.Inside.Seats)
		spoil(&k)
		_, ok := k.Judge(&a.Findings, DefaultBrief())
		require.False(t, ok)
	}
}
