package report

import (
	"slices"

	"gambeson/analysis"
	"gambeson/report/disk"
	"gambeson/report/paper"
	"gambeson/report/step"
	"gambeson/report/words"
)

// bands lists the test bands.
func (b *page) bands(d Document, p disk.Place) {
	f := &d.Findings
	if len(f.Bands) == 0 {
		return
	}
	b.Heading("Test bands")
	b.Block(bandWords(f))
	if first := step.OpenRing(f, d.Brief, f.Bands[0]); first != "" {
		b.Block("**" + first + "**")
	}
	same := alikeHigh(f.Bands)
	var rows [][]string
	for _, band := range f.Bands {
		high := words.Girth(band.Height)
		if same {
			high = "" // said above
		}
		pieces, notches, cost := "", "none", []string{"", ""}
		if band.Arcs > 1 {
			pieces = words.Things(band.Arcs, "arc")
		}
		if band.Sheet > 0 {
			pieces += ", file " + words.Count(band.Sheet)
		}
		if band.Notches > 0 {
			notches = words.Count(band.Notches)
		}
		if band.Hours > 0 {
			cost[0] = words.Hours(band.Hours)
		}
		if band.Grams > 0 {
			cost[1] = words.Grams(band.Grams)
		}
		rows = append(rows, []string{paper.FileLink(p, band.File), notches, words.Prose(band.Text), words.Along(band.Station), words.Prose(band.Reason), words.Percent(band.Percent), high, pieces, cost[0], cost[1]})
	}
	b.Table([]string{"band", "notches", "on its outside", "cut at", "it is", "scale", "height", "pieces", "about", "filament"}, rows)
}

// alikeHigh reports whether all bands are of one height.
func alikeHigh(bands []analysis.Band) bool {
	return !slices.ContainsFunc(bands, func(b analysis.Band) bool { return words.Girth(b.Height) != words.Girth(bands[0].Height) })
}

// bandWords says what bands are, and how they are told apart and held together.
func bandWords(f *analysis.Findings) string {
	text := "A low ring of the part itself, "
	if alikeHigh(f.Bands) {
		text += words.Girth(f.Bands[0].Height) + " high, "
	}
	text += "to print and try on before the whole part. It lies flat on the bed as it is."
	first := f.Bands[0]
	if words.Percent(first.Percent) != words.Percent(f.Percent) {
		why := "the recommended one, since `suit.toml` asks for none"
		if f.Testing != nil && f.Testing.Next != nil {
			why = "the one that tells most"
		}
		text += " Its scale is " + why + ". It is cut at distances along the part at " + words.Percent(f.Percent) + "."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Notches > 0 }) {
		text += " Notches in the top rim tell the bands apart."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Text != "" }) {
		text += " Letters on the outside overlap the wall: the printing program joins them to it."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Notches == 0 && b.Text == "" }) {
		text += " One without either had no room for them: write on it with a pen."
	}
	if slices.ContainsFunc(f.Bands, func(b analysis.Band) bool { return b.Flats }) {
		text += " Arcs go together number to number, with a clip over each pair of flats."
	}
	text += " Nothing is changed on the inside."
	for _, b := range f.Bands {
		if b.Apart > 0 && b.Sheet <= 1 {
			text += " The one at " + words.Along(b.Station) + " is of two walls or more with nothing between them, as where a shell comes in halves or has armholes. When you try it on, hold them " + words.Girth(b.Apart) + " apart inside, where they come nearest to each other."
		}
	}
	return text
}
