package guess

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// near is the distance up to which a part counts as near to a region: nine in
	// ten of those that are drawn for it are, by the chi-squared distribution with
	// three degrees of freedom (tables have 6.25).
	near = 6.25
	// also is how much less likely a second region may be to be named as well: the
	// first is then at most three times as likely, e^(2/2).
	also = 2.0
	// leastBend and mostBend part a right angle from a straight way and from one
	// that turns back, in degrees.
	leastBend, mostBend = 45.0, 135.0
	// beside is the cosine of the angle, 60°, up to which two openings face the
	// same way, as those for two legs.
	beside = 0.5
)

// FromShape guesses what a part covers from its openings, and from how wide and
// long the way through it is: the region whose parts are nearest in size among
// those of that form. ok is false where none is near, and for a part without a
// way through.
func FromShape(p Part) (region, reason string, ok bool) {
	for _, s := range seen(p) {
		rivals := rivalsOf(s)
		if len(rivals) == 0 {
			continue
		}
		best := rivals[0]
		region = models[best.model].region
		tight, wide := usual(best.model)
		reason = fmt.Sprintf("%s, and what covers %s is usually %s round inside", s.words, WithArticle(region), span(tight, wide))
		for _, r := range rivals[1:] {
			if other := models[r.model].region; other != region {
				if r.unlikely <= best.unlikely+also {
					reason += ", though it may be " + WithArticle(other) + " as well"
				}
				break
			}
		}
		return region, reason, true
	}
	return "", "", false
}

// rival is a model that a part is near to.
type rival struct {
	model    int
	unlikely float64
}

// rivalsOf returns the models near to a part, the likeliest first.
func rivalsOf(s sight) []rival {
	var out []rival
	for i, m := range models {
		if d, doubt := distance(i, s.has, s.form); slices.Contains(m.forms, s.form) && d <= near {
			out = append(out, rival{i, d + doubt})
		}
	}
	slices.SortStableFunc(out, func(a, b rival) int { return cmp.Compare(a.unlikely, b.unlikely) })
	return out
}

// sight is one way to look at a part: its form, its tightest girth, widest girth
// and length in mm, and all that in words.
type sight struct {
	form  form
	has   [3]float64
	words string
}

// seen returns the ways to look at a part, the likeliest first: with three
// openings or more it may be a trunk, or a limb with a window.
func seen(p Part) []sight {
	var out []sight
	if len(p.Ways) == 0 || !p.built() {
		return nil
	}
	if s, ok := trunk(p); ok {
		out = append(out, s)
	}
	if s, ok := along(p.Ways[0]); ok && p.builtRound(p.Ways[:1]) {
		out = append(out, s)
	}
	return out
}

// along looks at a part as one way.
func along(w Way) (sight, bool) {
	if !(w.Tightest > 0 && w.Widest >= w.Tightest && w.Length > 0) {
		return sight{}, false
	}
	s := sight{has: [3]float64{w.Tightest, w.Widest, w.Length}}
	size := fmt.Sprintf("%s mm long and %s round inside", mm(w.Length), span(w.Tightest, w.Widest))
	turns := fmt.Sprintf("its way turns by %.0f degrees", w.Bend)
	switch {
	case w.Bend >= leastBend && w.Bend <= mostBend:
		s.form = bent
		if w.Closed {
			turns += " and ends closed"
		}
		s.words = turns + "; it is " + size
	case w.Bend > mostBend:
		return sight{}, false
	case w.Open:
		s.form, s.words = gutter, fmt.Sprintf("it is open along its length, %s mm long, and goes round %s", mm(w.Length), span(w.Tightest, w.Widest))
	case w.Closed:
		s.form, s.words = pocket, fmt.Sprintf("it is closed at its end, %s mm deep and %s round inside", mm(w.Length), span(w.Tightest, w.Widest))
	default:
		s.form, s.words = tube, "it is a straight tube, "+size
	}
	return s, true
}

// trunk looks at a part with three openings or more that a body goes through:
// the girths are those of the smaller openings and of the largest.
func trunk(p Part) (sight, bool) {
	used := func(o Opening) bool {
		return o.Girth > 0 && slices.ContainsFunc(p.Ways, func(w Way) bool { return w.From == o.Name || w.To == o.Name })
	}
	var roomy []Opening
	for _, o := range p.Openings {
		if used(o) {
			roomy = append(roomy, o)
		}
	}
	if len(roomy) < 3 {
		return sight{}, false
	}
	slices.SortStableFunc(roomy, func(a, b Opening) int { return cmp.Compare(b.Girth, a.Girth) })
	largest, others := roomy[0], roomy[1:]
	small, length := 0.0, 0.0
	for _, o := range others {
		small += o.Girth / float64(len(others))
	}
	for _, w := range p.Ways {
		if w.From == largest.Name || w.To == largest.Name {
			length = max(length, w.Length)
		}
	}
	s := sight{form: armed, has: [3]float64{small, largest.Girth, length}}
	s.words = fmt.Sprintf("it has %d openings that a body goes through, the largest %s mm round and the others %s", len(roomy), mm(largest.Girth), span(others[len(others)-1].Girth, others[0].Girth))
	if a, b := others[0], others[1]; len(roomy) == 3 && r3.Dot(a.Facing, b.Facing) > beside && r3.Dot(r3.Add(a.Facing, b.Facing), largest.Facing) < 0 {
		s.form = hipped
		s.words = fmt.Sprintf("two openings of %s mm and %s mm lie beside each other and face away from the third, %s mm round, as two legs and a waist do", mm(a.Girth), mm(b.Girth), mm(largest.Girth))
	}
	return s, length > 0 && !math.IsNaN(small)
}
