package guess

import (
	"path"
	"slices"
	"strings"
)

// FromName guesses from the words in the path of a part, from the suit folder
// on with slashes, what it covers: "kit.zip/legs/L_Greave_v2.stl" is a left
// lower leg, because "the file's name says greave and L". ok says that the
// region is known; a side may be known without one, and reason says what there
// was to go by in either case.
//
// The file's name counts before that of the nearest folder, that before the
// next. Within a name a word of the trade counts before one for a stretch of
// the body, that before a joint, and of two alike the later, since English
// names the thing itself last ("chest shoulder plate"). Where a name joins two
// regions ("hand-to-forearm") the part covers both, and the answer is left
// open. So it is where the name ends in something that only goes on a shell
// ("greave strap"). Knee and elbow are regions only where no other is named. Hips, torso, neck and head have no side.
func FromName(part string) (region, side, reason string, ok bool) {
	var by, sideBy said
	for _, e := range elements(part) {
		r := read(e.text)
		if by.words == "" && r.decides() {
			region, by = r.region, said{e.what, r.because()}
		}
		if sideBy.words == "" && r.side != "" {
			side, sideBy = r.side, said{e.what, r.sideWord}
		}
	}
	if side == "both" || !HasSides(region) {
		side, sideBy = "", said{}
	}
	return region, side, by.and(sideBy), region != ""
}

// Detail returns the word by which a part is a small thing that goes on another
// or holds one, a strap or a stand; ok is false where no name in its path says
// so before one names a region.
func Detail(part string) (word string, ok bool) {
	for _, e := range elements(part) {
		if r := read(e.text); r.decides() {
			return r.detail, r.detail != ""
		}
	}
	return "", false
}

// HasSides says whether a region is on the left or on the right; one that is
// not known may be.
func HasSides(region string) bool {
	return !slices.Contains([]string{"hips", "torso", "neck", "head"}, region)
}

// said is what a name says: the words of a file, a folder or an archive.
type said struct{ who, words string }

// and says what two names say, which may be the same one.
func (s said) and(more said) string {
	switch {
	case s.words == "" && more.words == "":
		return ""
	case more.words == "":
		return "the " + s.who + "'s name says " + s.words
	case s.words == "":
		return more.and(s)
	case s.who == more.who:
		return said{s.who, s.words + " and " + more.words}.and(said{})
	}
	return s.and(said{}) + " and " + more.and(said{})
}

// element is one name of a path.
type element struct {
	text string // without an ending of a mesh file or an archive
	what string // file, folder or archive
}

// elements returns the names of a path, the file's first.
func elements(part string) []element {
	names := strings.Split(part, "/")
	slices.Reverse(names)
	var out []element
	for i, text := range names {
		e := element{text: text, what: "folder"}
		for {
			ext := strings.ToLower(path.Ext(e.text))
			if !slices.Contains([]string{".stl", ".3mf", ".obj", ".zip"}, ext) {
				break
			}
			e.text = e.text[:len(e.text)-len(ext)]
			if ext == ".zip" {
				e.what = "archive"
			}
		}
		if i == 0 {
			e.what = "file"
		}
		out = append(out, e)
	}
	return out
}

// reading is what one name says.
type reading struct {
	region   string
	word     string   // that named it
	both     []string // words for two regions that the name joins
	detail   string   // word for a detail that the name ends in
	side     string   // left, right, both or ""
	sideWord string
}

// decides says that the name leaves nothing to the names of folders.
func (r reading) decides() bool { return r.region != "" || len(r.both) > 0 || r.detail != "" }

// because says by what the name decides.
func (r reading) because() string {
	switch {
	case r.detail != "":
		return r.detail + ", which is no shell"
	case len(r.both) > 0:
		return "both " + r.both[0] + " and " + r.both[1]
	}
	return r.word
}

// read reads one name.
func read(name string) reading {
	var r reading
	nouns := itself(understood(r.withoutSides(apart(split(name)))))
	if n := len(nouns); n > 0 && nouns[n-1].kind == trimming && !nouns[n-1].joined {
		r.detail = nouns[n-1].text
		return r
	}
	nouns = slices.DeleteFunc(nouns, func(n noun) bool { return n.kind == trimming })
	giveWay(nouns)
	best := noun{}
	for i, n := range nouns {
		if i > 0 && n.joined && n.region != nouns[i-1].region && (n.rank == trade) == (nouns[i-1].rank == trade) {
			r.both = []string{nouns[i-1].text, n.text}
			return r
		}
		if n.rank >= best.rank {
			best = n
		}
	}
	r.region, r.word = best.region, best.text
	return r
}

// giveWay gives the words for knee and elbow to the shells that end there, where a name has
// words for others as well.
func giveWay(nouns []noun) {
	if !slices.ContainsFunc(nouns, func(n noun) bool { return joins[n.region] == "" }) {
		return
	}
	for i, n := range nouns {
		if region := joins[n.region]; region != "" {
			nouns[i].region = region
		}
	}
}

// withoutSides takes the words for a side out of the tokens and keeps what they
// say.
func (r *reading) withoutSides(tokens []token) []token {
	var rest []token
	for i, t := range tokens {
		side := sides[t.text]
		if side == "" || len(t.text) == 1 && !alone(tokens, i) {
			rest = append(rest, t)
			continue
		}
		if r.side != "" && r.side != side {
			side = "both"
		}
		r.side, r.sideWord = side, t.text
		if len(t.text) <= len("lhs") {
			r.sideWord = strings.ToUpper(t.text)
		}
	}
	return rest
}

// alone says whether letter i stands for itself: it is not a revision ("r2"),
// an initial with an apostrophe or a size ("size L").
func alone(tokens []token, i int) bool {
	size := func(k int) bool { return k >= 0 && k < len(tokens) && tokens[k].text == "size" }
	numbered := i+1 < len(tokens) && tokens[i+1].number && tokens[i+1].glued
	return !numbered && !tokens[i].quoted && !size(i-1) && !size(i+1)
}

// noun is a word that names a region or a detail.
type noun struct {
	word
	text   string
	joined bool // to the one before: "and", "to"
}

// understood returns the words that mean something, pairs first, and numbers and
// unknown words as fillings.
func understood(tokens []token) []noun {
	var out []noun
	for i := 0; i < len(tokens); i++ {
		if i+1 < len(tokens) {
			one, other := tokens[i].text, tokens[i+1].text
			w, ok := meaning(one + " " + other)
			if !ok && (other == "upper" || other == "lower") { // "leg upper"
				one, other = other, one
				w, ok = meaning(one + " " + other)
			}
			if ok {
				out = append(out, noun{word: w, text: one + " " + other})
				i++
				continue
			}
		}
		w, _ := meaning(tokens[i].text)
		out = append(out, noun{word: w, text: tokens[i].text})
	}
	return out
}

// itself returns the nouns for the thing itself: those before "with" or "for",
// where there are any, with the details left out that are its features.
func itself(words []noun) []noun {
	var out []noun
	joined := false
	for i, w := range words {
		switch w.kind {
		case parting:
			if len(out) > 0 {
				return out
			}
		case joining:
			joined = len(out) > 0
		case having:
			if i > 0 && words[i-1].kind == trimming {
				out = out[:len(out)-1]
			}
		case naming, trimming:
			w.joined, joined = joined, false
			out = append(out, w)
		}
	}
	return out
}
