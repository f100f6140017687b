package report

import (
	"bytes"

	"gambeson/analysis/mesh"
)

// solidHeader begins every STL file that we write: a mesh with it is ours to
// replace, any other in our folders is left alone.
const solidHeader = "gambeson"

func (dir folder) writeSolid(name string, m *mesh.Mesh) error {
	var b bytes.Buffer
	if err := mesh.WriteSTL(&b, m, solidHeader); err != nil {
		return failed(name, "cannot be written", err)
	}
	return dir.write(name, b.Bytes())
}
