package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	fit "gambeson/analysis/fit/survey"

	"github.com/stretchr/testify/require"
)

// invented returns four tables of people who are each a little larger or smaller
// than 1000 in everything, women by a tenth less, and scatter by 1 % in each
// column.
func invented() fstest.MapFS {
	of2012, of1988 := columns()
	data := fstest.MapFS{}
	for k, c := range []struct {
		name    string
		columns []column
		base    float64
	}{{"ansur2-female", of2012, 900}, {"ansur2-male", of2012, 1000}, {"ansur1988-female", of1988, 900}, {"ansur1988-male", of1988, 1000}} {
		random := rand.New(rand.NewPCG(11, uint64(k)))
		raw := map[string]bool{}
		var head []string
		for _, column := range c.columns {
			for _, name := range column.raw {
				if !raw[name] {
					raw[name] = true
					head = append(head, name)
				}
			}
		}
		var text bytes.Buffer
		fmt.Fprintf(&text, "Id,%s\n", strings.Join(head, ","))
		for n := range 1250 {
			size := c.base * math.Exp(0.05*random.NormFloat64())
			fmt.Fprint(&text, n)
			for range head {
				fmt.Fprintf(&text, ",%.3f", size*math.Exp(0.01*random.NormFloat64()))
			}
			text.WriteString("\n")
		}
		data[c.name+".csv"] = &fstest.MapFile{Data: text.Bytes()}
	}
	return data
}

// TestSummaryOfInventedPeople: the summary has all measures of both sexes in
// their order, with the means, standard deviations and correlations put in.
func TestSummaryOfInventedPeople(t *testing.T) {
	surveys, err := open(invented())
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, summarise(&out, surveys))
	var lines [][]string
	for _, l := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		if l[0] != '#' {
			lines = append(lines, strings.Split(l, "\t"))
		}
	}
	measures := fit.Measures()
	require.Len(t, lines, 2*(1+len(measures)))
	for k, sex := range []string{fit.Female, fit.Male} {
		block := lines[k*(1+len(measures)):]
		require.Equal(t, []string{"sex", sex, "1000"}, block[0])
		base := []float64{900, 1000}[k]
		for i, m := range measures {
			fields := block[i+1]
			require.Equal(t, m.Name, fields[0])
			require.Len(t, fields, 5+i)
			if m.Source == fit.Usaf1967 {
				continue // by the means of flyers
			}
			mean, sd, want := number(t, fields[1]), number(t, fields[2]), base
			switch m.Name {
			case fit.Weight:
				want /= 10
			case "head_over_face_girth":
				want *= 2
			}
			if math.Abs(mean/want-1) > 0.01 || math.Abs(sd/mean-0.051) > 0.004 {
				t.Errorf("%s, %s: %.1f ± %.2f, put in %.0f ± 5.1 %%", m.Name, sex, mean, sd, want)
			}
		}
		ankle, calf := block[1+6], block[1+8]
		require.Equal(t, "calf_girth", calf[0])
		require.InDelta(t, 0.0025, number(t, calf[4+6]), 0.0004, "covariance of calf and "+ankle[0])
	}
	miss, err := drift(surveys)
	require.NoError(t, err)
	if miss > 0.003 {
		t.Errorf("surveys of the same people drift by %v", miss)
	}

	out.Reset()
	require.NoError(t, heldOut(&out, surveys, func(s survey) table { return s.out2012 }))
	require.Equal(t, 1+2*held2012, strings.Count(out.String(), "\n"))
}

func TestOpenNamesWhatIsMissing(t *testing.T) {
	data := invented()
	delete(data, "ansur1988-male.csv")
	if _, err := open(data); err == nil || !strings.Contains(err.Error(), "ansur1988-male.csv") {
		t.Errorf("%v", err)
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}
