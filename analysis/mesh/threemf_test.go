package mesh

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

const (
	relsHead = `<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`
	relsTail = `</Relationships>`
)

func startRel(target string) string {
	return `<Relationship Target="` + target + `" Id="rel0" Type="` + startPart + `"/>`
}

// pack3MF builds a 3MF package round the XML of its model part and, behind
// it, further parts.
func pack3MF(t testing.TB, model string, more ...packed) []byte {
	t.Helper()
	return pack(t, append([]packed{
		{name: "[Content_Types].xml", body: `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>`},
		{name: "_rels/.rels", body: relsHead + startRel("/3D/shell.model") + relsTail},
		{name: "3D/shell.model", body: model, stored: len(model) > 1<<20},
	}, more...)...)
}

// wrap makes a model part of resources and a build.
func wrap(attributes, resources, build string) string {
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + `<model xmlns="` + nsCore + `" ` + attributes + `>` + "\n<resources>\n" + resources +
		"\n</resources>\n<build>" + build + "</build>\n</model>"
}

// tetraObject is an object with the corners (0,0,0) (1,0,0) (0,2,0) (0,0,3), facing
// outward: volume 1.
func tetraObject(id int, attributes string) string {
	return fmt.Sprintf(`<object id="%d" %s><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="2" z="0"/><vertex x="0" y="0" z="3"/></vertices>`+
		`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/><triangle v1="2" v2="0" v3="3"/></triangles></mesh></object>`, id, attributes)
}

// item puts an object on the bed.
func item(id int, transform string) string {
	if transform != "" {
		transform = ` transform="` + transform + `"`
	}
	return fmt.Sprintf(`<item objectid="%d"%s/>`, id, transform)
}

// cubeModel is a cube from 0 to edge in a unit; "" leaves the unit out.
func cubeModel(unit string, edge float64) string {
	if unit != "" {
		unit = `unit="` + unit + `"`
	}
	return wrap(unit, objectOf(1, cube(edge, r3.Vec{})), item(1, ""))
}

// objectOf writes a mesh as a 3MF object. %v keeps every bit of a float32.
func objectOf(id int, m *Mesh) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<object id="%d" type="model"><mesh><vertices>`+"\n", id)
	for v := range m.Vertices() {
		fmt.Fprintf(&b, `<vertex x="%v" y="%v" z="%v"/>`+"\n", m.X[v], m.Y[v], m.Z[v])
	}
	b.WriteString("</vertices><triangles>\n")
	for t := range m.Triangles() {
		fmt.Fprintf(&b, `<triangle v1="%d" v2="%d" v3="%d"/>`+"\n", m.T[3*t], m.T[3*t+1], m.T[3*t+2])
	}
	b.WriteString("</triangles></mesh></object>")
	return b.String()
}

func read3MF(t testing.TB, b []byte) (*Loaded, error) {
	t.Helper()
	return load3MF(t.Context(), textSource("shell.3mf", string(b)), DefaultLimits())
}

// hasCorner reports whether the mesh has a vertex within 1e-4 mm of p.
func hasCorner(m *Mesh, p r3.Vec) bool {
	for v := range m.Vertices() {
		if r3.Norm(r3.Sub(m.At(uint32(v)), p)) < 1e-4 {
			return true
		}
	}
	return false
}

func codes(l *Loaded) []string {
	var out []string
	for _, r := range l.Remarks {
		out = append(out, r.Code)
	}
	return out
}

// The same cube of 30 mm in every unit of the standard (3MF Core
// Specification 1.4.0, attribute unit; conformance sample 3.2b).
func TestThreeMFUnits(t *testing.T) {
	tests := []struct {
		attribute, name string
		edge, factor    float64
	}{
		{"micron", "micron", 30000, 0.001},
		{"millimeter", "millimetre", 30, 1},
		{"", "millimetre", 30, 1}, // the default
		{"centimeter", "centimetre", 3, 10},
		{"inch", "inch", 30 / 25.4, 25.4},
		{"foot", "foot", 30 / 304.8, 304.8},
		{"meter", "metre", 0.03, 1000},
	}
	for _, test := range tests {
		loaded, err := read3MF(t, pack3MF(t, cubeModel(test.attribute, test.edge)))
		require.NoError(t, err, test.name)
		require.Equal(t, Unit{test.name, test.factor, true}, loaded.Unit)
		require.Equal(t, Format3MF, loaded.Format)
		if got := loaded.Mesh.Volume(); math.Abs(got/27000-1) > 1e-6 {
			t.Errorf("%s: volume %.9g mm³, want 27000", test.name, got)
		}
		if got := loaded.Mesh.Area(); math.Abs(got/5400-1) > 1e-6 {
			t.Errorf("%s: area %.9g mm², want 5400", test.name, got)
		}
	}
	_, err := read3MF(t, pack3MF(t, cubeModel("furlong", 1)))
	if r := refusal(t, err); !strings.Contains(r.Cause, "furlong") {
		t.Errorf("got %v", r)
	}
}

// Rows times matrix, translation in the last row and in the file's unit (3MF
// Core Specification 1.4.0, section 3.3). The matrix is that of conformance
// samples 3.2c and 4.2; the places are worked out by hand: x' = 1.25 z + 30,
// y' = x + 40, z' = 1.666667 y.
func TestThreeMFTransform(t *testing.T) {
	matrix := "0 1 0 0 0 1.666667 1.25 0 0 30 40 0"
	want := []r3.Vec{{X: 30, Y: 40}, {X: 30, Y: 41}, {X: 30, Y: 40, Z: 3.333334}, {X: 33.75, Y: 40}}
	component := wrap("", tetraObject(1, "")+`<object id="2"><components><component objectid="1" transform="`+matrix+`"/></components></object>`, item(2, ""))
	for name, model := range map[string]string{"item": wrap("", tetraObject(1, ""), item(1, matrix)), "component": component} {
		loaded, err := read3MF(t, pack3MF(t, model))
		require.NoError(t, err)
		for _, p := range want {
			if !hasCorner(loaded.Mesh, p) {
				t.Errorf("%s: no vertex at %v", name, p)
			}
		}
		if got, want := loaded.Mesh.Volume(), 1.25*1.666667; math.Abs(got-want) > 1e-5 {
			t.Errorf("%s: volume %g, want the determinant %g", name, got, want)
		}
	}
	inches, err := read3MF(t, pack3MF(t, wrap(`unit="inch"`, tetraObject(1, ""), item(1, matrix))))
	require.NoError(t, err)
	if p := (r3.Vec{X: 33.75 * 25.4, Y: 40 * 25.4}); !hasCorner(inches.Mesh, p) {
		t.Errorf("in inches: no vertex at %v", p)
	}
}

// Three transforms deep (section 4.2), worked out by hand for the corner
// (1,0,0): moved by (1,0,0) to (2,0,0); turned by 90° about z to (0,2,0);
// scaled by (1,3,1) and moved by (0,0,5) to (0,6,5).
func TestThreeMFNestedComponents(t *testing.T) {
	model := wrap("", tetraObject(1, "")+
		`<object id="2"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 1 0 0"/></components></object>`+
		`<object id="3"><components><component objectid="2" transform="0 1 0 -1 0 0 0 0 1 0 0 0"/><component objectid="1"/></components></object>`,
		item(3, "1 0 0 0 3 0 0 0 1 0 0 5"))
	loaded, err := read3MF(t, pack3MF(t, model))
	require.NoError(t, err)
	for _, p := range []r3.Vec{
		{X: 0, Y: 6, Z: 5}, {X: 0, Y: 3, Z: 5}, {X: -2, Y: 3, Z: 5}, {X: 0, Y: 3, Z: 8}, // by way of 2
		{X: 0, Y: 0, Z: 5}, {X: 1, Y: 0, Z: 5}, {X: 0, Y: 6, Z: 5}, {X: 0, Y: 0, Z: 8}, // 1 itself
	} {
		if !hasCorner(loaded.Mesh, p) {
			t.Errorf("no vertex at %v", p)
		}
	}
	if got := loaded.Mesh.Volume(); math.Abs(got-6) > 1e-5 {
		t.Errorf("volume %g, want two tetrahedra of 3", got)
	}
	require.Equal(t, []string{"several-objects"}, codes(loaded))
}

// A transform that mirrors must not change the sign of the volume (3MF Core
// Specification 1.4.0, section 3.3); two that do cancel out.
func TestThreeMFMirrored(t *testing.T) {
	mirror := "-1 0 0 0 1 0 0 0 1 7 0 0"
	twice := wrap("", tetraObject(1, "")+`<object id="2"><components><component objectid="1" transform="`+mirror+`"/></components></object>`, item(2, mirror))
	for name, model := range map[string]string{"once": wrap("", tetraObject(1, ""), item(1, mirror)), "twice": twice} {
		loaded, err := read3MF(t, pack3MF(t, model))
		require.NoError(t, err)
		if got := loaded.Mesh.Volume(); math.Abs(got-1) > 1e-6 {
			t.Errorf("%s: volume %g, want 1", name, got)
		}
	}
}

// What the standard says of packages, and what happens to them by hand.
func TestThreeMFPackages(t *testing.T) {
	model := cubeModel("", 10)
	rels := packed{name: "_rels/.rels", body: relsHead + startRel("/3D/shell.model") + relsTail}
	main := packed{name: "3D/shell.model", body: model}
	other := func(rel string) packed { return packed{name: "_rels/.rels", body: relsHead + rel + relsTail} }
	tests := []struct {
		name    string
		entries []packed
		cause   string   // "": is read, as a cube of 10 mm
		remarks []string // then
	}{
		{name: "start part of any name (2.1)", entries: []packed{rels, main}},
		{name: "relative target", entries: []packed{other(startRel("3D/shell.model")), main}},
		{name: "name in other case (ECMA-376-2)", entries: []packed{other(startRel("/3d/SHELL.model")), main}},
		{name: "name with an escape", entries: []packed{other(startRel("/3D/left%20shell.model")), {name: "3D/left shell.model", body: model}}},
		{name: "backslashes in the zip", entries: []packed{rels, {name: `3D\shell.model`, body: model}}},
		{name: "byte order mark", entries: []packed{{name: "_rels/.rels", body: "\ufeff" + rels.body}, {name: "3D/shell.model", body: "\ufeff" + model}}},
		{name: "stored", entries: []packed{{name: rels.name, body: rels.body, stored: true}, {name: main.name, body: model, stored: true}}},
		{name: "other relationships", entries: []packed{other(`<Relationship Target="/a.png" Id="r" Type="x"/>` + startRel("/3D/shell.model")), main}},
		{name: "no relationships, one model", entries: []packed{main}, remarks: []string{"no-relationships"}},
		{name: "no relationships, two models", entries: []packed{main, {name: "3D/b.model", body: model}}, cause: "not a 3MF package"},
		{name: "no start (sample 2.1.1a)", entries: []packed{other(""), main}, cause: "names no model to start from"},
		{name: "two starts", entries: []packed{other(startRel("/3D/shell.model") + startRel("/3D/b.model")), main}, cause: "names 2 models"},
		{name: "start outside", entries: []packed{other(`<Relationship TargetMode="External" Target="http://a.example/b.model" Id="r" Type="` + startPart + `"/>`), main}, cause: "outside the package"},
		{name: "start upwards", entries: []packed{other(startRel("../../shell.model")), main}, cause: "lacks this part"},
		{name: "start missing", entries: []packed{rels}, cause: "lacks this part"},
		{name: "start twice", entries: []packed{rels, main, main}, cause: "has this part twice"},
		{name: "start twice in other case", entries: []packed{rels, main, {name: "3D/SHELL.model", body: model}}, cause: "has this part twice"},
		{name: "locked", entries: []packed{rels, {name: main.name, body: model, flags: 1}}, cause: "password"},
		{name: "other method", entries: []packed{rels, {name: main.name, body: model, method: 93}}, cause: "method (number 93)"},
		{name: "claims too little", entries: []packed{rels, {name: main.name, body: model, claim: 10}}, cause: "more bytes than"},
		{name: "relationships not XML", entries: []packed{{name: rels.name, body: "hello"}, main}, cause: "not XML"},
		{name: "relationships empty", entries: []packed{{name: rels.name}, main}, cause: "is empty"},
		{name: "model empty", entries: []packed{rels, {name: main.name}}, cause: "is empty"},
		{name: "a kit named 3mf", entries: []packed{{name: "a.stl", body: "x"}}, cause: "not a 3MF package"},
	}
	for _, test := range tests {
		loaded, err := read3MF(t, pack(t, test.entries...))
		if test.cause != "" {
			if r := refusal(t, err); !strings.Contains(r.Cause, test.cause) {
				t.Errorf("%s: got %v, want cause %q", test.name, r, test.cause)
			}
			continue
		}
		require.NoError(t, err, test.name)
		require.Equal(t, test.remarks, codes(loaded), test.name)
		if got := loaded.Mesh.Volume(); got != 1000 {
			t.Errorf("%s: volume %g, want 1000", test.name, got)
		}
	}
}

func TestThreeMFDamagedOnTheWay(t *testing.T) {
	rels := packed{name: "_rels/.rels", body: relsHead + startRel("/3D/shell.model") + relsTail}
	body := cubeModel("", 10)
	whole := pack(t, rels, packed{name: "3D/shell.model", body: body, stored: true})
	flipped := slices.Clone(whole)
	flipped[bytes.Index(flipped, []byte(`<vertex x="10"`))+11] = '2'
	_, err := read3MF(t, flipped)
	if r := refusal(t, err); !strings.Contains(r.Cause, "check sum") || !strings.Contains(r.Place, "3D/shell.model") {
		t.Errorf("flipped: got %v", r)
	}
	_, err = read3MF(t, whole[:len(whole)-40])
	if r := refusal(t, err); !r.Unfinished || !strings.Contains(r.Cause, "cut short") {
		t.Errorf("cut: got %v", r)
	}
}

// Consumers must support ZIP64 (3MF Core Specification 1.4.0, section 2). The
// archive is written by hand: sizes and offset stand in the extra field, the
// counts in the ZIP64 record (APPNOTE 6.3.10, sections 4.3.14, 4.3.15, 4.5.3).
func TestThreeMFInZip64(t *testing.T) {
	le := binary.LittleEndian
	var b, directory []byte
	parts := []packed{
		{name: "_rels/.rels", body: relsHead + startRel("/3D/shell.model") + relsTail},
		{name: "3D/shell.model", body: cubeModel("", 10)},
	}
	for _, p := range parts {
		offset := uint64(len(b))
		crc, size := crc32.ChecksumIEEE([]byte(p.body)), uint64(len(p.body))
		header := func(signature string, versions []byte, extra []byte) []byte {
			h := append([]byte(signature), versions...)
			h = append(h, make([]byte, 8)...) // flags, method, time, date
			h = le.AppendUint32(h, crc)
			h = append(h, "\xff\xff\xff\xff\xff\xff\xff\xff"...)
			h = le.AppendUint16(h, uint16(len(p.name)))
			return le.AppendUint16(h, uint16(len(extra)))
		}
		extra := le.AppendUint64(le.AppendUint64([]byte{1, 0, 16, 0}, size), size)
		b = append(append(append(append(b, header("PK\x03\x04", []byte{45, 0}, extra)...), p.name...), extra...), p.body...)
		extra = le.AppendUint64(le.AppendUint64(le.AppendUint64([]byte{1, 0, 24, 0}, size), size), offset)
		directory = append(directory, header("PK\x01\x02", []byte{45, 0, 45, 0}, extra)...)
		directory = append(directory, "\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\xff\xff\xff\xff"...)
		directory = append(append(directory, p.name...), extra...)
	}
	from := uint64(len(b))
	b = append(b, directory...)
	record := uint64(len(b))
	b = le.AppendUint64(append(b, "PK\x06\x06"...), 44)
	b = append(b, 45, 0, 45, 0, 0, 0, 0, 0, 0, 0, 0, 0)
	for _, n := range []uint64{2, 2, uint64(len(directory)), from} {
		b = le.AppendUint64(b, n)
	}
	b = le.AppendUint64(append(b, "PK\x06\x07\x00\x00\x00\x00"...), record)
	b = append(b, "\x01\x00\x00\x00PK\x05\x06\x00\x00\x00\x00\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\x00\x00"...)
	loaded, err := read3MF(t, b)
	require.NoError(t, err)
	if got := loaded.Mesh.Volume(); got != 1000 {
		t.Errorf("volume %g, want 1000", got)
	}
}

// Models that are read, with what is remarked. Each builds the tetrahedron of
// volume 1 the given number of times.
func TestThreeMFModels(t *testing.T) {
	other := `xmlns:x="http://a.example/x"`
	tests := []struct {
		name    string
		model   string
		volume  float64
		remarks []string
	}{
		{"only what the build refers to (3.4.3, sample 3.4.3a)", wrap("", tetraObject(1, "")+tetraObject(2, ""), item(2, "")), 1, nil},
		{"one object twice (sample 3.2c)", wrap("", tetraObject(1, ""), item(1, "")+item(1, "1 0 0 0 1 0 0 0 1 30 40 0")), 2, []string{"several-objects"}},
		{"supports are left out (sample 4.1)", wrap("", tetraObject(1, `type="model"`)+tetraObject(2, `type="support"`)+tetraObject(3, `type="solidsupport"`), item(1, "")+item(2, "")+item(3, "")), 1, []string{"supports-left-out"}},
		{"a surface is a shape", wrap("", tetraObject(1, `type="surface"`), item(1, "")), 1, nil},
		{"marked volumes in a composition", wrap("", tetraObject(1, "")+tetraObject(2, `type="other"`)+`<object id="3"><components><component objectid="1"/><component objectid="2"/></components></object>`, item(3, "")), 1, []string{"volumes-left-out"}},
		{"unknown namespaces are ignored (sample 2.3a)", wrap(other, `<x:thing><x:object id="9"/></x:thing>`+tetraObject(1, `x:new="ignore me"`), item(1, "")), 1, nil},
		{"unknown attributes of vertices", strings.ReplaceAll(wrap(other, tetraObject(1, ""), item(1, "")), "<vertex ", `<vertex x:x="nan" x:y="7" `), 1, nil},
		{"shape in an unknown namespace", wrap(other, strings.ReplaceAll(tetraObject(1, ""), "</triangles>", "</triangles><x:lattice/>"), item(1, "")), 1, []string{"extension-left-out"}},
		{"a stack of layers beside", wrap(`xmlns:s="`+nsSlice+`"`, tetraObject(1, `s:slicestackid="4"`), item(1, "")), 1, []string{"extension-left-out"}},
		{"metadata, also twice", strings.Replace(wrap("", tetraObject(1, ""), item(1, "")), "<resources>", `<metadata name="Title">a</metadata><metadata name="Title">b</metadata><resources>`, 1), 1, nil},
		{"colours required (sample 5.1)", wrap(`xmlns:m="`+nsMaterial+`" requiredextensions="m"`, `<m:colorgroup id="1"><m:color color="#ff0000"/></m:colorgroup>`+tetraObject(1, `pid="1" pindex="0"`), item(1, "")), 1, nil},
		{"namespace with a prefix", prefixed(wrap("", tetraObject(1, ""), item(1, ""))), 1, nil},
		{"no namespace", strings.Replace(wrap("", tetraObject(1, ""), item(1, "")), `xmlns="`+nsCore+`"`, "", 1), 1, nil},
		{"blanks in numbers, exponents, signs", strings.ReplaceAll(wrap("", tetraObject(1, ""), item(1, "")), `x="1"`, `x=" +10.0e-1 "`), 1, nil},
		{"a point without digits", strings.ReplaceAll(wrap("", tetraObject(1, ""), item(1, "")), `x="1"`, `x="1."`), 1, nil},
		{"comments, CDATA, character references", strings.ReplaceAll(wrap("", tetraObject(1, ""), item(1, "")), `x="1"`, `x="&#49;"`) + "<!-- end -->\n", 1, nil},
		{"an object without triangles beside", wrap("", tetraObject(1, "")+`<object id="2"><mesh><vertices/><triangles/></mesh></object>`, item(1, "")+item(2, "")), 1, nil},
	}
	for _, test := range tests {
		loaded, err := read3MF(t, pack3MF(t, test.model))
		require.NoError(t, err, test.name)
		require.Equal(t, test.remarks, codes(loaded), test.name)
		if got := loaded.Mesh.Volume(); math.Abs(got-test.volume) > 1e-6 {
			t.Errorf("%s: volume %g, want %g", test.name, got, test.volume)
		}
	}
}

// prefixed gives the elements of a model the prefix c instead of none.
func prefixed(model string) string {
	head, rest, _ := strings.Cut(model, "<model")
	rest = strings.NewReplacer("</", "</c:", "<", "<c:").Replace("<model" + rest)
	return head + strings.Replace(rest, "xmlns=", "xmlns:c=", 1)
}

// Models that must be refused, with what the refusal names.
func TestThreeMFRefusals(t *testing.T) {
	good := wrap("", tetraObject(1, ""), item(1, ""))
	swap := func(old, new string) string {
		require.Contains(t, good, old)
		return strings.Replace(good, old, new, 1)
	}
	part := func(id, of int) string {
		return fmt.Sprintf(`<object id="%d"><components><component objectid="%d"/></components></object>`, id, of)
	}
	tests := []struct {
		name  string
		model string
		want  []string // in place or cause
	}{
		{"no build (sample 3.4b)", swap("<build>"+item(1, "")+"</build>", ""), []string{"no build element"}},
		{"empty build", swap(item(1, ""), ""), []string{"build element is empty"}},
		{"two builds", swap("</model>", "<build/></model>"), []string{"two build elements"}},
		{"two roots (sample 3.4a)", good + good[strings.Index(good, "<model"):], []string{"second root element"}},
		{"no such object (sample 3.4.3.1a)", swap(item(1, ""), item(2, "")), []string{"refers to object 2", "3D/shell.model, line 6"}},
		{"unknown type (sample 4a)", wrap("", tetraObject(1, `type="armour"`), item(1, "")), []string{`unknown type "armour"`, "object 1"}},
		{"type other built (4)", wrap("", tetraObject(1, `type="other"`), item(1, "")), []string{"object 1 is of type other"}},
		{"supports only", wrap("", tetraObject(1, `type="support"`), item(1, "")), []string{"no triangles of its own"}},
		{"no triangles", wrap("", `<object id="1"><mesh><vertices/><triangles/></mesh></object>`, item(1, "")), []string{"no triangles"}},
		{"object twice", wrap("", tetraObject(1, "")+tetraObject(1, ""), item(1, "")), []string{"object 1 is there twice"}},
		{"object without id", swap(`<object id="1"`, `<object`), []string{"object lacks id"}},
		{"object of id 0", swap(`<object id="1"`, `<object id="0"`), []string{`"0"`, "whole number"}},
		{"item without object", swap(`objectid="1"`, ""), []string{"item lacks objectid"}},
		{"mesh twice", swap("</mesh>", "</mesh><mesh/>"), []string{"object 1"}},
		{"mesh and components", swap("</mesh>", "</mesh><components/>"), []string{"both a mesh and a components"}},
		{"vertices twice", swap("</vertices>", "</vertices><vertices/>"), []string{"vertices twice"}},
		{"no z", swap(` z="3"`, ""), []string{"object 1, vertex 3 lacks"}},
		{"x twice", swap(` z="3"`, ` z="3" x="3"`), []string{"vertex 3 has x twice"}},
		{"NaN", swap(` z="3"`, ` z="NaN"`), []string{`vertex 3: z is "NaN"`, "line 4"}},
		{"infinity", swap(` z="3"`, ` z="INF"`), []string{`"INF"`}},
		{"hexadecimal", swap(` z="3"`, ` z="0x1p3"`), []string{`"0x1p3"`}},
		{"underscore", swap(` z="3"`, ` z="1_0"`), []string{`"1_0"`}},
		{"comma", swap(` z="3"`, ` z="3,5"`), []string{`"3,5"`}},
		{"empty number", swap(` z="3"`, ` z=""`), []string{`z is ""`}},
		{"too large", swap(` z="3"`, ` z="1e39"`), []string{`"1e39"`}},
		{"far too large", swap(` z="3"`, ` z="1e999"`), []string{`"1e999"`}},
		{"moved out of range", swap(item(1, ""), item(1, "3e38 0 0 0 3e38 0 0 0 3e38 3e38 3e38 3e38")), []string{"object 1, vertex 1", "moved so far out"}},
		{"index out of range (4.1)", swap(`v3="1"`, `v3="4"`), []string{"object 1, triangle 0", "corner 4", "line 4"}},
		{"index negative", swap(`v3="1"`, `v3="-1"`), []string{"triangle 0: v3", `"-1"`}},
		{"index no whole number", swap(`v3="1"`, `v3="1.0"`), []string{"triangle 0: v3", `"1.0"`}},
		{"index huge", swap(`v3="1"`, `v3="4294967296"`), []string{"triangle 0: v3"}},
		{"index missing", swap(`v3="1"`, ``), []string{"triangle 0 lacks"}},
		{"corner twice (4.1)", swap(`v3="1"`, `v3="0"`), []string{"triangle 0 has one corner twice"}},
		{"transform of 11", swap(item(1, ""), item(1, "1 0 0 0 1 0 0 0 1 0 0")), []string{"11 numbers"}},
		{"transform of 13", swap(item(1, ""), item(1, "1 0 0 0 1 0 0 0 1 0 0 0 1")), []string{"13 numbers"}},
		{"transform with NaN", swap(item(1, ""), item(1, "1 0 0 0 1 0 0 0 nan 0 0 0")), []string{`"nan"`}},
		{"transform that flattens", swap(item(1, ""), item(1, "1 0 0 0 1 0 0 0 0 0 0 0")), []string{"presses it flat"}},
		{"contains itself", wrap("", part(1, 1), item(1, "")), []string{"object 1 contains itself"}},
		{"contains itself by way of others", wrap("", part(1, 2)+part(2, 3)+part(3, 1), item(1, "")), []string{"object 1 contains itself"}},
		{"extension required (2.3)", wrap(`xmlns:b="http://a.example/lattice" requiredextensions="b"`, tetraObject(1, ""), item(1, "")), []string{"http://a.example/lattice"}},
		{"one of two extensions", wrap(`xmlns:m="`+nsMaterial+`" xmlns:s="`+nsSlice+`" requiredextensions="m s"`, tetraObject(1, ""), item(1, "")), []string{nsSlice}},
		{"extension without a name", wrap(`requiredextensions="q"`, tetraObject(1, ""), item(1, "")), []string{`"q"`}},
		{"other root", strings.ReplaceAll(good, "model", "shell"), []string{`"shell"`}},
		{"other namespace", strings.Replace(good, nsCore, "http://a.example/x", 1), []string{"http://a.example/x"}},
		{"document type (2.3)", strings.Replace(good, "<model", `<!DOCTYPE model [<!ENTITY a "aaaa">]><model`, 1), []string{"DOCTYPE", "line 2"}},
		{"unknown entity", swap(` z="3"`, ` z="&three;"`), []string{"not well-formed", "three"}},
		{"other encoding (sample 2.3.2a)", strings.Replace(good, "UTF-8", "ISO-8859-1", 1), []string{`"ISO-8859-1"`, "UTF-8"}},
		{"UTF-16", "\xff\xfe" + strings.Join(strings.Split(good, ""), "\x00") + "\x00", []string{"UTF-16"}},
		{"UTF-16 without a mark", "\x00" + strings.Join(strings.Split(good, ""), "\x00"), []string{"UTF-16"}},
		{"XML 1.1", strings.Replace(good, `version="1.0"`, `version="1.1"`, 1), []string{"1.1"}},
		{"cut in the middle", good[:len(good)/2], []string{"not well-formed"}},
		{"wrong end", swap("</vertices>", "</vertexes>"), []string{"not well-formed", "line 4"}},
		{"text before", "hello " + good, []string{"not XML"}},
		{"invalid UTF-8", swap("<resources>", "<resources>\xff"), []string{"not well-formed", "UTF-8"}},
		{"nested too deep", swap("<resources>", "<resources>"+strings.Repeat("<a>", 100)), []string{"64 deep"}},
		{"too deep in another namespace", swap("<resources>", `<resources>`+strings.Repeat(`<a xmlns="x">`, 100)), []string{"64 deep"}},
		{"endless blanks", swap("<resources>", "<resources>"+strings.Repeat(" ", 2<<20)), []string{"longer than 1 MiB"}},
		{"endless comment", swap("<resources>", "<resources><!--"+strings.Repeat("<a>", 1<<19)+"-->"), []string{"longer than 1 MiB"}},
		{"endless attribute", swap(` z="3"`, ` z="`+strings.Repeat("3", 2<<20)+`"`), []string{"longer than 1 MiB"}},
	}
	for _, test := range tests {
		_, err := read3MF(t, pack3MF(t, test.model))
		r := refusal(t, err)
		for _, want := range test.want {
			if !strings.Contains(r.Place+": "+r.Cause, want) {
				t.Errorf("%s: got %q: %q, want %q in it", test.name, r.Place, r.Cause, want)
			}
		}
		if r.Remedy == "" || r.Unfinished {
			t.Errorf("%s: remedy %q, unfinished %v", test.name, r.Remedy, r.Unfinished)
		}
	}
}

// Objects in other model parts (3MF Production Extension, attribute path).
// Lengths are in the unit of the part in which they stand.
func TestThreeMFProductionPaths(t *testing.T) {
	production := `xmlns:p="` + nsProduction + `" requiredextensions="p"`
	root := wrap(production, `<object id="1"><components><component objectid="1" p:path="/3D/Objects/left.model"/></components></object>`,
		`<item objectid="1"/><item p:path="/3D/objects/Right.model" objectid="7" transform="1 0 0 0 1 0 0 0 1 100 0 0"/>`)
	left := packed{name: "3D/Objects/left.model", body: wrap("", tetraObject(1, ""), "")}
	right := packed{name: "3D/Objects/right.model", body: wrap(`unit="centimeter"`, tetraObject(7, ""), "")}
	loaded, err := read3MF(t, pack3MF(t, root, left, right))
	require.NoError(t, err)
	if got := loaded.Mesh.Volume(); math.Abs(got-1001) > 1e-3 {
		t.Errorf("volume %g, want 1 + 1000", got)
	}
	if p := (r3.Vec{X: 100, Y: 20}); !hasCorner(loaded.Mesh, p) {
		t.Errorf("no vertex at %v", p)
	}
	_, err = read3MF(t, pack3MF(t, root, left))
	if r := refusal(t, err); !strings.Contains(r.Place, "right.model") || !strings.Contains(r.Cause, "lacks this part") {
		t.Errorf("part missing: got %v", r)
	}
	loop := packed{name: left.name, body: wrap(production, `<object id="1"><components><component objectid="1" p:path="/3D/shell.model"/></components></object>`, "")}
	_, err = read3MF(t, pack3MF(t, root, loop, right))
	if r := refusal(t, err); !strings.Contains(r.Cause, "contains itself") {
		t.Errorf("loop over two parts: got %v", r)
	}
}

// oddRows are vertices that are not in their plainest form, or wrong.
var oddRows = []string{
	`<vertex x="1" y="2" z="3"/>`,
	`<vertex x="1" y="2" z="3" />`,
	"\r\n\t<vertex\n x=\"1\"\n\ty=\"2\" z=\"3\"\n/>\n\n",
	`<vertex z="1" y="2" x="3"/>`,
	`<vertex x='1' y='2' z='3'/>`,
	`<vertex x = "1" y= "2" z ="3"/>`,
	`<vertex x="1" y="2" z="3"></vertex>`,
	`<vertex x="1" y="2" z="3"><x:more/>text</vertex>`,
	`<vertex x="1" y="2" z="3" pid="7" p1="a&amp;b" note="1 > 2"/>`,
	`<vertex x="1" y="2" z="3" pid="7" note="/>"/>`,
	`<vertex x="1" y="2" z="3" note="né"/>`,
	`<vertex x="1" y="2" z="3" note="` + "\xff" + `"/>`,
	`<vertex x="1" y="2" z="3" note="a<b"/>`,
	`<vertex x="1"y="2" z="3"/>`,
	`<vertex x="1" y="2" z="&#51;"/>`,
	`<vertex x="1" y="2"/>`,
	`<vertex x="1" y="2" z="3" z="3"/>`,
	`<vertex x="1" y="2" z="3" x:z="4"/>`,
	`<vertex x="1" y="2" z=""/>`,
	`<vertex x="1" y="2" z=" 3 "/>`,
	`<vertex x="1" y="2" z="3" w/>`,
	`<vertex x="1" y="2" z="nan"/>`,
	`<vertex x="1" y="2" z="3"/`,
	`<vertex x="1" y="2" z="3">`,
	`<vertexes x="1" y="2" z="3"/>`,
	`<x:vertex x="1" y="2" z="3"/>`,
	`<vertex xmlns="other" x="1" y="2" z="3"/>`,
	`<!-- <vertex x="1" y="2" z="3"/> -->`,
	`<![CDATA[<vertex x="1" y="2" z="3"/>]]>`,
	`<?pi <vertex x="1" y="2" z="3"/> ?>`,
	`<!DOCTYPE a>`,
	`text`,
	"\x00",
	strings.Repeat(" ", 70_000),
	`<vertex x="1" y="2" z="3" note="` + strings.Repeat("a", 70_000) + `"/>`,
}

// oddModel puts a row among n plain ones.
func oddModel(row string, n int) string {
	plain := strings.Repeat(`<vertex x="9" y="8" z="7"/>`+"\n", n)
	return wrap(`xmlns:x="x"`, strings.Replace(tetraObject(1, ""), "</vertices>", row+row+plain+row+"</vertices>", 1), item(1, ""))
}

// readAlike fails the test where a model comes out otherwise, or with another
// error, when the decoder alone reads it.
func readAlike(t *testing.T, text string, l Limits) {
	t.Helper()
	got, gotErr := readModel(t.Context(), strings.NewReader(text), "3D/shell.model", l)
	m := newModelReader(strings.NewReader(text), "3D/shell.model")
	m.limits = l
	var want *model
	root, wantErr := m.root(t.Context())
	if wantErr == nil {
		want, wantErr = m.model(t.Context(), root)
	}
	if fmt.Sprint(gotErr) != fmt.Sprint(wantErr) {
		t.Fatalf("got error %v, the decoder alone gives %v", gotErr, wantErr)
	}
	if gotErr == nil && !reflect.DeepEqual(got, want) {
		t.Fatalf("the decoder alone reads another model")
	}
}

func TestThreeMFPlainRowsAreReadAlike(t *testing.T) {
	for _, row := range oddRows[:3] {
		readAlike(t, oddModel(row, 2400), DefaultLimits()) // longer than the buffer
	}
	for _, row := range oddRows {
		text := oddModel(row, 20)
		readAlike(t, text, DefaultLimits())
		readAlike(t, strings.Replace(text, nsCore, "", 1), DefaultLimits())
		readAlike(t, strings.Replace(text, "<vertices>", `<vertices xmlns="other">`, 1), DefaultLimits())
		readAlike(t, strings.Replace(text, "<vertices>", `<vertices/>`, 1), DefaultLimits())
		readAlike(t, prefixed(text), DefaultLimits())
		readAlike(t, text[:len(text)/2], DefaultLimits())
		readAlike(t, text, Limits{Triangles: 100}.orDefault())
		readAlike(t, strings.NewReplacer("vertex x", "triangle v1", "vertex", "triangle", " y=", " v2=", " z=", " v3=", "vertices", "triangles").Replace(text), DefaultLimits())
	}
}

// Compositions that would swell: counted before anything is written out.
func TestThreeMFBombs(t *testing.T) {
	doubling := func(leaf string, levels, each int) string {
		var b strings.Builder
		b.WriteString(leaf)
		for i := range levels {
			fmt.Fprintf(&b, `<object id="%d"><components>%s</components></object>`, i+2, strings.Repeat(fmt.Sprintf(`<component objectid="%d"/>`, i+1), each))
		}
		return wrap("", b.String(), item(levels+1, ""))
	}
	nothing := `<object id="1"><mesh><vertices/><triangles/></mesh></object>`
	many := strings.Repeat(`<vertex x="0" y="0" z="0"/>`, 20_000) + "</vertices>"
	tests := []struct{ name, model, cause string }{
		{"doubled 40 times", doubling(tetraObject(1, ""), 40, 2), "more than the 50 000 000 that are read"},
		{"doubled 64 times", doubling(tetraObject(1, ""), 64, 2), "more than the 50 000 000 that are read"},
		{"nothing, doubled 60 times", doubling(nothing, 60, 2), "more than 1 000 000 others"},
		{"a chain of 65", doubling(tetraObject(1, ""), 66, 1), "nested more than 64 deep"},
		{"a chain of 5000", doubling(tetraObject(1, ""), 5000, 1), "nested more than 64 deep"},
		{"vertices without triangles", doubling(strings.Replace(tetraObject(1, ""), "</vertices>", many, 1), 5, 10), "more than 150 000 000 vertices"},
	}
	for _, test := range tests {
		b := pack3MF(t, test.model)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := read3MF(t, b)
		runtime.ReadMemStats(&after)
		if r := refusal(t, err); !strings.Contains(r.Cause, test.cause) {
			t.Errorf("%s: got %v, want cause %q", test.name, r, test.cause)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > 300<<20 {
			t.Errorf("%s: %d MiB allocated", test.name, used>>20)
		}
	}
	loaded, err := read3MF(t, pack3MF(t, doubling(tetraObject(1, ""), 10, 2)))
	require.NoError(t, err)
	if got := loaded.Mesh.Triangles(); got != 4096 {
		t.Errorf("doubled 10 times: %d triangles, want 4096", got)
	}
}

func TestThreeMFTriangleLimit(t *testing.T) {
	b := pack3MF(t, cubeModel("", 1))
	s := textSource("a.3mf", string(b))
	_, err := load3MF(t.Context(), s, Limits{Triangles: 12}.orDefault())
	require.NoError(t, err)
	_, err = load3MF(t.Context(), s, Limits{Triangles: 11}.orDefault())
	refusal(t, err)
}

func TestThreeMFStopsWhenCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := load3MF(ctx, textSource("a.3mf", string(pack3MF(t, wrap("", objectOf(1, wall(5000)), item(1, ""))))), DefaultLimits())
	require.ErrorIs(t, err, context.Canceled)
}

// One shape in three formats.
func TestFormatsAgree(t *testing.T) {
	m := wall(2000)
	area, volume := m.Area(), m.Volume()
	inch := m.Scaled(1 / 25.4)
	for name, s := range map[string]*source{
		"obj":      textSource("a.obj", objOf(m)),
		"3mf":      textSource("a.3mf", string(pack3MF(t, wrap("", objectOf(1, m), item(1, ""))))),
		"3mf inch": textSource("a.3mf", string(pack3MF(t, wrap(`unit="inch"`, objectOf(1, inch), item(1, ""))))),
		"stl":      textSource("a.stl", string(binarySTL(m, ""))),
	} {
		loaded, err := loadSource(t.Context(), s, DefaultLimits())
		require.NoError(t, err, name)
		gotArea, gotVolume := loaded.Mesh.Area(), loaded.Mesh.Volume()
		if math.Abs(gotArea/area-1) > 1e-6 || math.Abs(gotVolume/volume-1) > 1e-6 {
			t.Errorf("%s: %.9g mm², %.9g mm³, want %.9g, %.9g", name, gotArea, gotVolume, area, volume)
		}
		if got := loaded.Mesh.Triangles(); got != m.Triangles() {
			t.Errorf("%s: %d triangles, want %d", name, got, m.Triangles())
		}
	}
}

// wall is a closed two-walled tapered tube of about n triangles.
func wall(n int) *Mesh {
	m := &Mesh{}
	sides := max(3, n/8)
	for i := range sides {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(sides))
		for _, ring := range [][3]float64{{50, 40, 0}, {53, 43, 0}, {63, 58, 200}, {60, 55, 200}} {
			m.AddVertex(r3.Vec{X: ring[0] * cos, Y: ring[1] * sin, Z: ring[2]})
		}
	}
	for i := range sides {
		j := (i + 1) % sides
		for k := range 4 {
			a, b, c, d := uint32(4*i+k), uint32(4*j+k), uint32(4*j+(k+1)%4), uint32(4*i+(k+1)%4)
			m.AddTriangle(a, b, c)
			m.AddTriangle(a, c, d)
		}
	}
	return m
}

// ST_Number of the 3MF schema (3MF Core Specification 1.4.0, appendix B), and
// what is none.
func TestDecimal(t *testing.T) {
	for s, want := range map[string]float64{
		"0": 0, "-0": 0, "1": 1, "+1": 1, "-1.5": -1.5, ".5": 0.5, "-.5": -0.5, "5.": 5, "1e3": 1000, "1E+3": 1000, "1.5e-3": 0.0015,
		" 7\t": 7, "3.4028234e38": 3.4028234e38, "1e-400": 0, "00012": 12, "0.1": 0.1,
	} {
		if got, ok := decimal([]byte(s)); !ok || got != want {
			t.Errorf("decimal(%q) = %g, %v, want %g", s, got, ok, want)
		}
	}
	for _, s := range []string{"", " ", ".", "+", "-", "e3", "1e", "1e+", "--1", "1-", "1 2", "nan", "NaN", "inf", "Infinity", "0x1", "0x1p3", "1_000", "1,5", "1.2.3", "1e3.5",
		"3.5e38", "-3.5e38", "1e309", "٣", "1\x00"} {
		if got, ok := decimal([]byte(s)); ok {
			t.Errorf("decimal(%q) = %g, want none", s, got)
		}
	}
}

func FuzzThreeMF(f *testing.F) {
	f.Add([]byte(cubeModel("inch", 1)))
	f.Add([]byte(wrap("", tetraObject(1, `type="support"`)+tetraObject(2, "")+`<object id="3"><components><component objectid="2" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/></components></object>`, item(1, "")+item(3, "0 1 0 0 0 1 1 0 0 3 4 5"))))
	f.Add([]byte(wrap(`xmlns:p="`+nsProduction+`" requiredextensions="p"`, "", `<item objectid="1" p:path="/3D/shell.model"/>`)))
	f.Add([]byte("\ufeff<!DOCTYPE a><model/>"))
	limits := Limits{Triangles: 10_000}.orDefault()
	for _, odd := range oddRows {
		if len(odd) < 1000 {
			f.Add([]byte(oddModel(odd, 3)))
		}
	}
	f.Fuzz(func(t *testing.T, model []byte) {
		readAlike(t, string(model), limits)
		b := pack(t, packed{name: "3D/shell.model", body: string(model), stored: true})
		loaded, err := load3MF(t.Context(), sourceOf("a.3mf", b), limits)
		if err != nil {
			refusal(t, err)
			return
		}
		soundMesh(t, loaded.Mesh, limits)
	})
}

// soundMesh fails the test where a mesh breaks what Loaded promises.
func soundMesh(t *testing.T, m *Mesh, l Limits) {
	t.Helper()
	if n := m.Triangles(); n == 0 || n > l.Triangles || len(m.T)%3 != 0 {
		t.Errorf("%d corners, want from 3 to three times %d", len(m.T), l.Triangles)
	}
	if len(m.Y) != len(m.X) || len(m.Z) != len(m.X) || !m.Finite() {
		t.Errorf("columns of %d, %d, %d, finite: %v", len(m.X), len(m.Y), len(m.Z), m.Finite())
	}
	for _, v := range m.T {
		if int(v) >= m.Vertices() {
			t.Fatalf("corner %d of %d vertices", v, m.Vertices())
		}
	}
}

func BenchmarkThreeMF200k(b *testing.B) {
	body := string(pack(b, packed{name: "3D/shell.model", body: wrap("", objectOf(1, wall(200_000)), item(1, ""))}))
	b.SetBytes(int64(len(body)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := load3MF(b.Context(), textSource("a.3mf", body), DefaultLimits()); err != nil {
			b.Fatal(err)
		}
	}
}
