package mesh

import (
	"slices"
	"strings"
	"unicode"

	"gonum.org/v1/gonum/spatial/r3"
)

// Object is what a file names as a thing of its own: an object of a 3MF package (3MF
// Core Specification 1.4.0, section 4.1, the name attribute), or an object or group of
// an OBJ file (the statements o and g).
type Object struct {
	Name string
	Box  r3.Box // as Loaded.Mesh has it: parts of its mesh need not be welded to others
}

const (
	mostObjects = 64 // that are told apart: more are pieces of a drawing, not of a suit (a guess)
	longestName = 60 // letters of a name that are kept
)

// objects gathers named objects, in the order in which they come.
type objects struct {
	all []Object
	at  int // of the one that is being read, -1 where that has no name
}

// begin says that what follows belongs to the object of a name, "" for none.
func (o *objects) begin(name string) {
	name = objectName(name)
	o.at = -1
	if name == "" || len(o.all) > mostObjects {
		return
	}
	if o.at = slices.IndexFunc(o.all, func(b Object) bool { return b.Name == name }); o.at < 0 {
		o.at = len(o.all)
		o.all = append(o.all, Object{Name: name, Box: emptyBox})
	}
}

// take adds a corner to what is being read.
func (o *objects) take(p r3.Vec) {
	if o.at < 0 {
		return
	}
	b := &o.all[o.at].Box
	b.Min = r3.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y), Z: min(b.Min.Z, p.Z)}
	b.Max = r3.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y), Z: max(b.Max.Z, p.Z)}
}

// found returns the objects that hold anything; none where there are too many.
func (o *objects) found() []Object {
	all := slices.DeleteFunc(slices.Clone(o.all), func(b Object) bool { return b.Box == emptyBox })
	if len(all) > mostObjects {
		return nil
	}
	return all
}

// emptyBox holds nothing yet.
var emptyBox = r3.Box{Min: r3.Vec{X: far, Y: far, Z: far}, Max: r3.Vec{X: -far, Y: -far, Z: -far}}

const far = 1e300

// objectName is a name of a file as it can be said: one line, not too long, "" for what
// programs write where nobody gave one.
func objectName(name string) string {
	name = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(name, " "))
	name = strings.Join(strings.Fields(name), " ")
	if letters := []rune(name); len(letters) > longestName {
		name = string(letters[:longestName-1]) + "…"
	}
	switch strings.ToLower(name) {
	case "default", "(null)", "null", "off", "none": // of groups of OBJ, as programs write them
		return ""
	}
	return name
}
