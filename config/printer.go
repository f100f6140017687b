package config

import (
	"cmp"

	"gambeson/analysis"
)

// Beds and heights smaller than bedLow are centimetres in truth.
const bedLow, bedHigh = 40, 5000

func readPrinter(t *table, p *analysis.Printer) {
	readBed(t, p)
	readStrips(t, p)
	t.length("height", bedLow, bedHigh, &p.Height)
	t.length("nozzle", 0.1, 3, &p.Nozzle)
	if p.Layer = min(p.Layer, p.Nozzle/2); t.length("layer", 0.01, 3, &p.Layer) && p.Layer > p.Nozzle {
		t.wrong("layer", &Error{Fault: trim(p.Layer, 3) + " mm is thicker than the nozzle is wide", Expected: trim(p.Nozzle, 3) + " mm at most"})
	}
	t.whole("walls", span{low: 1, high: 100}, &p.Walls)
	t.percent("infill", true, span{low: 0, high: 1}, &p.Infill)
	t.number("speed", "mm/s", span{low: 1, high: 2000}, &p.Speed)
	t.number("flow", "mm³/s", span{low: 0.1, high: 500}, &p.Flow)
	t.number("acceleration", "mm/s²", span{low: 10, high: 100_000}, &p.Acceleration)
}

// readSecond reads another printer, whose bed must be said; what else is not is
// as with the first.
func readSecond(t *table, first analysis.Printer) *analysis.Printer {
	p := first
	p.Bed, p.Diameter, p.Strips = analysis.DefaultBrief().Printer.Bed, 0, nil
	if !t.has("bed_diameter") {
		t.need("bed")
	}
	readPrinter(t, &p)
	return &p
}

// readBed reads the bed, square or round, and what is kept free at its edge.
func readBed(t *table, p *analysis.Printer) {
	v, square := t.take("bed")
	round := t.length("bed_diameter", bedLow, bedHigh, &p.Diameter)
	switch {
	case square && t.has("bed_diameter"):
		t.wrong("bed_diameter", &Error{Fault: "a bed is either round or not", Expected: "bed or bed_diameter, not both"})
	case round:
		p.Bed = [2]float64{}
	case square:
		readSides(t, v, p)
	}
	side := p.Diameter
	if side == 0 {
		side = min(p.Bed[0], p.Bed[1])
	}
	p.Margin = min(p.Margin, side/10)
	if t.length("margin", 0, bedHigh, &p.Margin) && p.Margin >= side/2 {
		t.wrong("margin", &Error{Fault: trim(p.Margin, 3) + " mm on both sides leaves nothing of the bed", Expected: "less than " + trim(side/2, 3) + " mm"})
	}
}

// readStrips reads strips = [[x, y, width, depth], …]. Each must take something
// of the bed and leave something of it.
func readStrips(t *table, p *analysis.Printer) {
	v, ok := t.take("strips")
	if !ok {
		return
	}
	const expected = "a list such as [[0, 200, 40, 20]]: x and y of the low corner from the bed's, width, depth"
	list, isList := v.([]any)
	if !isList {
		t.wrong("strips", &Error{Fault: show(v) + " is no list of strips", Expected: expected})
		return
	}
	bed := p.Bed
	if p.Diameter > 0 {
		bed = [2]float64{p.Diameter, p.Diameter}
	}
	for _, item := range list {
		strip, fault := readStrip(item)
		low, high := max(strip[0], 0), min(strip[0]+strip[2], bed[0])
		front, back := max(strip[1], 0), min(strip[1]+strip[3], bed[1])
		switch {
		case fault != nil:
			fault.Expected = cmp.Or(fault.Expected, expected)
			t.wrong("strips", fault)
		case low >= high || front >= back:
			t.wrong("strips", &Error{Fault: show(item) + " does not lie on the bed", Expected: expected})
		case low == 0 && front == 0 && high == bed[0] && back == bed[1]:
			t.wrong("strips", &Error{Fault: show(item) + " leaves nothing of the bed", Expected: expected})
		default:
			p.Strips = append(p.Strips, strip)
		}
	}
}

func readStrip(v any) (strip [4]float64, fault *Error) {
	list, _ := v.([]any)
	if len(list) != len(strip) {
		return strip, &Error{Fault: show(v) + " is no strip"}
	}
	for k, side := range list {
		if strip[k], fault = lengths().read(side, span{low: -bedHigh, high: bedHigh}); fault != nil {
			return strip, fault
		}
	}
	return strip, nil
}

// noBed is the fault of a bed that has not two sides.
func noBed(v any, sides []any) *Error {
	e := &Error{Fault: show(v) + " is no bed", Expected: "width and depth such as [220, 220], or bed_diameter"}
	isLength := func(v any) bool {
		_, fault := lengths().read(v, span{low: bedLow, high: bedHigh})
		return fault == nil
	}
	switch {
	case isLength(v):
		e.Nearest = "[" + show(v) + ", " + show(v) + "]"
	case len(sides) == 3 && isLength(sides[0]) && isLength(sides[1]) && isLength(sides[2]): // as printers are advertised
		e.Fault = "three lengths are no bed"
		e.Nearest = "bed = [" + show(sides[0]) + ", " + show(sides[1]) + "] and height = " + show(sides[2])
	}
	return e
}

// readSides reads bed = [width, depth].
func readSides(t *table, v any, p *analysis.Printer) {
	sides, _ := v.([]any)
	if len(sides) != 2 {
		t.wrong("bed", noBed(v, sides))
		return
	}
	for i, side := range sides {
		x, fault := lengths().read(side, span{low: bedLow, high: bedHigh})
		if fault != nil {
			t.wrong("bed", fault)
			continue
		}
		p.Bed[i] = x
	}
}
