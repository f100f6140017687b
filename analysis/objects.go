package analysis

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"gambeson/analysis/fit/guess"
	"gambeson/analysis/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// mostObjectsNamed is how many objects of one part a note names (a guess).
const mostObjectsNamed = 6

// named reports whether a note names the objects of the file.
func (f *Findings) named() bool { return len(f.Objects) > 1 && len(f.Objects) <= mostObjectsNamed }

// noteObjects names the objects of a file that is taken for one part.
func (f *Findings) noteObjects() {
	if n := len(f.Objects); f.named() && len(f.Singles) == 0 && !f.Says("parts-joined") {
		f.note("objects-named", fmt.Sprintf("The file names %d objects, %s; they are taken as one part.", n, listed(quoted(f.Objects))))
	}
}

// Object is what the file names as a thing of its own: an object of a 3MF package, an
// object or a group of an OBJ file.
type Object struct {
	Name string     `json:"name"`
	Low  [3]float64 `json:"low_mm"` // where it lies in the file
	High [3]float64 `json:"high_mm"`
	// Region and Side are what its name says that it covers, "" where it says nothing.
	Region string `json:"region,omitempty"`
	Side   string `json:"side,omitempty"`
}

// box is where the object lies.
func (o Object) box() r3.Box { return r3.Box{Min: vec(o.Low), Max: vec(o.High)} }

// nameObjects notes the named objects of a file, with what their names say.
func (f *Findings) nameObjects(l *mesh.Loaded, scale float64) {
	for _, o := range l.Objects {
		region, side, _, _ := guess.FromName(oneName(o.Name))
		f.Objects = append(f.Objects, Object{
			Name: o.Name, Low: triple(r3.Scale(scale, o.Box.Min)), High: triple(r3.Scale(scale, o.Box.Max)), Region: region, Side: side,
		})
	}
}

// oneName is the name of an object as that of a file, in no folder.
func oneName(name string) string { return strings.ReplaceAll(name, "/", " ") }

// regionOfObjects and sideOfObjects are what all objects cover, and the side of all, as
// far as their names say so; "" where none does or they differ.
func (f *Findings) regionOfObjects() (string, Object) {
	return one(f.Objects, func(o Object) string { return o.Region })
}

func (f *Findings) sideOfObjects() (string, Object) {
	return one(f.Objects, func(o Object) string { return o.Side })
}

// one returns what all objects that say something say, and the first of them.
func one(all []Object, of func(Object) string) (said string, by Object) {
	for _, o := range all {
		switch s := of(o); {
		case s == "" || s == said:
		case said == "":
			said, by = s, o
		default:
			return "", Object{}
		}
	}
	return said, by
}

// fromNames is guess.FromName of the part, for which the names of the objects in the file
// count where its own says nothing, before those of its folders.
func (f *Findings) fromNames(part string) (region, side, reason string, ok bool) {
	own, ownSide, ownReason, ownOK := guess.FromName(path.Base(part))
	region, side, reason, ok = guess.FromName(part)
	_, detail := guess.Detail(path.Base(part))
	inside, by := f.regionOfObjects()
	insideSide, sideBy := f.sideOfObjects()
	if inside != "" && !ownOK && !detail && !strings.Contains(ownReason, " says both ") {
		region, ok, reason = inside, true, fmt.Sprintf("the object in the file is called %q", by.Name)
		if ownSide != "" && guess.HasSides(region) {
			reason += " and " + ownReason
		}
	}
	if !guess.HasSides(region) {
		return region, "", reason, ok
	}
	if insideSide != "" && ownSide == "" && !strings.Contains(ownReason, " both ") {
		if side != insideSide || own == "" {
			side = insideSide
		}
		if said := fmt.Sprintf("the object in the file is called %q", sideBy.Name); !strings.Contains(reason, said) {
			reason = strings.TrimPrefix(reason+" and "+said, " and ")
		}
	} else if ownSide != "" {
		side = ownSide
	}
	return region, side, reason, ok
}

// noteNames says where the names of objects speak against what the part was taken for.
func (f *Findings) noteNames() {
	r := f.Region
	who := "the file's name"
	if r.Source == "config" {
		who = "suit.toml"
	}
	if region, by := f.regionOfObjects(); region != "" && r.Name != "" && region != r.Name {
		f.note("object-names", fmt.Sprintf("The object in the file is called %q, %s, but by %s it covers %s: that was taken. Write region = … in suit.toml if it is wrong.", by.Name, asked(region, ""), who, guess.Words(r.Name)))
		return
	}
	if side, by := f.sideOfObjects(); side != "" && r.Side != "" && side != r.Side {
		who = "suit.toml"
		if _, said, _, _ := guess.FromName(f.Part); said == r.Side {
			who = "the name of the file or of its folder"
		}
		f.note("object-names", fmt.Sprintf("The object in the file is called %q, which is the %s one, but by %s it is the %s one: that was taken. Write side = … in suit.toml if it is wrong.", by.Name, side, who, r.Side))
	}
}

// asked says a region and a side: "a left lower leg".
func asked(region, side string) string {
	switch {
	case region == "":
		return "the " + side + " one"
	case side != "":
		return "a " + side + " " + guess.Words(region)
	}
	return guess.WithArticle(region)
}

// tellByName tells apart the parts of a file whose names say that they are worn in
// different places, however they lie to each other. It reports whether there are any.
func (a *Answer) tellByName(drawn *mesh.Mesh) bool {
	f := &a.Findings
	worn := map[string][]Object{} // by what the name says
	for _, o := range f.Objects {
		if o.Region != "" {
			worn[o.Region+" "+o.Side] = append(worn[o.Region+" "+o.Side], o)
		}
	}
	if len(worn) < 2 || f.Region.Source == "config" || !differ(f.Objects) {
		return false
	}
	*f.Region = Region{Source: "unknown"} // no body is asked about: the answer would be of neither
	f.Warnings = slices.DeleteFunc(f.Warnings, func(w Warning) bool { return w.Code == "region-guessed" })
	said := slices.SortedFunc(maps.Values(worn), func(a, b []Object) int {
		return cmp.Compare(slices.IndexFunc(f.Objects, a[0].same), slices.IndexFunc(f.Objects, b[0].same))
	})
	var names []string
	for _, objects := range said {
		for _, o := range objects {
			names = append(names, fmt.Sprintf("%q (%s)", o.Name, asked(o.Region, o.Side)))
		}
	}
	meshes := byObject(drawn, said)
	if meshes == nil {
		f.warn("parts-joined", fmt.Sprintf("By the names of its objects the file holds %s parts of the suit: %s. They hang together, so what is said here mixes them. Export each to a file of its own.", spelled(len(said)), listed(names)))
		return true
	}
	for i, m := range meshes {
		object := said[i][0]
		name := fmt.Sprintf("%d-of-%d-%s", i+1, len(said), slug(object.Name))
		f.Singles = append(f.Singles, Single{File: "singles/" + name + ".stl", Bounds: triple(m.Bounds().Size()), Ways: f.waysIn(m.Bounds()), Object: object.Name})
		a.Singles = append(a.Singles, m)
	}
	text := fmt.Sprintf("By the names of its objects the file holds %s parts of the suit: %s. What is said here mixes them. Give each a file of its own; where they are one shell, write region = … for the file in suit.toml.", spelled(len(said)), listed(names))
	f.warn("parts-several", text)
	f.noteSwapped(f.Objects)
	return true
}

// differ reports whether all objects of which two are worn in different places lie beside
// or above each other: what lies in another is more likely a piece of it.
func differ(all []Object) bool {
	found := false
	for i, a := range all {
		for _, b := range all[:i] {
			if a.Region == "" || b.Region == "" || a.Region == b.Region && (a.Side == b.Side || a.Side == "" || b.Side == "") {
				continue
			}
			if inBoth(a.box(), b.box()) > sharedRoom {
				return false
			}
			found = true
		}
	}
	return found
}

// sharedRoom is the share of the smaller of two boxes that both may have where the parts
// in them are told apart: a greave may reach into what covers the knee (a guess).
const sharedRoom = 0.25

// inBoth is the share of the smaller of two boxes that lies in both.
func inBoth(a, b r3.Box) float64 {
	size := func(b r3.Box) float64 {
		s := b.Size()
		return max(s.X, 0) * max(s.Y, 0) * max(s.Z, 0)
	}
	both := r3.Box{
		Min: r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y), Z: min(a.Max.Z, b.Max.Z)},
	}
	if least := min(size(a), size(b)); least > 0 {
		return size(both) / least
	}
	return 0
}

// same reports whether two objects are one.
func (o Object) same(other Object) bool { return o.Name == other.Name }

// quoted lists the names of objects.
func quoted(all []Object) (names []string) {
	for _, o := range all {
		names = append(names, strconv.Quote(o.Name))
	}
	return names
}

// spelled is a small number.
func spelled(n int) string {
	if words := []string{"no", "one", "two", "three", "four", "five", "six"}; n < len(words) {
		return words[n]
	}
	return strconv.Itoa(n)
}

// slug is a name as that of a file: letters and digits, which no system minds.
func slug(name string) string {
	parts := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	s := strings.Join(parts, "-")
	if letters := []rune(s); len(letters) > 32 {
		s = strings.Trim(string(letters[:32]), "-")
	}
	if s == "" {
		return "part"
	}
	return s
}

// waysIn counts the ways that lie in a box.
func (f *Findings) waysIn(box r3.Box) (n int) {
	for _, c := range f.Cavities {
		for _, line := range c.Centrelines {
			if boxAround(line, []r3.Box{box}, f.Percent/100) == 0 {
				n++
			}
		}
	}
	return n
}

// byObject returns the mesh of each group of objects: each body goes to the smallest
// object that it lies in, or to the nearest, as a strap does whose name says nothing. It
// is nil where some group has no body, or two hang together.
func byObject(m *mesh.Mesh, groups [][]Object) []*mesh.Mesh {
	of, n := m.Bodies()
	boxes := make([]r3.Box, n)
	for i := range boxes {
		boxes[i] = r3.Box{Min: r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, Max: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}}
	}
	for t, body := range of {
		b := &boxes[body]
		x, y, z := m.Corners(t)
		for _, p := range []r3.Vec{x, y, z} {
			b.Min = r3.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y), Z: min(b.Min.Z, p.Z)}
			b.Max = r3.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y), Z: max(b.Max.Z, p.Z)}
		}
	}
	group := make([]int, n)
	for i, box := range boxes {
		outside, size := math.Inf(1), math.Inf(1)
		for g, objects := range groups {
			for _, o := range objects {
				its := o.box()
				out, volume := beyond(box, its), its.Size().X*its.Size().Y*its.Size().Z
				if out < outside-withinObject || out < outside+withinObject && volume < size {
					group[i], outside, size = g, out, volume
				}
			}
		}
		if outside > withinObject && boxSpans(box, groups) {
			return nil // two of them hang together
		}
	}
	var out []*mesh.Mesh
	for g := range groups {
		own := m.Only(func(t int) bool { return group[of[t]] == g })
		if own.Triangles() == 0 {
			return nil
		}
		out = append(out, own)
	}
	return out
}

// withinObject is by how much a body may reach out of its object, mm: welding moves
// corners by less (a guess).
const withinObject = 0.5

// beyond is how far a box reaches out of another, mm, 0 where it lies in it.
func beyond(b, in r3.Box) float64 {
	out := 0.0
	for _, d := range []float64{in.Min.X - b.Min.X, in.Min.Y - b.Min.Y, in.Min.Z - b.Min.Z, b.Max.X - in.Max.X, b.Max.Y - in.Max.Y, b.Max.Z - in.Max.Z} {
		out = max(out, d)
	}
	return out
}

// boxSpans reports whether a body reaches over objects of more than one group.
func boxSpans(b r3.Box, groups [][]Object) bool {
	n := 0
	for _, g := range groups {
		if slices.ContainsFunc(g, func(o Object) bool { return beyond(o.box(), b) <= withinObject }) {
			n++
		}
	}
	return n > 1
}

// noteSwapped says where parts that are named left and right lie the other way round
// than where the suit is drawn to stand: x to its left, as most programs show it from the
// front (common practice, no source).
func (f *Findings) noteSwapped(all []Object) {
	for _, left := range all {
		for _, right := range all {
			if left.Side == "left" && right.Side == "right" && left.Region == right.Region && left.box().Center().X < right.box().Center().X-withinObject {
				f.note("object-sides", fmt.Sprintf("%q lies where the right one is in a suit that looks at you from its file, and %q where the left one is: the names were believed. Look which is which before you print.", left.Name, right.Name))
			}
		}
	}
}

// objectsOf returns for each of some meshes the one object that it lies in, the smallest
// where it lies in several; nil where one lies in none or two in the same.
func (f *Findings) objectsOf(boxes []r3.Box) []Object {
	var out []Object
	for _, box := range boxes {
		best := -1
		for k, o := range f.Objects {
			if beyond(box, o.box()) <= withinObject && (best < 0 || beyond(f.Objects[best].box(), o.box()) > withinObject) {
				best = k
			}
		}
		if best < 0 || slices.ContainsFunc(out, f.Objects[best].same) {
			return nil
		}
		out = append(out, f.Objects[best])
	}
	return out
}
