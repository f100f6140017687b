package tryon

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func doubted(t *testing.T, mean float64, answers ...Answer) Doubt {
	t.Helper()
	d, err := Doubts(Station{Mean: mean, SD: 15, Window: 34, Judge: UsualJudge(), Answers: answers})
	require.NoError(t, err)
	return d
}

func TestAnswersThatAgree(t *testing.T) {
	d := doubted(t, 420, Answer{410, Tight}, Answer{430, Fits}, Answer{470, Loose})
	require.False(t, d.Contradicts(), "%+v", d)
	require.Empty(t, d.Odd)
	none := doubted(t, 420)
	require.Equal(t, Doubt{Chance: 1, Rare: 1}, none)
}

// Tight at 440 mm goes with neither fits at 425 nor loose at 420. Those two do:
// a need of 388 is 2 mm off the one and 3 off the other, less than the slack.
func TestAnswersThatExcludeEachOther(t *testing.T) {
	d := doubted(t, 420, Answer{440, Tight}, Answer{425, Fits}, Answer{420, Loose})
	require.True(t, d.Contradicts())
	require.Equal(t, [][2]int{{0, 1}, {0, 2}}, d.Pairs)
	require.Less(t, d.Rare, 0.01)
}

// A step of a few mm between two verdicts is slack, no contradiction.
func TestSlackIsNoContradiction(t *testing.T) {
	d := doubted(t, 420, Answer{424, Tight}, Answer{420, Fits})
	require.Empty(t, d.Pairs)
}

// One answer against two others and the measure is the odd one.
func TestOddOneOut(t *testing.T) {
	d := doubted(t, 420, Answer{430, Fits}, Answer{435, Fits}, Answer{438, Tight})
	require.Equal(t, []int{2}, d.Odd)
	require.Less(t, d.Against[0], rare)
}

// The chance of one answer against the belief's own, and rareness by hand: of
// the three answers at one capacity, those no likelier than the one given.
func TestRareByHand(t *testing.T) {
	s := Station{Mean: 420, SD: 15, Window: 34, Judge: UsualJudge()}
	b, err := Believe(s)
	require.NoError(t, err)
	var p [3]float64
	for k, v := range verdicts {
		p[k] = b.Chance(Answer{400, v})
	}
	require.Greater(t, p[0], p[1])
	require.Greater(t, p[1], p[2])
	for k, want := range []float64{1, p[1] + p[2], p[2]} {
		d := doubted(t, 420, Answer{400, verdicts[k]})
		require.InDelta(t, p[k], d.Chance, 1e-12)
		require.InDelta(t, want, d.Rare, 1e-12)
	}
}

// Many answers are weighed by drawing; seven and eight of a kind say nearly the
// same, and neither is a contradiction.
func TestManyAnswers(t *testing.T) {
	var few []Answer
	for i := range mostSets {
		few = append(few, Answer{415 + 6*float64(i), Fits})
	}
	many := append(append([]Answer{}, few...), Answer{432, Fits})
	a, b := doubted(t, 415, few...), doubted(t, 415, many...)
	require.InDelta(t, a.Rare, b.Rare, 0.12)
	require.False(t, a.Contradicts())
	require.False(t, b.Contradicts())
}

// Where wearers differ in what they call loose, tight and loose at less apart than is
// usual do not exclude each other; tight at more than what was loose does.
func TestDoubtOfTheWindow(t *testing.T) {
	s := Station{Mean: 400, SD: 15, Window: 34, Wide: 12, Judge: UsualJudge(), Answers: []Answer{{395, Tight}, {412, Loose}}}
	d, err := Doubts(s)
	require.NoError(t, err)
	require.Empty(t, d.Pairs)
	s.Wide = 0
	d, err = Doubts(s)
	require.NoError(t, err)
	require.NotEmpty(t, d.Pairs)
	for _, answers := range [][]Answer{{{405, Tight}, {405, Loose}}, {{405, Loose}, {405, Tight}}} { // at one scale
		s.Wide, s.Answers = 40, answers
		d, err = Doubts(s)
		require.NoError(t, err)
		require.Equal(t, [][2]int{{0, 1}}, d.Pairs)
	}
	s.Wide, s.Answers = 12, []Answer{{430, Tight}, {400, Loose}}
	d, err = Doubts(s)
	require.NoError(t, err)
	require.NotEmpty(t, d.Pairs)
	for _, wide := range []float64{0, 12} {
		s.Wide = wide
		p := s.likely(410, 400)
		require.InDelta(t, 1, p[0]+p[1]+p[2], 1e-9)
	}
}
