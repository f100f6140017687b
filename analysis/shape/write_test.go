package shape

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"gambeson/analysis/mesh"

	"github.com/hschendel/stl"
)

func TestASCIIReadsBack(t *testing.T) {
	m := sample()
	var text bytes.Buffer
	if err := WriteASCII(&text, m, "a test"); err != nil {
		t.Fatal(err)
	}
	// Second route: another reader of the format.
	solid, err := stl.ReadAll(bytes.NewReader(text.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if len(solid.Triangles) != m.Triangles() {
		t.Fatalf("%d triangles, want %d", len(solid.Triangles), m.Triangles())
	}
	for k, tri := range solid.Triangles {
		for c, p := range tri.Vertices {
			v := m.T[3*k+c]
			if p != (stl.Vec3{m.X[v], m.Y[v], m.Z[v]}) {
				t.Fatalf("corner %d of triangle %d is %v, want %v", c, k, p, m.At(v))
			}
		}
	}
}

func TestOBJReadsBack(t *testing.T) {
	m := sample()
	var text bytes.Buffer
	if err := WriteOBJ(&text, m); err != nil {
		t.Fatal(err)
	}
	back := &mesh.Mesh{}
	for lines := bufio.NewScanner(&text); lines.Scan(); {
		var x, y, z float32
		var a, b, c uint32
		if n, _ := fmt.Sscanf(lines.Text(), "v %g %g %g", &x, &y, &z); n == 3 {
			back.X, back.Y, back.Z = append(back.X, x), append(back.Y, y), append(back.Z, z)
		} else if n, _ := fmt.Sscanf(lines.Text(), "f %d %d %d", &a, &b, &c); n == 3 {
			back.AddTriangle(a-1, b-1, c-1)
		} else {
			t.Fatalf("line %q", lines.Text())
		}
	}
	same(t, back, m)
}

func TestThreeMFReadsBack(t *testing.T) {
	m := sample()
	var file, again bytes.Buffer
	for _, w := range []*bytes.Buffer{&file, &again} {
		if err := Write3MF(w, m, "inch"); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(file.Bytes(), again.Bytes()) {
		t.Error("written twice, the bytes differ")
	}
	archive, err := zip.NewReader(bytes.NewReader(file.Bytes()), int64(file.Len()))
	if err != nil {
		t.Fatal(err)
	}
	// The root part is found through its relationship, as the standard wants.
	var rels struct {
		Relationship []struct {
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	member(t, archive, "_rels/.rels", &rels)
	var model struct {
		Unit     string `xml:"unit,attr"`
		Vertices []struct {
			X float32 `xml:"x,attr"`
			Y float32 `xml:"y,attr"`
			Z float32 `xml:"z,attr"`
		} `xml:"resources>object>mesh>vertices>vertex"`
		Triangles []struct {
			A uint32 `xml:"v1,attr"`
			B uint32 `xml:"v2,attr"`
			C uint32 `xml:"v3,attr"`
		} `xml:"resources>object>mesh>triangles>triangle"`
	}
	member(t, archive, strings.TrimPrefix(rels.Relationship[0].Target, "/"), &model)
	if model.Unit != "inch" {
		t.Errorf("unit %q, want inch", model.Unit)
	}
	back := &mesh.Mesh{}
	for _, v := range model.Vertices {
		back.X, back.Y, back.Z = append(back.X, v.X), append(back.Y, v.Y), append(back.Z, v.Z)
	}
	for _, f := range model.Triangles {
		back.AddTriangle(f.A, f.B, f.C)
	}
	same(t, back, m)
	if err := Write3MF(io.Discard, m, "furlong"); err == nil {
		t.Error("a unit that 3MF does not know was taken")
	}
}

// member decodes a member of an archive.
func member(t *testing.T, archive *zip.Reader, name string, into any) {
	t.Helper()
	f, err := archive.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := xml.NewDecoder(f).Decode(into); err != nil {
		t.Fatal(err)
	}
}

func same(t *testing.T, got, want *mesh.Mesh) {
	t.Helper()
	if !slices.Equal(got.X, want.X) || !slices.Equal(got.Y, want.Y) || !slices.Equal(got.Z, want.Z) || !slices.Equal(got.T, want.T) {
		t.Error("read back, the mesh differs")
	}
}

// full is a disk without room.
type full struct{ room int }

func (f *full) Write(p []byte) (int, error) {
	f.room -= len(p)
	if f.room < 0 {
		return 0, io.ErrShortWrite
	}
	return len(p), nil
}

func TestWritersSayWhenTheDiskIsFull(t *testing.T) {
	m := sample()
	for name, write := range map[string]func(io.Writer) error{
		"ascii": func(w io.Writer) error { return WriteASCII(w, m, "x") },
		"obj":   func(w io.Writer) error { return WriteOBJ(w, m) },
		"3mf":   func(w io.Writer) error { return Write3MF(w, m, "millimeter") },
	} {
		for _, room := range []int{0, 10_000, 40_000} {
			if err := write(&full{room}); err == nil {
				t.Errorf("%s: no error with room for %d bytes", name, room)
			}
		}
	}
}
