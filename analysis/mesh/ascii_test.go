package mesh

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/hschendel/stl"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

func TestASCIIOddities(t *testing.T) {
	box := cube(20, r3.Vec{X: -10, Y: -10})
	plain := asciiSTL(box, "lantern")
	half := len(box.T) / 2
	first, second := *box, *box
	first.T, second.T = box.T[:half], box.T[half:]
	twoSolids := asciiSTL(&first, "a") + "\n" + asciiSTL(&second, "b")
	replaced := func(pairs ...string) string { return strings.NewReplacer(pairs...).Replace(plain) }
	for name, c := range map[string]struct{ data, remark string }{
		"plain":                      {plain, ""},
		"CR LF":                      {replaced("\n", "\r\n"), ""},
		"CR only":                    {replaced("\n", "\r"), ""},
		"upper case":                 {strings.ToUpper(plain), ""},
		"mixed case":                 {replaced("facet", "Facet", "vertex", "VerTex", "solid", "SOLID"), ""},
		"tabs":                       {replaced("  ", "\t", " ", "\t"), ""},
		"leading blanks":             {"\n \t\r\n" + plain, ""},
		"byte order mark":            {"\xef\xbb\xbf" + plain, ""},
		"no names":                   {replaced(" lantern", ""), ""},
		"blank behind solid":         {replaced(" lantern", " "), ""},
		"no last line end":           {strings.TrimSpace(plain), ""},
		"all on one line":            {strings.Join(strings.Fields(plain), " "), ""},
		"one line, no name":          {strings.ReplaceAll(strings.Join(strings.Fields(plain), " "), " lantern", ""), ""},
		"a word a line":              {strings.Join(strings.Fields(replaced(" lantern", "")), "\n"), ""},
		"no solid line":              {plain[strings.Index(plain, "facet"):], ""},
		"names with keywords":        {replaced("lantern", "facet of a solid endsolid, endfacet vertex 1 2"), ""},
		"name not UTF-8":             {replaced("lantern", "caf\xe9 \xff"), ""},
		"name with a million words":  {replaced("lantern", strings.Repeat("long ", 1_000_000)), ""},
		"name of a million letters":  {replaced("lantern", strings.Repeat("x", 1_000_000)), ""},
		"blank lines":                {replaced("\n", strings.Repeat("\n", 2000)), ""},
		"no normals":                 {replaced(" normal 0.000000e+00 0.000000e+00 1.000000e+00", ""), ""},
		"normal without numbers":     {replaced(" 0.000000e+00 0.000000e+00 1.000000e+00", ""), ""},
		"NaN normals":                {replaced("normal 0.000000e+00 0.000000e+00 1.000000e+00", "normal nan -nan(ind) inf"), ""},
		"plain decimals":             {replaced("e+00", "", "1.00000000e+01", "10", "2.00000000e+01", "+20."), ""},
		"capital exponents":          {replaced("e+01", "E1", "e+00", "E-0"), ""},
		"several solids":             {twoSolids, "several-solids"},
		"several solids on one line": {strings.Join(strings.Fields(twoSolids), " "), ""},
		"text behind the end":        {plain + "made by hand\n", "trailing-bytes"},
		"text between solids":        {strings.Replace(twoSolids, "endsolid a\n", "endsolid a\n# half way\n", 1), "several-solids trailing-bytes"},
		"end of file mark of DOS":    {plain + "\x1a", "trailing-bytes"},
	} {
		t.Run(name, func(t *testing.T) {
			l, err := loadBytes(t, "a.stl", []byte(c.data))
			require.NoError(t, err)
			require.Equal(t, FormatSTLASCII, l.Format)
			require.Equal(t, 12, l.Mesh.Triangles())
			require.Equal(t, 8, l.Mesh.Vertices())
			near(t, "volume", l.Mesh.Volume(), 8000, 1e-15)
			var codes []string
			for _, r := range l.Remarks {
				codes = append(codes, r.Code)
			}
			if got := strings.Join(codes, " "); got != c.remark {
				t.Errorf("remarks %q, want %q", got, c.remark)
			}
		})
	}
}

func TestASCIIRefused(t *testing.T) {
	plain := asciiSTL(cube(20, r3.Vec{}), "lantern")
	line := func(n int) int { // offset of line n
		at := 0
		for range n - 1 {
			at += strings.IndexByte(plain[at:], '\n') + 1
		}
		return at
	}
	changed := func(n int, old, new string) string {
		return plain[:line(n)] + strings.Replace(plain[line(n):], old, new, 1)
	}
	for name, c := range map[string]struct {
		data       string
		place      string
		says       string
		unfinished bool
	}{
		"no facet":                {"solid a\nendsolid a\n", "line 1", "holds no triangles", false},
		"solid alone":             {"solid", "line 1", "before the end of the solid", true},
		"no endsolid":             {plain[:strings.Index(plain, "endsolid")], "line 86", "ends after 12 triangles", true},
		"cut in a word":           {plain[:line(5)+8], "line 5", "before vertex", true},
		"cut in a number":         {plain[:line(4)+25], "line 4", "before a coordinate", true},
		"cut in endsolid":         {plain[:line(86)+4], "line 86", "ends after 12 triangles, before facet or endsolid", true},
		"cut in a facet":          {plain[:line(40)], "line 40", "ends after 5 triangles", true},
		"cut behind vertex":       {plain[:line(12)+12], "line 12", "before a coordinate", true},
		"zeros behind":            {plain[:line(40)] + strings.Repeat("\x00", 4000), "line 40", "goes over into zeros", true},
		"zeros within a number":   {plain[:line(40)+14] + strings.Repeat("\x00", 4000), "line 40", "goes over into zeros", true},
		"nan":                     {changed(12, "0.00000000e+00", "nan"), "line 12", `"nan" is not a finite number`, false},
		"inf, CR":                 {strings.ReplaceAll(changed(12, "0.00000000e+00", "-Inf"), "\n", "\r"), "line 12", `"-Inf" is not a finite number`, false},
		"infinity, CR LF":         {strings.ReplaceAll(changed(12, "0.00000000e+00", "Infinity"), "\n", "\r\n"), "line 12", `"Infinity" is not a finite number`, false},
		"too large":               {changed(12, "0.00000000e+00", "1e39"), "line 12", `"1e39" is too large`, false},
		"far too large":           {changed(12, "0.00000000e+00", "-1e999999999999999999999"), "line 12", "is too large", false},
		"comma":                   {changed(13, "0.00000000e+00", "0,5"), "line 13", `"0,5" is not a number`, false},
		"hexadecimal":             {changed(13, "0.00000000e+00", "0x1p4"), "line 13", `"0x1p4" is not a number`, false},
		"underscore":              {changed(13, "0.00000000e+00", "1_000"), "line 13", `"1_000" is not a number`, false},
		"word for a number":       {changed(13, "0.00000000e+00", "\x1b[2Jzero"), "line 13", `"\x1b[2Jzero" is not a number`, false},
		"number of a million":     {changed(13, "0.00000000e+00", strings.Repeat("1", 1_000_000)), "line 13", `"111111111111111111111111"… is not a number`, false},
		"two coordinates":         {changed(13, " 0.00000000e+00", ""), "line 14", `"endloop" is not a number`, false},
		"four corners":            {changed(13, "    endloop", "      vertex 1 2 3\n    endloop"), "line 14", "more than three corners", false},
		"two corners":             {changed(12, plain[line(12):line(13)], ""), "line 13", `found "endloop" where vertex`, false},
		"no outer loop":           {changed(10, "    outer loop\n", ""), "line 10", `found "vertex" where outer`, false},
		"garbage between facets":  {changed(16, "  facet", "  fcaet"), "line 16", `found "fcaet" where facet or endsolid`, false},
		"endsolid within a facet": {changed(13, "vertex", "endsolid"), "line 13", `found "endsolid" where vertex`, false},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := loadBytes(t, "a.stl", []byte(c.data))
			var r *ReadError
			require.ErrorAs(t, err, &r)
			if r.Place != c.place || !strings.Contains(r.Cause, c.says) || r.Unfinished != c.unfinished || r.Remedy == "" {
				t.Errorf("got %#v\nwant %q, …%s…, unfinished %v", r, c.place, c.says, c.unfinished)
			}
		})
	}
}

// A file large enough for several goroutines gives the error that one alone
// finds, and is read where only the cuts between them are unlucky.
func TestASCIIPartsStumble(t *testing.T) {
	m := limb(100, 150)
	whole := asciiSTL(m, "limb")
	load := func(data string, workers int) (*Loaded, error) {
		return loadSource(t.Context(), sourceOf("a.stl", []byte(data)), Limits{Workers: workers}.orDefault())
	}
	middle := len(whole) / 2
	broken := whole[:middle] + strings.Replace(whole[middle:], "vertex ", "vertex x", 1)
	_, want := load(broken, 1)
	_, got := load(broken, 4)
	require.Error(t, want)
	require.Equal(t, want, got)

	// A name in the middle that looks like an end of a facet: the second
	// goroutine begins there and stumbles.
	at := strings.Index(whole[middle:], "  facet") + middle
	odd := whole[:at] + "endsolid\nsolid endfacet is a word\n" + whole[at:]
	shift := middle - at
	odd = strings.Repeat(" ", max(0, 2*shift)) + odd
	l, err := load(odd, 2)
	require.NoError(t, err)
	require.Equal(t, m.Triangles(), l.Mesh.Triangles())
}

// Four million line ends are no effort, and no recursion.
func TestBlankLines(t *testing.T) {
	blank := bytes.Repeat([]byte("\n"), 4_000_000)
	_, err := loadSource(t.Context(), sourceOf("a.stl", blank), Limits{}.orDefault())
	var r *ReadError
	require.ErrorAs(t, err, &r)
	require.Contains(t, r.Cause, "holds no triangles")

	data := append([]byte("solid a"), blank...)
	data = append(data, asciiSTL(tetra(1), "")[len("solid "):]...)
	l, err := loadSource(t.Context(), sourceOf("a.stl", data), Limits{}.orDefault())
	require.NoError(t, err)
	require.Equal(t, 4, l.Mesh.Triangles())
}

// Second route: what github.com/hschendel/stl reads of a text, in order, is
// what we read.
func TestASCIISecondRoute(t *testing.T) {
	data := asciiSTL(limb(10, 30), "limb")
	other, err := stl.ReadAll(strings.NewReader(data))
	require.NoError(t, err)
	l, err := loadBytes(t, "limb.stl", []byte(data))
	require.NoError(t, err)
	require.Equal(t, len(other.Triangles), l.Mesh.Triangles())
	for i, tri := range other.Triangles {
		for k, p := range tri.Vertices {
			v := l.Mesh.T[3*i+k]
			if got := (stl.Vec3{l.Mesh.X[v], l.Mesh.Y[v], l.Mesh.Z[v]}); got != p {
				t.Fatalf("triangle %d corner %d: got %v, want %v", i, k, got, p)
			}
		}
	}
}

// Second route: strconv reads numbers too. Halves between two float32, the
// ends of the range and numbers drawn at random come out the same bit for bit.
func TestNumber(t *testing.T) {
	words := []string{"0", "-0", "1", "+1", "1.", ".5", "-.5e1", "1e-46", "7e-46", "1.17549435e-38", "1.1754943e-38",
		"3.4028235e38", "3.4028236e38", "16777217", "16777219", "0.1", "1e22", "1e23", "123456789012345678901234567890",
		"36893488147419103233", "0000000000000000000000001.5", "9999999999999999999e-22", "1e-22", "0.0000000000000000000001",
		"0.000000000000000000000000000000000000000000001401298464324817", "1.00000017881393421514957253748434595763683319091796875001"}
	random := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		x := math.Float32frombits(random.Uint32())
		if x-x != 0 {
			continue
		}
		half := (float64(x) + float64(math.Nextafter32(x, 0))) / 2
		words = append(words, strconv.FormatFloat(float64(x), 'e', random.IntN(12), 64),
			strconv.FormatFloat(half, 'g', -1, 64), strconv.FormatFloat(random.NormFloat64()*300, 'f', random.IntN(9), 64))
	}
	for _, word := range words {
		want, err := strconv.ParseFloat(word, 32)
		if err != nil && !math.IsInf(want, 0) {
			t.Fatal(err)
		}
		got, ok := number([]byte(word))
		if !ok || math.Float32bits(got) != math.Float32bits(float32(want)) {
			t.Errorf("%s: got %v %v, want %v", word, got, ok, want)
		}
	}
	for _, word := range []string{"", "-", ".", "e5", "1e", "1e+", "1f", "--1", "1.2.3", "0x10", "1_0", "nan", "inf", "1e5.5", "٣"} {
		if v, ok := number([]byte(word)); ok {
			t.Errorf("%q: got %v, want no number", word, v)
		}
	}
}

// What is read at once is what strconv reads, of numbers as C prints them and of
// such with a character changed, cut off or in between; nothing else is taken.
func TestScientificIsTheNearest(t *testing.T) {
	random := rand.New(rand.NewPCG(61, 20261129))
	const characters = "0123456789.eE+- \n\x00x/:"
	taken := 0
	for range 300_000 {
		v := random.NormFloat64() * math.Pow(10, float64(random.IntN(30)-15))
		text := []byte(fmt.Sprintf([]string{"%e ", "%E\t", "%+e ", "%e 1.5", "%e\n  vertex"}[random.IntN(5)], v))
		switch at := random.IntN(len(text)); random.IntN(4) {
		case 0:
			text[at] = characters[random.IntN(len(characters))]
		case 1:
			text = text[:at]
		case 2:
			text = slices.Insert(text, at, characters[random.IntN(len(characters))])
		}
		got, length := scientificAt(text)
		if length == 0 {
			continue
		}
		taken++
		want, err := strconv.ParseFloat(string(text[:length]), 32)
		require.NoError(t, err, "%q", text)
		require.Equal(t, math.Float32bits(float32(want)), math.Float32bits(got), "%q", text)
		require.True(t, blank[text[length]], "%q", text)
	}
	require.Greater(t, taken, 40_000)
}

// asked counts how often a context is asked whether it is done.
type asked struct {
	context.Context
	times *atomic.Int64
}

func (a asked) Err() error { a.times.Add(1); return a.Context.Err() }

// A text is given up soon after it should be, also where all of its facets are read
// by one layout.
func TestTextIsGivenUp(t *testing.T) {
	facet := "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 10 0 0\nvertex 0 10 0\nendloop\nendfacet\n"
	path := filepath.Join(t.TempDir(), "plate.stl")
	const facets = 100_000
	require.NoError(t, os.WriteFile(path, []byte("solid plate\n"+strings.Repeat(facet, facets)+"endsolid plate\n"), 0o600))
	file, err := Open(path)
	require.NoError(t, err)
	defer file.Close()
	ctx := asked{t.Context(), &atomic.Int64{}}
	_, err = file.Load(ctx, Limits{Workers: 1})
	require.NoError(t, err)
	require.GreaterOrEqual(t, int(ctx.times.Load()), facets/stlChunk)
}
