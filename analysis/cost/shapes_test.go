package cost

import (
	"math"

	"gambeson/analysis/mesh"
	"gambeson/analysis/section"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// tube returns a closed two-walled tube of n sides about z from 0 to height.
func tube(n int, outer, inner, height float64) *mesh.Mesh {
	return shape.Revolve(n, [][2]float64{{inner, 0}, {outer, 0}, {outer, height}, {inner, height}})
}

// box returns a closed box from low to high.
func box(low, high r3.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := low
		if i&1 != 0 {
			p.X = high.X
		}
		if i&2 != 0 {
			p.Y = high.Y
		}
		if i&4 != 0 {
			p.Z = high.Z
		}
		m.AddVertex(p)
	}
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.AddTriangle(q[0], q[1], q[2])
		m.AddTriangle(q[0], q[2], q[3])
	}
	return m
}

// limb returns a two-walled leg: bent, tapered, elliptical, bulging at the
// calf, with ribs, in n × rows steps; its wall is 3 mm thick.
func limb(n, rows int) *mesh.Mesh {
	const height = 320
	m := &mesh.Mesh{}
	at := func(i, k int, in float64) uint32 {
		h := float64(k) / float64(rows)
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		bulge := 42 + 22*math.Exp(-18*(h-0.68)*(h-0.68)) + 8*h + 1.2*math.Sin(40*h)*math.Max(0, cos)
		return m.AddVertex(r3.Vec{
			X: (1.1*bulge-in)*cos + 14*math.Sin(2.4*h), Y: (0.95*bulge - in) * sin, Z: height * h,
		})
	}
	var outer, inner [][]uint32
	for k := range rows + 1 {
		var o, in []uint32
		for i := range n {
			o, in = append(o, at(i, k, 0)), append(in, at(i, k, 3))
		}
		outer, inner = append(outer, o), append(inner, in)
	}
	ring := append([][]uint32{}, outer...)
	for k := rows; k >= 0; k-- {
		ring = append(ring, inner[k])
	}
	for k := range ring {
		low, high := ring[k], ring[(k+1)%len(ring)]
		for i := range n {
			j := (i + 1) % n
			shape.AddFace(m, low[i], low[j], high[j])
			shape.AddFace(m, low[i], high[j], high[i])
		}
	}
	return m
}

// plain are settings without a limit of flow that tells.
func plain() Settings {
	return Settings{
		Nozzle: 0.4, Layer: 0.2, Walls: 3, Infill: 0.15,
		Speed: 60, Flow: 12, Acceleration: 1500, Diameter: 1.75, Density: 1.24,
	}
}

// stairs returns a closed solid of so many steps up along x, of uneven height,
// 20 mm deep.
func stairs(steps int) *mesh.Mesh {
	profile := [][2]float64{{0, 0}, {float64(12 * steps), 0}}
	for k := steps; k > 0; k-- {
		h := 3*float64(steps-k+1) + 1.3*float64((steps-k)%3)
		profile = append(profile, [2]float64{float64(12 * k), h}, [2]float64{float64(12 * (k - 1)), h})
	}
	return prism(profile, 20)
}

// prism returns the solid of a profile of (x, z), anticlockwise with x to the
// right, from y = 0 to deep.
func prism(profile [][2]float64, deep float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	flat := make([]r2.Vec, len(profile))
	for i, p := range profile {
		flat[i] = r2.Vec{X: p[0], Y: p[1]}
	}
	n := uint32(len(profile))
	loop := make([]uint32, n)
	for i := range loop {
		loop[i] = uint32(i)
	}
	for _, y := range []float64{0, deep} {
		for _, p := range profile {
			m.AddVertex(r3.Vec{X: p[0], Y: y, Z: p[1]})
		}
	}
	cap := section.Triangulate(flat, [][]uint32{loop})
	for i := 0; i < len(cap); i += 3 {
		m.AddTriangle(cap[i], cap[i+1], cap[i+2])
		m.AddTriangle(n+cap[i], n+cap[i+2], n+cap[i+1])
	}
	for i := range n {
		j := (i + 1) % n
		m.AddTriangle(i, n+i, n+j)
		m.AddTriangle(i, n+j, j)
	}
	return m
}
