// Package suit judges the parts of a suit together: which of them are pairs,
// which scales serve them all, where a wrong print threatens, which measure
// would help most and which band to print first.
//
// It knows the parts by their findings alone. Scales are percent of each file
// as it lies, lengths mm, times hours.
package suit

import "gambeson/analysis"

// Suit is what all parts together say. Parts are named as in their findings.
type Suit struct {
	Parts []Part // those that could be read, in the order given
	Pairs []Pair
	// Scales are the fewest that serve all parts whose range is known, the
	// lowest first; none where no range is known.
	Scales []Group
	// OnBed are the fewest scales that also keep every part on the bed that can
	// be kept there; nil where Scales do so.
	OnBed  []Group
	Stakes []Stake // the most at stake first; parts of which too little is known are left out
	// ByVolume: not every print time is known, so that the costs of parts are
	// the volume of their material in mm³, and those of bands mm² of wall.
	ByVolume bool
	Measures []Measure // the most telling first
	First    []Trial   // bands to print first, the most telling first; together they fit the bed
	// Later are the parts whose bands are worth their hours too, and come in a later
	// bed load than First, which tells nothing of them.
	Later []string

	named *named // what stands above, by the names of parts; nil in a suit that Judge did not make
}

// named finds in a suit of thousands of parts what is said of one.
type named struct {
	place                  map[string]int // in Parts
	tested, later, measure map[string]bool
}

// byName returns what is said of the parts by their names.
func (s Suit) byName() *named {
	if s.named != nil {
		return s.named
	}
	return namesIn(s)
}

func namesIn(s Suit) *named {
	n := named{place: map[string]int{}, tested: map[string]bool{}, later: map[string]bool{}, measure: map[string]bool{}}
	for i, p := range s.Parts {
		if _, twice := n.place[p.Name]; !twice {
			n.place[p.Name] = i
		}
	}
	mark := func(of map[string]bool, names ...string) {
		for _, name := range names {
			of[name] = true
		}
	}
	for _, t := range s.First {
		mark(n.tested, t.Part)
		mark(n.tested, t.Moves...)
	}
	mark(n.later, s.Later...)
	for _, m := range s.Measures {
		mark(n.measure, m.Parts...)
	}
	return &n
}

// Tested reports whether a band of the next bed load tells of a part.
func (s Suit) Tested(part string) bool { return s.byName().tested[part] }

// TestedLater reports whether a band of a part comes in a later bed load.
func (s Suit) TestedLater(part string) bool { return s.byName().later[part] }

// Measured reports whether a measure is to be taken for a part.
func (s Suit) Measured(part string) bool { return s.byName().measure[part] }

// Part is what the suit says of one part.
type Part struct {
	Name   string
	Region analysis.Region
	Wanted float64 // scale that its findings are for
	// Printed is the scale at which it was printed, which is then Scale; 0 where it
	// was not.
	Printed float64
	// Misprinted is that of a print that does not fit as far as is known, 0 where there
	// is none: the part gets a scale like one that is not printed.
	Misprinted float64
	// Odd: try-ons of it, of its other side or of another piece of its shell do not go
	// with each other or with the measures, and are to be settled before anything of it
	// is set or printed.
	Odd   bool
	Range *Range // scales that fit the body, nil where not known
	// Scale is the suit's for this part, 0 where there is none. A part without
	// a range takes that of its neighbours, and Follows is true.
	Scale   float64
	Follows bool
	// Spans: it takes no neighbour's scale, but the least at which its rim reaches across
	// the joint that it lies on.
	Spans bool
	// Stretch: no scale fits both girth and length, so its file is to be rescaled
	// by these, which differ along its axes, before it gets a scale of the suit.
	Stretch *analysis.TwoWay
	Bed     float64 // largest scale the bed takes without supports, 0 where not known
	Risk    Risk
	// Shares is what it costs the part to wear the scale of others, nil where that is little.
	Shares *Sharing
}

// Sharing is a part at the suit's scale beside the one that it would have by itself.
type Sharing struct {
	Own    float64 // that one, percent
	Misfit float64 // chance that it does not fit the body there
	Less   float64 // hours that it takes less there; 0 where they are not known, or few
}

// Planned is the scale that the part is judged at: the suit's, that round it where
// its file is to be stretched, or the one wanted where no range is known.
func (p Part) Planned() float64 {
	switch {
	case p.Stretch != nil:
		return p.Stretch.Girth
	case p.Range != nil:
		return p.Scale
	}
	return p.Wanted
}

// OverBed reports whether the part does not fit the bed at a scale.
func (p Part) OverBed(scale float64) bool { return p.Bed > 0 && scale > p.Bed*(1+1e-9) }

// Part returns what is said of the part of a name.
func (s Suit) Part(name string) (Part, bool) {
	if i := s.index(name); i >= 0 {
		return s.Parts[i], true
	}
	return Part{}, false
}

// index returns the place of a part in Parts, -1 where it is not there.
func (s Suit) index(name string) int {
	if i, known := s.byName().place[name]; known {
		return i
	}
	return -1
}

// Judge judges the parts together. The brief is the suit's: its printer says
// what fits one bed. Parts that could not be read are left out, and those of
// which it is not settled what they are.
func Judge(parts []*analysis.Findings, brief analysis.Brief) Suit {
	j := judge{brief: brief, otherSize: map[int]int{}}
	for _, f := range parts {
		if f == nil {
			continue
		}
		if _, refused := f.Refusal(); refused || f.InDoubt() {
			continue
		}
		j.findings = append(j.findings, f)
		j.Parts = append(j.Parts, partOf(f))
	}
	j.named = namesIn(j.Suit)
	j.pair()
	j.scale()
	j.weigh()
	j.share()
	j.measure()
	j.first()
	j.named = namesIn(j.Suit)
	return j.Suit
}

// judge gathers the answers.
type judge struct {
	Suit
	brief    analysis.Brief
	findings []*analysis.Findings // parallel to Parts
	units    []unit
	unitOf   []int     // index of each part's unit, parallel to Parts
	drawn    []float64 // size of a part's file over what its unit's scale is meant for, parallel to Parts
	cost     []float64 // of printing a part, parallel to Parts
	// otherSize is the other side of each part of a pair of which each has its own size.
	otherSize map[int]int
}

// unit is what always has one size: a part alone, a pair, the pieces of a shell. Its
// scale is that of the first of a pair, where their files are drawn in two sizes.
type unit struct {
	parts []int
	span  span
	known bool // span is
}

// region returns the region of a unit, "" where not known.
func (j *judge) region(u unit) string {
	for _, i := range u.parts {
		if name := j.Parts[i].Region.Name; name != "" {
			return name
		}
	}
	return ""
}

func partOf(f *analysis.Findings) Part {
	p := Part{Name: f.Part, Wanted: f.Percent, Range: rangeOf(f)}
	p.Odd = f.Unsettled()
	if f.PrintFits() {
		p.Printed = f.Printed
	} else {
		p.Misprinted, p.Stretch = f.Printed, f.Stretch()
	}
	if f.Region != nil {
		p.Region = *f.Region
	}
	if b := f.Bed; b != nil {
		p.Bed = b.UpTo()
	}
	return p
}
