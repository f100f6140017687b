package config

import (
	"fmt"
	"strings"
)

// drawing shows where the tape runs for some measures, and begins a chapter of
// wearer.toml. A number in it is the place of a measure in Measures, from 1, and
// each stands in its legend with its key.
type drawing struct {
	title string
	text  string
	// upTo is the last measure of the chapter.
	upTo string
}

// The drawings, in the order of Measures. They are 76 columns wide at most.
var drawings = []drawing{
	{"From the front", figureDrawing, "stature"},
	{"The foot, from the outside and from above", footDrawing, "ankle_height"},
	{"Leg, trunk and shoulders: see the first drawing", "", "armscye_girth"},
	{"The arm, bent and flexed", armDrawing, "lower_arm_length"},
	{"The hand, flat, and with the thumb folded in", handDrawing, "hand_length"},
	{"The head, from the side", headDrawing, "head_breadth"},
}

const figureDrawing = `
      stature  1 -+-              .---.
                  |              /     \
                  |             |<-38-->|              38 head_breadth
                  |             |       |
                  |              \     /
                  |               | : |
                  |          .----' : '----.
                  |       .'|<-----22------>|'.        22 shoulder_breadth
                  |      /  :      :        23 \       23 armscye_girth
                  |      |=========21==========|       21 shoulder_girth
                  |     | : |      :       23   |
                  |     | : |======19=======|   |      19 chest_girth
                  |    | 25| |     :       | |   |     25 upper_arm_length
                  |    | : | |    20       | |   |     20 back_waist_length
                  |    | : | |     :       | |   |        (at the back)
                  |    | + | |     :       | |=26|     26 elbow_girth
 waist_height 18 -+-   | : | |=====17======| |   |     17 waist_girth
                  |   |  : | |             | |   |
                  |   | 28| |               | |   |    28 lower_arm_length
                  |   | : | |======16=======| |   |    16 hip_girth
                  |   | : | |               | |   |
crotch_height 15 -+-  | + | |       .       | |   |
                  |  |   | |       | |==14===| |   |   14 thigh_girth
                  |  |   | |       | |       | |   |
                  |  \___/ |       | |       | \___/
                  |         |      | |      |
                  |         |      | |      |
                  |          |     | |=13==|           13 lower_thigh_girth
  knee_height 12 -+-         |     | |=11==|           11 knee_girth
                  |          |     | |     |
                  |         |      | |      |
  calf_height 10 -+-        |      | |==9===|           9 calf_girth
                  |         |      | |      |
                  |          |     | |     |
                  |           |    | |    |
                  |            |   | |   |
                  |            |   | |   |
                  |           /    | |    \
           floor -+-         '-----' '-----'
`

const footDrawing = `
               |         |
               |====7====|                       7 ankle_girth
               |         |
               |          \
              /            6.                    6 heel_girth
  8 -+-      |    (o)     6  '-5                 5 instep_girth
     |       |          6      5'-.
     |      (         6        5   '-4._         4 ball_girth
     |      (      6           5     4  '-.
     |       \  6              5     4     )     8 ankle_height
    -+-       6----------------5-----4----'
             |<-----------2------------->|       2 foot_length

                .------.______.---3---.
              .'                  3    '.        3 foot_breadth
             (                    3      )
              '.       _____      3    .'
                '-----'     '-----3---'
`

const armDrawing = `
                                       .----.
                                      ( |||  )      the fist clenched
                                       \    /
                                        |  |
                                       |    |
                                      |      |
      .---.          .-24-.           |==27==|      27 forearm_girth
    .'     '-.___.-'   24   '-._______|      |
   /                   24                    |      24 upper_arm_girth
  |                    24                   /
   \        ___________24__________      .-'
    '._____'           24          '----'

Both are flexed, as the surveys took them. Relaxed, the upper arm is about
20 mm thinner and the forearm 16 mm (2420 men, US Air Force 1967). With the
relaxed girth alone, write 1.065 times as much for the upper arm and 1.058
times as much for the forearm.
`

const handDrawing = `
             .-.                  -+-             .-.
          .-.| |.-.                |           .-.| |.-.
          | || || |.-.             |           | || || |.-.
          | || || || |             |           | || || || |
   _      | || || || |             |           | || || || |
  ( \     |          |             |           |          |
   \ \____|          |            32           |.------.  |
    \     |====30====|             |           |===31===)=|
     \               |             |           |'------'  |
      \              |             |           |          |
       '.           /              |            \        /
         |         |              -+-            |      |
         |====29===|                             |      |
         |         |                             |      |

   29 wrist_girth     30 hand_girth     31 hand_over_thumb_girth
   32 hand_length
`

const headDrawing = `
           |<---------37--------->|             37 head_length
                  .--.36.--.
              .-'     36    '-.
            .'        36       '.
           /          36         \
          |===========35==========|             35 head_girth
          |  =        36          |
          /  o        36          |
         /__         (36          |
          |          36          /
          |_         36         /
          (_        36     ____/
           |      36      |
            \___36.       |                     36 head_over_face_girth
                  |       |
                  |===33==|                     33 neck_girth
               .-'         '-.
         .----'======34=====  '----.            34 neck_base_girth
`

// remark writes lines of text as a remark of a TOML file.
func remark(text string) string {
	var b strings.Builder
	for line := range strings.Lines(strings.Trim(text, "\n") + "\n") {
		b.WriteString(strings.TrimRight("# "+line, " \n") + "\n")
	}
	return b.String()
}

// chapters writes the drawings, each with the keys that follow it.
func chapters() string {
	var b strings.Builder
	measures, number := Measures(), 0
	for _, d := range drawings {
		b.WriteString("\n" + remark("--- "+d.title+" ---\n"+d.text) + "\n")
		for last := ""; last != d.upTo; number++ {
			m := measures[number]
			b.WriteString(keyLine(m, number+1))
			last = m.Name
		}
	}
	return b.String()
}

// keyLine writes the key of a measure with its number and how it is taken, over
// as many lines as that needs.
func keyLine(m Measure, number int) string {
	const key, room = 28, 42 // columns
	var b strings.Builder
	fmt.Fprintf(&b, "#%-*s # %2d", key, m.Name+" = "+trim(m.Example, 0), number)
	line := 0
	for i, word := range strings.Fields(m.How) {
		if i > 0 && line+1+len(word) > room {
			fmt.Fprintf(&b, "\n%-*s #   ", key+1, "")
			line = 0
		}
		line += 1 + len(word)
		b.WriteString(" " + word)
	}
	return b.String() + "\n"
}
