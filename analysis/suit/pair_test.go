package suit

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"gambeson/analysis"
)

// pairsByAll holds each part to each, and tells the pairs by the words of Sign:
// the second way to what Judge finds.
func pairsByAll(parts []*analysis.Findings) (pairs [][2]string) {
	paired := map[int]bool{}
	opposite := func(a, b int) bool {
		p, q := parts[a].Region, parts[b].Region
		return p.Name != "" && p.Name == q.Name && p.Side != "" && q.Side != "" && p.Side != q.Side
	}
	onlyTwo := func(a, b int) bool {
		others := 0
		for _, f := range parts {
			if f.Region.Name == parts[a].Region.Name {
				others++
			}
		}
		return others == 2
	}
	twins := func(a, b int) bool {
		p, q := parts[a], parts[b]
		if p.Region.Name != "" && q.Region.Name != "" && p.Region.Name != q.Region.Name || p.Region.Side != "" && p.Region.Side == q.Region.Side {
			return false
		}
		size := ratioOfMeshes(p.Mesh, q.Mesh)
		return size > 1-alike && size < 1+alike
	}
	for _, sign := range []func(a, b int) bool{
		func(a, b int) bool {
			return opposite(a, b) && slices.Equal(sideless(parts[a].Part), sideless(parts[b].Part))
		},
		func(a, b int) bool { return opposite(a, b) && onlyTwo(a, b) },
		twins,
	} {
		for a := range parts {
			for b := a + 1; b < len(parts) && !paired[a]; b++ {
				if paired[b] || !sign(a, b) {
					continue
				}
				paired[a], paired[b] = true, true
				l, r := a, b
				if parts[l].Region.Side == "right" || parts[r].Region.Side == "left" {
					l, r = r, l
				}
				pairs = append(pairs, [2]string{parts[l].Part, parts[r].Part})
			}
		}
	}
	return pairs
}

// Not each part is held to each, and yet the pairs are the same.
func TestPairsAsOfAllWithAll(t *testing.T) {
	const seed = 61
	random := rand.New(rand.NewPCG(seed, seed))
	pick := func(from ...string) string { return from[random.IntN(len(from))] }
	found := 0
	for round := range 300 {
		var parts []*analysis.Findings
		for n := range random.IntN(12) {
			name := fmt.Sprintf("%s/%s%s-%d.stl", pick("a", "b"), pick("greave", "boot", "", "Shin"), pick("", "-left", "Right", "_l", " r"), n*random.IntN(2))
			f := part(name, pick("", "lower_leg", "foot", "hand"), pick("", "left", "right"), 0, 0)
			f.Mesh = meshOf(1000 + random.IntN(6))
			parts = append(parts, f)
		}
		var got [][2]string
		for _, p := range Judge(parts, analysis.Brief{}).Pairs {
			got = append(got, [2]string{p.Left, p.Right})
		}
		if want := pairsByAll(parts); !slices.Equal(got, want) {
			t.Fatalf("seed %d, round %d: got %v, want %v", seed, round, got, want)
		}
		found += len(got)
	}
	if found < 300 {
		t.Errorf("only %d pairs: nothing was shown", found)
	}
}

// manyParts are parts of one region, half of them left and half right, no two
// called alike.
func manyParts(n int) (parts []*analysis.Findings) {
	for i := range n {
		f := part(fmt.Sprintf("part-%d.stl", i), "lower_leg", []string{"left", "right"}[i%2], 0, 0)
		f.Mesh = meshOf(2000 + i)
		parts = append(parts, f)
	}
	return parts
}

// BenchmarkJudge judges suits of many parts: ten times as many take about ten
// times as long.
func BenchmarkJudge(b *testing.B) {
	for _, n := range []int{300, 3000} {
		parts := manyParts(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Judge(parts, analysis.Brief{})
			}
		})
	}
}
