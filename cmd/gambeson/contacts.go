package main

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"gambeson/analysis"
	"gambeson/analysis/assembly"
	"gambeson/analysis/mesh"
)

// contacts is what was found of pieces that touch, by their keys. Most pairs touch
// nowhere, and of most it is told by how their faces lie: those leave nothing here.
type contacts struct {
	met map[[2]digestOf]assembly.Contact // the lower key first
	// sided are the pieces of which it is known which of the others they may be put
	// together with, and whole those of which all contacts are known: what keeps two
	// apart counts only where one of them is a piece of a shell.
	sided, whole map[digestOf]bool

	sides  map[digestOf]*assembly.Sides // of pieces, as long as there is work
	rims   map[digestOf]*assembly.Rims  // of the last ones that were needed
	size   int                          // of all rims
	meshes meshes                       // of the last pieces of which the rims did not tell enough, likewise
}

// mostRims is how large all rims that are held at a time may be, in facets and
// points of borders: with the trees to search them about 70 bytes each, 35 MB.
const mostRims = 500_000

// rest lets go of all that can be read again.
func (p *pieces) rest() {
	p.contacts.sides, p.contacts.rims, p.contacts.size = nil, nil, 0
	p.contacts.meshes = meshes{}
}

func pairOf(a, b digestOf) [2]digestOf {
	if slices.Compare(a[:], b[:]) > 0 {
		a, b = b, a
	}
	return [2]digestOf{a, b}
}

// contactsOf returns the contacts that count between pieces, by their places in
// the list, in order.
func (f *folder) contactsOf(free []piece) []assembly.Contact {
	keys := make([]digestOf, len(free))
	places := map[digestOf][]int{}
	for i, p := range free {
		keys[i] = f.key(p)
		places[keys[i]] = append(places[keys[i]], i)
	}
	f.meetNew(free, places)
	regions := make([]*worn, len(free))
	unlike := func(i, j int) bool {
		for _, k := range []int{i, j} {
			if regions[k] == nil {
				regions[k] = f.wornAs(free[k])
			}
		}
		return regions[i].unlike(*regions[j])
	}
	var all []assembly.Contact
	touches := make([]bool, len(free))
	add := func(opposed bool) {
		for pair, c := range f.pieces.contacts.met {
			if c.Opposed() != opposed {
				continue
			}
			for _, i := range places[pair[0]] {
				for _, j := range places[pair[1]] {
					if i == j || pair[0] == pair[1] && i > j || opposed && !touches[i] && !touches[j] || unlike(i, j) {
						continue
					}
					c.A, c.B = min(i, j), max(i, j)
					all = append(all, c)
					if !opposed {
						touches[i], touches[j] = true, true
					}
				}
			}
		}
	}
	add(false)
	add(true)
	slices.SortFunc(all, func(a, b assembly.Contact) int { return cmp.Or(cmp.Compare(a.A, b.A), cmp.Compare(a.B, b.B)) })
	return all
}

// meetNew finds the contacts of the pieces that are new.
func (f *folder) meetNew(free []piece, places map[digestOf][]int) {
	c := &f.pieces.contacts
	c.forget(places)
	var known, fresh []keyed
	for key, at := range places {
		if p := (keyed{free[at[0]], key}); c.sided[key] {
			known = append(known, p)
		} else {
			fresh = append(fresh, p)
		}
	}
	if len(fresh) == 0 {
		return
	}
	defer func() { c.meshes = meshes{} }()
	slices.SortFunc(fresh, func(a, b keyed) int { return cmp.Compare(a.place.Name(), b.place.Name()) })
	var sides []*assembly.Sides // parallel to known
	for _, p := range known {
		sides = append(sides, f.sides(p))
	}
	for _, p := range fresh {
		own := f.sides(p)
		known, sides = append(known, p), append(sides, own)
		if own == nil {
			continue // another time
		}
		for i, other := range known {
			if sides[i] != nil && assembly.MayMeet(own, sides[i]) || c.whole[other.key] {
				f.meetPair(p, other)
			}
		}
		c.sided[p.key] = true
	}
	for pair, found := range maps.Clone(c.met) {
		for _, key := range pair {
			if found.Opposed() || c.whole[key] {
				continue
			}
			c.whole[key] = true
			for _, other := range known {
				f.meetPair(keyed{free[places[key][0]], key}, other)
			}
		}
	}
}

// keyed is a piece with its key.
type keyed struct {
	piece
	key digestOf
}

// forget forgets the pieces that are no longer there.
func (c *contacts) forget(places map[digestOf][]int) {
	if c.met == nil {
		c.met, c.sided, c.whole = map[[2]digestOf]assembly.Contact{}, map[digestOf]bool{}, map[digestOf]bool{}
	}
	gone := func(key digestOf) bool { return places[key] == nil }
	for _, keys := range []map[digestOf]bool{c.sided, c.whole} {
		maps.DeleteFunc(keys, func(key digestOf, _ bool) bool { return gone(key) })
	}
	maps.DeleteFunc(c.met, func(pair [2]digestOf, _ assembly.Contact) bool { return gone(pair[0]) || gone(pair[1]) })
}

// meetPair notes how two pieces touch, unless that is known.
func (f *folder) meetPair(a, b keyed) {
	pair := pairOf(a.key, b.key)
	if _, known := f.pieces.contacts.met[pair]; known {
		return
	}
	if c := f.meet(a, b); c != (assembly.Contact{}) {
		f.pieces.contacts.met[pair] = c
	}
}

// meet says how two pieces touch, in the units that suit.toml names.
func (f *folder) meet(a, b keyed) assembly.Contact {
	one, other := f.rims(a), f.rims(b)
	if one == nil || other == nil {
		return assembly.Contact{}
	}
	c, touch := assembly.Touch(one, other)
	if !touch || c.Rivals || !one.Closed() || !other.Closed() {
		return c
	}
	clash, ok := f.clash(a, b)
	if !ok {
		return assembly.Contact{} // another time
	}
	c.Clash = clash
	return c
}

// clash reports whether two pieces have room in common. ok is false where one of
// the files is no longer what it was.
func (f *folder) clash(a, b keyed) (clash, ok bool) {
	one, other := f.drawn(a), f.drawn(b)
	if one == nil || other == nil {
		return false, false
	}
	return assembly.ShareSpace(one, other), true
}

// drawn returns the mesh of a piece in the unit that suit.toml names, nil where the
// file is no longer what it was. It is not to be changed.
func (f *folder) drawn(p keyed) *mesh.Mesh {
	c := &f.pieces.contacts
	if m := c.meshes.of(p.key); m != nil {
		return m
	}
	l := f.held.loaded
	if l == nil || f.held.sum != p.sum || p.place.Member != "" {
		var ok bool
		if l, ok = reread(f, p.piece, func(ctx context.Context, file *mesh.File) (*mesh.Loaded, error) {
			return load(ctx, file, p.place.Member)
		}); !ok {
			return nil
		}
	}
	m := analysis.InMillimetres(l, f.unit(p.piece))
	c.meshes.add(p.key, m)
	return m
}

// rims returns the rims of a piece in the unit that suit.toml names, nil where the
// file is no longer what it was.
func (f *folder) rims(p keyed) *assembly.Rims {
	c := &f.pieces.contacts
	if r, known := c.rims[p.key]; known {
		return r
	}
	r := f.readRims(p.piece)
	if r != nil {
		r = p.drawn(r, f.unit(p.piece))
	}
	if r == nil {
		return nil
	}
	size := r.Size()
	if c.rims == nil || c.size+size > mostRims {
		c.rims, c.size = map[digestOf]*assembly.Rims{}, 0
	}
	c.rims[p.key] = r
	c.size += size
	return r
}

// sides returns the sides of a piece, likewise. They are not to be changed.
func (f *folder) sides(p keyed) *assembly.Sides {
	c := &f.pieces.contacts
	if s, known := c.sides[p.key]; known {
		return s
	}
	if c.sides == nil {
		c.sides = map[digestOf]*assembly.Sides{}
	}
	r := f.rims(p)
	if r == nil {
		return nil
	}
	s := r.Sides(1)
	c.sides[p.key] = &s
	return &s
}

// worn is where a part is worn, as suit.toml says, or else its name.
type worn struct{ region, side string }

func (f *folder) wornAs(p piece) *worn {
	region, side := f.region(p)
	return &worn{region, side}
}

// unlike reports whether two parts are worn in different places: where a thigh
// was drawn to meet a greave, or a left boot lies beside a right one, they are
// no pieces of one shell.
func (w worn) unlike(o worn) bool {
	return w.region != "" && o.region != "" && w.region != o.region || w.side != "" && o.side != "" && w.side != o.side
}
