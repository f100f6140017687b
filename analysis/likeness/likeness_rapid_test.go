package likeness

import (
	"math"
	"math/rand/v2"
	"testing"

	"gambeson/analysis/shape/pose"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// A part saved again in another pose is known to be the same part, with what was
// done to it: the scale, whether it was mirrored, and where each point went; with
// other triangles on the same surface as well.
func TestLikenessFollowsThePose(t *testing.T) {
	pose.Check(t, 40, func(t *rapid.T) {
		old := part(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "part"), 1)), rapid.IntRange(0, 4).Draw(t, "kind"))
		p := pose.Draw(t, pose.Freedom{Turn: true, Scale: 1.5, Mirror: true, Move: 200})
		if math.Abs(p.Scale-1) < 1e-4 {
			p.Scale = 1 // less than anybody rescales by is an edit
		}
		r := became(old, p.Of(old))
		if r.Kind == Edited || r.Kind == Cut || r.Kind == Same {
			t.Fatalf("is said to be %s", r.Kind)
		}
		if math.Abs(r.Percent-100*p.Scale) > 0.02*p.Scale || (r.Mirror != "") != p.Mirrored {
			t.Fatalf("%.4f %%, mirrored %q; want %.4f %%, mirrored %v", r.Percent, r.Mirror, 100*p.Scale, p.Mirrored)
		}
		for i := 0; i < old.Vertices(); i += 1 + old.Vertices()/50 {
			q := old.At(uint32(i))
			if off := r3.Norm(r3.Sub(r.Map.At(q), p.At(q))); off > 0.02*p.Scale {
				t.Fatalf("a point lies %.4f mm off", off)
			}
		}
	})
}
