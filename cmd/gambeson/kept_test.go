package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/report"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/suit"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
)

const (
	wornBefore = "stature = \"171 cm\"\ncalf_girth = 382\nheel_girth = 331\n"
	wornAfter  = "stature = \"171 cm\"\ncalf_girth = 412\nheel_girth = 331\n"
)

// suitOf makes a folder of n parts that were all looked into; the parts are
// one greave under many names, so that making them takes no time.
func suitOf(t testing.TB, n int) *folder {
	t.Helper()
	root := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(root, "wearer.toml"), []byte(wornBefore), 0o644))
	drawn := demoGreave().Mesh()
	f := newFolder(root, 2, zerolog.Nop())
	var answer *analysis.Answer
	for i := range n {
		place := disk.Place{Root: root, Part: fmt.Sprintf("greave-%03d.stl", i)}
		file, err := os.Create(filepath.Join(root, place.Part))
		require.NoError(t, err)
		require.NoError(t, mesh.WriteSTL(file, drawn, place.Part))
		require.NoError(t, file.Close())
		if i == 0 {
			_, err := f.look(t.Context(), place.Part)
			require.NoError(t, err)
			loaded := &mesh.Loaded{Mesh: drawn}
			answer, err = analysis.Examine(t.Context(), loaded, f.brief(place), nil, 2)
			require.NoError(t, err)
			continue
		}
		brief := f.brief(place)
		found := answer.Findings
		found.Part, found.Fingerprint = place.Name(), fmt.Sprintf("f%03d", i)
		found.Bands, found.Testing = nil, nil
		d := report.Document{Fingerprint: found.Fingerprint}
		d.Findings, d.Brief = found, brief
		require.NoError(t, f.write(place, d))
		k := *answer.Kept
		f.keep(place, brief, &k, &found)
		f.rows[place.Part] = []row{f.rowOf(outcome{row: suit.Row{Place: place, Findings: &found}, fingerprint: found.Fingerprint, lay: layOf(place)})}
	}
	return f
}

// New measures give a new verdict before the part is looked into again, the
// same as it then gets; the report says that the rest is still to come.
func TestNewMeasuresAreJudgedAtOnce(t *testing.T) {
	ownFolders(t)
	f := suitOf(t, 3)
	name := filepath.Join(f.root, "greave-000.stl.md")
	notes := "\nThe left strap pinches.\n"
	add(t, name, notes)
	require.Empty(t, f.judgeAnew(t.Context()), "nothing is asked anew")

	require.NoError(t, os.WriteFile(filepath.Join(f.root, "wearer.toml"), []byte(wornAfter), 0o644))
	f.reload()
	before := f.rows["greave-000.stl"][0].Findings.Fit.Smallest
	renewed := f.judgeAnew(t.Context())
	require.Len(t, renewed, 3)
	f.pagesAnew(t.Context(), renewed)
	page, err := os.ReadFile(filepath.Join(f.root, "greave-000.stl.html"))
	require.NoError(t, err)
	require.Contains(t, string(page), "Judged anew.")
	row := f.rows["greave-000.stl"][0]
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Contains(t, string(text), "**Judged anew.**")
	require.Contains(t, string(text), "being made again")
	require.True(t, strings.HasSuffix(string(text), notes), "what the person wrote stays")
	require.Equal(t, row.Findings.Fit.Smallest, paper.Previous(row.Place).Fit.Smallest)
	require.Greater(t, row.Findings.Fit.Smallest, before, "a calf that is 30 mm wider")

	require.Len(t, f.judgeAnew(t.Context()), 3, "until it was looked into again")
	again, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, 1, strings.Count(string(again), "Judged anew"))

	done, err := f.look(t.Context(), "greave-000.stl")
	require.NoError(t, err)
	require.False(t, done[0].kept, "the report is out of date")
	require.Equal(t, row.Findings.Fit.Smallest, done[0].row.Findings.Fit.Smallest)
	text, err = os.ReadFile(name)
	require.NoError(t, err)
	require.NotContains(t, string(text), "Judged anew")
	require.True(t, strings.HasSuffix(string(text), notes))
	require.Len(t, f.judgeAnew(t.Context()), 2, "the other two wait")
}

// What is kept of a part holds no measure of the body.
func TestWhatIsKeptIsNotPersonal(t *testing.T) {
	ownFolders(t)
	f := suitOf(t, 1)
	data, err := os.ReadFile(keptPath(f.rows["greave-000.stl"][0].Place))
	require.NoError(t, err)
	for _, measure := range []string{"382", "331", "1710"} {
		require.NotRegexp(t, `[ :(\[,]`+measure+`(\.0)?[ ,)\]}]`, string(data))
	}
}

func add(t *testing.T, name, text string) {
	t.Helper()
	file, err := os.OpenFile(name, os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = file.WriteString(text)
	require.NoError(t, err)
	require.NoError(t, file.Close())
}

// BenchmarkNewMeasures judges 200 parts anew after an edit of wearer.toml, with
// their reports, their findings and SUIT.md.
func BenchmarkNewMeasures(b *testing.B) {
	ownFolders(b)
	f := suitOf(b, 200)
	for i := 0; b.Loop(); i++ {
		text := []string{wornAfter, wornBefore}[i%2]
		require.NoError(b, os.WriteFile(filepath.Join(f.root, "wearer.toml"), []byte(text), 0o644))
		f.reload()
		require.Len(b, f.judgeAnew(b.Context()), 200)
		_, err := f.sum()
		require.NoError(b, err)
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/200*1e3, "ms/part")
}
