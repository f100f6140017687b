package drawing

import (
	"gambeson/report/picture/solid"
	"gambeson/report/words"
)

// drawPieces draws the pieces pulled apart.
func (d Part) drawPieces() Picture {
	b := d.Findings.Bed
	if b == nil || len(b.Pieces) == 0 || len(d.Parted) != len(b.Pieces) {
		return Picture{}
	}
	p := solid.Parting{Title: "In " + words.Things(len(b.Pieces), "piece") + " at " + words.Percent(d.Findings.Percent)}
	for i, piece := range b.Pieces {
		text := words.InUnits(words.Size(piece.Bounds), d.Brief)
		if piece.Hours > 0 {
			text += ", " + words.Hours(piece.Hours)
		}
		p.Pieces = append(p.Pieces, solid.Piece{Mesh: d.Parted[i], Text: text})
	}
	for _, s := range b.Seams {
		p.Seams = append(p.Seams, solid.Seam{Point: vec(s.Plane.Point), Normal: vec(s.Plane.Normal), Above: s.Above, Below: s.Below})
	}
	return Picture{File: pictureName("pieces", 0), Alt: p.Title + howApart(len(b.Seams)), image: solid.Pieces(p)}
}

// howApart says how pieces come apart; those of a file that holds several have no seam.
func howApart(seams int) string {
	if seams == 0 {
		return ", lying clear of each other"
	}
	return ", pulled apart at " + words.Things(seams, "seam")
}
