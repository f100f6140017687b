package answer

import (
	"strings"

	"gambeson/report/words"
)

// Refusal says why a file could not be read, in words for its owner.
type Refusal struct {
	Where  string // "byte 84", "line 12", or ""
	Cause  string
	Remedy string // what to do about it, or ""
}

// Why says what is wrong and where.
func (r Refusal) Why() string {
	if r.Where == "" {
		return words.Sentence(r.Cause)
	}
	return strings.TrimSuffix(words.Sentence(r.Cause), ".") + " (at " + words.Prose(r.Where) + ")."
}
