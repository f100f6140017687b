package main

import (
	"fmt"
	"io"
	"math"
	"slices"

	fit "gambeson/analysis/fit/survey"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// neighbour lists what a measure is told from: few measures that lie near it
// and were taken in both surveys in the same way. (Heights of the knee cap and
// the ankle, breadth and girth of the shoulders and back length shifted by 2 to
// 10 % for the same stature and weight; they are landmarks placed otherwise and
// carry nothing.)
type neighbour struct {
	measure string
	by      []string
}

// carried are the measures that only 1988 has.
var carried = []neighbour{
	{"calf_height", []string{"stature", "knee_height_sitting"}},
	{"knee_girth", []string{"lower_thigh_girth", "calf_girth", "stature", fit.Weight}},
	{"armscye_girth", []string{"upper_arm_girth", "chest_girth", "stature", fit.Weight}},
	{"elbow_girth", []string{"forearm_girth", "wrist_girth", "stature", fit.Weight}},
	{"head_over_face_girth", []string{"chin_arc", "head_girth", "head_length", "head_breadth"}},
}

// tried are measures that both surveys have, told from neighbours of the same
// kind: how far the lines of 1988 miss the means of 2012 says how far they miss
// the measures that 2012 has not.
var tried = []neighbour{
	{"knee_height_sitting", []string{"stature"}},
	{"crotch_height", []string{"stature"}},
	{"heel_girth", []string{"foot_length", "ankle_girth"}},
	{"ankle_girth", []string{"calf_girth", "stature", fit.Weight}},
	{"calf_girth", []string{"ankle_girth", "stature", fit.Weight}},
	{"lower_thigh_girth", []string{"calf_girth", "stature", fit.Weight}},
	{"thigh_girth", []string{"hip_girth", "stature", fit.Weight}},
	{"hip_girth", []string{"stature", fit.Weight}},
	{"upper_arm_girth", []string{"forearm_girth", "stature", fit.Weight}},
	{"forearm_girth", []string{"wrist_girth", "stature", fit.Weight}},
	{"wrist_girth", []string{"forearm_girth", "stature", fit.Weight}},
	{"hand_girth", []string{"wrist_girth"}},
	{"head_girth", []string{"head_length", "head_breadth"}},
	{"chin_arc", []string{"head_girth"}},
}

// lines returns the regressions of the survey n.
func (n normal) lines(of []neighbour) ([]relation, error) {
	var out []relation
	for _, o := range of {
		r, err := n.line(o.measure, o.by)
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}

// drift returns by how much the lines of 1988 miss the means of 2012, as root
// of the mean square over tried and both sexes, of the logarithm.
func drift(surveys []survey) (float64, error) {
	var sum, count float64
	for _, s := range surveys {
		then, now := s.in1988.logs(), s.in2012.logs()
		lines, err := then.lines(tried)
		if err != nil {
			return 0, err
		}
		for _, r := range lines {
			miss := now.mean[now.index(r.measure)] - now.at(r)
			sum, count = sum+miss*miss, count+1
		}
	}
	return math.Sqrt(sum / count), nil
}

// complete adds to the people of 2012 what they lack. The lines of 1988, and of
// 1967, are laid through the neighbours that 2012 has, and what those lines
// leave is carried over, with the drift on top.
func complete(s survey, drift float64) (normal, error) {
	then, now := s.in1988.logs(), s.in2012.logs()
	lines, err := then.lines(carried)
	if err != nil {
		return now, err
	}
	rest := then.remains(lines)
	for k := range lines {
		rest.SetSym(k, k, rest.At(k, k)+drift*drift)
	}
	now = now.extend(lines, rest)
	flyers, err := flyerLines()
	if err != nil {
		return now, err
	}
	rest = mat.NewSymDense(len(flyers), nil)
	for k, r := range flyers {
		rest.SetSym(k, k, r.variance+drift*drift)
	}
	return now.extend(flyers, rest), nil
}

// summarise writes the summary of both sexes.
func summarise(w io.Writer, surveys []survey) error {
	drift, err := drift(surveys)
	if err != nil {
		return err
	}
	var names []string
	for _, m := range fit.Measures() {
		names = append(names, m.Name)
	}
	done := make([]normal, len(surveys))
	for k, s := range surveys {
		if done[k], err = complete(s, drift); err != nil {
			return err
		}
	}
	level(done, surveys)
	fmt.Fprintf(w, head, held2012, held1988, 100*drift)
	for k, s := range surveys {
		fmt.Fprintf(w, "sex\t%s\t%d\n", s.sex, len(s.in2012.rows))
		n := done[k].picked(names)
		for i, name := range names {
			mean, sd := n.length(i)
			if slices.Contains(s.in2012.names, name) {
				mean, sd = stat.MeanStdDev(s.in2012.column(name), nil)
			}
			fmt.Fprintf(w, "%s\t%.7g\t%.7g\t%.8f", name, mean, sd, n.mean[i])
			for j := range i + 1 {
				fmt.Fprintf(w, "\t%.7g", n.cov.At(i, j))
			}
			fmt.Fprintln(w)
		}
	}
	return nil
}

// level lays the women's means of the measures that only men of 1967 have: the
// men's mean times the ratio of women to men in the neighbours, since between
// the sexes girths go by ratio and not by the slope within one (heel girth from
// foot length in ANSUR II: by the men's ratio 312, by the men's line 318, in
// women 310).
func level(done []normal, surveys []survey) {
	women := slices.IndexFunc(surveys, func(s survey) bool { return s.sex == fit.Female })
	f, m := done[women], done[1-women]
	for _, n := range flyers() {
		ratio := 0.0
		for _, by := range n.by {
			ratio += (f.mean[f.index(by)] - m.mean[m.index(by)]) / float64(len(n.by))
		}
		f.mean[f.index(n.measure)] = m.mean[m.index(n.measure)] + ratio
	}
}

const head = `# Body measures of two surveys: means and covariances, for estimating what a wearer has not given.
# Made by gen; see there how. All sources are works of the US Government in the public domain (17 U.S.C. 105).
#
# ANSUR II 2012: Gordon et al. 2014, NATICK/TR-15/007. A random 80 %% of its 4082 men and 1986 women, less %d of each held out to judge by.
# ANSUR 1988: Gordon et al. 1989, NATICK/TR-89/044. 1774 men and 2208 women, less %d of each held out: calf height, and girths of knee, armscye, elbow and head over the face.
# USAF 1967: Churchill, Kikta and Churchill 1977, 2420 men, its printed means, standard deviations and differences: girths of instep and of hand over thumb.
# What ANSUR II lacks follows the regressions of the other surveys on neighbouring measures; their residuals are carried over, and a standard deviation of %.2f %% added,
# which is by how much such regressions of 1988 miss the means of 2012 where both can be compared.
#
# sex	which	people of ANSUR II
# measure	mean (mm; weight kg)	standard deviation	mean of the natural logarithm	covariances of the logarithms with each measure up to itself
`
