package mesh

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Namespaces of 3MF (3MF Core Specification 1.4.0, appendix C, and the
// specification of each extension; that of triangle sets is from memory).
const (
	nsCore       = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	nsMaterial   = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
	nsProduction = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
	nsSlice      = "http://schemas.microsoft.com/3dmanufacturing/slice/2015/07"
	nsTriangles  = "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07"
)

// shapeless are the extensions that may be required of a reader that wants
// nothing but the shape: colours and textures, names of groups of triangles,
// and objects lying in other files of the package, which are followed.
func shapeless(namespace string) bool {
	return namespace == nsMaterial || namespace == nsProduction || namespace == nsTriangles
}

// unit3MF is the value of the unit attribute: the program's name for the unit
// and its length in mm (3MF Core Specification 1.4.0, the model element; an
// inch is 25.4 mm exactly and a foot twelve of them, since 1959).
func unit3MF(attribute string) (Unit, bool) {
	switch attribute {
	case "micron":
		return Unit{"micron", 0.001, true}, true
	case "", "millimeter":
		return Unit{"millimetre", 1, true}, true
	case "centimeter":
		return Unit{"centimetre", 10, true}, true
	case "inch":
		return Unit{"inch", 25.4, true}, true
	case "foot":
		return Unit{"foot", 304.8, true}, true
	case "meter":
		return Unit{"metre", 1000, true}, true
	}
	return Unit{}, false
}

// model is one model part of a 3MF package. Its lengths are in mm.
type model struct {
	unit    Unit
	objects map[uint32]*object
	items   []component // what is to be built
	beside  []string    // namespaces in which objects say more about their shape
}

// object is a mesh, or a composition of other objects.
type object struct {
	id     uint32
	kind   string // model, solidsupport, support, surface, other
	name   string // "" where it has none
	points []r3.Vec
	faces  []uint32 // three corners each, counter-clockwise from outside
	parts  []component
}

// component is an object put somewhere: in another object, or on the bed.
type component struct {
	object objectKey
	by     placing
	place  string // in the file, for errors
}

// objectKey tells an object from all others of the package.
type objectKey struct {
	part string // name of the model part, as archive.part has it
	id   uint32
}

// modelReader reads a model part from its XML, element by element.
type modelReader struct {
	in      *meter
	xml     *xml.Decoder
	part    string // name of the part
	home    string // namespace of the root element
	plain   bool   // names without a prefix are of that namespace everywhere
	depth   int    // open elements
	tokens  int    // read so far
	skipped int    // lines that the decoder has not seen
	limits  Limits
	out     *model
	object  *object // the one being read
}

// readModel reads a model part.
func readModel(ctx context.Context, r io.Reader, part string, l Limits) (*model, error) {
	m := newModelReader(r, part)
	m.limits = l
	root, err := m.root(ctx)
	if err != nil {
		return nil, err
	}
	m.plain = true
	return m.model(ctx, root)
}

func (m *modelReader) model(ctx context.Context, root xml.StartElement) (*model, error) {
	if err := m.begin(root); err != nil {
		return nil, err
	}
	built := false
	err := m.children(ctx, func(e xml.StartElement) error {
		switch e.Name.Local {
		case "resources":
			return m.children(ctx, func(e xml.StartElement) error { return m.resource(ctx, e) })
		case "build":
			if built {
				return m.fault("has two build elements", exportAgain)
			}
			built = true
			return m.children(ctx, func(e xml.StartElement) error { return m.item(ctx, e) })
		}
		return m.skip(ctx)
	})
	if err != nil {
		return nil, err
	}
	if !built {
		return nil, m.fault("has no build element: nothing says which objects are to be printed", exportAgain)
	}
	return m.out, m.end(ctx)
}

func newModelReader(r io.Reader, part string) *modelReader {
	m := &modelReader{in: &meter{r: r, buf: make([]byte, 64<<10)}, part: part}
	m.xml = xml.NewDecoder(m.in)
	m.xml.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) {
		return nil, m.fault("its text is in "+strconv.Quote(charset)+"; 3MF wants UTF-8", exportAgain)
	}
	return m
}

const exportAgain = "export it again, from another program if it stays so, or as STL"

// begin reads the attributes of the model element.
func (m *modelReader) begin(root xml.StartElement) error {
	// 2013/01 was the namespace of drafts of the standard; hand-made files
	// leave it out. Both mean the same elements.
	switch root.Name.Space {
	case nsCore, "http://schemas.microsoft.com/3dmanufacturing/2013/01", "":
		m.home = root.Name.Space
	default:
		return m.fault("its root element is of the unknown namespace "+strconv.Quote(root.Name.Space), exportAgain)
	}
	if root.Name.Local != "model" {
		return m.fault("its root element is "+strconv.Quote(root.Name.Local)+", not model", exportAgain)
	}
	name, _ := attribute(root, "unit")
	unit, ok := unit3MF(name)
	if !ok {
		return m.fault("its unit "+strconv.Quote(name)+" is none of micron, millimeter, centimeter, inch, foot, meter", exportAgain)
	}
	m.out = &model{unit: unit, objects: map[uint32]*object{}}
	home, _ := attribute(root, "xmlns")
	m.plain = m.plain && home == m.home
	return m.extensions(root)
}

// extensions refuses a model that requires what would change its shape, as
// the Core Specification demands of a reader (section 2.3).
func (m *modelReader) extensions(root xml.StartElement) error {
	required, _ := attribute(root, "requiredextensions")
	for prefix := range strings.FieldsSeq(required) {
		at := slices.IndexFunc(root.Attr, func(a xml.Attr) bool {
			return a.Name.Space == "xmlns" && a.Name.Local == prefix
		})
		if at < 0 {
			return m.fault("requires the extension "+strconv.Quote(prefix)+" and does not say which that is", exportAgain)
		}
		if namespace := root.Attr[at].Value; !shapeless(namespace) {
			return m.fault("requires an extension of 3MF that is not read: "+strconv.Quote(namespace),
				"export it as plain 3MF (core specification) or STL, with lattices, slices and the like made into triangles")
		}
	}
	return nil
}

// resource reads a child of the resources element: objects; the rest has no
// shape.
func (m *modelReader) resource(ctx context.Context, e xml.StartElement) error {
	if e.Name.Local != "object" {
		return m.skip(ctx)
	}
	id, err := m.id(e, "id")
	if err != nil {
		return err
	}
	if m.out.objects[id] != nil {
		return m.fault("object "+strconv.Itoa(int(id))+" is there twice", exportAgain)
	}
	kind, ok := attribute(e, "type")
	if !ok {
		kind = "model"
	}
	switch kind {
	case "model", "solidsupport", "support", "surface", "other":
	default:
		return m.fault("object "+strconv.Itoa(int(id))+" is of the unknown type "+strconv.Quote(kind), exportAgain)
	}
	name, _ := attribute(e, "name")
	m.object = &object{id: id, kind: kind, name: name}
	if slices.ContainsFunc(e.Attr, func(a xml.Attr) bool { return a.Name.Space == nsSlice && a.Name.Local == "slicestackid" }) {
		m.besides(nsSlice)
	}
	seen := ""
	err = m.children(ctx, func(e xml.StartElement) error {
		name := e.Name.Local
		if name != "mesh" && name != "components" {
			return m.skip(ctx)
		}
		if seen != "" {
			return m.fault(m.objectName()+" has both a "+seen+" and a "+name+" element, or two of one", exportAgain)
		}
		seen = name
		if name == "mesh" {
			return m.children(ctx, func(e xml.StartElement) error { return m.columns(ctx, e) })
		}
		return m.children(ctx, func(e xml.StartElement) error { return m.component(ctx, e) })
	})
	m.out.objects[id], m.object = m.object, nil
	return err
}

func (m *modelReader) objectName() string { return "object " + strconv.Itoa(int(m.object.id)) }

// columns reads a child of the mesh element: vertices or triangles.
func (m *modelReader) columns(ctx context.Context, e xml.StartElement) error {
	o := m.object
	switch {
	case e.Name.Local == "vertices" && o.points != nil, e.Name.Local == "triangles" && o.faces != nil:
		return m.fault(m.objectName()+" has its "+e.Name.Local+" twice", exportAgain)
	case e.Name.Local == "vertices":
		o.points = []r3.Vec{}
		return m.rows(ctx, func(e xml.StartElement) error { return m.vertex(ctx, e) }, m.plainVertex)
	case e.Name.Local == "triangles":
		o.faces = []uint32{}
		return m.rows(ctx, func(e xml.StartElement) error { return m.triangle(ctx, e) }, m.plainTriangle)
	}
	return m.skip(ctx)
}

func (m *modelReader) vertex(ctx context.Context, e xml.StartElement) error {
	if e.Name.Local != "vertex" {
		return m.skip(ctx)
	}
	var p [3]float64
	seen := 0
	for i := range e.Attr {
		k := axis(&e.Attr[i].Name, 'x')
		if k < 0 {
			continue
		}
		x, ok := decimal([]byte(e.Attr[i].Value))
		if !ok || seen&(1<<k) != 0 {
			return m.vertexFault(e.Attr[i])
		}
		p[k] = x * m.out.unit.Factor
		seen |= 1 << k
	}
	if seen != 7 {
		return m.fault(m.vertexName()+" lacks x, y or z", exportAgain)
	}
	if len(m.object.points) >= 3*m.limits.Triangles {
		return m.limits.tooManyVertices(m.place())
	}
	m.object.points = append(m.object.points, r3.Vec{X: p[0], Y: p[1], Z: p[2]})
	return m.skip(ctx)
}

func (m *modelReader) vertexName() string {
	return m.objectName() + ", vertex " + strconv.Itoa(len(m.object.points))
}

func (m *modelReader) vertexFault(a xml.Attr) error {
	if _, ok := decimal([]byte(a.Value)); ok {
		return m.fault(m.vertexName()+" has "+a.Name.Local+" twice", exportAgain)
	}
	return m.fault(m.vertexName()+": "+a.Name.Local+" is "+clipped(a.Value)+", which is no number that fits", exportAgain)
}

func (m *modelReader) triangle(ctx context.Context, e xml.StartElement) error {
	if e.Name.Local != "triangle" {
		return m.skip(ctx)
	}
	o := m.object
	var v [3]uint32
	seen := 0
	for i := range e.Attr {
		a := &e.Attr[i]
		if len(a.Name.Local) != 2 || a.Name.Local[0] != 'v' {
			continue
		}
		k := axis(&xml.Name{Space: a.Name.Space, Local: a.Name.Local[1:]}, '1')
		if k < 0 {
			continue
		}
		n, err := strconv.ParseUint(strings.TrimSpace(a.Value), 10, 32)
		switch {
		case err != nil || seen&(1<<k) != 0:
			return m.fault(m.triangleName()+": "+a.Name.Local+" is "+clipped(a.Value)+", which is no index, or is there twice", exportAgain)
		case n >= uint64(len(o.points)):
			return m.fault(m.triangleName()+" has the corner "+strconv.FormatUint(n, 10)+", but the vertices before it are "+
				thousands(int64(len(o.points)))+", counted from 0", exportAgain)
		}
		v[k] = uint32(n)
		seen |= 1 << k
	}
	switch {
	case seen != 7:
		return m.fault(m.triangleName()+" lacks v1, v2 or v3", exportAgain)
	case v[0] == v[1] || v[1] == v[2] || v[2] == v[0]:
		return m.fault(m.triangleName()+" has one corner twice", exportAgain)
	case len(o.faces)/3 >= m.limits.Triangles:
		return m.limits.tooMany(m.place(), int64(m.limits.Triangles)+1)
	}
	o.faces = append(o.faces, v[0], v[1], v[2])
	return m.skip(ctx)
}

func (m *modelReader) triangleName() string {
	return m.objectName() + ", triangle " + strconv.Itoa(len(m.object.faces)/3)
}

// axis returns 0, 1 or 2 for the three names of one character from first on
// without a namespace, else -1.
func axis(n *xml.Name, first byte) int {
	if n.Space != "" || len(n.Local) != 1 || n.Local[0] < first || n.Local[0] > first+2 {
		return -1
	}
	return int(n.Local[0] - first)
}

func (m *modelReader) component(ctx context.Context, e xml.StartElement) error {
	if e.Name.Local != "component" {
		return m.skip(ctx)
	}
	c, err := m.reference(e)
	if err != nil {
		return err
	}
	m.object.parts = append(m.object.parts, c)
	return m.skip(ctx)
}

func (m *modelReader) item(ctx context.Context, e xml.StartElement) error {
	if e.Name.Local != "item" {
		return m.skip(ctx)
	}
	c, err := m.reference(e)
	if err != nil {
		return err
	}
	m.out.items = append(m.out.items, c)
	return m.skip(ctx)
}

// reference reads what item and component have in common. Where the object
// lies in another part of the package, the path attribute of the Production
// Extension says so.
func (m *modelReader) reference(e xml.StartElement) (component, error) {
	id, err := m.id(e, "objectid")
	if err != nil {
		return component{}, err
	}
	c := component{object: objectKey{partKey(m.part), id}, by: unmoved(), place: m.place()}
	for _, a := range e.Attr {
		switch {
		case a.Name.Space == nsProduction && a.Name.Local == "path":
			c.object.part = partKey(a.Value)
		case a.Name.Space == "" && a.Name.Local == "transform":
			by, why := parsePlacing(a.Value, m.out.unit.Factor)
			if why != "" {
				return component{}, m.fault("the transform of object "+strconv.Itoa(int(id))+" "+why, exportAgain)
			}
			c.by = by
		}
	}
	return c, nil
}

// id reads an identifier: a whole number from 1 to 2³¹-1.
func (m *modelReader) id(e xml.StartElement, name string) (uint32, error) {
	value, ok := attribute(e, name)
	if !ok {
		return 0, m.fault(e.Name.Local+" lacks "+name, exportAgain)
	}
	n, err := strconv.ParseUint(strings.TrimSpace(value), 10, 31)
	if err != nil || n == 0 {
		return 0, m.fault(e.Name.Local+": "+name+" is "+clipped(value)+", not a whole number from 1 on", exportAgain)
	}
	return uint32(n), nil
}

// decimal reads a number as ST_Number of the 3MF schema has it, blanks round
// it allowed, and a point without digits behind it, as some programs write. It
// refuses what float32, the resolution of a mesh, cannot hold.
func decimal(word []byte) (x float64, ok bool) {
	word = bytes.Trim(word, " \t\r\n")
	digits, exponent, negative, ok := split(word)
	switch {
	case !ok:
		return 0, false
	case digits >= 1<<53 || exponent < -22 || exponent > 22:
		x, _ = strconv.ParseFloat(string(word), 64)
		return x, math.Abs(x) <= math.MaxFloat32
	case exponent < 0:
		x = float64(digits) / tens[-exponent]
	default:
		x = float64(digits) * tens[exponent]
	}
	if negative {
		x = -x
	}
	return x, math.Abs(x) <= math.MaxFloat32
}

func attribute(e xml.StartElement, name string) (string, bool) {
	for _, a := range e.Attr {
		if a.Name.Space == "" && a.Name.Local == name {
			return a.Value, true
		}
	}
	return "", false
}

// clipped quotes what a file says where a number should be.
func clipped(s string) string {
	const most = 24
	if len(s) > most {
		s = s[:most] + "…"
	}
	return strconv.Quote(s)
}

// deepest bounds how deep elements may nest: 3MF itself needs six.
const deepest = 64

// next returns the next token. It refuses a document type, which could name
// other files or swell without end and which the Core Specification forbids
// (section 2.3).
func (m *modelReader) next(ctx context.Context) (xml.Token, error) {
	if m.tokens++; m.tokens&0xfff == 0 && ctx.Err() != nil {
		return nil, ctx.Err()
	}
	m.in.mark()
	t, err := m.xml.Token()
	if err != nil {
		return nil, m.broken(err)
	}
	switch e := t.(type) {
	case xml.StartElement:
		if _, ok := attribute(e, "xmlns"); ok && m.depth > 0 {
			m.plain = false
		}
		if m.depth++; m.depth > deepest {
			return nil, m.fault("its elements nest more than "+strconv.Itoa(deepest)+" deep", exportAgain)
		}
	case xml.EndElement:
		m.depth--
	case xml.Directive:
		return nil, m.fault("has a document type (DOCTYPE), which 3MF forbids", exportAgain)
	}
	return t, nil
}

// root returns the first element.
func (m *modelReader) root(ctx context.Context) (xml.StartElement, error) {
	for {
		t, err := m.next(ctx)
		if err == io.EOF {
			return xml.StartElement{}, m.fault("is empty", exportAgain)
		}
		if err != nil {
			return xml.StartElement{}, err
		}
		switch t := t.(type) {
		case xml.StartElement:
			return t, nil
		case xml.CharData:
			text := bytes.TrimPrefix(t, []byte("\ufeff"))
			if len(bytes.TrimSpace(text)) != 0 {
				return xml.StartElement{}, m.fault("begins with text that is not XML", exportAgain)
			}
		}
	}
}

// end reads what follows the root element: nothing that matters, and to the
// last byte, so that the check sum of the package is checked.
func (m *modelReader) end(ctx context.Context) error {
	for {
		t, err := m.next(ctx)
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if e, ok := t.(xml.StartElement); ok {
			return m.fault("has a second root element, "+strconv.Quote(e.Name.Local), exportAgain)
		}
	}
}

// children calls visit for each child element of the open one that is of the
// root's namespace; visit reads it to its end. Others are passed over.
func (m *modelReader) children(ctx context.Context, visit func(xml.StartElement) error) error {
	for {
		t, err := m.next(ctx)
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.EndElement:
			return nil
		case xml.StartElement:
			if t.Name.Space == m.home {
				err = visit(t)
			} else {
				m.besides(t.Name.Space)
				err = m.skip(ctx)
			}
			if err != nil {
				return err
			}
		}
	}
}

// besides notes that the object being read says something about its shape in
// a namespace that is not read.
func (m *modelReader) besides(namespace string) {
	if m.object != nil && !shapeless(namespace) && !slices.Contains(m.out.beside, namespace) && len(m.out.beside) < 8 {
		m.out.beside = append(m.out.beside, namespace)
	}
}

// skip reads to the end of the open element.
func (m *modelReader) skip(ctx context.Context) error {
	for open := m.depth; m.depth >= open; {
		if _, err := m.next(ctx); err != nil {
			return err
		}
	}
	return nil
}

// place says where the reader is.
func (m *modelReader) place() string {
	line, _ := m.xml.InputPos()
	return m.part + ", line " + strconv.Itoa(line+m.skipped)
}

// fault is the error of what the file says here.
func (m *modelReader) fault(cause, remedy string) error {
	return &ReadError{Place: m.place(), Cause: cause, Remedy: remedy}
}

// broken is the error of what the XML decoder met. Only at the very end is
// an io.EOF one.
func (m *modelReader) broken(err error) error {
	var r *ReadError
	var syntax *xml.SyntaxError
	switch {
	case errors.As(err, &r), err == io.EOF:
		return err
	case errors.As(err, &syntax) && m.in.wide():
		return m.fault("its text is in UTF-16 or UTF-32; 3MF wants UTF-8", exportAgain)
	case errors.As(err, &syntax):
		return &ReadError{Place: m.part + ", line " + strconv.Itoa(syntax.Line+m.skipped),
			Cause: "is not well-formed XML: " + syntax.Msg, Remedy: exportAgain, Err: err}
	}
	return &ReadError{Place: m.place(), Cause: "is not XML that can be read: " + err.Error(), Remedy: exportAgain, Err: err}
}

// longestToken bounds the bytes of one element or run of text, which are in
// memory at once. The longest in honest files are licences and descriptions
// of some kB.
const longestToken = 1 << 20

// meter hands bytes to the XML decoder and stops a token that has no end.
type meter struct {
	r         io.Reader
	buf       []byte
	from, to  int     // what of buf is still to be handed out
	sinceMark int     // bytes read from r since mark
	first     [4]byte // first bytes of all, for telling encodings apart
	begun     bool
}

// mark says that a new token begins.
func (m *meter) mark() { m.sinceMark = 0 }

// wide reports whether the text begins as text in UTF-16 or UTF-32 does.
func (m *meter) wide() bool {
	return bytes.IndexByte(m.first[:], 0) >= 0 || string(m.first[:2]) == "\xff\xfe" || string(m.first[:2]) == "\xfe\xff"
}

// Read is there because the decoder asks for an io.Reader.
func (m *meter) Read(p []byte) (int, error) {
	if m.from == m.to {
		if err := m.fill(); err != nil {
			return 0, err
		}
	}
	n := copy(p, m.buf[m.from:m.to])
	m.from += n
	return n, nil
}

// ReadByte is what the decoder uses.
func (m *meter) ReadByte() (byte, error) {
	if m.from == m.to {
		if err := m.fill(); err != nil {
			return 0, err
		}
	}
	c := m.buf[m.from]
	m.from++
	return c, nil
}

func (m *meter) fill() error {
	if m.sinceMark > longestToken {
		return &ReadError{Cause: "one element or run of text is longer than " + thousands(longestToken>>20) + " MiB", Remedy: exportAgain}
	}
	m.from, m.to = 0, 0
	return m.more()
}

var errNoRoom = errors.New("the buffer is full")

// more reads more behind what is still to be handed out, which goes to the
// front of the buffer. It gives errNoRoom where there is no room.
func (m *meter) more() error {
	if m.from == 0 && m.to == len(m.buf) {
		return errNoRoom
	}
	m.to = copy(m.buf, m.buf[m.from:m.to])
	m.from = 0
	for range 100 {
		n, err := m.r.Read(m.buf[m.to:])
		if n == 0 && err == nil {
			continue
		}
		if n == 0 {
			return err
		}
		if !m.begun {
			m.begun = true
			m.first = [4]byte{'<', '<', '<', '<'}
			copy(m.first[:], m.buf[:n])
		}
		m.to += n
		m.sinceMark += n
		return nil
	}
	return io.ErrNoProgress
}
