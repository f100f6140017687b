// Package bend says where parts meet: the gap between them, how far the joint bends
// before their rims touch, and how much to cut off where. It computes nothing; see
// analysis/suit/joint.
package bend

import (
	"cmp"
	"image"
	"math"
	"slices"
	"strings"

	"gambeson/analysis"
	"gambeson/analysis/suit/joint"
	"gambeson/report/disk"
	"gambeson/report/picture/outline"
	"gambeson/report/words"
)

// Chapter is the chapter on where parts meet: the gaps, how far the joints bend
// before rims touch and what would help. link links to the report of a part by its
// name; shown is the path of the picture from jointDrawing, "" for none. It is guidance: what is to be noted stands first.
func Chapter(b *words.Page, from string, all []joint.Joint, link func(part string) string, shown string) {
	if len(all) == 0 {
		return
	}
	b.Heading("Where parts meet")
	b.Block("The gap that two parts leave along the limb, standing straight, and how far the joint bends before their rims touch, at the scales that are set now.")
	b.Table([]string{"joint", "between", "gap", "movement", "before the rims touch", "without shells"}, jointCells(all, link))
	b.Items(false, jointItems(all))
	if shown != "" {
		j, bend, _ := mostHindered(all)
		b.Picture(jointTitle(j, bend), words.Href(from, shown))
	}
	b.Block(jointMethod)
}

// Hindered says in short where parts keep a joint from bending; the details say
// what would help.
func Hindered(b *words.Page, all []joint.Joint) {
	said := map[string][]string{}
	var texts []string
	for _, j := range all {
		text := ""
		switch least, ok := leastBend(j); {
		case j.Note != nil:
			text = "the parts overlap by " + words.Along(-j.Gap) + " and cannot bend"
		case j.Overlap.Neither():
			text = "the parts overlap by " + words.Along(-j.Gap) + ", and neither goes into the other: " + lackWords(j)
		case ok && len(least.Unmet()) > 0:
			text = least.Name + " " + words.Degrees(least.Touch) + " of " + words.Degrees(least.Normal) + " before the rims touch"
		}
		if text == "" {
			continue
		}
		if said[text] == nil {
			texts = append(texts, text)
		}
		said[text] = append(said[text], jointName(j))
	}
	if len(texts) == 0 {
		return
	}
	var items []string
	for _, text := range texts {
		items = append(items, words.Capital(jointNames(said[text]))+": "+text+".")
	}
	b.Heading("Where parts meet")
	b.Items(false, items)
	b.Block(words.Link("How much to cut off where", words.Href(disk.SuitName, disk.DetailsReport)+"#where-parts-meet") + ".")
}

// leastBend is the movement of which least is left; ok is false where the parts
// leave no gap or nothing hinders any.
func leastBend(j joint.Joint) (least joint.Bend, ok bool) {
	for _, b := range j.Bends {
		if j.Gap > 0 && b.Share < 1 && (!ok || b.Share < least.Share) {
			least, ok = b, true
		}
	}
	return least, ok
}

// jointMethod says how the angles were found. The sources of the normal ranges
// are in analysis/suit/joint.
const jointMethod = "Reckoned simply, as a guide: each rim as a disc with its inner girth, square to the limb, the shell running straight on from it, and the joint as a hinge at its height on this wearer. Thickness of walls and padding, squeezed flesh and shells that slip or flex are not in it. ± is one standard deviation, by what is known of the body. How far joints bend without shells: American Academy of Orthopaedic Surgeons, *Joint Motion* (1965), for the spine usual textbook values; what everyday life asks: round values from studies of gait and reach. Nobody has to bend that far: stop where it hurts."

// jointCells is a line for each movement of each joint.
func jointCells(all []joint.Joint, link func(part string) string) [][]string {
	var cells [][]string
	for _, j := range all {
		first := []string{jointName(j), link(j.Upper.Part) + " and " + link(j.Lower.Part), gapWords(j)}
		switch {
		case j.Gap <= 0:
			cells = append(cells, append(first, "", "they overlap", ""))
			continue
		case j.Round:
			cells = append(cells, append(first, "", "a shell goes round the joint", ""))
		case len(j.Bends) == 0:
			cells = append(cells, append(first, "", "not known", ""))
		}
		for _, bend := range j.Bends {
			cells = append(cells, append(first, bend.Name, bendWords(bend), words.Degrees(bend.Normal)))
			first = []string{jointName(j), "", ""} // a row stands alone on a telephone
		}
	}
	return cells
}

// jointName is a joint with its side: "left knee".
func jointName(j joint.Joint) string { return strings.TrimSpace(j.Side + " " + j.Name) }

func gapWords(j joint.Joint) string {
	text := words.Along(math.Abs(j.Gap))
	if j.Gap < 0 {
		text += " of overlap"
	}
	if j.SD > 0 {
		text += " ± " + words.Along(j.SD)
	}
	return text
}

func bendWords(b joint.Bend) string {
	if b.Share >= 1 {
		return "all of it"
	}
	text := words.Degrees(b.Touch)
	if b.SD >= 0.5 {
		text += " ± " + words.Degrees(b.SD)
	}
	return text
}

// shells name the parts of a suit by what they cover.
var shells = map[string]string{
	"foot": "boot", "lower_leg": "greave", "knee": "knee shell", "thigh": "thigh shell", "hips": "hip ring", "torso": "torso",
	"shoulder": "shoulder shell", "upper_arm": "upper arm shell", "elbow": "elbow shell", "forearm": "forearm shell", "hand": "hand shell",
	"neck": "collar", "head": "helm",
}

func shellName(r joint.Rim) string { return shells[r.Region] }

// jointItems says what the table means, the most hindered joint first. What
// holds for left and right alike is said once.
func jointItems(all []joint.Joint) []string {
	type item struct {
		share float64
		text  string // with sided in place of the joint's name
		names []string
	}
	var items []item
	var free, round, rimless, lost []string
	for _, j := range all {
		share, text := jointText(j)
		switch {
		case text != "":
			at := slices.IndexFunc(items, func(i item) bool { return i.text == text })
			if at < 0 {
				at = len(items)
				items = append(items, item{share: share, text: text})
			}
			items[at].names = append(items[at].names, jointName(j))
		case j.Round:
			round = append(round, jointName(j))
		case j.Axis == nil:
			lost = append(lost, jointName(j))
		case len(j.Bends) == 0:
			rimless = append(rimless, jointName(j))
		default:
			free = append(free, jointName(j))
		}
	}
	slices.SortStableFunc(items, func(a, b item) int { return cmp.Compare(a.share, b.share) })
	var out []string
	for _, i := range items {
		names := jointNames(i.names)
		text := strings.ReplaceAll(i.text, "**"+sided, "**"+words.Capital(names))
		out = append(out, strings.ReplaceAll(text, sided, names))
	}
	if len(free) > 0 {
		out = append(out, "Not hindered: "+jointNames(free)+".")
	}
	if len(round) > 0 {
		out = append(out, "A shell goes round the joint itself at "+jointNames(round)+": how far the joint bends in it is not reckoned. Bend it with the shell on before the neighbours are glued or strapped.")
	}
	if len(rimless) > 0 {
		out = append(out, "How far they bend is not known, for a rim is open or its girth was not found: "+jointNames(rimless)+".")
	}
	if len(lost) > 0 {
		out = append(out, "How far they bend is not known without the wearer's lengths, `stature` at least: "+jointNames(lost)+".")
	}
	return out
}

// sided stands for the name of the joint in a text that may hold for both
// sides; no text of ours has it.
const sided = "\x00"

// jointNames lists joints; left and right of one go together: "each knee".
func jointNames(names []string) string {
	var out []string
	for _, n := range names {
		right, isLeft := strings.CutPrefix(n, "left ")
		left, isRight := strings.CutPrefix(n, "right ")
		switch {
		case isLeft && slices.Contains(names, "right "+right):
			out = append(out, "each "+right)
		case isRight && slices.Contains(names, "left "+left):
		default:
			out = append(out, "the "+n)
		}
	}
	return words.And(out)
}

// jointText says what hinders a joint and what would help, and how much of its
// bend is left; no text where nothing does.
func jointText(j joint.Joint) (share float64, text string) {
	switch {
	case j.Note != nil:
		return -1, "**Note:** " + words.Prose(j.Note.Text)
	case j.Gap <= 0:
		text = "The " + shellName(j.Upper) + " and the " + shellName(j.Lower) + " overlap by " + words.Along(-j.Gap) + " at " + sided
		inner, outer := overlapNames(j)
		switch {
		case j.Overlap.Neither():
			return -1, text + ", but **neither goes into the other** there: " + lackWords(j) + ", by their girths at the same heights and the thinnest wall. " + words.Capital(apartHelp) + " before either is printed."
		case j.Overlap.Goes():
			return 1, text + ", as they often do there. The " + inner + " goes into the " + outer + " where both have one shape, with up to " + words.Girth(j.Overlap.Room) + " left all round where it is tightest: it " + moves(j) + " as far as that lets it."
		}
		return 1, text + ", as they often do there."
	}
	share = 1.0
	var said []string
	for _, b := range j.Bends {
		if b.Share < 1 {
			said = append(said, bendText(j, b))
			share = min(share, b.Share)
		}
	}
	if wider, _ := j.Into(); slips(j) && share < 1 {
		said = append(said, "The rim of the "+shellName(wider)+" is "+words.Along(j.Clear)+" wider all round: the other part may slip into it instead, which gives more room than is reckoned here.")
	}
	return share, strings.Join(said, " ")
}

// moves says what goes on where two parts overlap by design.
func moves(j joint.Joint) string {
	if j.Round {
		return "slides"
	}
	return "bends"
}

// apartHelp is what helps where neither of two parts goes into the other.
const apartHelp = "cut one of them back to where they no longer overlap, or give one of them another scale,"

// overlapNames names the part that goes into the other, or lacks least to do so, and
// the other one.
func overlapNames(j joint.Joint) (inner, outer string) {
	inner, outer = shellName(j.Upper), shellName(j.Lower)
	if j.Overlap != nil && j.Overlap.Inner == j.Lower.Part {
		inner, outer = outer, inner
	}
	return inner, outer
}

// lackWords says what each of two parts lacks to go into the other.
func lackWords(j joint.Joint) string {
	inner, outer := overlapNames(j)
	return "the " + inner + " lacks " + words.Girth(-j.Overlap.Room) + " all round to go into the " + outer + ", the " + outer + " " + words.Girth(-j.Overlap.Lacks) + " to go into the " + inner
}

// Held is what hinders joints so much that the parts that meet there are not to be
// printed before something is done.
type Held struct {
	Parts []string // by name
	Text  string   // what hinders, and what helps; begins with a small letter
}

// Holds lists the joints at which neither part goes into the other, or that do not bend
// far enough for the least that everyday life asks of them. What holds for left and right
// alike is said once.
func Holds(all []joint.Joint) (held []Held) {
	names := map[string][]string{}
	for _, j := range all {
		text := ""
		least, ok := leastBend(j)
		switch {
		case j.Overlap.Neither():
			text = "at " + sided + " they overlap by " + words.Along(-j.Gap) + ", and neither goes into the other: " + lackWords(j) + ". " + words.Capital(strings.TrimSuffix(apartHelp, ",")) + "."
		case j.Gap < 0 && !j.Laps:
			text = "at " + sided + " they overlap by " + words.Along(-j.Gap) + " and cannot bend. Shorten one of them first."
		case ok && least.Stopped() && !slips(j):
			text = sided + " " + least.Name + " only " + words.Degrees(least.Touch) + " of " + words.Degrees(least.Normal) + " before the rims touch, too little " + least.Needs[0].For + "." + cutText(j, least)
			if len(least.Cuts) > 0 {
				text += " Cut first, or choose another scale."
			} else {
				text += " Choose another scale or another part first."
			}
		}
		if text == "" {
			continue
		}
		at := slices.IndexFunc(held, func(h Held) bool { return h.Text == text })
		if at < 0 {
			at, held = len(held), append(held, Held{Text: text})
		}
		for _, part := range []string{j.Upper.Part, j.Lower.Part} {
			if !slices.Contains(held[at].Parts, part) {
				held[at].Parts = append(held[at].Parts, part)
			}
		}
		names[text] = append(names[text], jointName(j))
	}
	for i, h := range held {
		held[i].Text = strings.ReplaceAll(h.Text, sided, jointNames(names[h.Text]))
	}
	return held
}

// slips reports whether one part is wide enough to take the other in, where
// parts are made to do so.
func slips(j joint.Joint) bool {
	_, may := j.Into()
	return may && j.Laps
}

// bendText is the sentence on one movement and the advice for it.
func bendText(j joint.Joint, b joint.Bend) string {
	text := "**" + sided + " " + b.Name + " " + words.Degrees(b.Touch) + " of " + words.Degrees(b.Normal) + " before the rims touch " + b.Where + "**: "
	var does, not []string
	for _, n := range b.Met() {
		does = append(does, n.For)
	}
	for _, n := range b.Unmet() {
		not = append(not, n.For)
	}
	switch {
	case len(not) == 0:
		text += "enough " + words.And(does) + "."
	case len(does) == 0:
		text += "too little " + words.Or(not) + "."
	default:
		text += "enough " + words.And(does) + ", not " + words.Or(not) + "."
	}
	for _, r := range []joint.Rim{j.Upper, j.Lower} {
		if r.Away < 0 && !j.Laps {
			text += " The " + shellName(r) + " reaches " + words.Along(-r.Away) + " past the joint."
		}
	}
	return text + cutText(j, b)
}

// cutText says how much to cut off for the first need that is not met, and for
// the greatest.
func cutText(j joint.Joint, b joint.Bend) string {
	unmet := b.Unmet()
	if len(unmet) == 0 {
		return ""
	}
	if len(b.Cuts) == 0 {
		return " A third off both parts would not give room " + unmet[0].For + " (" + words.Degrees(unmet[0].Angle) + ")."
	}
	c := b.Cuts[0]
	text := " " + words.Capital(c.For) + " (" + words.Degrees(c.Angle) + "), cut " + offWords(j, b, c) + " over " + words.Along(c.Wide) + ", running out to nothing"
	if last := b.Cuts[len(b.Cuts)-1]; last.Angle > c.Angle {
		text += "; " + last.For + " (" + words.Degrees(last.Angle) + "), " + offWords(j, b, last) + " over " + words.Along(last.Wide)
	}
	return text + "."
}

// offWords says what to cut off which rim, and what off both instead.
func offWords(j joint.Joint, b joint.Bend, c joint.Cut) string {
	each := words.Along(math.Ceil(c.Each)) + " off each of the two rims"
	if c.Part == "" {
		return each + " " + b.Side
	}
	of := j.Lower
	if c.Part == j.Upper.Part {
		of = j.Upper
	}
	text := words.Along(math.Ceil(c.Off)) + " off the " + c.Rim + " rim of the " + shellName(of) + " " + b.Side
	if c.Each > 0 {
		text += " (or " + each + ")"
	}
	return text
}

// mostHindered returns the movement of which least is left, of the joints whose
// parts leave a gap and do not slip into one another; ok is false where nothing
// hinders any.
func mostHindered(all []joint.Joint) (j joint.Joint, bend joint.Bend, ok bool) {
	for _, k := range all {
		for _, b := range k.Bends {
			if k.Gap > 0 && !slips(k) && b.Share < 1 && (!ok || b.Share < bend.Share) {
				j, bend, ok = k, b, true
			}
		}
	}
	return j, bend, ok
}

func jointTitle(j joint.Joint, b joint.Bend) string {
	return "The " + jointName(j) + " " + b.Name + " " + words.Degrees(b.Touch) + " before the rims touch"
}

// Picture is the picture of a joint, the name of its file, and what it says in
// words.
type Picture struct {
	File, Alt string
	Image     *image.RGBA
}

// Draw draws the joint that is hindered most; ok is false where none is.
func Draw(all []joint.Joint, brief analysis.Brief) (d Picture, ok bool) {
	j, b, ok := mostHindered(all)
	if !ok {
		return Picture{}, false
	}
	d = Picture{File: "joint.png", Alt: jointTitle(j, b)}
	d.Image = outline.Bent(outline.Joint{
		Title: d.Alt,
		Note:  words.InUnits("Rims "+rimWords(j.Upper, "above", "below")+" and "+rimWords(j.Lower, "below", "above")+" the joint's axis", brief),
		Upper: shellName(j.Upper), Lower: shellName(j.Lower), Meet: meetWords(b),
		Above: j.Upper.Away, Below: j.Lower.Away, UpperRadius: j.Upper.Radius(), LowerRadius: j.Lower.Radius(),
		Axis: b.Offset, Gap: j.Gap, Touch: b.Touch, Normal: b.Normal, UpperTurns: j.Limb == "trunk", Also: words.Also(brief),
	})
	return d, true
}

func rimWords(r joint.Rim, beyond, past string) string {
	if r.Away < 0 {
		return words.Along(-r.Away) + " " + past
	}
	return words.Along(r.Away) + " " + beyond
}

// meetWords names the side on which the rims meet in a picture.
func meetWords(b joint.Bend) string {
	return strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(b.Side, "at the "), "on the "), "in ")
}
