package config

import (
	"gonum.org/v1/gonum/spatial/r3"

	"gambeson/analysis"
)

// Pins are what a person has said about a part, so that it's not guessed. The
// zero value of each says nothing.
type Pins struct {
	Region   string   // one of Regions
	Side     string   // left or right
	Unit     string   // millimetre, centimetre, metre, inch, foot or micron
	Enter    string   // opening by which the body enters: A, B, …
	Panel    string   // side on which a panel comes off: back, front, left, right, inner, outer
	Axis     *r3.Vec  // way through the part, of any length > 0
	Halves   *bool    // parted along its length: nothing has to pass
	Strapped *bool    // open along its length and strapped on: it is opened to enter
	Whole    *bool    // no piece of a shell, though it touches other parts
	Percent  float64  // scale wanted
	Rest     *float64 // how far in the leading measure rests, mm on the printed part
	// These six hold in place of those under [shell], mm.
	Padding, Undersuit, Entry, Liner, Ease, Loosest *float64
}

// thick is the thickest padding, mm: a fist (a guess).
const thick = 150

// Ranges of [shell], the same for one part. Padding is never thicker than a
// fist, and the girth wanted on top never as much as a second body.
func readShell(t *table, s *analysis.Shell) {
	var p Pins
	readPadding(t, &p, *s)
	p.apply(s)
}

// readPadding reads the six keys that [shell] and [[part]] share.
func readPadding(t *table, p *Pins, under analysis.Shell) {
	const girth = 2000
	for _, l := range []struct {
		key  string
		high float64
		to   **float64
	}{{"padding", thick, &p.Padding}, {"undersuit", thick, &p.Undersuit}, {"entry_padding", thick, &p.Entry},
		{"liner", thick, &p.Liner}, {"ease", girth, &p.Ease}, {"loosest", girth, &p.Loosest}} {
		var x float64
		if t.length(l.key, 0, l.high, &x) {
			*l.to = &x
		}
	}
	padding, ease := under.Padding, under.Ease
	if p.Padding != nil {
		padding = *p.Padding
	}
	for key, share := range map[string]*float64{"entry_padding": p.Entry, "undersuit": p.Undersuit} {
		if share != nil && *share > padding {
			t.wrong(key, &Error{Fault: trim(*share, 3) + " mm is more than the padding itself", Expected: trim(padding, 3) + " mm at most"})
		}
	}
	if p.Ease != nil {
		ease = *p.Ease
	}
	if p.Loosest != nil && *p.Loosest < ease {
		t.wrong("loosest", &Error{Fault: trim(*p.Loosest, 3) + " mm is less than the ease wanted", Expected: trim(ease, 3) + " mm or more"})
	}
}

// apply puts the padding of a part in place of the suit's. The undersuit, and
// what is left of the padding on the way in, are never more than the padding,
// and a part is never loose at the ease that was wanted for it.
func (p Pins) apply(s *analysis.Shell) {
	room := s.Loosest - s.Ease
	for _, l := range []struct{ from, to *float64 }{{p.Padding, &s.Padding}, {p.Undersuit, &s.Undersuit},
		{p.Entry, &s.EntryPadding}, {p.Liner, &s.Liner}, {p.Ease, &s.Ease}} {
		if l.from != nil {
			*l.to = *l.from
		}
	}
	s.Asked.Padding = s.Asked.Padding || p.Padding != nil
	s.Asked.Ease = s.Asked.Ease || p.Ease != nil
	s.Asked.Loosest = s.Asked.Loosest || p.Loosest != nil
	s.EntryPadding, s.Undersuit = min(s.EntryPadding, s.Padding), min(s.Undersuit, s.Padding)
	switch {
	case p.Loosest != nil:
		s.Loosest = max(*p.Loosest, s.Ease)
	case s.Loosest < s.Ease:
		s.Loosest = s.Ease + room
	}
}

// Pins gathers what suit.toml says of one part: of all entries that match, a
// later one goes before an earlier one, key by key.
func (s Suit) Pins(part string) Pins {
	var p Pins
	for _, entry := range s.Parts {
		if Match(entry.File, part) {
			p.override(entry.Pins)
		}
	}
	return p
}

// override takes over every pin that says something.
func (p *Pins) override(q Pins) {
	for _, w := range []struct{ to, from *string }{{&p.Region, &q.Region}, {&p.Side, &q.Side}, {&p.Unit, &q.Unit}, {&p.Enter, &q.Enter}, {&p.Panel, &q.Panel}} {
		if *w.from != "" {
			*w.to = *w.from
		}
	}
	for _, x := range []struct{ to, from **float64 }{{&p.Rest, &q.Rest}, {&p.Padding, &q.Padding}, {&p.Undersuit, &q.Undersuit},
		{&p.Entry, &q.Entry}, {&p.Liner, &q.Liner}, {&p.Ease, &q.Ease}, {&p.Loosest, &q.Loosest}} {
		if *x.from != nil {
			*x.to = *x.from
		}
	}
	for _, b := range []struct{ to, from **bool }{{&p.Halves, &q.Halves}, {&p.Strapped, &q.Strapped}, {&p.Whole, &q.Whole}} {
		if *b.from != nil {
			*b.to = *b.from
		}
	}
	if q.Axis != nil {
		p.Axis = q.Axis
	}
	if q.Percent != 0 {
		p.Percent = q.Percent
	}
}
