package answer

import (
	"os"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// readSource returns a file of this room.
func readSource(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(text)
}

// Each value is a default until the person gives another, one at a time.
func TestAssumedSaysWhereEachValueIsFrom(t *testing.T) {
	given := func(change func(b *analysis.Brief)) map[string]string {
		b := analysis.DefaultBrief()
		change(&b)
		from := map[string]string{}
		for _, row := range Assumed(b, &b.Shell) {
			require.Len(t, row, 3)
			require.NotContains(t, from, row[0], "said twice")
			from[row[0]] = row[2]
		}
		return from
	}
	usual := given(func(*analysis.Brief) {})
	for what, from := range usual {
		require.Contains(t, []string{"default", "usual for what it covers"}, from, what)
	}
	for what, change := range map[string]func(b *analysis.Brief){
		"padding, each side":                 func(b *analysis.Brief) { b.Shell.Asked.Padding = true },
		"padding when pressed on the way in": func(b *analysis.Brief) { b.Shell.EntryPadding = 1 },
		"lining of the shell":                func(b *analysis.Brief) { b.Shell.Liner = 1 },
		"ease wanted":                        func(b *analysis.Brief) { b.Shell.Asked.Ease = true },
		"printer's bed":                      func(b *analysis.Brief) { b.Printer.Strips = make([][4]float64, 1) },
		"second printer's bed":               func(b *analysis.Brief) { b.Second = &b.Printer },
		"undersuit under the tape, which is taken off the girths": func(b *analysis.Brief) { b.Wearer.OverUndersuit = true },
	} {
		now := given(change)
		require.Contains(t, []string{"`suit.toml`", "`wearer.toml`"}, now[what], what)
		delete(now, what)
		for other, from := range now {
			require.Equal(t, usual[other], from, "%s changes %s", what, other)
		}
	}
	b := analysis.DefaultBrief()
	require.Len(t, Assumed(b, nil), 1, "no body, no shell")
	b.Printer.Diameter, b.Printer.Strips = 200, make([][4]float64, 2)
	require.Equal(t, "round, 200.0 mm across, 250.0 mm high, 5.0 mm kept free at the edge and round 2 strips that cannot be printed on", Assumed(b, nil)[0][1])
}

func TestRefusalSaysWhatAndWhere(t *testing.T) {
	require.Equal(t, "the file is empty.", Refusal{Cause: "the file is empty"}.Why())
	require.Equal(t, "no number (at line 12).", Refusal{Cause: "no number.", Where: "line 12"}.Why())
	require.Equal(t, "a pipe?", Refusal{Cause: "a pipe?"}.Why())
}
