package shape

import (
	"archive/zip"
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// The writers of this file serve the demo suit and the tests of the readers.
// They write the same bytes for the same mesh, and coordinates with the fewest
// digits that give the float32 back.

// WriteASCII writes m as a text STL file (3D Systems, StereoLithography
// Interface Specification, 1989) under a name without line breaks.
func WriteASCII(w io.Writer, m *mesh.Mesh, name string) error {
	out := text{w: bufio.NewWriter(w)}
	out.line("solid ", name)
	for t := range m.Triangles() {
		n := normal(m, t)
		if length := r3.Norm(n); length > 0 {
			n = r3.Scale(1/length, n)
		}
		out.line("  facet normal ", triple(float32(n.X), float32(n.Y), float32(n.Z)))
		out.line("    outer loop")
		for _, v := range m.T[3*t : 3*t+3] {
			out.line("      vertex ", triple(m.X[v], m.Y[v], m.Z[v]))
		}
		out.line("    endloop")
		out.line("  endfacet")
	}
	out.line("endsolid ", name)
	return out.flush()
}

// WriteOBJ writes m as vertices and triangles of the OBJ format.
func WriteOBJ(w io.Writer, m *mesh.Mesh) error {
	out := text{w: bufio.NewWriter(w)}
	for v := range m.Vertices() {
		out.line("v ", triple(m.X[v], m.Y[v], m.Z[v]))
	}
	for k := 0; k < len(m.T); k += 3 {
		out.line("f ", strconv.Itoa(int(m.T[k])+1), " ", strconv.Itoa(int(m.T[k+1])+1), " ", strconv.Itoa(int(m.T[k+2])+1))
	}
	return out.flush()
}

// Write3MF writes m as a 3MF package with one object (3MF core specification
// 1.4.0). The unit says what the coordinates of m count: micron, millimeter,
// centimeter, inch, foot or meter; any other is an error.
func Write3MF(w io.Writer, m *mesh.Mesh, unit string) error {
	switch unit {
	case "micron", "millimeter", "centimeter", "inch", "foot", "meter":
	default:
		return fmt.Errorf("3mf knows no unit %q", unit)
	}
	archive := zip.NewWriter(w)
	for _, part := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"[Content_Types].xml", constant(contentTypes)},
		{"_rels/.rels", constant(relations)},
		{"3D/3dmodel.model", func(w io.Writer) error { return writeModel(w, m, unit) }},
	} {
		member, err := archive.Create(part.name) // without a time: the same bytes every day
		if err == nil {
			err = part.write(member)
		}
		if err != nil {
			return fmt.Errorf("write %s: %w", part.name, err)
		}
	}
	return archive.Close()
}

// The fixed parts of a 3MF package (Open Packaging Conventions).
const (
	xmlHead      = `<?xml version="1.0" encoding="UTF-8"?>` + "\n"
	contentTypes = xmlHead + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>` + "\n"
	relations = xmlHead + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>` + "\n"
)

func constant(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

// writeModel writes the model part of a 3MF package.
func writeModel(w io.Writer, m *mesh.Mesh, unit string) error {
	out := text{w: bufio.NewWriter(w)}
	out.line(strings.TrimSuffix(xmlHead, "\n"))
	out.line(`<model unit="`, unit, `" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">`)
	out.line(` <resources>`)
	out.line(`  <object id="1" type="model">`)
	out.line(`   <mesh>`)
	out.line(`    <vertices>`)
	for v := range m.Vertices() {
		out.line(`     <vertex x="`, short(m.X[v]), `" y="`, short(m.Y[v]), `" z="`, short(m.Z[v]), `"/>`)
	}
	out.line(`    </vertices>`)
	out.line(`    <triangles>`)
	for k := 0; k < len(m.T); k += 3 {
		out.line(`     <triangle v1="`, strconv.Itoa(int(m.T[k])), `" v2="`, strconv.Itoa(int(m.T[k+1])), `" v3="`, strconv.Itoa(int(m.T[k+2])), `"/>`)
	}
	out.line(`    </triangles>`)
	out.line(`   </mesh>`)
	out.line(`  </object>`)
	out.line(` </resources>`)
	out.line(` <build>`)
	out.line(`  <item objectid="1"/>`)
	out.line(` </build>`)
	out.line(`</model>`)
	return out.flush()
}

// text writes lines. The writer keeps the first error and gives it at flush.
type text struct{ w *bufio.Writer }

func (t text) line(words ...string) {
	for _, word := range words {
		t.w.WriteString(word)
	}
	t.w.WriteByte('\n')
}

// triple returns three numbers with blanks between.
func triple(x, y, z float32) string { return short(x) + " " + short(y) + " " + short(z) }

func (t text) flush() error { return t.w.Flush() }

// short returns the shortest text that reads back as x.
func short(x float32) string { return strconv.FormatFloat(float64(x), 'g', -1, 32) }
