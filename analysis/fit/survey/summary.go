package survey

import (
	_ "embed"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"gonum.org/v1/gonum/mat"
)

//go:embed summary.tsv
var summary string

// population is what the summary holds of one sex. Slices and the covariance
// are parallel to Measures.
type population struct {
	sex      string
	people   int           // of ANSUR II, without those held out
	mean, sd []float64     // mm, kg
	logMean  []float64     // of the natural logarithms of mm, kg
	logCov   *mat.SymDense // of the same
}

// populations reads the embedded summary once.
var populations = sync.OnceValues(func() ([]population, error) { return parse(summary) })

// parse reads a summary as gen writes it: a line "sex", name and number of
// people, then for each of Measures, in their order, a line with its name, mean
// and standard deviation, mean of the logarithm, and the covariances of the
// logarithm with each measure up to itself.
func parse(text string) ([]population, error) {
	var out []population
	measures := Measures()
	for n, line := range strings.Split(text, "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		fields := strings.Split(line, "\t")
		var err error
		switch {
		case fields[0] == "sex" && len(fields) == 3:
			p := population{sex: fields[1], logCov: mat.NewSymDense(len(measures), nil)}
			p.people, err = strconv.Atoi(fields[2])
			out = append(out, p)
		case len(out) == 0:
			err = errors.New("a measure before any sex")
		default:
			err = out[len(out)-1].add(measures, fields)
		}
		if err != nil {
			return nil, fmt.Errorf("survey summary, line %d: %w", n+1, err)
		}
	}
	for _, p := range out {
		if len(p.mean) != len(measures) {
			return nil, fmt.Errorf("survey summary: %s has %d measures, not %d", p.sex, len(p.mean), len(measures))
		}
	}
	if len(out) != 2 {
		return nil, fmt.Errorf("survey summary: %d sexes, not 2", len(out))
	}
	return out, nil
}

// add takes the fields of the next measure.
func (p *population) add(measures []Measure, fields []string) error {
	i := len(p.mean)
	if i == len(measures) || fields[0] != measures[i].Name || len(fields) != 5+i {
		return fmt.Errorf("%q with %d fields is not the measure expected", fields[0], len(fields))
	}
	v := make([]float64, len(fields)-1)
	for k, f := range fields[1:] {
		var err error
		if v[k], err = strconv.ParseFloat(f, 64); err != nil {
			return err
		}
	}
	p.mean, p.sd, p.logMean = append(p.mean, v[0]), append(p.sd, v[1]), append(p.logMean, v[2])
	for j, c := range v[3:] {
		p.logCov.SetSym(i, j, c)
	}
	return nil
}
