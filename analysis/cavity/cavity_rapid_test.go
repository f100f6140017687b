package cavity

import (
	"context"
	"math"
	"slices"
	"testing"

	"gambeson/analysis/shape/pose"

	"pgregory.net/rapid"
)

// extremes are what decides about a way: its length, and where it is narrowest.
type extremes struct{ length, girth, room float64 }

func (l Line) extremes() extremes {
	e := extremes{l.Length, math.Inf(1), math.Inf(1)}
	for _, s := range l.Stations {
		if s.Cover < 359 {
			continue
		}
		e.girth = min(e.girth, s.InnerGirth)
		if s.Capacity > 0 {
			e.room = min(e.room, s.Capacity)
		}
	}
	return e
}

// However a shell lies in its file, and in however many triangles, it has the
// same cavity with the same openings, the same ways through it, and is tightest
// by the same girths; all as many times larger as the shell is.
func TestCavitiesFollowThePose(t *testing.T) {
	all := shells()
	few := 6 // each takes two searches
	if underRace {
		few = 1
	}
	pose.Check(t, few, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"forearm", "boot", "helm", "collar"}).Draw(t, "shell")
		m := all[name].Mesh()
		p := pose.Draw(t, pose.Freedom{Turn: true, Scale: 1.4, Mirror: true, Move: 200})
		look := func(size float64, pose *pose.Pose) Cavity {
			part, o := m, coarse(m)
			if pose != nil {
				part = pose.Of(m)
			}
			o.Pitch, o.Spacing, o.Ball, o.Workers = o.Pitch*size, o.Spacing*size, usualBall*size, 2
			found, err := Find(context.Background(), part, o)
			if err != nil || len(found) != 1 {
				t.Fatalf("%s: %d cavities, %v", name, len(found), err)
			}
			return found[0]
		}
		want, got := look(1, nil), look(p.Scale, &p)
		near := func(what string, got, want, within float64) {
			if !(math.Abs(got-want) <= within*math.Abs(want)) {
				t.Fatalf("%s: %s %.4f, want %.4f", name, what, got, want)
			}
		}
		near("volume", got.Volume, want.Volume*p.Scale*p.Scale*p.Scale, 0.02)
		girths := func(c Cavity) (out []float64) {
			for _, o := range c.Openings {
				if o.Entry {
					out = append(out, o.Girth)
				}
			}
			slices.Sort(out)
			return out
		}
		before, after := girths(want), girths(got)
		if len(before) != len(after) || len(want.Openings) != len(got.Openings) || len(want.Lines) != len(got.Lines) {
			t.Fatalf("%s: %d entries, %d openings, %d ways; want %d, %d, %d", name, len(after), len(got.Openings), len(got.Lines), len(before), len(want.Openings), len(want.Lines))
		}
		for i := range before {
			near("girth of an entry", after[i], before[i]*p.Scale, 0.004)
		}
		ways := func(c Cavity) (out []extremes) {
			for _, l := range c.Lines {
				out = append(out, l.extremes())
			}
			slices.SortFunc(out, func(a, b extremes) int { return int(1e3 * (a.length - b.length)) })
			return out
		}
		old, new := ways(want), ways(got)
		for i := range old {
			near("length of a way", new[i].length, old[i].length*p.Scale, 0.015)
			near("least girth", new[i].girth, old[i].girth*p.Scale, 0.004)
			near("least room", new[i].room, old[i].room*p.Scale, 0.005)
		}
	})
}
