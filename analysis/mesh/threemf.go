package mesh

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"math"
	"net/url"
	"path"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// startPart is the type of the relationship that leads to the model part with
// which reading begins (3MF Core Specification 1.4.0, section 2.1).
const startPart = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"

// load3MF reads a 3MF package: everything its build element refers to, put
// where it says, as one mesh in mm.
//
// Of the object types (section 4), model and surface are read. Supports are
// left out with a remark: they are scaffolding that is broken off after the
// print. So are objects of type other inside a composition, which some
// programs write to mark a volume. Overlapping objects stay as they are.
func load3MF(ctx context.Context, s *source, l Limits) (*Loaded, error) {
	at, size, err := s.randomAccess()
	if err != nil {
		return nil, err
	}
	a, err := openArchive(at, size, l)
	if err != nil {
		return nil, err
	}
	p := &package3MF{archive: a, models: map[string]*model{}, tallies: map[objectKey]*tally{}}
	root, err := p.start(ctx)
	if err != nil {
		return nil, err
	}
	first, err := p.model(ctx, root)
	if err != nil {
		return nil, err
	}
	m, err := p.build(ctx, first)
	if err != nil {
		return nil, err
	}
	loaded, err := finish(ctx, m, Format3MF)
	if err != nil {
		return nil, err
	}
	loaded.Unit, loaded.Objects = first.unit, p.objects.found()
	loaded.Remarks = append(loaded.Remarks, p.remarks...)
	return loaded, nil
}

// randomAccess returns the bytes so that they can be read in any order: a
// member of an archive is unpacked into memory.
func (s *source) randomAccess() (io.ReaderAt, int64, error) {
	if s.at != nil {
		return s.at, s.size, nil
	}
	r, err := s.reader()
	if err != nil {
		return nil, 0, err
	}
	defer r.Close()
	var buf bytes.Buffer
	if n, err := buf.ReadFrom(r); err != nil {
		return nil, 0, s.failed(n, err)
	}
	return bytes.NewReader(buf.Bytes()), int64(buf.Len()), nil
}

// package3MF is an opened 3MF package and what was read of it.
type package3MF struct {
	*archive
	unpacked int64                // bytes, all parts together
	models   map[string]*model    // by partKey
	tallies  map[objectKey]*tally // nil while an object is being counted
	placed   int                  // meshes written out
	remarks  []Remark
	objects  objects // that were written out
}

func (p *package3MF) remark(code, text string) {
	for _, r := range p.remarks {
		if r.Code == code {
			return
		}
	}
	p.remarks = append(p.remarks, Remark{code, text})
}

// partKey is the name of a part as it is compared: from the root of the
// package, without regard to case (ECMA-376-2, part names).
func partKey(name string) string {
	name = strings.ReplaceAll(name, `\`, "/")
	if plain, err := url.PathUnescape(name); err == nil {
		name = plain
	}
	return strings.ToLower(strings.TrimPrefix(path.Clean("/"+name), "/"))
}

// find returns the part of the given key, nil where there is none.
func (p *package3MF) find(key string) (*zip.File, error) {
	var found *zip.File
	for _, e := range p.File {
		if partKey(e.Name) != key || strings.HasSuffix(e.Name, "/") {
			continue
		}
		if found != nil {
			return nil, &ReadError{Place: e.Name, Cause: "the package has this part twice", Remedy: exportAgain}
		}
		found = e
	}
	return found, nil
}

// open unpacks a part.
func (p *package3MF) open(e *zip.File) (io.ReadCloser, error) {
	size := int64(min(e.UncompressedSize64, math.MaxInt64/2))
	if p.unpacked += size; p.unpacked > p.limits.Unpacked {
		return nil, tooLarge(p.limits)
	}
	r, err := p.unpack(e)
	if err != nil {
		return nil, inPart(err, e.Name)
	}
	return &partReader{ReadCloser: r, part: e.Name}, nil
}

// partReader puts the name of the part before the place of its errors.
type partReader struct {
	io.ReadCloser
	part string
}

func (r *partReader) Read(p []byte) (int, error) {
	n, err := r.ReadCloser.Read(p)
	return n, inPart(err, r.part)
}

func inPart(err error, part string) error {
	r, ok := err.(*ReadError)
	if !ok {
		return err
	}
	in := *r
	in.Place = part
	if r.Place != "" {
		in.Place += ", " + r.Place
	}
	return &in
}

// start returns the name of the model part with which reading begins.
// A package that was unpacked and packed again by hand may lack its list of
// relationships altogether: then a lone model part is taken.
func (p *package3MF) start(ctx context.Context) (string, error) {
	const list = "_rels/.rels"
	e, err := p.find(list)
	if err != nil {
		return "", err
	}
	if e == nil {
		return p.loneModel()
	}
	r, err := p.open(e)
	if err != nil {
		return "", err
	}
	defer r.Close()
	targets, err := startTargets(ctx, r, list)
	if err != nil {
		return "", err
	}
	switch len(targets) {
	case 0:
		return "", &ReadError{Place: list, Cause: "the package names no model to start from", Remedy: exportAgain}
	case 1:
		return targets[0], nil
	}
	return "", &ReadError{Place: list, Cause: "the package names " + strconv.Itoa(len(targets)) + " models to start from", Remedy: exportAgain}
}

func (p *package3MF) loneModel() (string, error) {
	var models []string
	for _, e := range p.File {
		if extension(e.Name) == ".model" {
			models = append(models, partKey(e.Name))
		}
	}
	if len(models) != 1 {
		return "", &ReadError{Cause: "is a zip archive but not a 3MF package: it has no list of relationships (_rels/.rels)",
			Remedy: "export it again; if it is an archive of parts, name it .zip"}
	}
	p.remark("no-relationships", "the package lacks its list of relationships (_rels/.rels); its only model was read")
	return models[0], nil
}

// startTargets reads the targets of the start relationships of a list of
// relationships.
func startTargets(ctx context.Context, r io.Reader, list string) ([]string, error) {
	m := newModelReader(r, list)
	root, err := m.root(ctx)
	if err != nil {
		return nil, err
	}
	m.home = root.Name.Space
	var targets []string
	err = m.children(ctx, func(e xml.StartElement) error {
		if kind, _ := attribute(e, "Type"); kind != startPart {
			return m.skip(ctx)
		}
		if mode, _ := attribute(e, "TargetMode"); mode == "External" {
			return m.fault("the model to start from lies outside the package", exportAgain)
		}
		target, _ := attribute(e, "Target")
		targets = append(targets, partKey(target))
		return m.skip(ctx)
	})
	if err != nil {
		return nil, err
	}
	return targets, m.end(ctx)
}

// model returns the model part of the given key, read once.
func (p *package3MF) model(ctx context.Context, key string) (*model, error) {
	if m := p.models[key]; m != nil {
		return m, nil
	}
	e, err := p.find(key)
	if err != nil {
		return nil, err
	}
	if e == nil {
		return nil, &ReadError{Place: key, Cause: "the package lacks this part, to which another one refers", Remedy: exportAgain}
	}
	r, err := p.open(e)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	m, err := readModel(ctx, r, e.Name, p.limits)
	if err != nil {
		return nil, err
	}
	if len(m.beside) > 0 {
		p.remark("extension-left-out", "the file says more about its shape in extensions of 3MF that are not read ("+
			printable(strings.Join(m.beside, ", "))+"); its triangles may be a rough stand-in")
	}
	p.models[key] = m
	return m, nil
}

// object returns the object that c refers to.
func (p *package3MF) object(ctx context.Context, c component) (*object, error) {
	m, err := p.model(ctx, c.object.part)
	if err != nil {
		return nil, err
	}
	o := m.objects[c.object.id]
	if o == nil {
		return nil, &ReadError{Place: c.place, Cause: "refers to object " + strconv.Itoa(int(c.object.id)) + ", which is not there", Remedy: exportAgain}
	}
	return o, nil
}

// tally is what an object comes to when all it is made of is written out.
type tally struct {
	triangles, vertices int64
	placings            int64 // objects met on the way, itself included
	depth               int   // of nesting
}

// Bounds of what a composition may come to. Deep nesting and many placings
// cost time without giving a triangle; honest files nest two or three deep.
const (
	deepestComposition = 64
	mostPlacings       = 1_000_000
)

func (t *tally) add(other tally) {
	const most = math.MaxInt64 / 2 // sums of two never overflow
	t.triangles = min(t.triangles+other.triangles, most)
	t.vertices = min(t.vertices+other.vertices, most)
	t.placings = min(t.placings+other.placings, most)
	t.depth = max(t.depth, other.depth+1)
}

// tally counts what c comes to, before anything is written out, and refuses
// what contains itself.
func (p *package3MF) tally(ctx context.Context, c component, depth int) (tally, error) {
	if t, ok := p.tallies[c.object]; ok {
		if t == nil {
			return tally{}, &ReadError{Place: c.place, Cause: "object " + strconv.Itoa(int(c.object.id)) + " contains itself", Remedy: exportAgain}
		}
		return *t, nil
	}
	o, err := p.object(ctx, c)
	if err != nil {
		return tally{}, err
	}
	p.tallies[c.object] = nil
	t := tally{triangles: int64(len(o.faces) / 3), vertices: int64(len(o.points)), placings: 1}
	for _, part := range o.parts {
		if depth > deepestComposition {
			break // t.depth tells
		}
		of, err := p.tally(ctx, part, depth+1)
		if err != nil {
			return tally{}, err
		}
		t.add(of)
	}
	if depth > deepestComposition || t.depth > deepestComposition {
		return tally{}, &ReadError{Place: c.place, Cause: "objects are nested more than " + strconv.Itoa(deepestComposition) + " deep", Remedy: exportAgain}
	}
	p.tallies[c.object] = &t
	return t, nil
}

// build writes out everything that the build element of first refers to.
func (p *package3MF) build(ctx context.Context, first *model) (*Mesh, error) {
	var all tally
	for _, item := range first.items {
		t, err := p.tally(ctx, item, 0)
		if err != nil {
			return nil, err
		}
		all.add(t)
	}
	l := p.limits
	switch {
	case len(first.items) == 0:
		return nil, &ReadError{Cause: "its build element is empty: no object is to be printed", Remedy: "put the part on the bed and export it again"}
	case all.triangles > int64(l.Triangles):
		return nil, l.tooMany("", all.triangles)
	case all.vertices > 3*int64(l.Triangles):
		return nil, l.tooManyVertices("")
	case all.placings > mostPlacings:
		return nil, &ReadError{Cause: "its objects are put together from more than " + thousands(mostPlacings) + " others", Remedy: exportAgain}
	}
	m := &Mesh{
		X: make([]float32, 0, all.vertices), Y: make([]float32, 0, all.vertices), Z: make([]float32, 0, all.vertices),
		T: make([]uint32, 0, 3*all.triangles),
	}
	for _, item := range first.items {
		if err := p.place(ctx, m, item, unmoved(), "", true); err != nil {
			return nil, err
		}
	}
	if m.Triangles() == 0 && len(p.remarks) > 0 {
		return nil, &ReadError{Cause: "what it builds has no triangles of its own", Remedy: "export the part itself, made into triangles"}
	}
	if p.placed > 1 {
		p.remark("several-objects", thousands(int64(p.placed))+" objects lie in the file; they are read as one part")
	}
	return m, nil
}

// place adds the object of c, and what it is made of, to m. All of them exist
// and none contains itself: tally has seen them. One without a name has that of the
// object that it is in.
func (p *package3MF) place(ctx context.Context, m *Mesh, c component, by placing, name string, onBed bool) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	o, err := p.object(ctx, c)
	if err != nil {
		return err
	}
	switch {
	case o.kind == "support", o.kind == "solidsupport":
		p.remark("supports-left-out", "the supports in the file are left out: they are no part of the shell")
		return nil
	case o.kind == "other" && onBed:
		return &ReadError{Place: c.place, Cause: "object " + strconv.Itoa(int(o.id)) + " is of type other, which must not be built", Remedy: exportAgain}
	case o.kind == "other":
		p.remark("volumes-left-out", "objects of type other (volumes that mark something) are left out")
		return nil
	}
	by = c.by.then(by)
	if objectName(o.name) != "" {
		name = o.name
	}
	for _, part := range o.parts {
		if err := p.place(ctx, m, part, by, name, false); err != nil {
			return err
		}
	}
	if len(o.faces) > 0 {
		p.placed++
	}
	from := m.Vertices()
	if err := o.append(m, by, c.place); err != nil {
		return err
	}
	p.objects.begin(name)
	for v := from; v < m.Vertices(); v++ {
		p.objects.take(m.At(uint32(v)))
	}
	return nil
}

// append adds the object's own mesh to m.
func (o *object) append(m *Mesh, by placing, place string) error {
	base := uint32(m.Vertices())
	for i, v := range o.points {
		v = by.apply(v)
		if !fits(v) {
			return &ReadError{Place: place, Cause: "object " + strconv.Itoa(int(o.id)) + ", vertex " + strconv.Itoa(i) +
				" is moved so far out that its place is no number any more", Remedy: exportAgain}
		}
		m.AddVertex(v)
	}
	from := len(m.T)
	for _, v := range o.faces {
		m.T = append(m.T, base+v)
	}
	if by.mirrors() {
		for t := from; t < len(m.T); t += 3 {
			m.T[t+1], m.T[t+2] = m.T[t+2], m.T[t+1]
		}
	}
	return nil
}

// fits reports whether v keeps its meaning as float32.
func fits(v r3.Vec) bool {
	return math.Abs(v.X) <= math.MaxFloat32 && math.Abs(v.Y) <= math.MaxFloat32 && math.Abs(v.Z) <= math.MaxFloat32
}

// placing is an affine map of row vectors, as 3MF writes them: v·turn + shift
// (3MF Core Specification 1.4.0, section 3.3). Shift is in mm.
type placing struct {
	turn  *r3.Mat
	shift r3.Vec
}

func unmoved() placing { return placing{turn: r3.Eye()} }

func (p placing) apply(v r3.Vec) r3.Vec {
	return r3.Add(p.turn.MulVecTrans(v), p.shift)
}

// then returns the map that does p and then q.
func (p placing) then(q placing) placing {
	turn := r3.NewMat(nil)
	turn.Mul(p.turn, q.turn)
	return placing{turn: turn, shift: q.apply(p.shift)}
}

// mirrors reports whether p turns right hands into left ones. The sign of the
// volume must not change (section 3.3), so the triangles are turned round.
func (p placing) mirrors() bool { return p.turn.Det() < 0 }

// parsePlacing reads a transform attribute, "m00 m01 m02 m10 … m32", with
// the last three in units of factor mm; why says what is wrong with it.
func parsePlacing(s string, factor float64) (p placing, why string) {
	fields := strings.Fields(s)
	if len(fields) != 12 {
		return p, "has " + strconv.Itoa(len(fields)) + " numbers, not 12"
	}
	var m [12]float64
	for i, field := range fields {
		x, ok := decimal([]byte(field))
		if !ok {
			return p, "holds " + clipped(field) + ", which is no number that fits"
		}
		m[i] = x
	}
	p = placing{turn: r3.NewMat(m[:9]), shift: r3.Scale(factor, r3.Vec{X: m[9], Y: m[10], Z: m[11]})}
	if det := p.turn.Det(); det == 0 || math.IsNaN(det) {
		return p, "presses it flat"
	}
	return p, ""
}
