package tryon

import (
	"slices"

	"gonum.org/v1/gonum/floats"
)

// options are the ways to go on from the start.
func (l *layout) options(root *knot) []Option {
	var out []Option
	if l.asked >= 0 {
		loss := floats.Dot(l.losses[l.asked], root.weight)
		out = append(out, l.option(AsRecommended, []float64{l.scales[l.asked]}, course{loss: loss, again: floats.Dot(l.again[l.asked], root.weight)}))
	}
	out = append(out, l.option(AtOnce, []float64{l.scales[root.act]}, course{loss: root.stop, again: root.again}))
	for rungs := 1; rungs <= l.longest; rungs++ {
		if o, ok := l.ladder(root, rungs); ok && o.Bands > 0 { // none where the part is settled
			out = append(out, o)
		}
	}
	return append(out, l.option(Best, nil, l.follow(root, l.best)))
}

func (l *layout) option(kind Kind, percents []float64, c course) Option {
	return Option{Kind: kind, Percents: percents, TestHours: c.hours, Bands: c.tests, Reprint: c.again, Hours: c.hours + c.loss}
}

// ladder is the best of the ladders with so many rungs in equal steps: of those
// left the most telling is climbed first, until the part is settled.
func (l *layout) ladder(root *knot, rungs int) (best Option, ok bool) {
	for first := range l.bands {
		for step := 1; first+step*(rungs-1) < len(l.bands); step++ {
			var among []int
			var percents []float64
			for i := range rungs {
				among = append(among, first+step*i)
				percents = append(percents, l.bands[first+step*i])
			}
			o := l.option(Ladder, percents, l.follow(root, func(k *knot) int { return l.climb(k, among) }))
			if !ok || o.Hours < best.Hours {
				best, ok = o, true
			}
			if rungs == 1 {
				break // one rung has no step
			}
		}
	}
	return best, ok
}

// climb is the next rung, -1 where the part is settled or none is left.
func (l *layout) climb(k *knot, among []int) int {
	if k.mass == 0 || 1-k.again/k.mass >= Sure {
		return -1
	}
	among = slices.DeleteFunc(slices.Clone(among), func(t int) bool {
		return slices.ContainsFunc(k.seen, func(m mark) bool { return int(m.probe) == t })
	})
	return l.telling(k, among)
}
