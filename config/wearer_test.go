package config

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestWearer(t *testing.T) {
	w, errs := readWearer([]byte(`name = "Mira"
stature = "5 ft 7 1/4 in"
weight = "150 lb"
sex = "female"
measured_over = "undersuit"
calf_girth = 382
heel_girth.left = 331
heel_girth.right = "33.3 cm"
thigh_girth = { left = 560 }
[knee_girth]
right = 371
`))
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	want := Wearer{Name: "Mira"}
	want.Sex, want.OverUndersuit = "female", true
	want.Weight = 150 * 0.45359237
	want.Measures = map[string]float64{"stature": 1708.15, "calf_girth": 382, "heel_girth.left": 331,
		"heel_girth.right": 333, "thigh_girth.left": 560, "knee_girth.right": 371}
	if math.Abs(w.Measures["stature"]-1708.15) < 1e-9 {
		w.Measures["stature"] = 1708.15
	}
	if !reflect.DeepEqual(w, want) {
		t.Errorf("got  %+v\nwant %+v", w, want)
	}
}

// Inches are said where most measures are written in them.
func TestWearerInInches(t *testing.T) {
	for text, want := range map[string]bool{
		"calf_girth = \"15 1/16 in\"":                                       true,
		"stature = \"5 ft 7 in\"\ncalf_girth = 382\nheel_girth = \"13 in\"": true,
		"stature = \"5 ft 7 in\"\ncalf_girth = 382":                         false,
		"calf_girth.left = \"15 in\"\ncalf_girth.right = \"15 1/4 in\"":     true,
		"calf_girth = 382":    false,
		"weight = \"150 lb\"": false,
		"":                    false,
	} {
		w, errs := readWearer([]byte(text))
		if len(errs) > 0 || w.Inches != want {
			t.Errorf("%q: got %v, %v", text, w.Inches, errs)
		}
	}
}

func TestWearerErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"calf_girth = 3.6", `wearer.toml:1:1: calf_girth: 3.6 is out of range; expected 156 to 701 mm; did you mean 36 cm = 360 mm?`},
		{"calf_girth = 38.5", `wearer.toml:1:1: calf_girth: 38.5 is out of range; expected 156 to 701 mm; did you mean 38.5 cm = 385 mm?`},
		{"calf_girth = 15.25", `wearer.toml:1:1: calf_girth: 15.25 is out of range; expected 156 to 701 mm; did you mean 15.25 in = 387.35 mm?`},
		{"calf_girth = 0.382", `wearer.toml:1:1: calf_girth: 0.382 is out of range; expected 156 to 701 mm; did you mean 0.382 m = 382 mm?`},
		{"calf_girth = 20", `wearer.toml:1:1: calf_girth: 20 is out of range; expected 156 to 701 mm; did you mean 20 cm = 200 mm or 20 in = 508 mm?`},
		{"calf_girth = 3820", `wearer.toml:1:1: calf_girth: 3820 is out of range; expected 156 to 701 mm; did you mean 38.2 cm = 382 mm?`},
		{"calf_girth = '385 cm'", `wearer.toml:1:1: calf_girth: "385 cm" is out of range; expected 156 to 701 mm; did you mean 385 mm?`},
		{"calf_girth = '38.5 in'", `wearer.toml:1:1: calf_girth: "38.5 in" is out of range; expected 156 to 701 mm; did you mean 38.5 cm = 385 mm?`},
		{"calf_girth = '3 ft 2 in'", `wearer.toml:1:1: calf_girth: "3 ft 2 in" is out of range; expected 156 to 701 mm`},
		{"calf_girth = -382", `wearer.toml:1:1: calf_girth: -382 is out of range; expected 156 to 701 mm`},
		{"calf_girth = 0", `wearer.toml:1:1: calf_girth: 0 is out of range; expected 156 to 701 mm`},
		{"calf_girth = inf", `wearer.toml:1:1: calf_girth: +Inf is no length; expected a length such as 382 (mm), "38.2 cm" or "15 1/4 in"`},
		{"calf_girth = '38,5 cm'", `wearer.toml:1:1: calf_girth: "38,5 cm" is no length; expected a length such as 382 (mm), "38.2 cm" or "15 1/4 in"; did you mean "38.5 cm"?`},
		{"stature = 171", `wearer.toml:1:1: stature: 171 is out of range; expected 741 to 2891 mm; did you mean 171 cm = 1710 mm?`},
		{"stature = 1.71", `wearer.toml:1:1: stature: 1.71 is out of range; expected 741 to 2891 mm; did you mean 1.71 m = 1710 mm?`},
		{"stature = 67", `wearer.toml:1:1: stature: 67 is out of range; expected 741 to 2891 mm; did you mean 67 in = 1701.8 mm?`},
		{"weight = 680", `wearer.toml:1:1: weight: 680 is out of range; expected 9 to 187 kg; did you mean 68 kg?`},
		{"weight = 220", `wearer.toml:1:1: weight: 220 is out of range; expected 9 to 187 kg; did you mean 220 lb = 99.79 kg?`},
		{"weight = '68 kq'", `wearer.toml:1:1: weight: "68 kq" is no weight; expected a weight such as 68 (kg), "68 kg" or "150 lb"; did you mean "68 kg"?`},
		{"calf_grith = 382", `wearer.toml:1:1: calf_grith: unknown key; did you mean calf_girth?`},
		{"calf = 382", `wearer.toml:1:1: calf: unknown key; did you mean calf_girth?`},
		{"calf_circumference = 382", `wearer.toml:1:1: calf_circumference: unknown key; did you mean calf_girth?`},
		{"CALF_GIRTH = 382", `wearer.toml:1:1: CALF_GIRTH: unknown key; did you mean calf_girth?`},
		{"height = 1710", `wearer.toml:1:1: height: unknown key; did you mean stature?`},
		{"bust = 900", `wearer.toml:1:1: bust: unknown key; did you mean chest_girth?`},
		{"calf_girth.lefft = 382", `wearer.toml:1:1: calf_girth.lefft: unknown key; did you mean calf_girth.left?`},
		{"calf_girth.left = 38.2", `wearer.toml:1:1: calf_girth.left: 38.2 is out of range; expected 156 to 701 mm; did you mean 38.2 cm = 382 mm?`},
		{"'calf_girth.left' = 382", `wearer.toml:1:1: calf_girth.left: unknown key; did you mean calf_girth.left without quotes?`},
		{"waist_girth.left = 800", `wearer.toml:1:1: waist_girth: has no left and right; expected one value: waist_girth = 895`},
		{"measured_over = 'jeans'", `wearer.toml:1:1: measured_over: "jeans" is not known here; expected one of skin, undersuit`},
		{"measured_over = 'undersiut'", `wearer.toml:1:1: measured_over: "undersiut" is not known here; expected one of skin, undersuit; did you mean "undersuit"?`},
		{"measured_ower = 'skin'", `wearer.toml:1:1: measured_ower: unknown key; did you mean measured_over?`},
		{"sex = 'Female'", `wearer.toml:1:1: sex: "Female" is not known here; expected one of female, male; did you mean "female"?`},
		{"sex = 'x'", `wearer.toml:1:1: sex: "x" is not known here; expected one of female, male`},
		{"sex = 1", `wearer.toml:1:1: sex: 1 is not known here; expected one of female, male`},
		{"sex = male", `wearer.toml:1:7: sex: not valid TOML: "male" is no value; did you mean sex = "male"?`},
		{"gender = 'male'", `wearer.toml:1:1: gender: unknown key; did you mean sex?`},
		{"body_weight = 68", `wearer.toml:1:1: body_weight: unknown key; did you mean weight?`},
		{"name = 3", `wearer.toml:1:1: name: 3 is no text; expected a name`},
		{"calf_girth = 38.5 cm", `wearer.toml:1:18: calf_girth: not valid TOML: 'c' stands where the line should end; did you mean calf_girth = "38.5 cm"?`},
		{"calf_girth = 38.5\tcm", `wearer.toml:1:18: calf_girth: not valid TOML: 'c' stands where the line should end; did you mean calf_girth = "38.5 cm"?`},
		{"calf_girth = 38,5 cm # left", `wearer.toml:1:16: calf_girth: not valid TOML: ',' stands where the line should end; did you mean calf_girth = "38.5 cm"?`},
		{"calf_girth = 15 1/4 in", `wearer.toml:1:16: calf_girth: not valid TOML: '1' stands where the line should end; did you mean calf_girth = "15 1/4 in"?`},
		{`calf_girth = "15.25""`, `wearer.toml:1:21: calf_girth: not valid TOML: '"' stands where the line should end; did you mean calf_girth = '15.25"'?`},
		{"calf_girth = 0382", `wearer.toml:1:14: calf_girth: not valid TOML: "0382" has a zero in front; did you mean calf_girth = 382?`},
		{"calf_girth.left = 380\ncalf_girth = 382", `wearer.toml:1:1: calf_girth: is given twice; expected a measure either plain or by .left and .right, not both`},
		{"calf_girth = 382\ncalf_girth.left = 380", `wearer.toml:2:1: calf_girth.left: not valid TOML: calf_girth is there twice; expected a measure either plain or by .left and .right, not both`},
	} {
		if _, errs := readWearer([]byte(test.text)); errs.Error() != test.want {
			t.Errorf("%q:\ngot  %v\nwant %s", test.text, errs, test.want)
		}
	}
}

// An error says the value at fault and no other of the wearer's.
func TestErrorsKeepTheWearerPrivate(t *testing.T) {
	const text = "name = 'Mira Holt'\nwaist_girth = 777\ncalf_girth = 38.5\nhip_girth = 999\n"
	for _, more := range []string{"", "bust = 1", "thigh_girth = 5 6", "x = [", "y = \"", "[z", "hip_girth = 3"} {
		_, errs := readWearer([]byte(text + more))
		if len(errs) == 0 {
			t.Errorf("%q: want an error", more)
		}
		for _, secret := range []string{"Mira", "Holt", "777", "999"} {
			if strings.Contains(errs.Error(), secret) {
				t.Errorf("%q: the error tells %s: %v", more, secret, errs)
			}
		}
	}
}

// Percentiles 5, 50 and 95 of men and women, in mm, as printed in NATICK/TR-15/007
// (ANSUR II), NATICK/TR-89/044 (ANSUR 1988, marked 88) and the USAF 1967 survey
// (marked 67, men).
var surveyed = []struct {
	measure string
	mm      []float64
}{
	{"stature", []float64{1648, 1755, 1870, 1525, 1626, 1740}},
	{"head_girth", []float64{548, 574, 601, 532, 560, 597}},
	{"head_length", []float64{188, 200, 211, 178, 190, 202}},
	{"head_breadth", []float64{146, 154, 163, 140, 147, 156}},
	{"neck_girth", []float64{360, 395, 443, 302, 328, 363}},
	{"neck_base_girth", []float64{395, 433, 479, 340, 370, 405}},
	{"shoulder_breadth", []float64{384, 415, 447, 335, 365, 396}},
	{"shoulder_girth", []float64{1080, 1176, 1288, 944.25, 1027, 1119}},
	{"chest_girth", []float64{922, 1056, 1207, 824.25, 940, 1094}},
	{"waist_girth", []float64{768, 937, 1130.95, 710, 852, 1040}},
	{"hip_girth", []float64{899, 1017, 1149, 901.25, 1018.5, 1155.75}},
	{"thigh_girth", []float64{532, 624, 723, 527, 613, 711}},
	{"lower_thigh_girth", []float64{359, 408, 463, 347, 398, 464.75}},
	{"calf_girth", []float64{346, 392, 443, 328, 372, 423}},
	{"ankle_girth", []float64{206, 228, 254, 193, 215, 242}},
	{"heel_girth", []float64{317, 343, 372, 287, 310, 337}},
	{"ball_girth", []float64{232, 252, 273, 209, 227, 248}},
	{"foot_length", []float64{250, 271, 293, 226, 246, 267.75}},
	{"foot_breadth", []float64{94, 102, 111, 85, 93, 101}},
	{"ankle_height", []float64{64, 73, 83, 54, 63, 71}},
	{"upper_arm_girth", []float64{303, 357, 418, 259, 304, 360}},
	{"forearm_girth", []float64{275, 310, 347.95, 235, 263, 296}},
	{"wrist_girth", []float64{162, 176, 191, 142.25, 154, 168}},
	{"hand_girth", []float64{195, 212, 230, 173, 187, 202}},
	{"hand_length", []float64{177, 193, 210, 165, 180, 199}},
	{"knee_height", []float64{443.05, 487, 536, 408, 448, 493}},
	{"crotch_height", []float64{771, 845, 925, 712, 780, 857}},
	{"upper_arm_length", []float64{307, 335, 365, 283.25, 311, 340}},
	{"lower_arm_length", []float64{244, 267, 295, 218, 240.5, 268}},
	{"knee_girth", []float64{350, 386, 423, 329.4, 364, 405.7}},     // 88
	{"elbow_girth", []float64{254, 276, 304, 217, 238, 262}},        // 88
	{"armscye_girth", []float64{403, 444, 490, 336, 370, 411}},      // 88
	{"calf_height", []float64{316, 352, 393, 278, 315, 357}},        // 88
	{"instep_girth", []float64{238, 256, 278}},                      // 67
	{"hand_over_thumb_girth", []float64{240, 257, 276, 240.5, 254}}, // 67; last two US Navy aviators 1964 (AD0626322), mean ∓ 1.645 SD rounded
}

// Nine people in ten are let in, their values in cm or inches taken for mm are
// not, and then the right meaning is named.
func TestMeasuresAgainstSurveys(t *testing.T) {
	for _, row := range surveyed {
		for _, mm := range row.mm {
			for value, meant := range map[string]string{
				fmt.Sprint(mm):                    "",
				fmt.Sprintf("'%v cm'", mm/10):     "",
				fmt.Sprintf("'%.3f in'", mm/25.4): "",
				fmt.Sprint(mm / 10):               " cm = " + trim(mm, 2) + " mm",
				fmt.Sprintf("%.3f", mm/25.4):      " in = ",
				fmt.Sprintf("%.4f", mm/1000):      " m = ",
				fmt.Sprintf("%.4f", mm/100):       " cm = " + trim(mm, 2) + " mm",
				fmt.Sprintf("'%v mm'", mm/10):     " cm = " + trim(mm, 2) + " mm",
				fmt.Sprintf("%v", mm*10):          " cm = " + trim(mm, 2) + " mm",
				fmt.Sprintf("'%v cm'", mm):        trim(mm, 3) + " mm",
			} {
				_, errs := readWearer([]byte(row.measure + " = " + value))
				if (len(errs) > 0) != (meant != "") {
					t.Errorf("%s = %s: %v", row.measure, value, errs)
				} else if len(errs) > 0 && !strings.Contains(errs[0].Nearest, meant) {
					t.Errorf("%s = %s: meant %q, want %q in it", row.measure, value, errs[0].Nearest, meant)
				}
			}
		}
	}
}

func TestMeasureTable(t *testing.T) {
	seen := map[string]bool{"name": true, "weight": true, "measured_over": true}
	for _, m := range Measures() {
		for _, name := range append([]string{m.Name}, m.also...) {
			if seen[name] {
				t.Errorf("%s is there twice", name)
			}
			seen[name] = true
		}
		if !(0 < m.P1 && m.P1 < m.Example && m.Example < m.P99) || m.Source == "" || m.How == "" {
			t.Errorf("%+v", m)
		}
	}
	// the list of names in the project's design
	for _, name := range strings.Fields(`calf_girth ankle_girth heel_girth thigh_girth knee_girth hip_girth waist_girth
		chest_girth neck_girth head_girth upper_arm_girth elbow_girth forearm_girth wrist_girth hand_girth foot_length
		instep_girth ball_girth stature`) {
		if !seen[name] {
			t.Errorf("%s is missing", name)
		}
	}
}

func FuzzWearer(f *testing.F) {
	f.Add([]byte(uncommented(starterWearer())))
	f.Add([]byte("calf_girth.left = '15¼ in'\nstature='5 ft 7'\nweight=nan\n"))
	f.Add([]byte("[calf_girth]\nleft={left=1}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		w, errs := readWearer(text)
		checkErrors(t, errs)
		for name, mm := range w.Measures {
			if !(mm > 0 && mm < 3000) {
				t.Errorf("%s = %v", name, mm)
			}
		}
	})
}
