package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"github.com/stretchr/testify/require"
)

var (
	dropped  = flag.Int("dropped", usualDropped, "how many files are dropped at once into a folder that is watched")
	readable = flag.Int("readable", 100, "of how many of them one can be read: the pictures of its report take the time")
)

// Of many files that are dropped at once into a folder that is watched, in
// folders within folders, none is without its report afterwards, and SUIT.md
// names them all. With more of them, and all of them parts:
//
//	go test ./cmd/gambeson -run TestManyDroppedAtOnce -dropped 10000 -readable 1 -v -timeout 0
func TestManyDroppedAtOnce(t *testing.T) {
	const seed = 51
	random := rand.New(rand.NewPCG(seed, seed))
	ownFolders(t)
	suit, elsewhere := t.TempDir(), t.TempDir()
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "ready", func() bool { return log.has(`"event":"ready"`) })

	var parts []string
	for n := range *dropped {
		part := fmt.Sprintf("%d/%02d/part-%05d.stl", n%3, n/3%20, n)
		parts = append(parts, part)
		path := filepath.Join(elsewhere, part)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		if n%*readable != 0 {
			require.NoError(t, os.WriteFile(path, fmt.Appendf(nil, "no mesh %d", n), 0o666))
			continue
		}
		f, err := os.Create(path)
		require.NoError(t, err)
		m := shape.Bar{X: 40 + 100*random.Float64(), Y: 10 + 30*random.Float64(), Z: 5 + 5*random.Float64()}.Mesh()
		require.NoError(t, mesh.WriteSTL(f, m, "drawn"))
		require.NoError(t, f.Close())
	}
	began, cpu := time.Now(), processorTime(t)
	require.NoError(t, os.CopyFS(suit, os.DirFS(elsewhere)))
	copied := time.Since(began)
	missing := 0 // all before have their reports
	for last, at := 0, time.Now(); missing < len(parts); {
		if _, err := os.Stat(filepath.Join(suit, parts[missing]+".md")); err == nil {
			missing++
			continue
		}
		if said := log.size(); said != last {
			last, at = said, time.Now()
		}
		require.Less(t, time.Since(at), 2*time.Minute, "%s has no report", parts[missing])
		time.Sleep(20 * time.Millisecond)
	}
	var summary string
	until(t, "a summary of them all", func() bool {
		summary = string(contentOf(filepath.Join(suit, "SUIT.md")))
		digits := strings.ReplaceAll(summary, " ", "") // it says 10 000
		return strings.Contains(digits, fmt.Sprint(*dropped)+"parts")
	})
	took := time.Since(began)
	stop()
	for _, part := range parts {
		require.Contains(t, summary, part)
	}
	t.Logf("%d parts: copied within %v, all reported and summed up within %v, %v of processor", *dropped, copied, took, processorTime(t)-cpu)
}

// processorTime is what the process has used so far.
func processorTime(t *testing.T) time.Duration {
	t.Helper()
	var used syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
