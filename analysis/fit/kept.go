package fit

import (
	"slices"

	"gambeson/analysis/cavity"
)

// Inside is what a body meets inside a part of a region, whoever it is: once
// found, many bodies can be asked about without the part.
type Inside struct {
	Region   Region
	Passings []Passing
	Seats    []*Seat
	// Lengths are, parallel to Seats, the part's inside length from heel to toe,
	// mm; 0 where that is not asked.
	Lengths []float64
}

// Packed is an Inside as plain data, to be kept as JSON. Of the sections only
// the room that was found in them is left: what is unpacked can be judged, but
// no panel can be sought along its ways.
type Packed struct {
	Region   string          `json:"region"`
	Passings []packedPassing `json:"passings,omitempty"`
	Seats    []packedSeat    `json:"seats,omitempty"`
	Lengths  []float64       `json:"lengths,omitempty"`
}

type packedPassing struct {
	Opening string     `json:"opening"`
	To      string     `json:"to"`
	Measure string     `json:"measure"`
	Aspect  [2]float64 `json:"aspect"`
	Throat  float64    `json:"throat"`
	Along   float64    `json:"along"`
}

type packedWay struct {
	From   string  `json:"from"`
	To     string  `json:"to"`
	Length float64 `json:"length"`
}

type packedSeat struct {
	Main  packedWay    `json:"main"`
	Bend  float64      `json:"bend"`
	Ends  [2]float64   `json:"ends"`
	Joint bool         `json:"joint,omitempty"`
	Pin   *float64     `json:"pin,omitempty"`
	Rooms []rooms      `json:"rooms"` // each once
	Rests []packedRest `json:"rests"`
}

type packedRest struct {
	Sit   int       `json:"sit"` // of the region's
	Way   packedWay `json:"way"`
	Rooms int       `json:"rooms"` // of the seat's, −1 at a rim
	Rim   float64   `json:"rim,omitempty"`
}

func (w Way) packed() packedWay { return packedWay{w.From, w.To, w.Length} }

func (p packedWay) way() Way { return Way{From: p.From, To: p.To, Length: p.Length} }

// Pack leaves the sections out.
func (in Inside) Pack() Packed {
	out := Packed{Region: in.Region.Name, Lengths: in.Lengths}
	for _, p := range in.Passings {
		out.Passings = append(out.Passings, packedPassing{p.Opening, p.To, p.Measure, p.Aspect, p.Throat, p.Along})
	}
	for _, s := range in.Seats {
		packed := packedSeat{Main: s.Main.packed(), Bend: s.bend, Ends: s.ends, Joint: s.joined, Pin: s.rest}
		for _, r := range s.rests {
			one := packedRest{
				Sit:   slices.IndexFunc(s.Region.Sits, func(of Sit) bool { return of.Measure == r.Measure && of.Rim == r.Rim }),
				Way:   r.way.packed(),
				Rooms: -1, Rim: r.rim,
			}
			if r.Rim == NoRim {
				one.Rooms = slices.IndexFunc(packed.Rooms, func(have rooms) bool { return &have[0] == &r.rooms[0] })
				if one.Rooms < 0 {
					one.Rooms = len(packed.Rooms)
					packed.Rooms = append(packed.Rooms, r.rooms)
				}
			}
			packed.Rests = append(packed.Rests, one)
		}
		out.Seats = append(out.Seats, packed)
	}
	return out
}

// Unpack returns what was packed; ok is false where it was not by this program.
func (p Packed) Unpack() (in Inside, ok bool) {
	if in.Region, ok = Of(p.Region); !ok || len(p.Lengths) != len(p.Seats) {
		return in, false
	}
	in.Lengths = p.Lengths
	for _, e := range p.Passings {
		in.Passings = append(in.Passings, Passing{Opening: e.Opening, To: e.To, Measure: e.Measure, Aspect: e.Aspect, Throat: e.Throat, Along: e.Along})
	}
	for _, packed := range p.Seats {
		s := &Seat{Region: in.Region, Main: packed.Main.way(), bend: packed.Bend, ends: packed.Ends, joined: packed.Joint, rest: packed.Pin}
		for _, r := range packed.Rests {
			if r.Sit < 0 || r.Sit >= len(in.Region.Sits) {
				return in, false
			}
			one := rest{Sit: in.Region.Sits[r.Sit], way: r.Way.way(), rim: r.Rim}
			if one.Rim == NoRim {
				if r.Rooms < 0 || r.Rooms >= len(packed.Rooms) || len(packed.Rooms[r.Rooms]) < 2 {
					return in, false
				}
				one.rooms = packed.Rooms[r.Rooms]
			}
			s.rests = append(s.rests, one)
		}
		s.lead = s.leading()
		in.Seats = append(in.Seats, s)
	}
	return in, true
}

// Look measures what any body meets inside a part of a region. enter and pin
// are as in Passings and Seats; opened leaves the way in out: nothing has to
// pass.
func Look(cavities []cavity.Cavity, r Region, enter string, pin *float64, opened bool) Inside {
	in := Inside{Region: r, Seats: Seats(cavities, r, enter, pin)}
	if opened {
		return in
	}
	in.Passings = Passings(cavities, r, enter)
	if r.Limb == Trunk { // the way round decides which rim the body comes in by
		for _, s := range in.Seats {
			if by := s.Main.From; !slices.ContainsFunc(in.Passings, func(p Passing) bool { return p.Opening == by }) {
				in.Passings = append(in.Passings, Passings(cavities, r, by)...)
			}
		}
	}
	return in
}

// By leaves of what must pass only what goes in by the opening of a seat that is worn the
// other way round, where there are several seats of the trunk.
func (in Inside) By(s *Seat) []Passing {
	if s == nil || len(in.Seats) < 2 || in.Region.Limb != Trunk {
		return in.Passings
	}
	return slices.DeleteFunc(slices.Clone(in.Passings), func(p Passing) bool { return p.Opening != s.Main.From })
}
