package config

import (
	"math"
	"strings"
	"testing"
)

// The conversions are exact by the international yard and pound agreement of
// 1959: 1 in = 25.4 mm, 1 lb = 0.45359237 kg; 14 lb make a stone (Weights and
// Measures Act 1985, schedule 1).
func TestParseLength(t *testing.T) {
	for text, want := range map[string]float64{
		"38.5 cm":            385,
		"382 mm":             382,
		"382mm":              382,
		"0.382 m":            382,
		".382 m":             382,
		"15 1/4 in":          387.35,
		"15-1/4 in":          387.35,
		"15¼ in":             387.35,
		"15 ¼ in":            387.35,
		"1 1/2 in":           38.1,
		"1/4 in":             6.35,
		"¾ in":               19.05,
		`15.25"`:             387.35,
		"15.25″":             387.35,
		"15.25 in.":          387.35,
		"15.25 Inches":       387.35,
		"5 ft 7 in":          1701.8,
		`5' 7"`:              1701.8,
		`5'7"`:               1701.8,
		"5’7”":               1701.8,
		"5 ft 7 1/2 in":      1714.5,
		"5 feet":             1524,
		"1 m 71 cm":          1710,
		"  38.5\u00a0cm ":    385,
		"38.5 CM":            385,
		"38.5 centimetres":   385,
		"1/3 ft":             101.6,
		"0 mm":               0,
		"1000 m":             1e6,
		"12.50 in":           317.5,
		"13 5/8 in":          346.075,
		"5 ft 11 7/8 inches": 1825.625,
	} {
		got, err := ParseLength(text)
		if err != nil || math.Abs(got-want) > 1e-9*want {
			t.Errorf("ParseLength(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
}

func TestParseWeight(t *testing.T) {
	for text, want := range map[string]float64{
		"68 kg":      68,
		"150 lb":     68.0388555,
		"150lbs":     68.0388555,
		"10 st 7 lb": 66.67807839,
		"10 stone":   63.5029318,
		"67.5 kilos": 67.5,
	} {
		got, err := ParseWeight(text)
		if err != nil || math.Abs(got-want) > 1e-9*want {
			t.Errorf("ParseWeight(%q) = %v, %v, want %v", text, got, err, want)
		}
	}
}

func TestParseLengthErrors(t *testing.T) {
	const expected = `; expected a length such as 382 (mm), "38.2 cm" or "15 1/4 in"`
	for text, want := range map[string]string{
		"38,5 cm":               `"38,5 cm" is no length` + expected + `; did you mean "38.5 cm"?`,
		"1,710 mm":              `"1,710 mm" is no length` + expected + `; did you mean "1710 mm"?`,
		"1,71 m":                `"1,71 m" is no length` + expected + `; did you mean "1.71 m"?`,
		",5 cm":                 `",5 cm" is no length` + expected,
		"382":                   `"382" is no length` + expected + `; did you mean "382 mm"?`,
		"5'7":                   `"5'7" is no length` + expected + `; did you mean "5'7 in"?`,
		"38.5 cn":               `"38.5 cn" is no length` + expected + `; did you mean "38.5 cm"?`,
		"15 inch's":             `"15 inch's" is no length` + expected,
		"15 innch":              `"15 innch" is no length` + expected + `; did you mean "15 in"?`,
		"-5 cm":                 `"-5 cm" is no length` + expected,
		"+5 cm":                 `"+5 cm" is no length` + expected,
		"nan mm":                `"nan mm" is no length` + expected,
		"inf cm":                `"inf cm" is no length` + expected,
		"1e3 mm":                `"1e3 mm" is no length` + expected,
		"0x10 mm":               `"0x10 mm" is no length` + expected,
		"":                      `"" is no length` + expected,
		"cm":                    `"cm" is no length` + expected,
		"15 1/0 in":             `"15 1/0 in" is no length` + expected,
		"15 5/4 in":             `"15 5/4 in" is no length` + expected,
		"15.5 1/4 in":           `"15.5 1/4 in" is no length` + expected,
		"5 in 2 ft":             `"5 in 2 ft" is no length` + expected,
		"5 ft 12 in":            `"5 ft 12 in" is no length` + expected,
		"5 ft 7 in 3 mm":        `"5 ft 7 in 3 mm" is no length` + expected,
		"68 kg":                 `"68 kg" is no length` + expected,
		"2000 m":                `"2000 m" is no length` + expected,
		strings.Repeat("9", 65): `"` + strings.Repeat("9", 40) + `…" is no length` + expected,
		"38.5 cm \x00":          `"38.5 cm \x00" is no length` + expected,
	} {
		got, err := ParseLength(text)
		if err == nil {
			t.Errorf("ParseLength(%q) = %v, want an error", text, got)
		} else if err.Error() != want {
			t.Errorf("ParseLength(%q):\ngot  %s\nwant %s", text, err, want)
		}
	}
	_, err := ParseWeight("150 pfund")
	if want := `"150 pfund" is no weight; expected a weight such as 68 (kg), "68 kg" or "150 lb"; did you mean "150 lb"?`; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// What is written of a length is read as the same length.
func TestLengthRoundTrip(t *testing.T) {
	for mm := 1.0; mm < 3000; mm += 13.7 {
		for _, u := range lengths().units {
			text := trim(mm/u.factor, 6) + " " + u.name
			got, err := ParseLength(text)
			if err != nil || math.Abs(got-mm) > 1e-5*u.factor {
				t.Errorf("ParseLength(%q) = %v, %v, want %v", text, got, err, mm)
			}
		}
	}
}

func FuzzLength(f *testing.F) {
	for _, s := range []string{"38.5 cm", "15 1/4 in", `5' 7"`, "1/0 in", "38,5", "¼", "’’", "9999999999999999999999 mm", "٣ cm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		mm, err := ParseLength(text)
		if err == nil && !(mm >= 0 && mm <= 1e6) {
			t.Errorf("ParseLength(%q) = %v", text, mm)
		}
		if kg, err := ParseWeight(text); err == nil && !(kg >= 0 && kg <= 1e6) {
			t.Errorf("ParseWeight(%q) = %v", text, kg)
		}
	})
}
