package config

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gambeson/analysis/fit/survey"

	"github.com/stretchr/testify/require"
)

// legend finds an entry of a drawing's legend: "9 calf_girth" on its right, or
// "calf_height 10 -+-" at a height on its left.
var legend = regexp.MustCompile(`(\d+) ([a-z]+(?:_[a-z]+)+)|([a-z]+(?:_[a-z]+)*) +(\d+) -\+-`)

// Every measure stands in the legend of one drawing by its number, and the
// number stands at the tape: in the drawing beside the legend.
func TestEveryMeasureIsDrawn(t *testing.T) {
	drawn := map[string]bool{}
	numbers := map[string]string{}
	for i, m := range Measures() {
		numbers[m.Name] = strconv.Itoa(i + 1)
	}
	for _, d := range drawings {
		tapes := legend.ReplaceAllString(d.text, "")
		for _, entry := range legend.FindAllStringSubmatch(d.text, -1) {
			number, name := entry[1]+entry[4], entry[2]+entry[3]
			if numbers[name] != number || drawn[name] {
				t.Errorf("%s: %s has the number %s, or is drawn twice", d.title, name, number)
			}
			drawn[name] = true
			atTape := entry[4] != "" || regexp.MustCompile(`(^|\D)`+number+`($|\D)`).MatchString(tapes)
			if !atTape {
				t.Errorf("%s: %s stands at no tape", d.title, number)
			}
		}
	}
	for name := range numbers {
		if !drawn[name] {
			t.Errorf("%s is in no drawing", name)
		}
	}
}

// A drawing is plain ASCII, and a line of the starter no wider than 78 columns.
func TestWearerStarterIsPlainAndNarrow(t *testing.T) {
	for n, line := range strings.Split(starterWearer(), "\n") {
		if len(line) > 78 || strings.TrimRight(line, " ") != line {
			t.Errorf("line %d is %d wide: %q", n+1, len(line), line)
		}
		for _, r := range line {
			if r < ' ' || r > '~' {
				t.Errorf("line %d has %q", n+1, r)
			}
		}
	}
}

// The remarks behind a key are all of its How, and its number stands first.
func TestKeyLineSaysAllOfHow(t *testing.T) {
	for i, m := range Measures() {
		var words []string
		for line := range strings.Lines(keyLine(m, i+1)) {
			_, remark, found := strings.Cut(strings.TrimPrefix(line, "#"), "#")
			require.True(t, found, line)
			words = append(words, strings.Fields(remark)...)
		}
		want := fmt.Sprintf("%d %s", i+1, m.How)
		if got := strings.Join(words, " "); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// Who has the relaxed girth alone is told to write so many times of it: the
// mean ratios of USAF 1967, by which relaxed girths are told from flexed ones
// as well.
func TestRelaxedArmsAsInTheSurvey(t *testing.T) {
	for _, c := range []struct {
		measure, times string
		flexed         float64 // mean, mm
		thinner        string
	}{{"upper_arm_girth", "1.065", 327.45, "20 mm"}, {"forearm_girth", "1.058", 297.67, "16 mm"}} {
		change, ok := survey.In(c.measure, "relaxed")
		require.True(t, ok)
		if got := strconv.FormatFloat(1/change.Ratio, 'f', 3, 64); got != c.times {
			t.Errorf("%s: %s times, want %s", c.measure, got, c.times)
		}
		relaxed, _ := change.Of(c.flexed, 0)
		if got := fmt.Sprintf("%.0f mm", c.flexed-relaxed); got != c.thinner {
			t.Errorf("%s: %s thinner, want %s", c.measure, got, c.thinner)
		}
		if !strings.Contains(armDrawing, c.times) || !strings.Contains(armDrawing, c.thinner) {
			t.Errorf("the note on arms lacks %s or %s", c.times, c.thinner)
		}
	}
	for _, m := range Measures() {
		_, change := survey.In(m.Name, "relaxed")
		if flexed := strings.Contains(m.How, "flexed"); flexed != change {
			t.Errorf("%s: %q", m.Name, m.How)
		}
	}
}
