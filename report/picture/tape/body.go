package tape

import "slices"

// The figures below are drawn after the mean measures of both sexes of ANSUR II
// (stature 1690, shoulders 390 between the bones and 480 over all, chest 280
// wide, foot 258, hand 187, head 195 × 151); what lies between is by eye.

// halfFront is the left half of the body as seen from the front, on the right
// of the drawing: from the crown down the outside of arm and leg, and up the
// inside to the crotch.
var halfFront = []float64{
	0, 1690, 40, 1684, 66, 1659, 76, 1618, 76, 1604, 76, 1604, 85, 1608, 84, 1586, 76, 1566, 74, 1566, 74, 1566, // head and ear
	70, 1536, 60, 1512, 56, 1502, 56, 1502, // jaw
	55, 1476, 58, 1456, 76, 1438, 112, 1422, 158, 1409, 195, 1393, // neck and shoulder
	224, 1366, 239, 1322, 243, 1270, 241, 1200, 240, 1130, 246, 1060, // upper arm
	258, 1000, 262, 950, 259, 890, 254, 830, 255, 805, // forearm
	266, 770, 270, 725, 264, 675, 252, 642, 240, 636, 234, 660, 226, 660, 218, 676, 214, 720, 212, 770, 208, 810, // hand
	204, 830, 196, 890, 184, 950, 173, 1000, 166, 1050, 160, 1110, 150, 1180, 142, 1258, 142, 1258, // inside of the arm
	139, 1220, 134, 1160, 131, 1100, 134, 1055, 140, 1016, 154, 955, 170, 895, 178, 845, // trunk
	184, 780, 178, 690, 166, 600, 158, 530, 153, 468, 149, 428, 156, 384, 159, 334, 149, 265, 136, 190, 131, 125, // outside of the leg
	135, 80, 142, 48, 162, 22, 162, 6, 142, 1, 110, 0, 82, 1, 64, 4, 57, 22, 60, 55, 58, 84, 65, 125, // foot
	60, 190, 48, 262, 39, 318, 42, 376, 49, 428, 44, 468, 36, 530, 24, 610, 12, 710, 6, 784, 0, 812, 0, 812, // inside of the leg
}

// whole adds the other half of a body to one half.
func whole(half []float64) []float64 {
	xy := slices.Clone(half)
	for i := len(half) - 4; i >= 2; i -= 2 {
		xy = append(xy, -half[i], half[i+1])
	}
	return xy
}

// both gives a line and its mirror image.
func both(lines ...[]float64) [][]float64 {
	for _, l := range slices.Clone(lines) {
		other := slices.Clone(l)
		for i := 0; i < len(other); i += 2 {
			other[i] = -other[i]
		}
		lines = append(lines, other)
	}
	return lines
}

var front = figure{
	outline: whole(halfFront),
	marks: append(both(
		[]float64{22, 1606, 30, 1610, 38, 1606},                                     // eye
		[]float64{18, 1626, 30, 1631, 42, 1626},                                     // brow
		[]float64{18, 1408, 70, 1420, 150, 1404},                                    // collarbone
		[]float64{14, 1180, 50, 1166, 100, 1178, 128, 1214},                         // breast
		[]float64{76, 450, 72, 472, 80, 494, 97, 502, 114, 494, 122, 472, 118, 450}, // kneecap
		[]float64{84, 436, 97, 430, 110, 436},
		[]float64{66, 26, 74, 34, 82, 26}, // toes
		[]float64{82, 26, 91, 32, 100, 26},
		[]float64{100, 26, 108, 31, 117, 26},
		[]float64{117, 26, 125, 30, 134, 26},
		[]float64{134, 26, 142, 30, 152, 24},
	), []float64{-20, 1524, 0, 1519, 20, 1524}, // mouth
		[]float64{-57, 1506, -36, 1482, 0, 1470, 36, 1482, 57, 1506}, // jaw
		[]float64{-8, 1556, 2, 1549, 9, 1556},                        // nose
		[]float64{-5, 1019, 0, 1011, 5, 1019}),                       // navel
}

var back = figure{
	outline: whole(halfFront),
	marks: append(both(
		[]float64{-6, 1438, 0, 1444, 6, 1438},              // bone at the root of the neck
		[]float64{36, 1320, 60, 1250, 96, 1226, 108, 1250}, // shoulder blade
		[]float64{6, 838, 60, 806, 130, 820, 160, 846},     // seat
		[]float64{70, 470, 96, 462, 122, 470},              // hollow of the knee
	), []float64{0, 838, 0, 960}),
}
