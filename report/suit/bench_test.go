package suit

import (
	"fmt"
	"testing"

	"gambeson/analysis"
	together "gambeson/analysis/suit"
	"gambeson/report/disk"
	"gambeson/report/sample"

	"github.com/stretchr/testify/require"
)

// BenchmarkWrite writes SUIT.md for many parts, after Judge has told what they say
// together: ten times as many take about ten times as long.
func BenchmarkWrite(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		s := crowd(n)
		root := b.TempDir()
		b.Run(fmt.Sprintf("Judge/%d", n), func(b *testing.B) {
			for b.Loop() {
				together.Judge(foundIn(s.Rows), s.Brief)
			}
		})
		s.Judged = together.Judge(foundIn(s.Rows), s.Brief)
		b.Run(fmt.Sprintf("Write/%d", n), func(b *testing.B) {
			for b.Loop() {
				require.NoError(b, Write(root, s))
			}
		})
	}
}

// crowd is a suit of so many parts, under names and of scales of their own: what the Copper
// Heron has, and a greave that fits.
func crowd(n int) (s Suit) {
	s.Brief = analysis.DefaultBrief()
	fitting, _ := sample.Fitting()
	kinds := append(heron(), &fitting)
	for i := range n {
		f := *kinds[i%len(kinds)]
		f.Part = fmt.Sprintf("%04d/%05d-%s", i/20, i, "part.stl")
		if f.Fit != nil {
			fit := *f.Fit
			by := 1 + 0.05*float64(i%97)/97
			fit.Smallest, fit.Loosest, fit.Recommended = by*fit.Smallest, by*fit.Loosest, by*fit.Recommended
			f.Fit = &fit
		}
		if f.Mesh != nil {
			m := *f.Mesh
			m.Triangles += i / 2
			m.Area *= 1 + 0.001*float64(i/2)
			f.Mesh = &m
		}
		f.Assembly = nil
		s.Rows = append(s.Rows, Row{Place: disk.Place{Part: f.Part}, Findings: &f})
	}
	return s
}

func foundIn(rows []Row) (found []*analysis.Findings) {
	for _, r := range rows {
		found = append(found, r.Findings)
	}
	return found
}
