package mesh

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// Names are those of the name attribute (3MF Core Specification 1.4.0, section 4.1: "a
// name for the object"); an object without one in a composition has that of the whole. A
// box is where the object is built.
func TestObjectsOf3MF(t *testing.T) {
	box := func(x float64) r3.Box { return r3.Box{Min: r3.Vec{X: x}, Max: r3.Vec{X: x + 1, Y: 2, Z: 3}} }
	for name, c := range map[string]struct {
		resources, build string
		want             []Object
	}{
		"two": {tetraObject(1, `name="left"`) + tetraObject(2, `name="right &amp; up"`), item(1, "") + item(2, "1 0 0 0 1 0 0 0 1 30 0 0"),
			[]Object{{"left", box(0)}, {"right & up", box(30)}}},
		"none has a name":    {tetraObject(1, "") + tetraObject(2, `name="  "`), item(1, "") + item(2, ""), nil},
		"one twice":          {tetraObject(1, `name="a"`), item(1, "") + item(1, "1 0 0 0 1 0 0 0 1 30 0 0"), []Object{{"a", r3.Box{Max: r3.Vec{X: 31, Y: 2, Z: 3}}}}},
		"what is not built":  {tetraObject(1, `name="a"`) + tetraObject(2, `name="b"`), item(2, ""), []Object{{"b", box(0)}}},
		"of a composition":   {tetraObject(1, "") + `<object id="3" name="greave"><components><component objectid="1"/></components></object>`, item(3, ""), []Object{{"greave", box(0)}}},
		"named in one":       {tetraObject(1, `name="strap"`) + `<object id="3" name="greave"><components><component objectid="1"/></components></object>`, item(3, ""), []Object{{"strap", box(0)}}},
		"supports left out":  {tetraObject(1, `name="a"`) + tetraObject(2, `name="b" type="support"`), item(1, "") + item(2, ""), []Object{{"a", box(0)}}},
		"line ends in it":    {tetraObject(1, "name=\"a&#10;\tb\""), item(1, ""), []Object{{"a b", box(0)}}},
		"longer than a line": {tetraObject(1, `name="`+strings.Repeat("ä", 300)+`"`), item(1, ""), []Object{{strings.Repeat("ä", 59) + "…", box(0)}}},
	} {
		loaded, err := read3MF(t, pack3MF(t, wrap("", c.resources, c.build)))
		require.NoError(t, err, name)
		require.Equal(t, c.want, loaded.Objects, name)
	}
}

// The statements o and g of OBJ: objects count where there are two or more, else groups
// where those are more. What has a name that programs write where there is none has none.
func TestObjectsOfOBJ(t *testing.T) {
	const corners = "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 5 0 0\nv 6 0 0\nv 5 1 4\n"
	one, two := r3.Box{Max: r3.Vec{X: 1, Y: 1}}, r3.Box{Min: r3.Vec{X: 5}, Max: r3.Vec{X: 6, Y: 1, Z: 4}}
	for text, want := range map[string][]Object{
		"o a\nf 1 2 3\no b\nf 4 5 6\n":                      {{"a", one}, {"b", two}},
		"g a\nf 1 2 3\ng b\nf 4 5 6\n":                      {{"a", one}, {"b", two}},
		"o a\ng x\nf 1 2 3\no b\ng y\nf 4 5 6\n":            {{"a", one}, {"b", two}},
		"o all\ng x\nf 1 2 3\ng y\nf 4 5 6\n":               {{"x", one}, {"y", two}},
		"g default\nf 1 2 3\ng (null)\nf 4 5 6\n":           nil,
		"f 1 2 3\nf 4 5 6\n":                                nil,
		"o a\no left shin \r\nf 1 2 3\no b\n":               {{"left shin", one}},
		"o a\nf 1 2 3\no b\nf 4 5 6\no a\nf 1 3 2\n":        {{"a", one}, {"b", two}},
		"o a\nf 1 2 3\no\nf 4 5 6\n":                        {{"a", one}},
		strings.Repeat("o x\nf 1 2 3\n", 100):               {{"x", one}},
		"g a b\nf 1 2 3\n" + manyGroups(mostObjects) + "\n": nil,
	} {
		loaded, err := readOBJ(t, corners+text)
		require.NoError(t, err, text)
		require.Equal(t, want, loaded.Objects, text)
	}
}

// manyGroups are so many groups with a face each.
func manyGroups(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString("g part" + strconv.Itoa(i) + "\nf 1 2 3\n")
	}
	return b.String()
}
