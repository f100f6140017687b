package main

import (
	"archive/zip"
	"bytes"
	"io"

	"gambeson/analysis/mesh"
	"gambeson/analysis/shape"

	"gonum.org/v1/gonum/spatial/r3"
)

// demoFile is one file of the demo suit.
type demoFile struct {
	Name  string // from the suit folder on, with slashes
	Bytes func() ([]byte, error)
}

// demoSuit returns the files of an invented suit, always the same bytes in the
// same order: the Copper Heron of the Lantern Street Players, whose parts were
// drawn for somebody a little slimmer than Mira, who wears it. Every part
// asks another question: a heel that hardly passes, a closed toe, two legs, a
// head to get in over the face, a gap for straps, a file in inches.
func demoSuit() []demoFile {
	inInches := func(draw func() *mesh.Mesh) *mesh.Mesh { return draw().Scaled(1 / inch) }
	return []demoFile{
		{"suit.toml", verbatim(demoSuitTOML)},
		{"wearer.toml", verbatim(demoWearerTOML)},
		{"arms/forearm-left.stl", binarySTL(func() *mesh.Mesh { return inInches(demoForearm) })},
		{"arms/shoulder-left.stl", binarySTL(demoShoulder)},
		{"arms/upper-arm-left.obj", encoded(func(w io.Writer) error { return shape.WriteOBJ(w, ahead(demoUpperArm().Mesh())) })},
		{"body/breastplate.stl", binarySTL(demoBreastplate)},
		{"body/gorget.stl", encoded(func(w io.Writer) error { return shape.WriteASCII(w, ahead(demoGorget().Mesh()), "gorget") })},
		{"body/hips.stl", binarySTL(demoHips().Mesh)},
		{"body/torso.3mf", encoded(func(w io.Writer) error { return shape.Write3MF(w, ahead(inInches(demoTorso().Mesh)), "inch") })},
		{"head/helm.stl", binarySTL(demoHelm().Mesh)},
		{"legs/boot-left.stl", binarySTL(demoBoot().Mesh)},
		{"legs/greave-left.stl", binarySTL(func() *mesh.Mesh { return shape.Mirror(demoGreave().Mesh()) })},
		{"legs/greave-right.stl", binarySTL(demoGreave().Mesh)},
		{"legs/thigh-left.stl", binarySTL(demoThigh)},
		{"kit.zip", encoded(demoKit)},
	}
}

// inch in mm, exact since 1959.
const inch = 25.4

// oval returns the inner section of a girth in mm that is aspect times as deep,
// front to back, as it is wide.
func oval(girth, aspect float64) shape.Ellipse { return shape.EllipseOfGirth(girth, aspect) }

// demoGreave is the right greave: narrowest a hand's breadth above the ankle
// bones, where the heel has to pass, and widest at the calf, which sits back and
// to the inside.
func demoGreave() shape.Limb {
	return shape.Limb{Wall: 3, Rings: rounded(4,
		shape.Ring{Center: r3.Vec{Z: 0}, Inner: oval(338, 1.10)},
		shape.Ring{Center: r3.Vec{Z: 45}, Inner: oval(326, 1.06)},
		shape.Ring{Center: r3.Vec{X: -2, Y: -4, Z: 130}, Inner: oval(362, 1.02)},
		shape.Ring{Center: r3.Vec{X: -4, Y: -7, Z: 225}, Inner: oval(402, 1.04)},
		shape.Ring{Center: r3.Vec{X: -3, Y: -3, Z: 300}, Inner: oval(396, 1.06)},
		shape.Ring{Center: r3.Vec{X: -3, Y: -2, Z: 335}, Inner: oval(408, 1.06)},
	)}
}

// rounded returns the rings with steps bands between each two, changing along
// 3t² − 2t³, so that the outline has no kinks.
func rounded(steps int, keys ...shape.Ring) []shape.Ring {
	out := keys[:1:1]
	for k := 1; k < len(keys); k++ {
		from, to := keys[k-1], keys[k]
		for i := 1; i <= steps; i++ {
			t := float64(i) / float64(steps)
			s := t * t * (3 - 2*t)
			center := r3.Add(from.Center, r3.Scale(s, r3.Sub(to.Center, from.Center)))
			center.Z = from.Center.Z + t*(to.Center.Z-from.Center.Z)
			out = append(out, shape.Ring{Center: center, Inner: from.Inner.Toward(to.Inner, s)})
		}
	}
	return out
}

// demoBoot is closed at the toe: the heel has to turn the corner.
func demoBoot() shape.Boot {
	return shape.Boot{
		Rim: shape.Ellipse{A: 62, B: 58}, Ankle: shape.Ellipse{A: 56, B: 50},
		Instep: shape.Ellipse{A: 45, B: 48}, Ball: shape.Ellipse{A: 40, B: 51},
		Wall: 3, Shaft: 150, Bend: 66, Foot: 95, Toe: 55,
	}
}

// demoHips is wider than the bed of the demo's printer.
func demoHips() shape.Hips {
	return shape.Hips{
		Waist: oval(1006, 0.74), Seat: oval(1048, 0.73), Leg: oval(628, 1.06), Wall: 4,
		Height: 290, Band: 30, SeatZ: 150, Drop: 45, Legs: 35, Apart: 110,
	}
}

func demoTorso() shape.Torso {
	return shape.Torso{
		Waist: oval(860, 0.72), Chest: oval(985, 0.74), Neck: oval(470, 1), Arm: oval(450, 1.25), Wall: 3,
		Band: 40, ChestZ: 260, NeckZ: 410, Height: 430, ArmX: 215, ArmZ: 285, Sleeve: 20,
	}
}

// demoHelm lets the head in through a neck that is about as wide as the head
// over the face.
func demoHelm() shape.Helm {
	return shape.Helm{
		Neck: oval(632, 1.2), Skull: oval(690, 1.22), Wall: 3, NeckRise: 30, Widen: 50, Rise: 100, Dome: 95,
		SlotZ: 140, SlotDepth: 16, SlotSides: 42,
	}
}

// demoThigh is open at the back, to be strapped on.
func demoThigh() *mesh.Mesh {
	return shape.Gutter{Bottom: 84, Top: 102, Wall: 4, Height: 230, Arc: 270, Round: true}.Mesh()
}

// demoShoulder covers half of the arm.
func demoShoulder() *mesh.Mesh {
	return shape.Gutter{Bottom: 60, Top: 72, Wall: 3, Height: 130, Arc: 180, Round: true}.Mesh()
}

// demoBreastplate covers one side of the body: it has no cavity.
func demoBreastplate() *mesh.Mesh {
	return shape.Plate{Sides: 96, Width: 260, Height: 270, Wall: 3, Bend: 175}.Mesh()
}

// demoForearm is narrowest at the wrist, where the hand has to pass.
func demoForearm() *mesh.Mesh {
	return shape.Flared(oval(238, 0.8), oval(304, 0.92), oval(310, 0.85), 235, 55, 2.4).Mesh()
}

func demoUpperArm() shape.Taper {
	return shape.Taper{Bottom: oval(312, 1.05), Top: oval(346, 1.1), Wall: 3, Height: 165}
}

// demoGorget is a closed ring round the neck, far too narrow for a head.
func demoGorget() shape.Taper {
	return shape.Taper{Rows: 2, Bottom: oval(405, 1.05), Top: oval(378, 1.05), Wall: 3, Height: 48}
}

// demoKit writes an archive as they are downloaded: parts and a text.
func demoKit(w io.Writer) error {
	kit := zip.NewWriter(w)
	for _, f := range []demoFile{
		{"README.txt", verbatim("Copper Heron, right side. Drawn by the workshop of the Lantern Street Players.\n")},
		{"arms/upper-arm-right.stl", binarySTL(func() *mesh.Mesh { return shape.Mirror(demoUpperArm().Mesh()) })},
		{"legs/boot-right.stl", binarySTL(func() *mesh.Mesh { return shape.Mirror(demoBoot().Mesh()) })},
	} {
		data, err := f.Bytes()
		if err != nil {
			return err
		}
		member, err := kit.Create(f.Name) // without a time: the same bytes every day
		if err != nil {
			return err
		}
		if _, err = member.Write(data); err != nil {
			return err
		}
	}
	return kit.Close()
}

func verbatim(text string) func() ([]byte, error) {
	return func() ([]byte, error) { return []byte(text), nil }
}

// binarySTL returns the bytes of what draw draws as binary STL.
func binarySTL(draw func() *mesh.Mesh) func() ([]byte, error) {
	return encoded(func(w io.Writer) error {
		return mesh.WriteSTL(w, ahead(draw()), "Copper Heron, Lantern Street Players")
	})
}

// ahead gives a shape, whose front is +y, half a turn: files of figures mostly
// look along −y, and so does the program.
func ahead(m *mesh.Mesh) *mesh.Mesh {
	return m.Map(func(p r3.Vec) r3.Vec { return r3.Vec{X: -p.X, Y: -p.Y, Z: p.Z} })
}

// encoded returns what write writes.
func encoded(write func(io.Writer) error) func() ([]byte, error) {
	return func() ([]byte, error) {
		var out bytes.Buffer
		err := write(&out)
		return out.Bytes(), err
	}
}

const demoSuitTOML = `# The Copper Heron, a suit of the Lantern Street Players. Both are invented.
# Lengths are mm where nothing else is said.

[printer]
bed = [300, 300]
height = 400
margin = 5
nozzle = 0.4
layer = 0.2
walls = 3
infill = 0.15
speed = 80
flow = 14
acceleration = 3000

[filament]
diameter = 1.75
density = 1.24            # PLA

[shell]
padding = 5               # foam and undersuit
entry_padding = 2         # what is left of it when pressed
liner = 0

[[part]]
file = "legs/greave-*.stl"
region = "lower_leg"

[[part]]
file = "legs/greave-left.stl"
side = "left"

[[part]]
file = "legs/greave-right.stl"
side = "right"

[[part]]
file = "legs/boot-left.stl"
region = "foot"
side = "left"

[[part]]
file = "legs/thigh-left.stl"
region = "thigh"
side = "left"

[[part]]
file = "body/hips.stl"
region = "hips"

[[part]]
file = "body/torso.3mf"   # a 3MF file says itself that it is in inches
region = "torso"
halves = true             # front and back are parted, nothing has to pass

[[part]]
file = "body/breastplate.stl"
region = "torso"

[[part]]
file = "body/gorget.stl"
region = "neck"

[[part]]
file = "arms/forearm-left.stl"
region = "forearm"
side = "left"
unit = "inch"             # an STL file cannot say it

[[part]]
file = "arms/upper-arm-left.obj"
region = "upper_arm"
side = "left"

[[part]]
file = "arms/shoulder-left.stl"
region = "shoulder"
side = "left"

[[part]]
file = "head/helm.stl"
region = "head"
`

// The wearer's measures are plausible together: each lies within two standard
// deviations of what ANSUR II gives for a woman of her stature and weight. Some
// are left out, to be estimated: of thigh and upper arm little enough is known
// then that a test band is worth its hours.
const demoWearerTOML = `# Mira plays the Copper Heron. She is invented.

name = "Mira"
stature = "171 cm"
weight = "68 kg"

foot_length = 256
ball_girth = 236
heel_girth.left = 331
heel_girth.right = 329
ankle_girth = 222
calf_girth = 382
knee_girth = 380
hip_girth = "101.5 cm"
waist_girth = "83 cm"
chest_girth = 926
forearm_girth = 262
wrist_girth = 157
hand_girth = 190
neck_girth = 334
head_girth = "22 1/4 in"
`
