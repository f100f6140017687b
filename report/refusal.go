package report

import "strings"

// Refusal says why a file could not be read, in words for its owner.
type Refusal struct {
	Where  string // "byte 84", "line 12", or ""
	Cause  string
	Remedy string // what to do about it, or ""
}

// why says what is wrong and where.
func (r Refusal) why() string {
	if r.Where == "" {
		return sentence(r.Cause)
	}
	return strings.TrimSuffix(sentence(r.Cause), ".") + " (at " + prose(r.Where) + ")."
}
