package picture

import (
	"strings"
	"testing"
)

// The tightest and the widest place keep their labels in inches too, shorter where
// there is no room for both.
func TestGirthInInches(t *testing.T) {
	c := limb()
	c.Also = func(float64) string { return "12 13/16 in" }
	s := c.sheet()
	look(t, "girth-inches", s)
	tidy(t, s)
	found := map[string]bool{}
	for _, l := range s.labels {
		for _, word := range []string{"tightest ", "widest "} {
			found[word] = found[word] || strings.HasPrefix(l.text, word)
		}
	}
	if !found["tightest "] || !found["widest "] {
		t.Errorf("labels of the tightest and the widest place: %v", found)
	}
}
