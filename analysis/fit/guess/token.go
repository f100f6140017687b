package guess

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// token is a run of letters or of digits in a name, in small letters without
// accents.
type token struct {
	text   string
	number bool
	glued  bool // nothing but a change of case or kind parts it from the one before
	quoted bool // an apostrophe stands before or after it
}

// letters holds Latin letters that are no other letter with a mark.
var letters = strings.NewReplacer("ß", "ss", "æ", "ae", "Æ", "AE", "œ", "oe", "Œ", "OE", "ø", "o", "Ø", "O", "ł", "l", "Ł", "L", "đ", "d", "Đ", "D")

// split parts a name into tokens: at whatever is neither letter nor digit,
// between letters and digits, and where capitals begin a word ("LGreaveTop").
func split(name string) []token {
	var runes []rune
	for _, r := range norm.NFKD.String(letters.Replace(name)) {
		if !unicode.Is(unicode.Mn, r) {
			runes = append(runes, r)
		}
	}
	var out []token
	from := 0
	end := func(to int) {
		if from == to {
			return
		}
		out = append(out, token{
			text:   strings.ToLower(string(runes[from:to])),
			number: unicode.IsDigit(runes[from]),
			glued:  from > 0 && inWord(runes[from-1]),
			quoted: from > 0 && apostrophe(runes[from-1]) || to < len(runes) && apostrophe(runes[to]),
		})
	}
	for i, r := range runes {
		switch {
		case !inWord(r):
			end(i)
			from = i + 1
		case i > from && begins(runes, i):
			end(i)
			from = i
		}
	}
	end(len(runes))
	return out
}

func inWord(r rune) bool     { return unicode.IsLetter(r) || unicode.IsDigit(r) }
func apostrophe(r rune) bool { return r == '\'' || r == '’' || r == '`' }

// begins says whether rune i begins a token, though the rune before it belongs
// to one.
func begins(runes []rune, i int) bool {
	before, r := runes[i-1], runes[i]
	switch {
	case unicode.IsDigit(before) != unicode.IsDigit(r):
		return true
	case !unicode.IsUpper(r):
		return false
	}
	return !unicode.IsUpper(before) || i+1 < len(runes) && unicode.IsLower(runes[i+1])
}

// apart splits tokens that are several known words written together, such as
// "shinguardleft"; others stay.
func apart(tokens []token) []token {
	var out []token
	for _, t := range tokens {
		pieces := []string{t.text}
		if _, single := meaning(t.text); !single && sides[t.text] == "" && len(t.text) <= longest {
			pieces = pieced(t.text)
			if pieces == nil {
				pieces = []string{unlettered(t.text)}
			}
		}
		for i, p := range pieces {
			out = append(out, token{text: p, number: t.number, glued: t.glued || i > 0, quoted: t.quoted})
		}
	}
	return out
}

// Words written together have at least shortest letters each, since a letter
// inside a word is never a side, and not more than longest in all.
const (
	shortest = 3
	longer   = 4 // of a word that a letter may stand before
	longest  = 40
)

// unlettered returns the word in "lgreave" without the letter, which may stand
// for a side but need not: it is not taken for one. Short words may be parts of
// others ("rear").
func unlettered(text string) string {
	if len(text) > longer && (text[0] == 'l' || text[0] == 'r') {
		if w, ok := meaning(text[1:]); ok && w.kind == naming {
			return text[1:]
		}
	}
	return text
}

// pieced returns the fewest known words that make up text, nil where none do.
func pieced(text string) []string {
	if text == "" {
		return []string{}
	}
	var best []string
	for n := len(text); n >= shortest; n-- {
		if !joinable(text[:n]) {
			continue
		}
		if rest := pieced(text[n:]); rest != nil && (best == nil || 1+len(rest) < len(best)) {
			best = append([]string{text[:n]}, rest...)
		}
	}
	return best
}

func joinable(text string) bool {
	if _, ok := meaning(text); ok {
		return true
	}
	return text == "left" || text == "right"
}
