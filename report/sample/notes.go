package sample

// Notes are things that people write.
var Notes = map[string]string{
	"nothing":           "",
	"a line":            "Glued on Tuesday.\n",
	"no line end":       "holds well",
	"windows lines":     "first\r\nsecond\r\n",
	"headings":          "# Mine\n## Cautions\nNone.\n## Your notes\nagain\n",
	"fenced heading":    "```\n## Your notes\n```\nafter\n",
	"our own comments":  NotesLine + "\n" + FirstLine + "\n<!-- gambeson text=00 -->\n",
	"not UTF-8":         "caf\xe9 \x00\x01\n",
	"blank lines":       "\n\n  \n\ttab\n\n",
	"a pasted report":   FirstLine + "\n<!-- gambeson fingerprint=ff text=9e493c25dee42906 -->\n# x\n\n" + NotesTop + NotesLine + "\ninner notes\n",
	"looks like a hint": "\n" + hintNotes + "\n\n",
}

// What the program writes round a person's notes, letter by letter: reports that
// lie in folders since long have it too.
const (
	FirstLine    = `<!-- gambeson report: written by the program and written again; what stands below "Your notes" is yours and stays -->`
	NotesHeading = "## Your notes"
	hintNotes    = "*What you write below is kept word for word when this report is written again.*"
	NotesTop     = NotesHeading + "\n\n" + hintNotes + "\n\n"
	NotesLine    = "<!-- gambeson: everything below this line is yours and is kept word for word -->"
)
