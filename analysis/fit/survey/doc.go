// Package survey tells what to expect of a body of which only some measures are
// known.
//
// People differ, but not in everything at once: who has a thick calf has a
// thick ankle as well, and a tall person long feet. Three surveys of some ten
// thousand people say how closely any two measures go together. From what a
// wearer gave, Estimate reckons the mean that people with those readings have
// in every other measure, how far they scatter about it, and how the scatter of
// one measure goes with that of another. It is no more than that: an estimate
// is to be marked as one, with its standard deviation, and the tape is better.
//
// # How
//
// The logarithms of all measures are taken as jointly normal within each sex.
// Girths and weight lean to the right and their logarithms do not: a log-normal
// misses the 5th, 50th and 95th percentiles that the survey prints by 0.3 %, a
// normal by 0.8 %; and measures go with each other by powers (weight as stature
// times girth squared), which logarithms make straight. Readings carry an error
// of the tape, which is in the reckoning as noise. Where the sex is not said,
// both are reckoned and weighed by how well the readings go with each, even
// chances before; means, covariances and quantiles are those of that mixture.
//
// # Whom it holds for
//
// The people were soldiers and flyers of one country, 17 to 58 years old; the
// newest survey is from 2012. For 500 of it that the summary knows nothing of
// the errors are as large as stated (holdout_test.go). Measures that only the
// older surveys have (calf height, girths of knee, armscye, elbow, instep, hand
// over thumb, head over face) follow from their neighbours, and carry 1 % more
// for the years between. Those of 1967 were taken of men only, and women's are
// theirs by ratio. For children, and for bodies unlike any of theirs, trust the
// tape alone; Odds names readings that do not go together.
package survey
