package words

import (
	"strings"
	"unicode"
)

// TriedCommand is what notes that a part or a band of it fits at a station and a scale;
// false where the part's name cannot be typed.
func TriedCommand(part, station string, scale float64) (string, bool) {
	name, ok := ShellWord(part)
	return Code("gambeson tried " + name + " --station " + station + " --percent " + strings.TrimSuffix(Decimal(scale, 1), ".0") + " --verdict fits"), ok
}

// ShellWord quotes a name for a command line; false where it holds what
// cannot be typed.
func ShellWord(name string) (string, bool) {
	if Visible(name) != name {
		return "", false
	}
	if strings.IndexFunc(name, func(r rune) bool {
		return !(unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("./_-", r))
	}) < 0 && !strings.HasPrefix(name, "-") {
		return name, true
	}
	return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'", true
}
