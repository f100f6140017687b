package main

import (
	"fmt"
	"maps"
	"testing"

	"gambeson/analysis/assembly"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// What is found by looking only at pieces whose faces may meet is what comparing
// all with all finds, also after pieces came and went. Of rivals and of those that clash it is those of
// which one is a piece of a shell.
func TestContactsAreThoseOfAllPairs(t *testing.T) {
	top, low := halvesOf(r3.Vec{Z: 1})
	left, right := halvesOf(r3.Vec{X: 1})
	aside := r3.Vec{X: 300}
	parts := map[string]*mesh.Mesh{
		"top.stl": top, "low.stl": low, "low (1).stl": low, "top (other).stl": shape.Shuffle(top, 1),
		"left.stl": shape.Offset(left, aside), "right.stl": shape.Offset(right, aside),
		"thigh-left.stl": shape.Offset(left, aside), "forearm-right.stl": shape.Offset(right, aside),
	}
	maps.Copy(parts, nested())
	for n := range 6 {
		parts[fmt.Sprintf("bar-%d.stl", n)] = shape.Bar{X: 40 + 9*float64(n%3), Y: 20, Z: 10}.Mesh()
	}
	f := kit(t, "", parts)
	check := func() {
		t.Helper()
		var free []piece
		for _, r := range f.pieces.of {
			free = append(free, r.pieces...)
		}
		var pieces, rivals []assembly.Contact
		touches := map[int]bool{}
		for i, a := range free {
			for j, b := range free[i+1:] {
				c := f.meet(keyed{a, f.key(a)}, keyed{b, f.key(b)})
				if c == (assembly.Contact{}) || f.wornAs(a).unlike(*f.wornAs(b)) {
					continue
				}
				c.A, c.B = i, i+1+j
				if c.Opposed() {
					rivals = append(rivals, c)
				} else {
					pieces = append(pieces, c)
					touches[c.A], touches[c.B] = true, true
				}
			}
		}
		require.NotEmpty(t, pieces)
		want := map[[2]int]bool{}
		for _, c := range pieces {
			want[[2]int{c.A, c.B}] = false
		}
		for _, c := range rivals {
			if touches[c.A] || touches[c.B] {
				want[[2]int{c.A, c.B}] = true
			}
		}
		got := map[[2]int]bool{}
		for _, c := range f.contactsOf(free) {
			got[[2]int{c.A, c.B}] = c.Opposed()
		}
		require.Equal(t, want, got)
	}
	check()
	clashes := 0
	for _, c := range f.pieces.contacts.met {
		if c.Clash {
			clashes++
		}
	}
	require.NotZero(t, clashes)
	gone := f.pieces.of["low (1).stl"]
	f.setPieces("low (1).stl", recognised{})
	check()
	f.pieces.rest()
	f.setPieces("low (1).stl", gone)
	check()
}
