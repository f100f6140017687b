package analysis

import (
	"bytes"
	"encoding/gob"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gambeson/analysis/likeness"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// likes returns parts of a few makes, each copied, turned, mirrored, rescaled or
// stretched.
func likes(rng *rand.Rand, parts int) (all []*Findings) {
	drawn := []*mesh.Mesh{greave(), tube(), shape.Tube{Sides: 40, Radius: 40, Wall: 3, Height: 80}.Mesh(), shape.Relief{Triangles: 1500}.Mesh()}
	for n := range parts {
		m := drawn[rng.IntN(len(drawn))]
		switch rng.IntN(6) {
		case 0:
			m = m.Scaled(0.9 + 0.05*float64(rng.IntN(5)))
		case 1:
			m = shape.Mirror(m)
		case 2:
			m = shape.Turn(m, shape.Rotation(rng.Uint64()))
		case 3:
			x := 0.9 + 0.2*rng.Float64()
			m = m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: x * p.X, Y: p.Y, Z: p.Z} })
		case 4:
			m = shape.Mirror(m.Scaled(0.9 + 0.05*float64(rng.IntN(5))))
		}
		all = append(all, shaped(fmt.Sprintf("part-%d.stl", n), m))
	}
	return append(all, nil, &Findings{Part: "broken.stl"})
}

// Looking at the most telling pairs only says the same as looking at all.
func TestKinshipSaysWhatAllPairsSay(t *testing.T) {
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 5))
		all := likes(rng, 30)
		rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		var k Kinship
		got, compared := k.Among(all)
		require.Equal(t, Nearest(Kin(all)), got, "seed %d", seed)
		require.True(t, compared)
	}
}

// What is remembered is of shapes, not of parts: it follows when a part changes,
// comes, goes, is renamed or becomes older than another, and after it was written
// and read.
func TestKinshipRemembersShapes(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	all := likes(rng, 20)
	var k Kinship
	before, _ := k.Among(all)
	again, compared := k.Among(all)
	require.Equal(t, before, again)
	require.False(t, compared, "nothing is new")

	var file bytes.Buffer
	require.NoError(t, k.Write(&file, "v1"))
	whole := file.Bytes()
	var restarted Kinship
	restarted.Read(bytes.NewReader(whole), "v1")
	again, compared = restarted.Among(all)
	require.Equal(t, before, again)
	require.False(t, compared, "it was read")

	renamed := *all[3]
	renamed.Part = "renamed.stl"
	all[3] = &renamed
	got, compared := restarted.Among(all)
	require.Equal(t, Nearest(Kin(all)), got)
	require.False(t, compared, "the shapes are the same")

	s := likeness.Of(greave().Scaled(1.31), 1)
	all[3] = &Findings{Part: "renamed.stl", Shape: &s}
	all[0], all[7] = all[7], all[0]
	all = append(all[:10], all[11:]...)
	got, compared = restarted.Among(all)
	require.Equal(t, Nearest(Kin(all)), got)
	require.True(t, compared)

	for _, c := range []struct {
		name, version string
		text          []byte
	}{{"of another version", "v2", whole}, {"torn", "v1", whole[:len(whole)/2]}, {"zeros", "v1", make([]byte, 4096)}, {"empty", "v1", nil}} {
		var k Kinship
		k.Read(bytes.NewReader(c.text), c.version)
		require.Empty(t, k.known, c.name)
	}
}

// FuzzKinship reads any bytes in place of what was remembered of a suit: nothing of
// another version is taken up, and what is taken up is written and read again the same.
func FuzzKinship(f *testing.F) {
	all := likes(rand.New(rand.NewPCG(9, 9)), 8)
	var k Kinship
	k.Among(all)
	var whole, other, none bytes.Buffer
	require.NoError(f, k.Write(&whole, "v1"))
	require.NoError(f, k.Write(&other, "v2"))
	require.NoError(f, new(Kinship).Write(&none, "v1"))
	f.Add(whole.Bytes())
	f.Add(whole.Bytes()[:whole.Len()/2])
	f.Add(other.Bytes())
	f.Add(none.Bytes())
	var odd bytes.Buffer
	require.NoError(f, gob.NewEncoder(&odd).Encode(keptKinship{Form: kinshipForm + " v1", Pairs: []keptPair{
		{Kin: true}, {Kin: true, Is: Changed{Kind: "rescaled", Percent: math.NaN(), TurnAxis: &[3]float64{}, Planes: []Plane{{}}}}, {},
	}}))
	f.Add(odd.Bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		var read Kinship
		read.Read(bytes.NewReader(data), "v1")
		var flat keptKinship
		if known := read.known != nil; known && (gob.NewDecoder(bytes.NewReader(data)).Decode(&flat) != nil || flat.Form != kinshipForm+" v1") {
			t.Fatal("what is torn or of another version is taken up")
		}
		var again Kinship
		var text bytes.Buffer
		require.NoError(t, read.Write(&text, "v1"))
		again.Read(&text, "v1")
		if len(again.known) != len(read.known) {
			t.Fatalf("%d pairs, written and read again %d", len(read.known), len(again.known))
		}
		if len(flat.Pairs) > 0 { // what it says, said of pairs that are there
			for pair := range k.known {
				read.known[pair] = &flat.Pairs[0].Is
			}
		}
		related, _ := read.Among(all)
		Nearest(related)
		if _, compared := read.Among(all); compared {
			t.Fatal("the same parts are compared again")
		}
	})
}

// Every number of a shape counts for its name.
func TestNameOfShape(t *testing.T) {
	s := likeness.Of(greave(), 1)
	name := nameOfShape(&s)
	for i, change := range []func(s *likeness.Signature){
		func(s *likeness.Signature) { s.Triangles++ },
		func(s *likeness.Signature) { s.Low[2]++ },
		func(s *likeness.Signature) { s.Grain *= 2 },
		func(s *likeness.Signature) { s.Closed = !s.Closed },
		func(s *likeness.Signature) { s.Corners.Third[9]++ },
		func(s *likeness.Signature) { s.Anchors = s.Anchors[1:] },
		func(s *likeness.Signature) { s.Sample = append([][3]float32{{1, 2, 3}}, s.Sample[1:]...) },
	} {
		other := s
		change(&other)
		require.NotEqual(t, name, nameOfShape(&other), i)
	}
}

// Of so many parts kin is found for SUIT.md, for the first time and after one
// of them changed:
//
//	go test ./analysis -run '^$' -bench Kinship -benchtime 1x
func BenchmarkKinship(b *testing.B) {
	for _, parts := range []int{200, 1000} {
		rng := rand.New(rand.NewPCG(19171205, 0))
		all := likes(rng, parts)
		b.Run(fmt.Sprint(parts), func(b *testing.B) {
			for b.Loop() {
				var k Kinship
				began := time.Now()
				k.Among(all)
				b.ReportMetric(time.Since(began).Seconds(), "first-s")
				s := likeness.Of(greave().Scaled(1.31), 1)
				all[5] = &Findings{Part: all[5].Part, Shape: &s}
				began = time.Now()
				k.Among(all)
				b.ReportMetric(time.Since(began).Seconds(), "after-change-s")
			}
			b.ReportMetric(0, "ns/op")
		})
	}
}
