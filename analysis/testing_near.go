package analysis

import (
	"math"
	"slices"

	"gambeson/analysis/fit"
	"gambeson/analysis/tryon"
)

// nearSpot is another spot of the same part, with the covariance of the two girths
// of the body, mm².
type nearSpot struct {
	*spot
	bodies float64
}

// meet lets the spots of a part learn from each other where something was found:
// whose thigh is slimmer than was estimated has slimmer hips too. An error says
// that the measures of the wearer cannot be used.
func meet(spots []spot, brief Brief) error {
	if !slices.ContainsFunc(spots, func(s spot) bool { return s.answered() }) {
		return nil
	}
	wearer, err := fit.Measure(brief.readings(), brief.Wearer.Sex, brief.Region.Side, brief.undersuit())
	if err != nil {
		return err
	}
	for i := range spots {
		for j := range spots {
			if i != j && spots[j].answered() {
				spots[i].near = append(spots[i].near, nearSpot{&spots[j], wearer.Cov(spots[i].measure, spots[j].measure)})
			}
		}
	}
	return nil
}

// common is the covariance of two needs, mm²: of the girths, of the padding where
// both have the same, and, of needs as they are felt, of the ease that the wearer
// prefers.
func (s *spot) common(n nearSpot, felt bool) float64 {
	sum := n.bodies
	if s.passes == n.passes {
		sum += paddingDoubt * paddingDoubt
	}
	if felt {
		sum += s.prefers * n.prefers
	}
	return sum
}

// commonWith is the same of a spot that has answers; 0 where the two have not met.
func (s *spot) commonWith(o *spot, felt bool) float64 {
	at := slices.IndexFunc(s.near, func(n nearSpot) bool { return n.spot == o })
	if at < 0 {
		return 0
	}
	return s.common(s.near[at], felt)
}

// station is one of those from which a spot learns: number at of a spot's own, see
// stations.
type station struct {
	tryon.Station
	of *spot
	at int
}

// stations are a spot's own one and those of the same measure in other parts, as
// they are felt or not.
func (s *spot) stations(felt bool) []station {
	out := []station{{s.seen(s.body, felt), s, 0}}
	for i, o := range s.others {
		out = append(out, station{s.seen(o.Station, felt), s, i + 1})
	}
	return out
}

// believe is what is known of a spot from its own try-ons, from those of the same
// measure in other parts, and from those at other spots of the part. Should what
// they have in common not hold together, the other spots say nothing.
func (s *spot) believe(felt bool) (*tryon.Belief, error) {
	own := s.stations(felt)
	all := slices.Clone(own)
	for _, n := range s.near {
		all = append(all, n.stations(felt)...)
	}
	if b, err := shared(all, felt); err == nil || len(all) == len(own) {
		return b, err
	}
	return shared(own, felt)
}

// shared is what is believed of the first of some stations.
func shared(all []station, felt bool) (*tryon.Belief, error) {
	var plain []tryon.Station
	for _, one := range all {
		plain = append(plain, one.Station)
	}
	if len(plain) == 1 {
		return tryon.Believe(plain[0])
	}
	beliefs, err := tryon.Share(plain, func(i, j int) float64 {
		one, other := all[i], all[j]
		if one.of == other.of {
			return one.of.alike(one.SD, one.at, other.at)
		}
		most := one.of.moves(one.SD) * other.of.moves(other.SD)
		return max(-most, min(most, one.of.commonWith(other.of, felt))) / (one.SD * other.SD)
	})
	if err != nil {
		return nil, err
	}
	return beliefs[0], nil
}

// felt is what is believed of the need as the wearer feels it.
func (s *spot) felt() (*tryon.Belief, error) { return s.believe(true) }

// settled is what is believed of the need by which the part is printed again.
func (s *spot) settled() (*tryon.Belief, error) { return s.believe(false) }

// seen is a station as the wearer feels it: the ease that is preferred is part of
// the need. Otherwise what is only preferred, which the answers hold as well, is
// slack; and so is what a band does not tell of, that the part itself may sit a
// little elsewhere.
func (s *spot) seen(o tryon.Station, felt bool) tryon.Station {
	if felt {
		o.SD = math.Hypot(o.SD, s.prefers)
		return o
	}
	o.Judge.Slack = math.Hypot(o.Judge.Slack, math.Hypot(s.prefers, s.strays))
	o.SD = math.Hypot(o.SD, s.strays)
	return o
}
