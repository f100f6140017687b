package tape

import "gonum.org/v1/gonum/spatial/r2"

func mm(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }

// level is a tape that runs level round a trunk or a limb; seen from a little
// above, its front hangs below the height y by as much as its ends lie above.
func level(left, right, y, deep float64) round {
	return round{mm(left, y+deep/2), mm(right, y+deep/2), deep}
}

// height is taken from the floor up, beside the body, to a place on it.
func height(beside float64, to r2.Vec) straight {
	foot := mm(beside, 0)
	return straight{from: foot, to: mm(beside, to.Y), fromBody: foot, toBody: to, floor: true}
}

// tapes says for every measure of wearer.toml where its tape runs.
var tapes = map[string]placed{
	"stature": {front, [4]float64{-420, -40, 330, 1740}, height(-370, mm(0, 1690))},

	"foot_length":  {foot, [4]float64{-40, -80, 300, 220}, straight{mm(0, -45), mm(258, -45), mm(0, 36), mm(258, 8), false}},
	"foot_breadth": {sole, [4]float64{-30, -110, 290, 120}, straight{mm(174, -48), mm(174, 49), mm(174, -48), mm(174, 49), false}},
	"ball_girth":   {sole, [4]float64{-30, -110, 290, 120}, round{mm(184, 50), mm(162, -47), -16}},
	"instep_girth": {foot, [4]float64{-40, -40, 300, 220}, round{mm(142, 73), mm(130, 8), -12}},
	"heel_girth":   {foot, [4]float64{-40, -40, 300, 220}, round{mm(107, 91), mm(6, 12), -14}},
	"ankle_girth":  {foot, [4]float64{-40, -40, 300, 220}, round{mm(14, 122), mm(97, 122), 12}},
	"ankle_height": {foot, [4]float64{-80, -40, 280, 220}, height(-40, mm(62, 68))},

	"calf_girth":        {front, [4]float64{-190, -20, 290, 560}, level(39, 159, 331, 20)},
	"calf_height":       {front, [4]float64{-190, -30, 290, 560}, height(230, mm(159, 331))},
	"knee_girth":        {front, [4]float64{-210, 230, 210, 625}, level(44, 153, 468, 20)},
	"knee_height":       {front, [4]float64{-190, -30, 290, 600}, height(230, mm(96, 468))},
	"lower_thigh_girth": {front, [4]float64{-210, 230, 210, 625}, level(36, 157, 512, 20)},
	"thigh_girth":       {front, [4]float64{-260, 440, 280, 1060}, level(5, 184, 782, 24)},
	"crotch_height":     {front, [4]float64{-330, -40, 330, 1100}, height(0, mm(0, 812))},

	"hip_girth":         {front, [4]float64{-300, 620, 300, 1180}, level(-176, 176, 858, 30)},
	"waist_girth":       {front, [4]float64{-300, 760, 300, 1320}, level(-140, 140, 1016, 28)},
	"waist_height":      {front, [4]float64{-380, -40, 330, 1260}, height(-330, mm(0, 1016))},
	"chest_girth":       {front, [4]float64{-300, 980, 300, 1540}, level(-140, 140, 1230, 28)},
	"back_waist_length": {back, [4]float64{-300, 930, 300, 1560}, along{[]float64{0, 1438, 0, 1230, 0, 1016}, [][2]r2.Vec{{mm(-140, 1016), mm(140, 1016)}}}},
	"shoulder_girth":    {front, [4]float64{-300, 1060, 300, 1620}, level(-242, 242, 1290, 34)},
	"shoulder_breadth":  {front, [4]float64{-300, 1080, 300, 1640}, straight{mm(-195, 1440), mm(195, 1440), mm(-195, 1394), mm(195, 1394), false}},

	"armscye_girth":         {front, [4]float64{-80, 1060, 360, 1520}, round{mm(190, 1400), mm(142, 1252), -26}},
	"upper_arm_girth":       {bent, [4]float64{-110, -150, 380, 380}, round{mm(162, 62), mm(162, -46), -16}},
	"upper_arm_length":      {front, [4]float64{-20, 980, 400, 1480}, straight{mm(300, 1390), mm(300, 1067), mm(205, 1390), mm(245, 1067), false}},
	"elbow_girth":           {front, [4]float64{40, 840, 400, 1260}, round{mm(167, 1045), mm(249, 1045), 16}},
	"forearm_girth":         {bent, [4]float64{-110, -150, 380, 380}, level(250, 348, 122, 16)},
	"lower_arm_length":      {front, [4]float64{0, 680, 400, 1180}, straight{mm(310, 1067), mm(310, 813), mm(245, 1067), mm(253, 813), false}},
	"wrist_girth":           {palm, [4]float64{-130, -80, 130, 200}, level(-28, 28, -10, 9)},
	"hand_girth":            {palm, [4]float64{-130, -80, 130, 200}, round{mm(-42, 90), mm(43, 82), 9}},
	"hand_over_thumb_girth": {tucked, [4]float64{-130, -80, 130, 200}, round{mm(-43, 66), mm(43, 66), 9}},
	"hand_length":           {palm, [4]float64{-130, -80, 130, 200}, straight{mm(84, 0), mm(84, 187), mm(0, 0), mm(-10, 187), false}},

	"neck_girth":           {head, [4]float64{-110, -170, 300, 240}, round{mm(53, -76), mm(168, -56), 14}},
	"neck_base_girth":      {head, [4]float64{-110, -190, 300, 240}, round{mm(36, -124), mm(186, -104), 20}},
	"head_girth":           {head, [4]float64{-110, -110, 300, 270}, round{mm(-2, 150), mm(194, 134), 16}},
	"head_over_face_girth": {head, [4]float64{-110, -110, 300, 270}, along{[]float64{1, 12, 40, 30, 78, 62, 94, 100, 96, 130, 94, 180, 92, 226}, nil}},
	"head_length":          {head, [4]float64{-110, -90, 300, 290}, straight{mm(-2, 252), mm(195, 252), mm(-2, 142), mm(195, 128), false}},
	"head_breadth":         {front, [4]float64{-190, 1420, 190, 1800}, straight{mm(-76, 1730), mm(76, 1730), mm(-76, 1612), mm(76, 1612), false}},
}
