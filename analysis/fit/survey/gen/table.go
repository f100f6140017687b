package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	fit "gambeson/analysis/fit/survey"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// table holds people (rows) by measures (columns), mm and kg.
type table struct {
	names []string
	rows  [][]float64
}

// survey is what was read of one sex: the people to learn from, and those held
// out to judge the estimates by.
type survey struct {
	sex             string
	in2012, out2012 table
	in1988, out1988 table
}

// People held out of each sex, and the seed that draws them.
const (
	held2012, held1988 = 250, 100
	seed               = 20120 // any
)

// aids are measures that no wearer gives but that carry others from 1988 to
// 2012, since both surveys have them: knee height of the seated, and the arc
// round the chin.
var aids = []fit.Measure{
	{Name: "knee_height_sitting", Source: fit.Ansur2012, Column: "kneeheightsitting", Shared: "KNEE_HT_-_SITTING"},
	{Name: "chin_arc", Source: fit.Ansur2012, Column: "bitragionchinarc", Shared: "BITR_MENTON_ARC"},
}

// open reads the four tables, women first, and parts off the people held out.
func open(data fs.FS) ([]survey, error) {
	var all []survey
	for n, sex := range []string{fit.Female, fit.Male} {
		columns2012, columns1988 := columns()
		t2012, err := read(data, "ansur2-"+sex+".csv", columns2012)
		if err != nil {
			return nil, err
		}
		t1988, err := read(data, "ansur1988-"+sex+".csv", columns1988)
		if err != nil {
			return nil, err
		}
		s := survey{sex: sex}
		s.in2012, s.out2012 = t2012.part(held2012, uint64(n))
		s.in1988, s.out1988 = t1988.part(held1988, uint64(n))
		all = append(all, s)
	}
	return all, nil
}

// column is a measure and the columns of a raw table that sum to it.
type column struct {
	name string
	raw  []string
}

// columns lists the measures that each survey has.
func columns() (of2012, of1988 []column) {
	for _, m := range append(fit.Measures(), aids...) {
		switch m.Source {
		case fit.Ansur2012:
			of2012 = append(of2012, column{m.Name, []string{m.Column}})
			of1988 = append(of1988, column{m.Name, []string{m.Shared}})
		case fit.Ansur1988:
			of1988 = append(of1988, column{m.Name, strings.Split(m.Column, "+")})
		}
	}
	return of2012, of1988
}

// read takes the wanted columns of a raw table. Lengths are mm, weights
// hectograms, also in the column called weightkg; nothing is ever 0.
func read(data fs.FS, name string, columns []column) (table, error) {
	f, err := data.Open(name)
	if err != nil {
		return table{}, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	head, err := r.Read()
	if err != nil {
		return table{}, fmt.Errorf("%s: %w", name, err)
	}
	var t table
	for _, c := range columns {
		t.names = append(t.names, c.name)
	}
	for n := 2; ; n++ {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) {
			return t, nil
		}
		if err == nil {
			var row []float64
			row, err = pick(head, fields, columns)
			t.rows = append(t.rows, row)
		}
		if err != nil {
			return table{}, fmt.Errorf("%s, line %d: %w", name, n, err)
		}
	}
}

// pick returns a person's measures.
func pick(head, fields []string, columns []column) ([]float64, error) {
	row := make([]float64, len(columns))
	for j, c := range columns {
		for _, raw := range c.raw {
			at := slices.Index(head, raw)
			if at < 0 {
				return nil, fmt.Errorf("no column %q", raw)
			}
			v, err := strconv.ParseFloat(fields[at], 64)
			if err != nil || v <= 0 {
				return nil, fmt.Errorf("%s is %q", raw, fields[at])
			}
			row[j] += v
		}
		if c.name == fit.Weight {
			row[j] /= 10
		}
	}
	return row, nil
}

// part draws n people at random and returns the others and them, each in the
// order of the table.
func (t table) part(n int, stream uint64) (others, drawn table) {
	chosen := rand.New(rand.NewPCG(seed, stream)).Perm(len(t.rows))[:n]
	slices.Sort(chosen)
	others.names, drawn.names = t.names, t.names
	for i, row := range t.rows {
		if _, in := slices.BinarySearch(chosen, i); in {
			drawn.rows = append(drawn.rows, row)
		} else {
			others.rows = append(others.rows, row)
		}
	}
	return others, drawn
}

// column returns all values of a measure.
func (t table) column(name string) []float64 {
	at := slices.Index(t.names, name)
	out := make([]float64, len(t.rows))
	for i, row := range t.rows {
		out[i] = row[at]
	}
	return out
}

// logs returns mean and covariance of the natural logarithms.
func (t table) logs() normal {
	d := mat.NewDense(len(t.rows), len(t.names), nil)
	for i, row := range t.rows {
		for j, v := range row {
			d.Set(i, j, math.Log(v))
		}
	}
	n := normal{names: t.names, mean: make([]float64, len(t.names)), cov: mat.NewSymDense(len(t.names), nil)}
	stat.CovarianceMatrix(n.cov, d, nil)
	for j := range t.names {
		n.mean[j] = stat.Mean(mat.Col(nil, j, d), nil)
	}
	return n
}

// heldOut writes the people held out, a line each.
func heldOut(w io.Writer, surveys []survey, of func(survey) table) error {
	out := csv.NewWriter(w)
	for n, s := range surveys {
		t := of(s)
		if n == 0 {
			out.Write(append([]string{"sex"}, t.names...))
		}
		for _, row := range t.rows {
			fields := []string{s.sex}
			for _, v := range row {
				fields = append(fields, strconv.FormatFloat(v, 'f', -1, 64))
			}
			out.Write(fields)
		}
	}
	out.Flush()
	return out.Error()
}
