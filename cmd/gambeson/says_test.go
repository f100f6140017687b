package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gambeson/analysis"

	"github.com/stretchr/testify/require"
)

// The log says in words what every warning means, by the sources that raise them, and of
// those whose text holds measures of the body no number.
func TestTheLogSaysWhatEveryWarningMeans(t *testing.T) {
	files, err := filepath.Glob("../../analysis/*.go")
	require.NoError(t, err)
	raises, codes := regexp.MustCompile(`\.warn\("([a-z-]+)"`), map[string]bool{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		source, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, found := range raises.FindAllStringSubmatch(string(source), -1) {
			codes[found[1]] = true
		}
	}
	require.Greater(t, len(codes), 20, "the sources raise warnings some other way now")
	for code := range codes {
		text := impersonalText(analysis.Warning{Code: code, Text: "It needs 413.1 mm."})
		if impersonal[code] {
			require.Equal(t, "It needs 413.1 mm.", text)
			continue
		}
		require.Contains(t, withoutMeasures, code)
		require.False(t, strings.ContainsAny(text, "0123456789"), text)
	}
}
