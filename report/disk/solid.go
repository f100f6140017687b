package disk

import (
	"bytes"

	"gambeson/analysis/mesh"
)

// SolidHeader begins every STL file that we write: a mesh with it is ours to
// replace, any other in our folders is left alone.
const SolidHeader = "gambeson"

// WriteSolid makes name a binary STL file of a mesh, as Write does.
func (d Folder) WriteSolid(name string, m *mesh.Mesh) error {
	var b bytes.Buffer
	if err := mesh.WriteSTL(&b, m, SolidHeader); err != nil {
		return Failed(name, "cannot be written", err)
	}
	return d.Write(name, b.Bytes())
}
