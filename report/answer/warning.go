package answer

import (
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/report/words"
)

// inShort says a warning in a few words with the number that matters, as
// Markdown, in small letters: "too tight at the calf by 17.7 mm".
func inShort(w analysis.Warning, f *analysis.Findings) string {
	text := ""
	switch w.Code {
	case "does-not-enter":
		text = shutOut(f)
	case "too-tight":
		text = squeezed(f)
	case "too-loose":
		text = slack(f)
	case "hole-tight":
		text = "too small a hole for the arm: " + WidenHoles(f, f.Percent)
	case "too-short", "too-long":
		text = ofLength(w.Code, f)
	case "bed-overflow":
		text = overBed(w, f)
	case "unit-unlikely":
		text = "the unit of the file is in doubt, and with it all that is said"
	case "size-unlikely":
		text = "its size fits nobody: unit or region is wrong"
	case "mesh-speck":
		text = "a speck of the mesh lies far outside and counts for its size: delete it first"
	case "mesh-open":
		text = "the surface has holes"
	case "parts-several":
		text = "the file holds " + words.Things(len(f.Singles), "part") + ", which have to be told apart first"
	case "parts-joined":
		text = "the file holds several parts that hang together, which have to be told apart first"
	case "pieces-clear":
		text = "the space between its pieces counts as room"
	case "stands-in-way":
		text = "something stands in the way inside: take it out first"
	case "halves-uncut":
		text = "its mesh is still closed, though it is wanted in halves"
	case "percent-twice":
		text = "rescaled, and its percent in `suit.toml` still counts: set that to 100"
	case "no-wall":
		text = "a surface without a wall, which cannot be printed as it is"
	case "solid-block":
		text = "solid where the body should go: hollow it out first"
	case "assembly-apart":
		text = "lies clear of the other pieces of its shell"
		if strings.HasPrefix(w.Text, "Made one shell") {
			text = "the pieces of its shell no longer meet"
		}
	case "assembly-gone":
		text = "a piece of its shell is no longer there"
	case "assembly-renamed":
		text = "a piece of its shell has another name now"
	case "assembly-alone":
		text = "no other piece of its shell is there"
	case "assembly-scale":
		text = "the pieces of its shell are wanted at different scales"
	case "try-ons-disagree":
		text = "two try-ons cannot both be right"
	case "try-ons-odd":
		text = "the try-ons hardly go with the measures"
	}
	if text == "" {
		text = firstWords(w.Text)
	}
	return text
}

// firstWords is the first sentence of a text up to its first colon or full
// stop, in small letters. (A full stop within a number is none.)
func firstWords(text string) string {
	for _, end := range []string{". ", ": ", "; "} {
		text, _, _ = strings.Cut(text, end)
	}
	text = strings.TrimSuffix(text, ".")
	if first, rest, ok := strings.Cut(text, " "); ok && strings.ToUpper(first) != first || len(first) == 1 {
		text = strings.ToLower(first[:1]) + first[1:] + " " + rest
	}
	return words.Prose(text)
}

// shutOut says what does not get in.
func shutOut(f *analysis.Findings) string {
	if f.Fit == nil {
		return ""
	}
	for _, e := range f.Fit.Entries {
		if !e.Passes {
			return "the " + bodyPart(e.Measure, e.Source) + " does not get in, " + words.Spare(e.Throat-e.Needed)
		}
	}
	return ""
}

// squeezed says where it is too tight.
func squeezed(f *analysis.Findings) string {
	if n, only := onlyNarrow(f); only && !n.Bare() {
		return "too narrow for body and padding at " + words.Along(n.Along) + ", by " + words.Girth(n.Needed-n.Room)
	} else if only {
		return "too narrow for the bare body at " + words.Along(n.Along) + ", by " + words.Girth(n.Body-n.Room)
	}
	if f.Fit == nil {
		return ""
	}
	s, ok := tightest(f)
	if !ok || s.Capacity >= s.Needed {
		return ""
	}
	return "too tight at the " + bodyPart(s.Measure, s.Source) + " by " + words.Girth(s.Needed-s.Capacity)
}

// slack says where it is too loose.
func slack(f *analysis.Findings) string {
	if f.Fit == nil {
		return ""
	}
	s, ok := f.Fit.LeadSit()
	if !ok {
		return ""
	}
	if f.TooRoomy() {
		return "too loose at the " + bodyPart(s.Measure, s.Source) + ", about " + words.Girth(s.Extra) + " too much on each side"
	}
	return "too loose at the " + bodyPart(s.Measure, s.Source) + ", " + words.Girth(s.Ease) + " of ease"
}

// ofLength says at which scale the length would do.
func ofLength(code string, f *analysis.Findings) string {
	if f.Fit == nil {
		return ""
	}
	for _, l := range f.Fit.Lengths {
		switch {
		case code == "too-short" && l.Smallest > f.Percent:
			return "too short, long enough from " + words.AtLeast(l.Smallest)
		case code == "too-long" && l.Largest > 0 && l.Largest < f.Percent:
			return "too long above " + words.AtMost(l.Largest)
		}
	}
	return ""
}

// overBed says up to which scale the bed takes it.
func overBed(w analysis.Warning, f *analysis.Findings) string {
	text := "does not fit the bed"
	if strings.HasPrefix(w.Text, "No longer") {
		text = "no longer fits the bed"
	}
	if f.Bed == nil {
		return text
	}
	if n := len(f.Bed.Pieces); n > 0 {
		return text + " in one piece, but in " + words.Count(n)
	}
	if l := f.Bed.UpTo(); l > 0 {
		text += ", only up to " + words.AtMost(l)
	}
	return text
}

// InShort says all warnings of a part in one line, the gravest first as they
// are found.
func InShort(f *analysis.Findings) string {
	var said []string
	for _, w := range f.Warnings {
		if w.Level == analysis.LevelWarning {
			if text := inShort(w, f); !slices.Contains(said, text) { // of several alike the worst is said
				said = append(said, text)
			}
		}
	}
	return words.Capital(strings.Join(said, "; "))
}
