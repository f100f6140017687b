// Package words says numbers, names and lists as people read them, in Markdown: one
// precision for each kind of number, whatever stands in a name shown as text, and the
// blocks that every report is made of. It knows no report and no file.
package words

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gambeson/analysis"
)

// Plainly turns a key such as "lower_leg" into Markdown: "lower leg".
func Plainly(key string) string { return Prose(strings.ReplaceAll(key, "_", " ")) }

// BodyPlace is the place a girth is measured at, as Markdown: "calf_girth" is
// "calf".
func BodyPlace(measure string) string { return Prose(BodyLabel(measure)) }

// BodyLabel is BodyPlace for pictures.
func BodyLabel(measure string) string {
	return Visible(analysis.MeasureWords(measure))
}

// Region names what a part covers: "left lower leg".
func Region(r *analysis.Region) string {
	if r == nil || r.Name == "" {
		return ""
	}
	if r.Side != "" {
		return Prose(r.Side) + " " + Plainly(r.Name)
	}
	return Plainly(r.Name)
}

// And joins words as a sentence does.
func And(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// Capital makes a sentence of a phrase.
func Capital(text string) string {
	if text == "" {
		return ""
	}
	first, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[n:]
}

// Sentence makes a shown text end as a sentence does.
func Sentence(text string) string {
	text = Prose(text)
	if last, _ := utf8.DecodeLastRuneInString(text); text == "" || strings.ContainsRune(".!?…", last) {
		return text
	}
	return text + "."
}

// Towards says in which direction something faces, of a part that looks along −y
// as files mostly do: its left, which is the wearer's, is then +x.
func Towards(v [3]float64) string {
	words := [3][2]string{{"right (−x)", "left (+x)"}, {"front (−y)", "back (+y)"}, {"down (−z)", "up (+z)"}}
	most := 0
	for k := range v {
		if math.Abs(v[k]) > math.Abs(v[most]) {
			most = k
		}
	}
	if v[most] > 0 {
		return words[most][1]
	}
	return words[most][0]
}

// StartOf says where a way begins, so that the tape is laid from that end:
// plain text, not yet Markdown.
func StartOf(c analysis.Centreline) string {
	if c.From != "" && c.From != "end" {
		return "opening " + c.From
	}
	if len(c.Stations) < 2 {
		return "its end"
	}
	a, b := c.Stations[0].Center, c.Stations[len(c.Stations)-1].Center
	ends := map[string]string{
		"right (−x)": "the right end (low x)", "left (+x)": "the left end (high x)",
		"front (−y)": "the front end (low y)", "back (+y)": "the back end (high y)",
		"down (−z)": "the lower end (low z)", "up (+z)": "the upper end (high z)",
	}
	return ends[Towards([3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]})]
}

// The cautions that belong to the job. Sources: prints and fumes, NIOSH,
// "Approaches to Safe 3D Printing" (DHHS (NIOSH) Publication 2024-103); resin,
// Aalto-Korte, "Acrylic Resins", Kanerva's Occupational Dermatology; heat,
// NIOSH, "Protecting Yourself from Heat"; softening, glass transition of PLA
// 55–60 °C (data sheet of its grade 4043D); no protection, ISO 13688 asks for
// tests that a costume has not passed. Dust, view and tightness: common
// practice, no source.
var cautions = []string{
	"**Not protective equipment.** A printed shell is a costume. It has passed no test against blows, cuts, falls or heat and protects from none of them.",
	"**Too tight stops the blood.** Numbness, tingling, pain, cold or a change of colour: take the part off at once. Look again after 10 to 15 minutes of wear, because limbs swell. Never force a band or a part over a joint.",
	"**Fumes and dust.** Print with the room aired or the printer enclosed. Sand wet where you can, with a dust mask (FFP2 or N95) and eye protection; break sharp edges and take off the stubs of supports.",
	"**Resins and coatings** can make skin allergic for good: gloves, no bare skin, full curing before it is worn. Follow the maker's safety data sheets and local rules; where they say more than this report, they hold.",
	"**Heat.** A hard shell keeps body heat in: drink, rest in a cool place, take it off when unwell. PLA softens at 55 to 60 °C; a parked car is hot enough to bend it.",
}

// regionCautions are said for parts that cover this region only.
var regionCautions = map[string][]string{
	"head":  {"**Sight, hearing and breath in a helm.** Keep the openings for eyes, mouth and air free. Try it on with somebody beside you, never drive or climb in it, have a guide on stairs, and make sure that you can take it off by yourself.", "**Room to breathe.** Spent air gathers in a closed helm: add vents and take breaks."},
	"neck":  {"**The throat.** Nothing may press on it: two fingers must go between collar and skin, also with the head bent."},
	"knee":  {"**Bending the knee.** A shell that closes all round a joint stops it: leave the back open and strap it, or cut both rims back behind the knee. Walk, sit and climb stairs in it before you wear it for long; do not kneel with your weight on a printed shell."},
	"elbow": {"**Bending the elbow.** A shell that closes all round a joint stops it: leave the crook of the arm open and strap it, or cut both rims back there. Bring the hand to the mouth in it before you wear it for long."},
	"torso": {"**Breath.** Check the fit with the lungs full, sitting and bending."},
	"foot":  {"**Footing.** A printed sole slips and breaks: glue grip under it, test it on a flat floor, and do not carry weight on thin walls."},
	"hand":  {"**Grip.** Fingers must close and open freely; do not work machines in it."},
}

// cautionsFor are the cautions for what the parts cover, then the common ones.
func cautionsFor(covered []string) []string {
	var out []string
	for _, region := range []string{"head", "neck", "torso", "elbow", "hand", "knee", "foot"} {
		if slices.Contains(covered, region) {
			out = append(out, regionCautions[region]...)
		}
	}
	return append(out, cautions...)
}

// CountOf counts what holds.
func CountOf[T any](all []T, holds func(T) bool) (n int) {
	for _, x := range all {
		if holds(x) {
			n++
		}
	}
	return n
}

// Or joins words as a sentence does that leaves the choice.
func Or(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " or " + words[n-1]
	}
	return strings.Join(words, "")
}

// Differs reports whether two scales read differently.
func Differs(a, b float64) bool { return Percent(a) != Percent(b) }

// Verb picks the form for one or for several.
func Verb(names []string, one, several string) string {
	if len(names) == 1 {
		return one
	}
	return several
}

// PartLines is an entry of suit.toml for one part.
func PartLines(name, key string) string {
	return "[[part]]\nfile = " + TOML(name) + "\n" + key + "\n"
}

// Placement says how the part lies on the bed.
func Placement(p analysis.Placement) string { return Prose(p.Words()) }

// Way names a way through a part: plain text, not yet Markdown.
func Way(c analysis.Centreline) string {
	end := func(name string) string {
		if name == "end" {
			return "the deep end"
		}
		return "opening " + name
	}
	switch {
	case c.From == "" || c.From == "end":
		return "from " + StartOf(c)
	case c.To == "":
		return "from " + end(c.From)
	}
	return "from " + end(c.From) + " to " + end(c.To)
}
