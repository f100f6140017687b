package mesh

import (
	"bytes"
	"context"
	"io"
	"math"
	"strconv"
)

// loadOBJ reads the polygons of a Wavefront OBJ file, all objects and groups
// as one mesh. Normals, texture coordinates, materials, colours, lines and
// points have no shape and are passed over.
func loadOBJ(ctx context.Context, s *source, l Limits) (*Loaded, error) {
	r, err := s.reader()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	o := &objReader{lines: lineReader{r: r}, mesh: &Mesh{}, limits: l, objects: objects{at: -1}, groups: objects{at: -1}}
	err = o.read(ctx)
	if o.lines.past && o.lines.bytes < s.size {
		err = io.ErrUnexpectedEOF // it became shorter; nothing in an OBJ says where it ends
	}
	if err != nil {
		return nil, o.failed(s, err)
	}
	loaded, err := finish(ctx, o.mesh, FormatOBJ)
	if err != nil {
		return nil, err
	}
	loaded.Objects = o.objects.found()
	if groups := o.groups.found(); len(loaded.Objects) < 2 && len(groups) > len(loaded.Objects) {
		loaded.Objects = groups
	}
	if n := int64(o.short); n > 0 {
		loaded.remark("short-faces", plural(n, "face")+" with fewer than three corners left out")
	}
	if n := int64(o.crossed); n > 0 {
		loaded.remark("crossed-faces", plural(n, "face")+" whose outline crosses itself or has no area: cut into triangles as well as it goes")
	}
	return loaded, nil
}

// objReader collects the mesh of an OBJ file.
type objReader struct {
	lines   lineReader
	mesh    *Mesh
	limits  Limits
	joined  []byte   // a statement continued over several lines
	outline []uint32 // corners of the face being read
	polygon polygon
	short   int // faces with fewer than three corners
	crossed int // faces whose outline crosses itself or has no area
	wires   int // lines and points
	curves  int // free-form curves and surfaces
	objects objects
	groups  objects
}

// failed is the error of what read met: a ReadError of its own, or what the
// system or the archive said.
func (o *objReader) failed(s *source, err error) error {
	if err == context.Canceled || err == context.DeadlineExceeded {
		return err
	}
	return s.failed(o.lines.bytes, err)
}

func (o *objReader) read(ctx context.Context) error {
	for {
		line, err := o.lines.next()
		if err == io.EOF {
			return o.anything()
		}
		if err == nil && o.lines.number&0xfff == 0 {
			err = ctx.Err()
		}
		if err == nil {
			err = o.statement(line)
		}
		if err != nil {
			return err
		}
	}
}

// statement reads one line, and those that continue it.
func (o *objReader) statement(line []byte) error {
	if bytes.IndexByte(line, 0) >= 0 {
		return o.zeros()
	}
	word, rest := cutWord(line)
	if len(word) == 0 || word[0] == '#' {
		return nil
	}
	at := o.lines.number
	switch string(word) {
	case "v", "V", "f", "F", "fo":
	case "l", "p":
		o.wires++
		return nil
	case "o":
		o.objects.begin(string(rest))
		return nil
	case "g":
		o.groups.begin(string(rest))
		return nil
	case "curv", "surf":
		o.curves++
		return nil
	default:
		return nil
	}
	rest, err := o.continued(rest)
	if err != nil {
		return err
	}
	if word[0]|0x20 == 'v' {
		return o.vertex(at, rest)
	}
	return o.face(at, rest)
}

// continued returns the rest of a statement with the lines joined to it that
// follow a backslash at its end.
func (o *objReader) continued(rest []byte) ([]byte, error) {
	if len(rest) == 0 || rest[len(rest)-1] != '\\' {
		return rest, nil
	}
	o.joined = o.joined[:0]
	for len(rest) > 0 && rest[len(rest)-1] == '\\' {
		o.joined = append(append(o.joined, rest[:len(rest)-1]...), ' ')
		if len(o.joined) > longestLine {
			return nil, o.fault(o.lines.number, "a line is continued over more than "+thousands(longestLine)+" bytes")
		}
		var err error
		if rest, err = o.lines.next(); err == io.EOF {
			return o.joined, nil
		} else if err != nil {
			return nil, err
		}
	}
	o.joined = append(o.joined, rest...)
	return o.joined, nil
}

// vertex reads "x y z", and lets a weight or a colour behind them be.
func (o *objReader) vertex(at int, rest []byte) error {
	var p [3]float32
	for k := range p {
		var word []byte
		if word, rest = cutWord(rest); len(word) == 0 {
			return o.fault(at, "a vertex has "+plural(int64(k), "coordinate")+", not three")
		}
		x, ok := number(word)
		if !ok || math.IsInf(float64(x), 0) {
			err := o.fault(at, "the coordinate "+clipped(string(word))+" of a vertex is no number that fits")
			if bytes.IndexByte(word, ',') > 0 && !err.Unfinished {
				err.Remedy = withAPoint
			}
			return err
		}
		p[k] = x
	}
	if o.mesh.Vertices() >= 3*o.limits.Triangles {
		return o.limits.tooManyVertices(lineOf(at))
	}
	m := o.mesh
	m.X, m.Y, m.Z = append(m.X, p[0]), append(m.Y, p[1]), append(m.Z, p[2])
	return nil
}

// tooManyVertices is the error of a mesh with more vertices than the corners
// of all the triangles that l allows.
func (l Limits) tooManyVertices(place string) error {
	return &ReadError{Place: place, Cause: "more than " + thousands(3*int64(l.Triangles)) + " vertices, which is more than are read",
		Remedy: "if it is a real part, export it with fewer triangles"}
}

// face reads the corners of a polygon and cuts it into triangles.
func (o *objReader) face(at int, rest []byte) error {
	o.outline = o.outline[:0]
	for {
		var word []byte
		if word, rest = cutWord(rest); len(word) == 0 {
			break
		}
		v, cause := o.corner(word)
		if cause != "" {
			return o.fault(at, cause)
		}
		if n := len(o.outline); n == 0 || o.outline[n-1] != v {
			o.outline = append(o.outline, v)
		}
	}
	if n := len(o.outline); n > 1 && o.outline[0] == o.outline[n-1] {
		o.outline = o.outline[:n-1]
	}
	if len(o.outline) < 3 {
		if o.lines.unended {
			return &ReadError{Place: lineOf(at), Cause: "the file ends within a face", Remedy: fetchAgain, Unfinished: true}
		}
		o.short++
		return nil
	}
	if o.mesh.Triangles()+len(o.outline)-2 > o.limits.Triangles {
		return o.limits.tooMany(lineOf(at), int64(o.mesh.Triangles()+len(o.outline)-2))
	}
	for _, v := range o.outline {
		p := o.mesh.At(v)
		o.objects.take(p)
		o.groups.take(p)
	}
	if !o.polygon.cut(o.mesh, o.outline) {
		o.crossed++
	}
	return nil
}

// corner reads "v", "v/vt", "v//vn" or "v/vt/vn": the vertex is counted from
// 1, or backwards from the last one where it is negative.
func (o *objReader) corner(word []byte) (v uint32, cause string) {
	index := word
	if slash := bytes.IndexByte(word, '/'); slash >= 0 {
		index = word[:slash]
	}
	n, err := strconv.Atoi(string(index))
	have := o.mesh.Vertices()
	switch {
	case err != nil:
		return 0, "the corner " + clipped(string(word)) + " of a face is no index"
	case n == 0:
		return 0, "a face has the corner 0, but vertices are counted from 1"
	case n > have, n < -have:
		return 0, "a face has the corner " + strconv.Itoa(n) + ", but the vertices before it are " + thousands(int64(have))
	case n < 0:
		return uint32(have + n), ""
	}
	return uint32(n - 1), ""
}

// anything refuses a file in which no face was found.
func (o *objReader) anything() error {
	switch vertices := int64(o.mesh.Vertices()); {
	case o.mesh.Triangles() > 0:
		return nil
	case o.curves > 0:
		return &ReadError{Cause: "holds curved surfaces, not polygons", Remedy: "export it with the surfaces made into polygons"}
	case o.wires > 0:
		return &ReadError{Cause: "holds lines and points but no faces: a wire, not a shell", Remedy: "export it with its faces"}
	case o.short > 0:
		return &ReadError{Cause: "none of its faces has three corners", Remedy: exportAgain}
	case vertices > 0:
		return &ReadError{Cause: "holds vertices (" + thousands(vertices) + ") but no faces: points, not a shell",
			Remedy: "export it with its faces", Unfinished: o.lines.unended}
	}
	return &ReadError{Cause: "holds neither vertices nor faces", Remedy: "export it again with the part selected"}
}

func (o *objReader) fault(at int, cause string) *ReadError {
	if o.lines.unended {
		return &ReadError{Place: lineOf(at), Cause: cause + ", and there the file ends", Remedy: fetchAgain, Unfinished: true}
	}
	return &ReadError{Place: lineOf(at), Cause: cause, Remedy: "the file is damaged or was exported wrongly: export it again"}
}

// zeros is the error of a file that goes over into zero bytes: room that was
// reserved for what has not come.
func (o *objReader) zeros() error {
	return &ReadError{Place: lineOf(o.lines.number), Cause: "here the text turns into zero bytes", Remedy: fetchAgain, Unfinished: true}
}

const fetchAgain = "wait for it to arrive whole, or download or export it again"

func lineOf(n int) string { return "line " + strconv.Itoa(n) }

// cutWord returns the first word of a line and what follows it.
func cutWord(line []byte) (word, rest []byte) {
	from := 0
	for from < len(line) && blank[line[from]] {
		from++
	}
	to := from
	for to < len(line) && !blank[line[to]] {
		to++
	}
	return line[from:to], line[to:]
}

// longestLine bounds a line of an OBJ file: a face of 100 000 corners.
const longestLine = 1 << 20

// lineReader parts a text into lines that end in LF, CR LF or CR.
type lineReader struct {
	r        io.Reader
	buf      []byte
	from, to int  // what of buf is still to be given out
	feed     int  // index in buf of the next LF at or behind from, or to where there is none
	past     bool // r is at its end
	afterCR  bool // the last line ended in CR: an LF that follows belongs to it

	number  int   // of the line last returned, from 1
	bytes   int64 // read so far
	unended bool  // the end of the file ended the line last returned
}

// next returns the next line without its end, valid until the next call.
func (s *lineReader) next() ([]byte, error) {
	if s.from == s.to {
		if err := s.fill(); err != nil {
			return nil, err
		}
	}
	if s.afterCR && s.buf[s.from] == '\n' {
		s.afterCR = false
		s.from++
		if s.from > s.feed {
			s.seek(s.from)
		}
		return s.next()
	}
	s.number++
	for {
		if n := bytes.IndexByte(s.buf[s.from:s.feed], '\r'); n >= 0 {
			s.afterCR = true
			return s.line(s.from+n, false), nil
		}
		if s.feed < s.to {
			s.afterCR = false
			return s.line(s.feed, false), nil
		}
		err := s.fill()
		if err == io.EOF {
			s.afterCR = false
			return s.line(s.to, true), nil
		}
		if err != nil {
			return nil, err
		}
	}
}

// line gives out buf up to end, and steps over the character there unless
// the file ends there.
func (s *lineReader) line(end int, unended bool) []byte {
	line := s.buf[s.from:end]
	s.from, s.unended = min(end+1, s.to), unended
	if s.from > s.feed {
		s.seek(s.from)
	}
	return line
}

// seek finds the next LF at or behind from. It is kept, or a file that ends
// its lines in CR would be searched to the end of the buffer for every line.
func (s *lineReader) seek(from int) {
	s.feed = s.to
	if n := bytes.IndexByte(s.buf[from:s.to], '\n'); n >= 0 {
		s.feed = from + n
	}
}

// fill reads more behind what is still to be given out.
func (s *lineReader) fill() error {
	if s.past {
		return io.EOF
	}
	if s.from > 0 {
		s.to = copy(s.buf, s.buf[s.from:s.to])
		s.from = 0
	}
	if s.to == len(s.buf) {
		if len(s.buf) > longestLine {
			return &ReadError{Place: lineOf(s.number), Cause: "a line is longer than " + thousands(longestLine) + " bytes", Remedy: exportAgain,
				Unfinished: bytes.IndexByte(s.buf, 0) >= 0} // zeros where text should come
		}
		s.buf = append(s.buf, make([]byte, max(len(s.buf), 64<<10))...)
	}
	for range 100 {
		n, err := s.r.Read(s.buf[s.to:])
		at := s.to
		s.to += n
		s.bytes += int64(n)
		s.past = err == io.EOF
		if n > 0 {
			s.seek(at)
			return nil
		}
		if err != nil {
			s.feed = s.to
			return err
		}
	}
	return io.ErrNoProgress
}
