package main

import (
	"slices"

	"gambeson/analysis/mesh"
)

// meshes are those that were needed last, the very last one at the end: a piece
// meets several others, which then are read once.
type meshes struct {
	last []keyedMesh
	size int // in triangles
}

type keyedMesh struct {
	key  digestOf
	mesh *mesh.Mesh
}

// mostMeshes is how many triangles all meshes that are held may have, beside one
// that is larger: 18 bytes each, 36 MB.
const mostMeshes = 2_000_000

// of returns the mesh of a piece, nil where that is not held.
func (m *meshes) of(key digestOf) *mesh.Mesh {
	i := slices.IndexFunc(m.last, func(k keyedMesh) bool { return k.key == key })
	if i < 0 {
		return nil
	}
	k := m.last[i]
	m.last = append(slices.Delete(m.last, i, i+1), k)
	return k.mesh
}

// add holds a mesh, and lets go of those not needed for longest that are too many.
func (m *meshes) add(key digestOf, own *mesh.Mesh) {
	m.last = append(m.last, keyedMesh{key, own})
	m.size += own.Triangles()
	for m.size > mostMeshes && len(m.last) > 1 {
		m.size -= m.last[0].mesh.Triangles()
		m.last = slices.Delete(m.last, 0, 1)
	}
}
