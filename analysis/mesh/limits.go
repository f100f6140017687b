package mesh

import "runtime"

// Limits bound what one file may cost, whatever its header claims.
// The zero value of a field means the value of DefaultLimits.
type Limits struct {
	Triangles int   // most triangles in one mesh
	Unpacked  int64 // most bytes unpacked from one archive, all members together
	Ratio     int64 // most bytes unpacked for each packed byte …
	RatioFrom int64 // … looked at once this many bytes are unpacked
	Members   int   // most entries in one archive
	Workers   int   // goroutines that read at once; 0: one for each core
}

// DefaultLimits are the limits of a machine with a few GB of memory.
//
// Triangles: the densest scans of a body seen have 5 M; 50 M, a binary STL of
// 2.5 GB that takes about 1 GB in memory, is ten times that. The archive
// limits are guesses ten times above real kits of parts, which unpack to some
// hundred MB from some hundred members at ratios of 3 to 12; deflate itself
// cannot pass 1032:1.
func DefaultLimits() Limits {
	return Limits{
		Triangles: 50_000_000,
		Unpacked:  2 << 30,
		Ratio:     200,
		RatioFrom: 10 << 20,
		Members:   2000,
	}
}

// orDefault returns l with its zero fields filled in.
func (l Limits) orDefault() Limits {
	d := DefaultLimits()
	l.Triangles = positive(l.Triangles, d.Triangles)
	l.Unpacked = positive(l.Unpacked, d.Unpacked)
	l.Ratio = positive(l.Ratio, d.Ratio)
	l.RatioFrom = positive(l.RatioFrom, d.RatioFrom)
	l.Members = positive(l.Members, d.Members)
	l.Workers = positive(l.Workers, runtime.GOMAXPROCS(0))
	return l
}

func positive[N int | int64](n, otherwise N) N {
	if n > 0 {
		return n
	}
	return otherwise
}

// tooMany is the error of a mesh with more triangles than l allows.
func (l Limits) tooMany(place string, claimed int64) error {
	return &ReadError{
		Place:  place,
		Cause:  plural(claimed, "triangle") + ", more than the " + thousands(int64(l.Triangles)) + " that are read",
		Remedy: "if it is a real part, export it with fewer triangles; otherwise its header is damaged: download it again",
	}
}
