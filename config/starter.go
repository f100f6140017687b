package config

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// File is one starter file of a suit folder.
type File struct {
	Name string
	Text string
}

// Starter returns the files that `gambeson start` writes: every key with what it
// means, all of them commented out. Taking away the # right before a key or a
// bracket puts it in force; # and a space begin a remark.
func Starter() []File {
	return []File{{suitFile, starterSuit}, {wearerFile, starterWearer()}, {logbookFile, starterLogbook}}
}

// Start writes the starter files that a folder does not have yet, and returns
// their names. What is there is never touched.
func Start(dir string) (written []string, err error) {
	for _, file := range Starter() {
		switch err := create(filepath.Join(dir, file.Name), file.Text); {
		case errors.Is(err, fs.ErrExist):
		case err != nil:
			return written, fmt.Errorf("write %s: %w", file.Name, err)
		default:
			written = append(written, file.Name)
		}
	}
	return written, nil
}

// create writes a file that must not exist, and leaves none behind where that
// fails half-way.
func create(path, text string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.WriteString(text)
	if err == nil {
		err = f.Sync()
	}
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err != nil {
		os.Remove(path)
	}
	return err
}

const starterSuit = `# suit.toml: the printer, the padding, and what each part covers.
# Every line is optional. Take away the # right before a key to use it; the
# values are those that hold without it. A plain length is in mm; in quotes it
# may have another unit: "38.5 cm", "15 1/4 in".

#[printer]
#bed = [220, 220]          # width and depth of the bed; for a round bed write bed_diameter = 200 instead
#height = 250              # how high it prints
#margin = 5                # kept free at the bed's edge and round strips, for skirt or brim
#strips = []               # places that cannot be printed on, each [x, y, width, depth] from the bed's low corner
#nozzle = 0.4              # width of the nozzle
#layer = 0.2               # height of a layer
#walls = 3                 # lines of wall, a whole number
#infill = 0.15             # share of the inside that is filled: 0 to 1, or "15 %"
#speed = 60                # mm/s along walls
#flow = 12                 # mm³/s that the hot end melts at most
#acceleration = 1500       # mm/s²

# Another printer, for parts that the first does not take: the same keys. What
# is not said of it, but for bed and strips, is as with the first.
#[second_printer]
#bed = [300, 300]
#height = 400

#[filament]
#diameter = 1.75           # thickness of the strand
#density = 1.24            # g/cm³, from its data sheet; 1.24 is PLA

# What lies between skin and shell. A shell that is too tight stops the blood:
# numb, tingling, cold or discoloured fingers or toes mean take it off at once.
# Never force a part or a test band on. Limbs swell: try again after 15 minutes.
#[shell]
#padding = 5               # foam and undersuit between skin and shell, on each side; left out, 2 to 10 by what a part covers
#undersuit = 1             # what of the padding is undersuit; not counted twice where wearer.toml says that the tape lay over it
#entry_padding = 2         # what of it remains when it is pressed on the way in
#liner = 0                 # reinforcement added to the inside; with resin, follow its safety data sheet
#ease = 6                  # girth wanted on top, to move and breathe; left out, 6 on a limb, 40 on the trunk
#loosest = 40              # ease above which a part counts as loose; left out, 40 on a limb, 140 on the trunk

# One [[part]] for each file, or for several at once: * stands for any letters
# of a name, ** for any folders. Of entries that match the same part, a later
# one goes before an earlier one, key by key. A file inside an archive is
# "kit.zip/legs/greave-left.stl".
#[[part]]
#file = "legs/greave-*.stl"
#region = "lower_leg"      # foot, lower_leg, knee, thigh, hips, torso, shoulder, upper_arm, elbow, forearm, hand, neck or head
#side = "left"             # left or right
#unit = "inch"             # unit that the file was drawn in: millimetre, centimetre, metre, inch, foot or micron
#axis = [0, 0, 1]          # the way through the part, only where it must be forced
#enter = "A"               # opening by which the body enters, by its letter in the report
#halves = true             # parted along its length: nothing has to pass
#strapped = true           # open along its length and strapped on; false where pieces that part so are glued
#whole = false             # true where it touches other parts and yet is no piece of one shell with them
#panel = "back"            # side on which a panel may come off: back, front, left, right, inner or outer
#percent = 100             # the scale wanted, in percent of the file
#rest = 95                 # how far in the leading measure (calf, thigh, …) rests on the printed part, from the rim by which the body enters; without it the best place is looked for
#padding = 8               # these six as under [shell], for this part alone
#undersuit = 2
#entry_padding = 3
#liner = 0
#ease = 10
#loosest = 50

# Files that are pieces of one shell and keep their common place: judged as one,
# each with its own place on the bed. Patterns as above.
#[[assembly]]
#name = "left boot"
#files = ["legs/boot-left-top.stl", "legs/boot-left-toe.stl"]

# How "gambeson watch" behaves.
#[watch]
#notify = true             # a note on the desktop about what needs you; never a body measure. false for none
`

// starterWearer writes every measure with a drawing of where its tape runs.
func starterWearer() string {
	var b strings.Builder
	b.WriteString(`# wearer.toml: the body that goes into the suit.
# Every line is optional; what is missing is estimated and marked so. The
# values here are examples: put your own, and take away the # before the key.
# A plain length is in mm; in quotes it may have another unit: "38.5 cm",
# "15 1/4 in", "5 ft 7 in". Where left and right differ, write
# calf_girth.left = 380 and calf_girth.right = 384 in place of calf_girth.
#
# Measure with a soft tape that lies close and presses nothing, standing
# relaxed where nothing else is said. Have somebody else do it, twice; where
# the readings differ by more than 5 mm, once more. A shell drawn too tight
# stops the blood: between two readings, write the larger one.

#name = "Mira"
#sex = "female"               # female or male: sharpens the estimates of what
                              # is missing; without it both are weighed
#weight = "68 kg"             # plain numbers are kg; "150 lb" is fine too
#measured_over = "skin"       # what lay under the tape: skin or undersuit; an
                              # undersuit (how thick: suit.toml, [shell]) is
                              # then not counted twice

# A number is the same in the drawings and in the remarks. Where the tape runs
# round, it is drawn as === or as its number, again and again; <--> is
# straight across, : is along the body, -+- is the height above the floor.
`)
	b.WriteString(chapters())
	return b.String()
}

const starterLogbook = `# logbook.toml: what was tried on and what was printed. "gambeson tried" adds to
# its end; you may write in it yourself.
# Take a band off at once where it hurts, numbs or changes the skin's colour, and
# never force one: what was forced on may not come off once the limb swells.

#[[tryon]]
#part = "legs/greave-left.stl"     # from the suit's folder on
#station = "calf"                  # the measure that rests there, or mm along the way in
#percent = 107                     # scale of what was tried on
#verdict = "tight"                 # tight, fits or loose
#capacity_mm = 389.5               # room there in mm, written by "gambeson tried"
#padding_mm = 5                    # padding under it in mm, on each side, written by "gambeson tried"; left out, as much as there is now
#entry_padding_mm = 2              # what of it was left where the body only passes, written by "gambeson tried"
#fingerprint = "4f1c"              # the file it was cut from, written by "gambeson tried"

#[[printed]]
#part = "legs/greave-left.stl"
#percent = 110                     # scale it was printed at
#hours = 22.4                      # what the printer took
#grams = 310                       # what it weighs, with supports
`
