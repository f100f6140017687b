package analysis

import (
	"slices"

	"gambeson/analysis/likeness"
)

// Relation says that a part of the suit is another one, copied, turned,
// mirrored or rescaled.
type Relation struct {
	Earlier, Later string // names of the parts
	// Kind is copy (wherever it lies in its file), turned, mirrored or rescaled:
	// the last that holds.
	Kind    string
	Percent float64     // of the earlier part's size; 0 where Axes differ
	Axes    *[3]float64 // percent along the axes of the earlier part, nil where Percent says it all
	Mirror  bool        // one is the mirror image of the other
	Text    string      // in words, a whole sentence
}

// Kin returns, for every part that is one before it in the list in another size
// or place, how it is. The list has the older parts first. Parts that could not
// be read are no kin, nor is what was cut out of another part.
func Kin(findings []*Findings) []Relation {
	var parts []*Findings
	var shapes []likeness.Signature
	for _, f := range findings {
		if f != nil && f.Shape != nil {
			parts, shapes = append(parts, f), append(shapes, *f.Shape)
		}
	}
	var all []Relation
	for _, r := range likeness.Relatives(shapes) {
		all = append(all, kin(parts[r.Earlier].Part, parts[r.Later].Part, told(r.Relation)))
	}
	return all
}

// kin words one relation.
func kin(earlier, later string, c *Changed) Relation {
	r := Relation{Earlier: earlier, Later: later, Kind: c.Kind, Percent: c.Percent, Axes: c.Axes, Mirror: c.Mirror != ""}
	says := later + " is "
	switch {
	case r.Mirror:
		says += "the mirror image of " + earlier
	case c.Kind == "same" || c.Kind == "moved":
		r.Kind = "copy"
		says += "a copy of " + earlier
	default:
		says += earlier
	}
	if c.Kind == "rescaled" {
		says += " at " + c.scaleWords()
	}
	if c.Kind == "turned" {
		says += " turned by " + angleWords(c.Turn) + " about " + axisWords(*c.TurnAxis)
	}
	r.Text = says + "."
	return r
}

// rank orders relations, those that say most first: a copy, a turned part, a
// mirror image, a rescaled one.
func (r Relation) rank() int {
	n := slices.Index([]string{"copy", "turned", "mirrored", "rescaled"}, r.Kind)
	if r.Mirror {
		n++
	}
	if r.Axes != nil {
		n += 2
	}
	return n
}

// The least ranks of what was rescaled, and of what was so by axes.
const (
	rankRescaled = 3
	rankAxes     = 5
)

// Nearest returns of the relations of each later part the one that says most,
// and the earliest of equals.
func Nearest(all []Relation) []Relation {
	best := map[string]int{}
	for i, r := range all {
		if at, known := best[r.Later]; !known || r.rank() < all[at].rank() {
			best[r.Later] = i
		}
	}
	var out []Relation
	for i, r := range all {
		if best[r.Later] == i {
			out = append(out, r)
		}
	}
	return out
}
