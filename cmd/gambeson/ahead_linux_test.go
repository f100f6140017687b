package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A TOML file that is broken while a part is at work is said to be so at once, in
// the log, in SUIT.md and by status, and not once more when the part is done. The
// part is answered by what was asked when it was begun, and then by what is asked
// when the file is mended.
func TestBrokenSettingsAreSaidWhileAPartIsAtWork(t *testing.T) {
	ownFolders(t)
	suit := t.TempDir()
	at := func(name string) string { return filepath.Join(suit, name) }
	settings := func(text string) { // at once, as editors do: half of it may be read otherwise
		require.NoError(t, os.WriteFile(at("next.toml"), []byte(text), 0o666))
		require.NoError(t, os.Rename(at("next.toml"), at("suit.toml")))
	}
	settings("[printer]\nbed = [300, 300]\n")
	barAt(t, at("bar.stl"), 60)
	log, stop := watchingAt(t, suit, pace{quiet: 50 * time.Millisecond})
	until(t, "the first part in the summary", func() bool { return strings.Contains(string(contentOf(at("SUIT.md"))), "bar.stl") })

	denseGreave(t, at("next"), 2**dense) // 400,000 triangles
	require.NoError(t, os.Rename(at("next"), at("greave.stl")))
	handling := func() string {
		now, err := standingOf(suit)
		require.NoError(t, err)
		return now.Handling
	}
	until(t, "the part is at work", func() bool { return handling() == "greave.stl" })
	settings("[printer]\nbedd = [300, 300]\n")
	until(t, "the word", func() bool { return log.has(`"event":"config_broken"`) })
	until(t, "SUIT.md", func() bool { return strings.Contains(string(contentOf(at("SUIT.md"))), "bedd") })
	until(t, "status", func() bool {
		s, err := readState(suit)
		return err == nil && len(s.Problems) == 1 && strings.Contains(s.Problems[0], "bedd")
	})
	// Its rims are looked at first; for a moment before the rest nothing is at work.
	until(t, "the part is at work still: else the test shows nothing", func() bool { return handling() == "greave.stl" })
	require.False(t, log.has(`"event":"reported","file":"greave.stl"`), log.String())

	until(t, "the part", func() bool { return log.has(`"event":"reported","file":"greave.stl"`) })
	until(t, "its turn", func() bool { return handling() == "" })
	settings("[printer]\nbed = [120, 120]\n")
	until(t, "mended", func() bool { return log.has(`"event":"config_mended"`) })
	until(t, "judged by it", func() bool {
		b := findingsAt(at("greave.stl")).Bed
		return b != nil && !b.Fits
	})
	stop()
	require.Equal(t, 1, log.count(`"event":"config_broken"`), log.String())
	require.Equal(t, 1, log.count(`"event":"config_mended"`), log.String())
}
