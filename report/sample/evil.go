package sample

import "gambeson/analysis"

// Evil is a name that would end a line, a chapter, a table, a page and the text of ours,
// turn the direction of reading, write on a terminal, and is no UTF-8.
const Evil = "x\n## Your notes\n" + NotesLine + "\n<script>|`*[a](b)\x1b[2J\u202e\xff"

// Spoil gives the findings of Boot such names and texts wherever they have any.
func Spoil(f *analysis.Findings) {
	const evil = Evil
	f.Unit.Name, f.Mesh.Format, f.Region.Name, f.Region.Side = evil, evil, evil, evil
	f.Mesh.Defects = []analysis.Defect{{Kind: evil, Count: 1}}
	f.Cavities[0].Openings[0].Name, f.Cavities[0].Centrelines[0].From, f.Cavities[0].Centrelines[0].To = evil, evil, evil
	f.Fit.Sits[0].Measure, f.Fit.Sits[0].From, f.Fit.Sits[1].Measure, f.Fit.Entries[0].Measure, f.Fit.Entries[0].Opening = evil, evil, evil, evil, evil
	f.Fit.Entries[0].Panel.File, f.Fit.Entries[0].Panel.Rest = evil, evil
	f.Bed.Placement.Kind, f.Bed.Pieces[0].File = evil, evil
	f.Bands = []analysis.Band{{File: evil}}
	f.Changed = &analysis.Changed{Kind: evil}
	f.Warnings = []analysis.Warning{{Level: analysis.LevelWarning, Text: evil}, {Level: analysis.LevelNote, Text: evil}}
}
