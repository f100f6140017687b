package answer

import (
	"regexp"
	"strings"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// warned is a part with warnings of these codes, each with the same text.
func warned(text string, codes ...string) *analysis.Findings {
	f := &analysis.Findings{Percent: 100}
	for _, c := range codes {
		f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: c, Text: text})
	}
	return f
}

// A warning is said in short with its number, and in the words of its own text where
// what it speaks of is not known, or the code is one of a later version.
func TestWarningsInShort(t *testing.T) {
	f := warned("The calf is tight. See more: below.", "too-tight")
	require.Equal(t, "The calf is tight", InShort(f), "nothing is known of the body")
	f.Fit = &analysis.Fit{Sits: []analysis.Sit{{Measure: "ankle_girth", Needed: 250, Capacity: 290}, {Measure: "calf_girth", Source: "estimated", Needed: 413.1, Capacity: 390}}}
	require.Equal(t, "Too tight at the calf (*estimated*) by 23.1 mm", InShort(f))
	f.Fit.Sits[1].Capacity = 413.1
	require.Equal(t, "The calf is tight", InShort(f), "it has just what it needs")
	f.Fit.Narrow = &analysis.Narrow{Along: 57, Room: 237, Body: 340}
	require.Equal(t, "Too narrow for the bare body at 57 mm, by 103.0 mm", InShort(f))

	f = warned("x", "does-not-enter", "too-loose", "too-short", "too-long")
	f.Fit = &analysis.Fit{
		Lead: "calf_girth", Sits: []analysis.Sit{{Measure: "calf_girth", Ease: 46}},
		Entries: []analysis.Entry{{Measure: "hand_girth", Passes: true}, {Measure: "heel_girth", Needed: 343.6, Throat: 311}},
		Lengths: []analysis.Length{{Smallest: 100}, {Smallest: 104.21}, {Largest: 97.29}, {Largest: 100}},
	}
	require.Equal(t, "The heel does not get in, 32.6 mm too little; too loose at the calf, 46.0 mm of ease; too short, long enough from 104.3 %; too long above 97.2 %", InShort(f))

	f = warned("No longer fits the bed: too high.", "bed-overflow")
	require.Equal(t, "No longer fits the bed", InShort(f))
	f.Bed = &analysis.Bed{Largest: analysis.Largest{AsIs: 60, Turned: 67.69, Laid: 61, Tilted: 99}}
	require.Equal(t, "No longer fits the bed, only up to 67.6 %", InShort(f))
	f.Bed.Pieces = make([]analysis.Piece, 3)
	require.Equal(t, "No longer fits the bed in one piece, but in 3", InShort(f))

	require.Empty(t, InShort(&analysis.Findings{Warnings: []analysis.Warning{{Level: analysis.LevelNote, Code: "mesh-open", Text: "x"}}}), "a note is none")
	require.Equal(t, "The surface has holes", InShort(warned("x", "mesh-open", "mesh-open")), "alike is said once")
	for text, want := range map[string]string{
		"The wall is 1.2 mm thin: thicken it.": "The wall is 1.2 mm thin",
		"STL of another kind.":                 "STL of another kind",
		"A part":                               "A part",
		"*Bold* [x](y)":                        `\*Bold\* \[x\](y)`,
	} {
		require.Equal(t, want, InShort(warned(text, "of-a-later-version")))
	}
}

// codes are those of all warnings that the program says in short or in a chapter, found
// in the sources of both, so that a new one is tried too.
func codes(t *testing.T) (all []string) {
	t.Helper()
	for _, source := range []string{"warning.go", "answer.go"} {
		for _, m := range regexp.MustCompile(`case ((?:"[a-z]+-[a-z-]+"(?:, )?)+):`).FindAllStringSubmatch(readSource(t, source), -1) {
			for _, code := range strings.Split(m[1], ", ") {
				all = append(all, strings.Trim(code, `"`))
			}
		}
	}
	require.Greater(t, len(all), 20)
	return all
}

// Whatever is warned of is said, also where nothing is known but the warning, and begins
// with a capital once.
func TestEveryWarningIsSaid(t *testing.T) {
	for _, code := range codes(t) {
		f := warned("Some text.", code)
		short := InShort(f)
		require.NotEmpty(t, short, code)
		require.NotContains(t, short, ";", code)
		require.Equal(t, []string{"**Warning:** Some text."}, Warnings(f), code)
		besides := Besides(f)
		require.Len(t, besides, 1, code)
		if ChapterOf(code) == "" {
			require.Equal(t, "**Warning:** Some text.", besides[0], code)
		} else {
			require.Equal(t, "**Warning:** "+short+".", besides[0], code)
		}
		f.Fit, f.Bed = &analysis.Fit{}, &analysis.Bed{}
		require.NotEmpty(t, InShort(f), code)
	}
}

// What the verdict has said is not said again, and neither is the like of what was.
func TestBesidesTheVerdict(t *testing.T) {
	f := warned("Some text.", "too-tight", "does-not-enter", "does-not-enter", "bed-overflow", "mesh-open")
	f.Bed, f.Fit = &analysis.Bed{}, &analysis.Fit{Verdict: "tight"}
	require.Equal(t, []string{"**Warning:** Some text.", "**Warning:** The surface has holes."}, Besides(f))
	f.Fit.Verdict = "blocked"
	require.Equal(t, []string{"**Warning:** Some text.", "**Warning:** The surface has holes."}, Besides(f), "the tight is said, what does not enter is not")
	f.Bed = nil
	require.Equal(t, "**Warning:** Does not fit the bed.", Besides(f)[1], "no verdict on the bed has said it")
	require.Empty(t, Besides(&analysis.Findings{}))
	f = warned("One.", "no-rim")
	f.Warnings = append(f.Warnings, analysis.Warning{Level: analysis.LevelWarning, Code: "no-rim", Text: "Another."})
	require.Equal(t, []string{"**Warning:** One.", "**Warning:** Another."}, Besides(f), "of two that are no verdict both are")
}

// Notes are what does not ask for anything; the faults that the chapter of the mesh
// counts are not said twice.
func TestNotes(t *testing.T) {
	note := func(code, text string) analysis.Warning {
		return analysis.Warning{Level: analysis.LevelNote, Code: code, Text: text}
	}
	f := warned("Act.", "mesh-open")
	f.Warnings = append(f.Warnings, note("unit-assumed", "Millimetres."), note("mesh-sliver", "Slivers."))
	require.Equal(t, []string{"Millimetres.", "Slivers."}, Notes(f))
	f.Mesh = &analysis.Mesh{}
	require.Equal(t, []string{"Millimetres.", "Slivers."}, Notes(f))
	f.Mesh.Defects = []analysis.Defect{{Kind: "sliver"}}
	require.Equal(t, []string{"Millimetres."}, Notes(f))
}
