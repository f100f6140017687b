package survey

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// person is one that the summary knows nothing of: testdata/people2012.csv are
// 250 men and 250 women of ANSUR II (NATICK/TR-15/007), people1988.csv 100 and
// 100 of ANSUR 1988 (NATICK/TR-89/044), works of the US Government, drawn by
// gen and left out of all it reckons.
type person struct {
	sex      string
	measures map[string]float64
}

func people(t testing.TB, name string) []person {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []person
	for _, row := range rows[1:] {
		p := person{row[0], map[string]float64{}}
		for j, field := range row[1:] {
			p.measures[rows[0][j+1]], err = strconv.ParseFloat(field, 64)
			require.NoError(t, err)
		}
		out = append(out, p)
	}
	return out
}

// cover counts for one measure how the truth lies to the estimates.
type cover struct {
	errors, scores []float64 // mm; over the stated standard deviation
	in68, in95     int
}

func (c *cover) add(b Body, measure string, truth float64) {
	v, _ := b.Of(measure)
	c.errors = append(c.errors, truth-v.Mean)
	c.scores = append(c.scores, (truth-v.Mean)/v.SD)
	if low, high := b.Within(measure, 0.6827); truth >= low && truth <= high {
		c.in68++
	}
	if low, high := b.Within(measure, 0.95); truth >= low && truth <= high {
		c.in95++
	}
}

func (c *cover) shares() (of68, of95 float64) {
	n := float64(len(c.errors))
	return 100 * float64(c.in68) / n, 100 * float64(c.in95) / n
}

// judge estimates all people and returns the covers by measure, without those
// given. Where home is set, each reading gets an error of the stated size, as a
// wearer would make it; otherwise the survey's own readings are taken, whose
// errors the summary already holds, and none is added.
func judge(t *testing.T, all []person, given []string, known, home bool) map[string]*cover {
	t.Helper()
	random := rand.New(rand.NewPCG(1, 2))
	measures := Measures()
	out := map[string]*cover{}
	for _, p := range all {
		from := map[string]float64{}
		for _, g := range given {
			from[g] = p.measures[g]
			if home {
				from[g] += measures[index(measures, g)].Tape * random.NormFloat64()
			}
		}
		sex := ""
		if known {
			sex = p.sex
		}
		readings, err := read(measures, from)
		require.NoError(t, err)
		if !home {
			for i := range readings {
				readings[i].noise = 0
			}
		}
		b, err := estimate(measures, readings, sex)
		require.NoError(t, err)
		for name, truth := range p.measures {
			if _, is := from[name]; is || index(measures, name) < 0 {
				continue
			}
			if out[name] == nil {
				out[name] = &cover{}
			}
			out[name].add(b, name, truth)
		}
	}
	return out
}

// TestEstimatesOfPeopleHeldOut: the errors are as large as stated. Over all
// measures the truth lies in the 68 % and 95 % intervals within 2 points of
// that often, for each measure within 6, and the errors have no mean.
func TestEstimatesOfPeopleHeldOut(t *testing.T) {
	all := people(t, "people2012.csv")
	require.Len(t, all, 500)
	for _, given := range [][]string{{"stature", "weight"}, {"calf_girth", "hip_girth", "forearm_girth"}, {"chest_girth", "waist_girth", "head_girth"}} {
		for _, known := range []bool{true, false} {
			for _, home := range []bool{false, true} {
				name := fmt.Sprintf("%s, sex known %v, home tape %v", strings.Join(given, " "), known, home)
				t.Run(name, func(t *testing.T) {
					check(t, judge(t, all, given, known, home))
				})
			}
		}
	}
}

func check(t *testing.T, covers map[string]*cover) {
	t.Helper()
	var table strings.Builder
	var sum68, sum95, count float64
	for _, m := range Measures() {
		c := covers[m.Name]
		if c == nil {
			continue
		}
		of68, of95 := c.shares()
		mean, sd := stat.MeanStdDev(c.errors, nil)
		noise := sd / math.Sqrt(float64(len(c.errors)))
		_, spread := stat.MeanStdDev(c.scores, nil)
		fmt.Fprintf(&table, "%-22s mean error %6.2f ± %.2f  sd %6.2f  error/stated %.3f  in 68 %%: %5.1f  in 95 %%: %5.1f\n", m.Name, mean, noise, sd, spread, of68, of95)
		if math.Abs(of68-68.27) > 6 || math.Abs(of95-95) > 6 {
			t.Errorf("%s: %.1f and %.1f %% lie in the 68 %% and 95 %% intervals", m.Name, of68, of95)
		}
		if math.Abs(mean) > 3.5*noise {
			t.Errorf("%s: mean error %.2f, noise %.2f", m.Name, mean, noise)
		}
		sum68, sum95, count = sum68+of68, sum95+of95, count+1
	}
	t.Logf("\n%smean over %v measures: %.2f and %.2f", table.String(), count, sum68/count, sum95/count)
	if math.Abs(sum68/count-68.27) > 2 || math.Abs(sum95/count-95) > 2 {
		t.Errorf("over all measures %.1f and %.1f %% lie in the intervals", sum68/count, sum95/count)
	}
}
