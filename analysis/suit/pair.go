package suit

import (
	"cmp"
	"math"
	"path"
	"slices"
	"strings"
	"unicode"

	"gambeson/analysis"
	"gambeson/analysis/likeness"
)

// Pair is the left and the right part of one thing. They get one size, and so one scale
// where their files are drawn alike, as the pieces of one shell do; unless the two sides
// of the body were measured to differ by more than one size serves.
type Pair struct {
	Left, Right string
	By          Sign
	// Ratio is the size of the right file over that of the left, 0 where their
	// shapes cannot be compared: where it is not 1, each file has its own scale for
	// one size.
	Ratio float64
	// Copied says that both have one shape, which is not its own mirror image: one of
	// them is made for the other side.
	Copied bool
	// Apart is where the two sides of the body differ so much that no one size serves
	// both, nil where one does: each part has its own then.
	Apart *Apart
	// Unlike says that the files are drawn so unlike that their scales tell no one size,
	// and that each keeps its own: see strangers.
	Unlike bool
}

// Apart is a girth that was measured on both sides of the body, mm.
type Apart struct {
	Measure     string
	Left, Right float64
}

// Sign is what a pair was told by.
type Sign string

// The signs, in the order in which they are looked for.
const (
	ByName  Sign = "name"  // called alike but for the side
	BySide  Sign = "side"  // the only left and the only right part of a region, and alike in kind
	ByShape Sign = "shape" // one is the mirror image or a copy of the other
)

// pair finds the pairs, by name first, and makes the units.
func (j *judge) pair() {
	paired := make([]bool, len(j.Parts))
	for i := range j.Parts {
		j.unitOf, j.drawn = append(j.unitOf, i), append(j.drawn, 1)
	}
	join := func(l, r int, by Sign) {
		if j.Parts[l].Region.Side == "right" || j.Parts[r].Region.Side == "left" {
			l, r = r, l
		}
		paired[l], paired[r] = true, true
		size := ratio(j.findings[l], j.findings[r])
		j.Pairs = append(j.Pairs, Pair{Left: j.Parts[l].Name, Right: j.Parts[r].Name, By: by, Ratio: size,
			Copied: j.opposite(l, r) && copied(j.findings[l], j.findings[r])})
		if size > 0 && math.Abs(size-1) > alike {
			j.drawn[r] = j.drawn[l] * size
		}
		j.stretchAlike(l, r, size)
		if apart := j.apart(l, r); apart != nil {
			j.Pairs[len(j.Pairs)-1].Apart = apart
			return
		}
		if size == 0 && j.strangers(l, r) {
			j.Pairs[len(j.Pairs)-1].Unlike = true
			return
		}
		j.unite(l, r)
	}
	for _, told := range []struct {
		by     Sign
		among  func(a int) []int // which come into question for a part, in order
		paired func(a, b int) bool
	}{{ByName, j.namesakes(), j.opposite}, {BySide, j.fellows(), j.counterparts}, {ByShape, j.ofArea(), j.twins}} {
		for a := range j.Parts {
			if paired[a] {
				continue
			}
			for _, b := range told.among(a) {
				if b > a && !paired[b] && told.paired(a, b) {
					join(a, b, told.by)
					break
				}
			}
		}
	}
	j.assemble()
	j.gather()
}

// stretchesDiffer is how far the scales of two files of one shape that are to be
// stretched may differ, as a share, for both to fit at what lies between: each was proved
// in the middle of a range at least twice as wide (see analysis.Answer).
const stretchesDiffer = 0.015

// stretchAlike gives the two sides of a pair, of which the right file is so many times as
// large as the left, one size where both are to be stretched: the girth between theirs,
// and the length that is enough, or not too much, for both.
func (j *judge) stretchAlike(l, r int, size float64) {
	left, right := j.Parts[l].Stretch, j.Parts[r].Stretch
	if left == nil || right == nil || size == 0 {
		return
	}
	girths, lengths := [2]float64{left.Girth, right.Girth * size}, [2]float64{left.Length, right.Length * size}
	if math.Abs(girths[0]/girths[1]-1) > stretchesDiffer || math.Abs(lengths[0]/lengths[1]-1) > stretchesDiffer {
		return
	}
	girth, length := (girths[0]+girths[1])/2, max(lengths[0], lengths[1])
	if length < girth { // it is that as the part is too long else
		length = min(lengths[0], lengths[1])
	}
	fits := left.Fits && right.Fits
	j.Parts[l].Stretch = left.Set(girth, length, fits)
	j.Parts[r].Stretch = right.Set(girth/size, length/size, fits)
	chance := min(left.Chance, right.Chance)
	j.Parts[l].Stretch.Chance, j.Parts[r].Stretch.Chance = chance, chance
}

// assemble unites the pieces of each shell.
func (j *judge) assemble() {
	for i, f := range j.findings {
		if f.Assembly == nil {
			continue
		}
		for _, mate := range f.Assembly.Mates {
			if k := j.index(mate); k >= 0 {
				j.unite(i, k)
			}
		}
	}
}

// unite makes one unit of those of two parts.
func (j *judge) unite(a, b int) {
	from, to := j.unitOf[a], j.unitOf[b]
	for i, u := range j.unitOf {
		if u == from {
			j.unitOf[i] = to
		}
	}
}

// gather lists the units in the order of their first parts.
func (j *judge) gather() {
	at := map[int]int{}
	for i, u := range j.unitOf {
		k, seen := at[u]
		if !seen {
			k = len(j.units)
			at[u] = k
			j.units = append(j.units, unit{})
		}
		j.unitOf[i] = k
		j.units[k].parts = append(j.units[k].parts, i)
	}
	for i := range j.Pairs { // another piece of their shells holds them together
		p := &j.Pairs[i]
		if p.Apart == nil {
			continue
		}
		l, r := j.index(p.Left), j.index(p.Right)
		if j.unitOf[l] == j.unitOf[r] {
			p.Apart = nil
			continue
		}
		j.otherSize[l], j.otherSize[r] = r, l
	}
	for i := range j.units {
		j.unsettle(j.units[i])
		j.meet(&j.units[i])
	}
}

// unsettle has all parts of a unit wait until what was tried on of one is settled: they
// get one size.
func (j *judge) unsettle(u unit) {
	if slices.ContainsFunc(u.parts, func(i int) bool { return j.Parts[i].Odd }) {
		for _, i := range u.parts {
			j.Parts[i].Odd = true
		}
	}
}

// meet sets the span that all parts of a unit share.
func (j *judge) meet(u *unit) {
	for _, i := range u.parts {
		r := j.Parts[i].Range
		switch {
		case r == nil || j.Parts[i].Stretch != nil:
		case u.known:
			u.span = u.span.meet(r.span().times(j.drawn[i]))
		default:
			u.span, u.known = r.span().times(j.drawn[i]), true
		}
	}
	for _, i := range u.parts { // what is printed stays, and the rest of it goes with it
		if at := j.Parts[i].Printed * j.drawn[i]; at > 0 && u.known && u.span.holds(at) {
			u.span.lo, u.span.hi, u.span.want = at, at, at
			break
		}
	}
}

// opposite reports whether two parts cover the two sides of one region.
func (j *judge) opposite(a, b int) bool {
	p, q := j.Parts[a].Region, j.Parts[b].Region
	return p.Name != "" && p.Name == q.Name && p.Side != "" && q.Side != "" && p.Side != q.Side
}

// namesakes returns the parts that are called as one is, but for the side, and
// cover the same region: of a suit of thousands not each is held to each.
func (j *judge) namesakes() func(a int) []int {
	called := func(i int) [2]string {
		return [2]string{j.Parts[i].Region.Name, strings.Join(sideless(j.Parts[i].Name), " ")}
	}
	of := map[[2]string][]int{}
	for i := range j.Parts {
		of[called(i)] = append(of[called(i)], i)
	}
	return func(a int) []int { return of[called(a)] }
}

// oneThing is how much more surface one of two parts has, as a factor, that are still taken
// for the two sides of one thing though neither name nor shape says so (a guess).
const oneThing = 1.75

// counterparts reports whether two parts of opposite sides look like one thing: both go round
// the body, or both lie on it, and one is no small piece of what the other is.
func (j *judge) counterparts(a, b int) bool {
	l, r := j.findings[a], j.findings[b]
	if !j.opposite(a, b) || l.OnlyCovers() != r.OnlyCovers() {
		return false
	}
	return l.Mesh == nil || r.Mesh == nil || max(l.Mesh.Area, r.Mesh.Area) <= oneThing*min(l.Mesh.Area, r.Mesh.Area)
}

// fellows returns the parts of one's region where they are the only two.
func (j *judge) fellows() func(a int) []int {
	of := map[string][]int{}
	for i, p := range j.Parts {
		of[p.Region.Name] = append(of[p.Region.Name], i)
	}
	return func(a int) []int {
		if both := of[j.Parts[a].Region.Name]; len(both) == 2 {
			return both
		}
		return nil
	}
}

// ofArea returns the parts whose area is as one's.
func (j *judge) ofArea() func(a int) []int {
	var order []int // by area
	for i, f := range j.findings {
		if f.Mesh != nil {
			order = append(order, i)
		}
	}
	area := func(i int) float64 { return j.findings[i].Mesh.Area }
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(area(a), area(b)) })
	return func(a int) []int {
		if j.findings[a].Mesh == nil {
			return nil
		}
		least, most := area(a)*(1-3*alike), area(a)*(1+3*alike)
		from, _ := slices.BinarySearchFunc(order, least, func(i int, least float64) int { return cmp.Compare(area(i), least) })
		to, _ := slices.BinarySearchFunc(order, most, func(i int, most float64) int {
			if area(i) <= most {
				return -1
			}
			return 1
		})
		near := slices.Clone(order[from:to])
		slices.Sort(near)
		return near
	}
}

// twins reports whether two parts of the same area are mirror images or copies of
// one another by their meshes, and nothing that is known of them speaks against a pair.
func (j *judge) twins(a, b int) bool {
	p, q := j.Parts[a].Region, j.Parts[b].Region
	if p.Name != "" && q.Name != "" && p.Name != q.Name || p.Side != "" && p.Side == q.Side {
		return false
	}
	return math.Abs(ratio(j.findings[a], j.findings[b])-1) < alike
}

// Tokens of a file name that tell the side (common practice, no source).
var sideWords = []string{"left", "right", "l", "r", "lt", "rt", "lh", "rh"}

// sideless returns the words of a part's own name that do not tell the side.
func sideless(name string) []string {
	stem := strings.ToLower(spaced(strings.TrimSuffix(path.Base(name), path.Ext(name))))
	words := strings.FieldsFunc(stem, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return slices.DeleteFunc(words, func(w string) bool { return slices.Contains(sideWords, w) })
}

// spaced parts words that only a capital parts: "BootLeft" is "Boot Left".
func spaced(name string) string {
	var b strings.Builder
	before := ' '
	for _, r := range name {
		if unicode.IsUpper(r) && unicode.IsLower(before) {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
		before = r
	}
	return b.String()
}

// alike is how far the sizes of two meshes of one shape may differ, as a
// share: well above the rounding of coordinates in any file format (2⁻²⁴), well
// below what a maker would scale by.
const alike = 1e-4

// ratio returns the size of b's shape over a's where they are of one shape,
// however they lie, mirror images too; 0 where they are not.
func ratio(a, b *analysis.Findings) float64 {
	if a.Shape == nil || b.Shape == nil || a.Shape.Empty() || b.Shape.Empty() {
		return ratioOfMeshes(a.Mesh, b.Mesh)
	}
	r := likeness.Compare(*a.Shape, *b.Shape)
	switch r.Kind {
	case likeness.Same, likeness.Moved, likeness.Turned, likeness.Mirrored, likeness.Rescaled:
		return r.Percent / 100 // 0 where it differs by direction
	}
	return 0
}

// copied reports whether two parts have one shape, in whatever size, and that is not
// its own mirror image.
func copied(a, b *analysis.Findings) bool {
	if a.Shape == nil || b.Shape == nil || ratio(a, b) == 0 {
		return false
	}
	return likeness.Compare(*a.Shape, *b.Shape).Mirror == "" && a.Shape.Handed()
}

// ratioOfMeshes compares what is known of every mesh: the number of triangles,
// the sides of the box, the area, the volume.
func ratioOfMeshes(p, q *analysis.Mesh) float64 {
	if p == nil || q == nil || p.Triangles != q.Triangles || p.Area <= 0 {
		return 0
	}
	r := math.Sqrt(q.Area / p.Area)
	sides, others := sortedSides(p.Bounds), sortedSides(q.Bounds)
	for k := range sides {
		if math.Abs(others[k]-r*sides[k]) > alike*r*sides[2] {
			return 0
		}
	}
	// The volume of an open mesh depends on where it lies.
	if p.Closed && q.Closed && math.Abs(math.Abs(q.Volume)-r*r*r*math.Abs(p.Volume)) > 3*alike*r*r*r*math.Abs(p.Volume) {
		return 0
	}
	return r
}

func sortedSides(bounds [3]float64) []float64 {
	sides := bounds[:]
	slices.Sort(sides)
	return sides
}
