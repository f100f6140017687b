package analysis

// Schema names the interface that Findings marshals to. Keys stay; new ones
// may join.
const Schema = "gambeson.findings/1"

// Findings are the answers about one part, as plain data: the object that
// `gambeson check --json` prints a line of and that lies in findings.json.
//
// Lengths are mm, angles degrees, times hours, masses grams, scales percent.
// Mesh describes the file as it lies, in its unit; everything else holds at
// Percent. A nil or empty field is a question that was not asked.
type Findings struct {
	Schema      string    `json:"schema"`
	Part        string    `json:"part"`
	Fingerprint string    `json:"fingerprint,omitempty"`
	Percent     float64   `json:"percent,omitempty"`
	PercentSet  bool      `json:"percent_set,omitempty"` // somebody asked for Percent, be it 100
	Unit        *Unit     `json:"unit,omitempty"`
	Mesh        *Mesh     `json:"mesh,omitempty"`
	Shape       *Shape    `json:"shape,omitempty"`
	Objects     []Object  `json:"objects,omitempty"` // that the file names
	Singles     []Single  `json:"singles,omitempty"` // parts of the suit by themselves, where the file holds several
	Region      *Region   `json:"region,omitempty"`
	Assembly    *Assembly `json:"assembly,omitempty"`
	Bed         *Bed      `json:"bed,omitempty"`
	Cavities    []Cavity  `json:"cavities,omitempty"`
	Wall        *Wall     `json:"wall,omitempty"`
	Fit         *Fit      `json:"fit,omitempty"`
	Bands       []Band    `json:"bands,omitempty"`
	Print       *Print    `json:"print,omitempty"`
	Testing     *Testing  `json:"testing,omitempty"`
	// Printed is the scale at which the part was printed, of the file as it lies,
	// PrintedNoted as logbook.toml has it, and Redrawn how many times larger the file is
	// than when that was noted.
	Printed      float64 `json:"printed_percent,omitempty"`
	PrintedNoted float64 `json:"printed_noted_percent,omitempty"`
	Redrawn      float64 `json:"redrawn,omitempty"`
	// Stretched: the file was rescaled otherwise along than across, and is as it was then: that
	// shape is as good as a scale that somebody set.
	Stretched bool      `json:"stretched,omitempty"`
	Changed   *Changed  `json:"changed,omitempty"`
	Warnings  []Warning `json:"warnings,omitempty"`

	// Unreadable is the warning of a part that could not be read, in parts: the
	// report is written of them again. nil where it could, or where a version
	// before this one wrote it.
	Unreadable *Unreadable `json:"unreadable,omitempty"`
}

// Unreadable says why a part could not be read.
type Unreadable struct {
	Where  string `json:"where,omitempty"` // "byte 84", "line 12"
	Cause  string `json:"cause"`
	Remedy string `json:"remedy,omitempty"` // what to do about it
}

// Unit says what one unit of the file is.
type Unit struct {
	Name   string  `json:"name"`   // millimetre, inch, …
	Factor float64 `json:"factor"` // mm per unit
	Source string  `json:"source"` // assumed, file or config
	// Likely is the unit that gives the part a size of its region, where Name gives it none.
	Likely string `json:"likely,omitempty"`
}

// Mesh describes the mesh as read, in mm.
type Mesh struct {
	Format     string     `json:"format"` // stl-binary, stl-ascii, 3mf, obj
	Triangles  int        `json:"triangles"`
	Vertices   int        `json:"vertices"`
	Bounds     [3]float64 `json:"bounds_mm"`
	Area       float64    `json:"area_mm2"`
	Volume     float64    `json:"volume_mm3"`
	Closed     bool       `json:"closed"`
	Components int        `json:"components"`
	Defects    []Defect   `json:"defects"`
}

// Defect counts one kind of fault and shows one place of it. The kinds are those of
// mesh.Condition.
type Defect struct {
	Kind  string     `json:"kind"`
	Count int        `json:"count"`
	Where [3]float64 `json:"where_mm"`
}

// Region is the part of the body that the part covers.
type Region struct {
	Name   string `json:"name"`             // "" where unknown
	Side   string `json:"side"`             // left, right or ""
	Source string `json:"source"`           // config, name, shape, unknown
	Reason string `json:"reason,omitempty"` // of a guess, in words
}

// Bed says whether and how the part fits the printer.
type Bed struct {
	Fits      bool       `json:"fits"` // as it lies, turned or laid
	Largest   Largest    `json:"largest_percent"`
	Placement Placement  `json:"placement"` // the simplest that fits, else that of the largest scale
	Over      [3]float64 `json:"over_mm"`   // by Placement, 0 where it fits
	// Offer is a tilted placement that fits where no simpler one does.
	Offer *Placement `json:"offer,omitempty"`
	// Easier is a placement that fits too and needs far less support.
	Easier *Placement `json:"easier,omitempty"`
	Second *Bed       `json:"second_printer,omitempty"` // the same for another printer
	Pieces []Piece    `json:"pieces,omitempty"`
	Seams  []Seam     `json:"seams,omitempty"`
	// Loads is how many prints the part, or its pieces, and its test bands make,
	// BandLoads the test bands alone; 0 where one of them fits none.
	Loads     int `json:"loads,omitempty"`
	BandLoads int `json:"band_loads,omitempty"`
}

// Largest holds, for each kind of placement, the largest scale in percent of
// the file as it lies at which the part fits; 0 where it was not looked for.
type Largest struct {
	AsIs   float64 `json:"as_is,omitempty"`
	Turned float64 `json:"turned,omitempty"`
	Laid   float64 `json:"laid,omitempty"`
	Tilted float64 `json:"tilted,omitempty"`
}

// Placement is how the part lies on the bed.
type Placement struct {
	Kind string `json:"kind"` // as-is, turned, laid, tilted
	// Rotation takes directions of the file to those of the bed.
	Rotation [3][3]float64 `json:"rotation"`
	Size     [3]float64    `json:"size_mm"`
	// Spot is the low corner of the part's extent, from the bed's low corner.
	Spot [2]float64 `json:"spot_mm"`
	// Area that faces down by more than 45° from the vertical, off the bed: a
	// rough need of support.
	Overhang   float64 `json:"overhang_mm2"`
	FirstLayer float64 `json:"first_layer_mm2"`
}

// Piece is a closed piece of the part that fits the build volume. Its file lies
// as it is printed best.
type Piece struct {
	File     string     `json:"file"`
	Bounds   [3]float64 `json:"bounds_mm"`       // of the file
	Plane    *Plane     `json:"plane,omitempty"` // of its first seam, in the frame of the part
	Volume   float64    `json:"volume_mm3"`
	Holes    float64    `json:"holes_mm3,omitempty"` // of its pin holes, not in Volume
	Bodies   int        `json:"bodies,omitempty"`    // above 1: it falls into so many
	Overhang float64    `json:"overhang_mm2"`
	Hours    float64    `json:"hours,omitempty"`
	Grams    float64    `json:"grams,omitempty"`
}

// Seam is a cut between pieces.
type Seam struct {
	Plane  Plane   `json:"plane"`
	Length float64 `json:"length_mm"` // of what shows of it
	Above  []int   `json:"above"`     // pieces on the side of the normal, from 1
	Below  []int   `json:"below"`
	Pins   []Pin   `json:"pins,omitempty"`
	// Unkeyed says why the seam, or some of it, has no holes for pins.
	Unkeyed string `json:"unkeyed,omitempty"`
}

// Pin is a pin of a diameter with how many holes on each side of a seam, and
// how deep they are at least.
type Pin struct {
	Diameter float64 `json:"diameter_mm"`
	Count    int     `json:"count"`
	Depth    float64 `json:"depth_mm"`
}

// Plane is a cutting plane.
type Plane struct {
	Point  [3]float64 `json:"point_mm"`
	Normal [3]float64 `json:"normal"`
}

// Cavity is the air inside a part.
type Cavity struct {
	Volume      float64      `json:"volume_mm3,omitempty"`
	Openings    []Opening    `json:"openings,omitempty"`
	Centrelines []Centreline `json:"centrelines,omitempty"`
}

// Opening is a place where a cavity meets the open air.
type Opening struct {
	Name     string     `json:"name"` // A, B, …
	Center   [3]float64 `json:"center_mm"`
	Facing   [3]float64 `json:"facing"`
	Girth    float64    `json:"girth_mm,omitempty"`    // 0 where not known; of wall alone where it is open far in
	Capacity float64    `json:"capacity_mm,omitempty"` // 0 where none, or not known
}

// Centreline is a way through a cavity.
type Centreline struct {
	From     string    `json:"from"`
	To       string    `json:"to"` // an opening or "end"
	Length   float64   `json:"length_mm"`
	Cup      bool      `json:"cup,omitempty"`   // it ends inside what closes all round and is no deeper than wide
	Aside    bool      `json:"aside,omitempty"` // it comes in by the side of what bulges, and ends there
	Stations []Station `json:"stations"`
	// Course stands for the stations where most of them are not kept: see Girths.
	Course []CourseGirth `json:"-"`
}

// Station is a place on a centreline with its section.
type Station struct {
	Along      float64    `json:"along_mm"`
	Center     [3]float64 `json:"center_mm"`
	Normal     [3]float64 `json:"normal"`
	InnerGirth float64    `json:"inner_girth_mm"`
	Gap        float64    `json:"gap_mm,omitempty"`
	// Closed is the girth once the gaps are closed as the wall goes round elsewhere, 0 where
	// it is closed, or no circle has such gaps: no body has more room there. By Doubt it may
	// well be more, where the wall does not tell.
	Closed   float64     `json:"closed_mm,omitempty"`
	Doubt    float64     `json:"closed_doubt_mm,omitempty"`
	Capacity float64     `json:"capacity_mm,omitempty"`
	Ellipse  *[2]float64 `json:"ellipse_mm,omitempty"` // major, minor axis
	Cover    float64     `json:"cover_deg,omitempty"`

	barred bool // the way goes through something there, and the room is that beside it
}

// Fit compares the part with the body. Scales are percent of the file.
type Fit struct {
	Verdict string   `json:"verdict"`         // fits, tight, loose, blocked, unknown
	Lead    string   `json:"lead,omitempty"`  // measure by which the part counts as loose
	Shell   *Shell   `json:"shell,omitempty"` // padding and ease that were reckoned with
	Sits    []Sit    `json:"sits,omitempty"`
	Entries []Entry  `json:"entries,omitempty"`
	Lengths []Length `json:"lengths,omitempty"`
	// Chance that the part fits this body at Percent, 0–1, by what is known of
	// the body; 0 where nothing is.
	Chance   float64 `json:"chance,omitempty"`
	Smallest float64 `json:"smallest_percent,omitempty"`
	// Rests is the smallest scale for what rests inside, once it is inside.
	Rests float64 `json:"rests_percent,omitempty"`
	// Missed are measures that have too little room at Percent and at Rests, which is
	// less, none to have: the part is so short then that it does not reach them.
	Missed  []string `json:"missed_at_rests,omitempty"`
	Loosest float64  `json:"loosest_percent,omitempty"`
	// Roomiest is the scale above which a part that nothing else makes loose, such as a
	// helm, stands too far off what rests inside; 0 where that is not asked.
	Roomiest    float64     `json:"roomiest_percent,omitempty"`
	Recommended float64     `json:"recommended_percent,omitempty"`
	Interval    *[2]float64 `json:"interval_percent,omitempty"` // of Recommended, 9 in 10
	// SmallestInterval holds the true smallest scale 9 times in 10.
	SmallestInterval *[2]float64 `json:"smallest_interval_percent,omitempty"`
	// RestsInterval holds the true Rests as often.
	RestsInterval *[2]float64 `json:"rests_interval_percent,omitempty"`
	TwoWay        *TwoWay     `json:"two_way,omitempty"`
	Covers        *Covers     `json:"covers,omitempty"`
	Narrow        *Narrow     `json:"narrow,omitempty"`
	// Bare is Rests where that is by the body between its measures.
	Bare  float64 `json:"bare_percent,omitempty"`
	Cap   *Cap    `json:"cap,omitempty"`   // of what only lies on a knee or an elbow
	Helps []Help  `json:"helps,omitempty"` // the most telling first
}

// Sit is a place where a measure of the body rests.
type Sit struct {
	Measure  string  `json:"measure"`
	Body     float64 `json:"body_mm"`
	Source   string  `json:"source"` // measured or estimated
	SD       float64 `json:"sd_mm,omitempty"`
	Needed   float64 `json:"needed_mm"` // with padding, liner and the ease wanted
	Capacity float64 `json:"capacity_mm"`
	Ease     float64 `json:"ease_mm"` // beyond padding and liner
	Along    float64 `json:"along_mm"`
	From     string  `json:"from,omitempty"`
	To       string  `json:"to,omitempty"` // other end of the way
	// Extra padding in mm, each side, that would take up the ease beyond the
	// one wanted; 0 where there is none to take up.
	Extra float64 `json:"extra_padding_mm,omitempty"`
	// Strays is the standard deviation of Capacity by where the girth may rest.
	Strays float64 `json:"strays_mm,omitempty"`
	// Hole: it is a hole of the part, as for an arm, whose rim is cut back where it is
	// tight: no scale is chosen for it.
	Hole bool `json:"hole,omitempty"`
}

// Lacks is the girth in mm that the sit has too little once the part is so many times as
// large; 0 where it has its room.
func (s Sit) Lacks(times float64) float64 { return max(0, s.Needed-times*s.Capacity) }

// Length compares the part's length with the body's.
type Length struct {
	Measure  string  `json:"measure"` // foot_length, or the stretch in words: "knee to ankle"
	Body     float64 `json:"body_mm"`
	Source   string  `json:"source"` // measured or estimated
	SD       float64 `json:"sd_mm,omitempty"`
	Room     float64 `json:"room_mm"`                    // length of the part there, at Percent
	Smallest float64 `json:"smallest_percent,omitempty"` // along the part; 0 where there is no limit
	Largest  float64 `json:"largest_percent,omitempty"`
}

// TwoWay is a scale that differs round and along the part.
type TwoWay struct {
	Girth  float64    `json:"girth_percent"`
	Length float64    `json:"length_percent"`
	Axis   [3]float64 `json:"axis"`             // unit vector of the length in the file
	Axes   [3]float64 `json:"axes_percent"`     // x, y, z, where Axis is one of them; else 0
	Fits   bool       `json:"fits_bed"`         // so scaled
	Opened bool       `json:"opened,omitempty"` // the body gets in only once it is opened
	Chance float64    `json:"chance,omitempty"` // that it fits then; 0 where not known
	Size   [3]float64 `json:"size_mm"`          // so scaled, as it lies
}

// Set returns the same stretch with other percents.
func (t *TwoWay) Set(girth, length float64, fits bool) *TwoWay {
	out := *t
	out.Girth, out.Length, out.Fits = girth, length, fits
	for k, was := range t.Axes {
		switch was {
		case 0:
		case t.Length:
			out.Axes[k] = length
		default:
			out.Axes[k] = girth
		}
	}
	return &out
}

// Narrow is a place where a part lacks room for the body, between the places of its
// measures or a little beyond them.
type Narrow struct {
	Along float64 `json:"along_mm"` // from the opening that the body enters by
	Room  float64 `json:"room_mm"`
	Body  float64 `json:"body_mm"` // bare, by a straight line from one measure to the next
	// Needed is what the part must hold there: with the padding, and near to a measure with
	// the ease; Body where neither counts.
	Needed float64 `json:"needed_mm"`
}

// Bare tells that not even the bare body has room there.
func (n *Narrow) Bare() bool { return n.Room < n.Body }

// Covers says which stretch of the body is under the part at Percent, in mm
// along the limb: above the floor for leg and trunk, below the tip of the
// shoulder for the arm.
type Covers struct {
	Limb string     `json:"limb"`    // leg, arm, trunk
	Span [2]float64 `json:"span_mm"` // of the rim nearer to the trunk's middle, of the other
	// Room at the two rims, in the same order; 0 where nothing is held there.
	Rims [2]float64 `json:"rims_mm"`
	// SD of the places, by what is known of the body.
	SD float64 `json:"sd_mm,omitempty"`
}

// Help is a measure that was not given, and what giving it would do.
type Help struct {
	Measure string  `json:"measure"`
	Cut     float64 `json:"cut"`        // share of the scale's variance taken away, 0–1
	SD      float64 `json:"sd_percent"` // of the scale, left after it
}

// Entry is one way for the body to get in.
type Entry struct {
	Opening     string  `json:"opening"`
	To          string  `json:"to"` // other end of the way: an opening or "end"
	Measure     string  `json:"measure"`
	Body        float64 `json:"body_mm"`
	Source      string  `json:"source"` // measured or estimated
	SD          float64 `json:"sd_mm,omitempty"`
	Needed      float64 `json:"needed_mm"`
	Throat      float64 `json:"throat_mm"`
	ThroatAlong float64 `json:"throat_along_mm"` // from Opening
	Passes      bool    `json:"passes"`
	Percent     float64 `json:"passes_percent,omitempty"` // scale from which on it passes
	Panel       *Panel  `json:"panel,omitempty"`
	Halves      bool    `json:"halves,omitempty"` // no panel helps: part it in halves
}

// Panel is the piece of wall that must come off to let the body in.
type Panel struct {
	To     float64    `json:"to_mm"` // from the rim of the opening down to here
	Width  float64    `json:"width_mm"`
	Facing [3]float64 `json:"facing"`
	File   string     `json:"file,omitempty"`      // the strip, relative to the suit folder
	Rest   string     `json:"rest,omitempty"`      // the part without it
	Throat float64    `json:"throat_mm,omitempty"` // measured again with the panel off
}

// Band is a test band that was cut: one file to print.
type Band struct {
	File string `json:"file"` // relative to the suit folder
	// Station is where it is cut, along the way From – To as Centrelines have it,
	// in the part at Findings.Percent.
	Station float64 `json:"station_mm"`
	From    string  `json:"from,omitempty"`
	To      string  `json:"to,omitempty"`
	Percent float64 `json:"percent"` // its own scale: what would be printed
	Height  float64 `json:"height_mm"`
	// Measure is what it answers for: what rests there or, where Passes, what has
	// the least room there on its way in. Reason says it in words.
	Measure string `json:"measure,omitempty"`
	Passes  bool   `json:"passes,omitempty"`
	Reason  string `json:"reason,omitempty"`
	// Capacity is the room that Measure has in it, at its own scale; 0 where it
	// answers for none.
	Capacity float64 `json:"capacity_mm,omitempty"`
	// Arcs is how many pieces it is in, 1 where it is whole, and lie in File; where
	// one bed does not hold all of them, Sheet counts the files of it from 1.
	Arcs  int `json:"arcs"`
	Sheet int `json:"sheet,omitempty"`
	// Notches in its top rim tell it from the part's other bands, Text stands on
	// its outer wall; 0 and "" where there was no room.
	Notches int    `json:"notches,omitempty"`
	Text    string `json:"text,omitempty"`
	Flats   bool   `json:"flats,omitempty"` // at the ends of the arcs, numbered, for clips
	// Apart is how far its two walls are from each other inside, at its own scale, where
	// there is nothing between them, as at armholes; 0 where it goes all the way round.
	Apart float64 `json:"apart_mm,omitempty"`
	Hours float64 `json:"hours,omitempty"`
	Grams float64 `json:"grams,omitempty"`
}

// Print is what printing the part, or all its pieces, takes: as the model says,
// corrected by what prints that were made took. Supports, skirt and heating up
// are not in it.
type Print struct {
	Hours   float64 `json:"hours"`
	HoursSD float64 `json:"hours_sd,omitempty"`
	Grams   float64 `json:"grams"`
	GramsSD float64 `json:"grams_sd,omitempty"`
	Metres  float64 `json:"metres"` // of filament
	// ModelHours and ModelGrams are what the model says uncorrected.
	ModelHours float64 `json:"model_hours,omitempty"`
	ModelGrams float64 `json:"model_grams,omitempty"`
	Prints     int     `json:"prints,omitempty"` // that corrected it
	// Percent is the scale that all this is for, and Advised what the print takes
	// at the scale that was advised when it was counted, nil where none was.
	Percent float64  `json:"percent,omitempty"`
	Advised *PrintAt `json:"advised,omitempty"`
}

// PrintAt is what a print takes at a scale.
type PrintAt struct {
	Percent float64 `json:"percent"`
	Hours   float64 `json:"hours"`
	Grams   float64 `json:"grams"`
}

// Changed says what became of the file since its last report.
type Changed struct {
	Kind string `json:"kind"` // new, same, rescaled, moved, turned, mirrored, cut, edited: the first that holds
	// Percent of what it was, 100 where the size is unchanged; 0 where it
	// differs by direction or is not known.
	Percent float64 `json:"percent,omitempty"`
	// Axes are the percents along x, y, z, or along the directions Along, of
	// the file before it was turned, or after where TurnedFirst; nil where
	// Percent says it all.
	Axes        *[3]float64    `json:"axes_percent,omitempty"`
	Along       *[3][3]float64 `json:"axes,omitempty"`
	TurnedFirst bool           `json:"turned_first,omitempty"`
	Mirror      string         `json:"mirror,omitempty"`   // x, y or z: the axis turned round
	Turn        float64        `json:"turn_deg,omitempty"` // by the right hand about TurnAxis
	TurnAxis    *[3]float64    `json:"turn_axis,omitempty"`
	Moved       *[3]float64    `json:"moved_mm,omitempty"` // the middle of its box, beyond what turning does
	Planes      []Plane        `json:"planes,omitempty"`   // of cuts; normals show to what is gone
	Text        string         `json:"text,omitempty"`     // in words, after "the file was"
}

// Level tells a warning from a note.
type Level string

// A warning asks the person to act and makes `check` exit 1; a note does not.
const (
	LevelWarning Level = "warning"
	LevelNote    Level = "note"
)

// Warning is one doubt or danger, said once.
type Warning struct {
	Level Level  `json:"level"`
	Code  string `json:"code"`
	Text  string `json:"text"`
}

// Warned reports whether any warning (not note) was raised.
func (f *Findings) Warned() bool {
	for _, w := range f.Warnings {
		if w.Level == LevelWarning {
			return true
		}
	}
	return false
}

// InDoubt reports whether the part's unit or region is in doubt, or it is several, or
// something stands in it, or its pieces lie apart, so that nothing that was measured on it
// counts.
func (f *Findings) InDoubt() bool {
	return f.Says("unit-unlikely", "size-unlikely", "parts-several", "parts-joined", "stands-in-way", "pieces-clear")
}

// codeUnreadable marks the findings of a part that could not be read.
const codeUnreadable = "unreadable"

// Unknown reports whether it is not even known how large the part is or which of several,
// so that no verdict of body, bed or hours is worth a word.
func (f *Findings) Unknown() bool {
	return f.Says("unit-unlikely", "size-unlikely", "parts-several")
}

// Refused returns the findings of a part that could not be read: nothing but
// the reason.
func Refused(part, why string) Findings {
	f := Findings{Schema: Schema, Part: part}
	f.warn(codeUnreadable, why)
	return f
}

// Refusal returns why the part could not be read; refused is false where it
// was.
func (f *Findings) Refusal() (why string, refused bool) {
	for _, w := range f.Warnings {
		if w.Code == codeUnreadable {
			return w.Text, true
		}
	}
	return "", false
}
