package picture

import (
	"testing"

	"gambeson/analysis"
)

func BenchmarkGirth(b *testing.B) {
	c := limb()
	for b.Loop() {
		if _, err := PNG(Girth(c)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSection(b *testing.B) {
	o := shell()
	o.Walls[0] = analysis.Polyline{Points: loop(60, 48, 2000, 1), Closed: true}
	o.Walls[1] = analysis.Polyline{Points: loop(55, 43, 2000, -1), Closed: true}
	o.Void = loop(55, 43, 2000, 1)
	for b.Loop() {
		if _, err := PNG(Section("Section", "", o)); err != nil {
			b.Fatal(err)
		}
	}
}
