package config

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gambeson/analysis"
)

// Wearer is what wearer.toml says of the body.
type Wearer struct {
	Name string
	analysis.Wearer
}

// body is the range of weights in kg: from a child as tall as the least stature
// (about 9 kg, from memory of growth charts) to half as much again as ANSUR II's
// last percentile.
func body() span { return span{low: 9, high: 187, usual: 46.66, usualMax: 124.21} }

// readWearer reads the text of a wearer.toml.
func readWearer(text []byte) (Wearer, Errors) {
	f, top := open(wearerFile, text)
	if top == nil {
		return Wearer{}, f.errs
	}
	w := Wearer{Wearer: analysis.Wearer{Measures: map[string]float64{}}}
	top.text("name", "a name", &w.Name)
	top.quantity("weight", weights(), body(), &w.Weight)
	top.word("sex", []string{"female", "male"}, &w.Sex)
	over := "skin"
	top.word("measured_over", []string{"skin", "undersuit"}, &over)
	w.OverUndersuit = over == "undersuit"
	for _, m := range Measures() {
		top.measure(m, w.Measures)
	}
	w.Inches = top.inInches()
	top.renamed()
	if errs := f.close(); len(errs) > 0 {
		return Wearer{}, errs
	}
	return w, nil
}

// measure reads one measure, or its left and right.
func (t *table) measure(m Measure, to map[string]float64) {
	v, ok := t.take(m.Name)
	if !ok {
		return
	}
	if _, sides := v.(map[string]any); sides && m.Sided {
		if t.plain(m.Name) { // the decoder lets the second one win without a word
			t.wrong(m.Name, &Error{Fault: "is given twice", Expected: "a measure either plain or by .left and .right, not both"})
			return
		}
		both := t.sub(m.Name)
		for _, side := range []string{"left", "right"} {
			var mm float64
			if both.quantity(side, lengths(), m.within(), &mm) {
				to[m.Name+"."+side] = mm
			}
		}
		return
	} else if sides {
		t.wrong(m.Name, &Error{Fault: "has no left and right", Expected: "one value: " + m.Name + " = " + trim(m.Example, 0)})
		return
	}
	var mm float64
	if t.quantity(m.Name, lengths(), m.within(), &mm) {
		to[m.Name] = mm
	}
}

// inInches reports whether more than half of the measures are written in inches
// or feet.
func (t *table) inInches() bool {
	inches, all := 0, 0
	count := func(v any) {
		all++
		if s, isText := v.(string); isText {
			if q, fault := lengths().parse(s, anything); fault == nil && (q.unit.name == "in" || q.unit.name == "ft") {
				inches++
			}
		}
	}
	for _, m := range Measures() {
		switch v := t.values[m.Name].(type) {
		case nil:
		case map[string]any:
			for _, side := range v {
				count(side)
			}
		default:
			count(v)
		}
	}
	return 2*inches > all
}

// plain reports whether the text sets a key of the top itself, not one below it.
func (t *table) plain(key string) bool {
	set := regexp.MustCompile(`(?m)^[ \t]*"?` + regexp.QuoteMeta(key) + `"?[ \t]*=[ \t]*[^ \t{]`)
	return set.Match(t.file.text)
}

// renamed reports keys that are known by another name, and those with a side in
// quotes. Whatever else is unknown is left to the table.
func (t *table) renamed() {
	if t.has("gender") {
		t.asked = append(t.asked, "gender")
		t.wrong("gender", &Error{Fault: "unknown key", Nearest: "sex"})
	}
	for _, m := range Measures() {
		for _, other := range m.also {
			if t.has(other) {
				t.asked = append(t.asked, other)
				t.wrong(other, &Error{Fault: "unknown key", Nearest: m.Name})
			}
		}
		for _, side := range []string{".left", ".right"} {
			if t.has(m.Name + side) {
				t.asked = append(t.asked, m.Name+side)
				t.wrong(m.Name+side, &Error{Fault: "unknown key", Nearest: m.Name + side + " without quotes"})
			}
		}
	}
}

// MeasureNamed returns the measure of a name, which need not say that it is a girth:
// calf is calf_girth. It is empty where there is none.
func MeasureNamed(word string) string {
	for _, name := range []string{word, word + "_girth"} {
		if slices.Contains(measureNames(), name) {
			return name
		}
	}
	return ""
}

// nearestMeasure is the measure most like a word that may lack that it is a girth.
func nearestMeasure(word string) string {
	near, girth := nearest(word, measureNames()), nearest(word+"_girth", measureNames())
	if distance(word+"_girth", girth) < distance(word, near) {
		return girth
	}
	return near
}

// station reads where along a part something was found: the name of the measure
// that rests there, or a length along the way in.
func (t *table) station(key string, name *string, along *float64) {
	v, ok := t.take(key)
	s, isText := v.(string)
	switch {
	case !ok:
	case isText && MeasureNamed(s) != "":
		*name = MeasureNamed(s)
	case isText && strings.IndexAny(s, "0123456789") != 0:
		t.wrong(key, &Error{Fault: show(s) + " is no measure", Expected: `the name of a measure such as "calf_girth", or a length along the part`, Nearest: strconv.Quote(nearestMeasure(s))})
	default:
		t.length(key, 0, 10_000, along)
	}
}
