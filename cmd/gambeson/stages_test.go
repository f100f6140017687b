package main

import (
	"runtime"
	"strings"
	"testing"

	"gambeson/analysis"
	"gambeson/analysis/mesh"
	"gambeson/analysis/shape/speed"
	"gambeson/report/disk"

	"github.com/stretchr/testify/require"
)

// BenchmarkStages examines parts of all sizes, in order and shuffled, and says of
// each stage what it takes: time, memory allocated, and the most memory that the
// process had.
//
//	go test ./cmd/gambeson -run '^$' -bench Stages -benchtime 1x -timeout 0
func BenchmarkStages(b *testing.B) {
	for _, p := range speed.Parts() {
		b.Run(p.Name, func(b *testing.B) {
			ownFolders(b)
			f, _ := wornFolder(b, "400", runtime.GOMAXPROCS(0))
			place := disk.Place{Root: f.root, Part: "greave-left.stl"}
			if strings.HasPrefix(p.Name, "boot") {
				place.Part = "boot-left.stl"
			}
			file := speed.Opened(b, p.Make())
			stages := speed.NewStages()
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				stages.Begin()
				b.StartTimer()
				loaded, err := file.Load(b.Context(), mesh.Limits{})
				require.NoError(b, err)
				stages.End("read")
				brief := f.brief(place)
				answer, err := analysis.Examine(analysis.Watched(b.Context(), stages.End), loaded, brief, nil, f.workers)
				require.NoError(b, err)
				require.NoError(b, f.write(place, compose(place, brief, "", answer)))
				stages.End("report")
			}
			stages.Report(b)
		})
	}
}

// Whoever measures is told of the stages of an examination in their order, those of
// which the log tells.
func TestStagesAreTold(t *testing.T) {
	f, _ := wornFolder(t, "400", 1)
	loaded, err := speed.Opened(t, speed.Parts()[0].Make()).Load(t.Context(), mesh.Limits{})
	require.NoError(t, err)
	stages := speed.NewStages()
	stages.Begin()
	answer, err := analysis.Examine(analysis.Watched(t.Context(), stages.End), loaded, f.brief(disk.Place{Root: f.root, Part: "greave-left.stl"}), nil, 1)
	require.NoError(t, err)
	var want []string
	for _, l := range answer.Laps {
		want = append(want, l.Stage)
	}
	require.Contains(t, want, "cavity")
	require.Equal(t, want, stages.Names())
}
