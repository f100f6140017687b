package guess

import (
	"fmt"
	"math"
)

// Unit says whether a part was drawn in another unit than was taken: its sizes
// hold at factor mm to a unit of the file, and at that no part for region ("" for
// any) has them, but in another unit some would. name is that unit, as
// suit.toml has it; reason says it with numbers. It is for a warning: a part of
// any size may be meant as it is.
//
// The girths of the hollow decide, where it is one that the part is built round;
// else the longest side alone, since in a part drawn in metres nothing is wide
// enough to count as a hollow.
func Unit(region string, p Part, factor float64) (name, reason string, ok bool) {
	if !(factor > 0) || !(p.longest() > 0) || plausible(region, p) {
		return "", "", false
	}
	best, in, least := unit{}, Part{}, math.Inf(1)
	for _, u := range units {
		other := p.times(u.factor / factor)
		if d := off(region, other); d < least && plausible(region, other) {
			best, in, least = u, other, d
		}
	}
	if best.name == "" {
		return "", "", false
	}
	none := "which is no size for any part of the body"
	if region != "" {
		none = "which is no size for " + WithArticle(region)
	}
	if p.built() {
		has, would := p.girths(), in.girths()
		return best.name, fmt.Sprintf("its girths are %s, %s; in %s they would be %s", span(has[0], has[1]), none, best.many, span(would[0], would[1])), true
	}
	if region == "" && p.sheer() && p.longest() >= leastSide {
		return best.name, fmt.Sprintf("its longest side is %s mm and its wall %s mm thick, which is too thin to print; in %s they would be %s mm and %s mm",
			mm(p.longest()), mm(p.Thick), best.many, mm(in.longest()), mm(in.Thick)), true
	}
	return best.name, fmt.Sprintf("its longest side is %s mm, %s; in %s it would be %s mm", mm(p.longest()), none, best.many, mm(in.longest())), true
}

// unit of length that meshes are drawn in.
type unit struct {
	name, many string
	factor     float64 // mm
}

var units = []unit{
	{"millimetre", "millimetres", 1}, {"centimetre", "centimetres", 10},
	{"inch", "inches", 25.4}, {"metre", "metres", 1000},
}
