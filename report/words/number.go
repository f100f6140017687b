package words

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"gambeson/analysis"
)

// One precision for each kind of number, the unit always behind it:
//
//	girths and sizes  389.4 mm     a tape is read to the millimetre
//	estimates of them about 471 mm ± 14 mm
//	in inches         15 5/16 in   beside mm, where the wearer measures in them
//	along the part    72 mm        where to hold the tape
//	scales            97.2 %       whole ones without decimals
//	angles            38°
//	print hours       2.4 h        a forecast knows no minutes
//	filament          310 g, 104.2 m
//
// A number that is not finite is "unknown".

// Decimal writes v with a fixed number of decimals, never as −0 nor with an
// exponent.
func Decimal(v float64, digits int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "unknown"
	}
	text := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	whole, rest, found := strings.Cut(text, ".")
	if found {
		rest = "." + rest
	}
	return strings.Replace(grouped(whole)+rest, "-", "−", 1)
}

// grouped parts five and more digits in threes by a blank (ISO 80000-1, 7.3.1).
func grouped(digits string) string {
	sign := ""
	if strings.HasPrefix(digits, "-") {
		sign, digits = "-", digits[1:]
	}
	if len(digits) < 5 {
		return sign + digits
	}
	for at := len(digits) - 3; at > 0; at -= 3 {
		digits = digits[:at] + " " + digits[at:]
	}
	return sign + digits
}

// WithUnit writes v as Decimal does, its unit behind it.
func WithUnit(v float64, digits int, unit string) string {
	text := Decimal(v, digits)
	if text == "unknown" {
		return text
	}
	return text + unit
}

// Girth writes a girth or a size in mm: 389.4 mm.
func Girth(mm float64) string { return WithUnit(mm, 1, " mm") }

// Along writes a place along a part, or a length that is known to the millimetre: 72 mm.
func Along(mm float64) string { return WithUnit(mm, 0, " mm") }

// Degrees writes an angle.
func Degrees(d float64) string { return WithUnit(d, 0, "°") }

// Hours writes the time that a print takes.
func Hours(h float64) string { return WithUnit(h, 1, " h") }

// Grams writes a mass of filament.
func Grams(g float64) string { return WithUnit(g, 0, " g") }

// Metres writes a length of filament.
func Metres(m float64) string { return WithUnit(m, 1, " m") }

// Count writes how many there are.
func Count(n int) string { return grouped(strconv.Itoa(n)) }

// Area writes an area in mm² in cm².
func Area(mm2 float64) string { return WithUnit(mm2/100, 1, " cm²") }

// Volume writes a volume in mm³ in cm³.
func Volume(mm3 float64) string { return WithUnit(mm3/1000, 1, " cm³") }

// lengthIn matches what is left as it is, code and links, and lengths in mm, also
// three of them with × between, and in front of them what tells a place, which is
// in the coordinates of the file.
var lengthIn = regexp.MustCompile("(?s)```.*?```|`+[^`]*`+|\\]\\([^)]*\\)|x −?[0-9 .]+, y −?[0-9 .]+, z −?[0-9 .]+ mm|[0-9.]+ mm[/²³]|((?:[0-9]+(?: [0-9]{3})*(?:[.][0-9]+)? × )*)([0-9]+(?: [0-9]{3})*(?:[.][0-9]+)?) mm\\b")

// withInches puts inches behind every length in mm of a text in Markdown: for a
// wearer who measures in them.
func withInches(text string) string {
	return lengthIn.ReplaceAllStringFunc(text, func(found string) string {
		m := lengthIn.FindStringSubmatch(found)
		if m[2] == "" {
			return found
		}
		var all []string
		for _, mm := range append(strings.Split(m[1], " × "), m[2]) {
			if v, err := strconv.ParseFloat(strings.ReplaceAll(mm, " ", ""), 64); err == nil {
				all = append(all, inch(v))
			}
		}
		return found + " (" + strings.Join(all, " × ") + " in)"
	})
}

// inch writes a length as an inch tape shows it, to a sixteenth: 15 5/16. (The
// inch is 25.4 mm exactly: international yard and pound agreement, 1959.) What is
// less than half an inch is no matter for a tape: 0.08.
func inch(mm float64) string {
	if mm < 12.7 {
		return Decimal(mm/25.4, 2)
	}
	n, whole := int(math.Round(mm/25.4*16)), ""
	if n >= 16 {
		whole = grouped(strconv.Itoa(n / 16))
	}
	part, of := n%16, 16
	for part > 0 && part%2 == 0 {
		part, of = part/2, of/2
	}
	if part == 0 {
		return whole
	}
	return strings.TrimSpace(whole + " " + strconv.Itoa(part) + "/" + strconv.Itoa(of))
}

// Percent writes a scale to a tenth, without ".0".
func Percent(p float64) string {
	text := Decimal(p, 1)
	if text == "unknown" {
		return text
	}
	return strings.TrimSuffix(text, ".0") + " %"
}

// A limit is written so that the scale written keeps to it. (A millionth of a
// percent forgives the rounding of the arithmetic.)

// AtMost writes a largest scale.
func AtMost(p float64) string { return Percent(DownTenth(p)) }

// AtLeast writes a smallest scale.
func AtLeast(p float64) string { return Percent(UpTenth(p)) }

// DownTenth is the scale that AtMost writes.
func DownTenth(p float64) float64 { return math.Floor(p*10+1e-6) / 10 }

// UpTenth is the scale that AtLeast writes.
func UpTenth(p float64) float64 { return math.Ceil(p*10-1e-6) / 10 }

// Size writes three lengths.
func Size(mm [3]float64) string {
	return Decimal(mm[0], 1) + " × " + Decimal(mm[1], 1) + " × " + Girth(mm[2])
}

// Spot writes a place in the file's own coordinates.
func Spot(mm [3]float64) string {
	return "x " + Decimal(mm[0], 1) + ", y " + Decimal(mm[1], 1) + ", z " + Girth(mm[2])
}

// Spare says what an ease means.
func Spare(mm float64) string {
	switch text := Decimal(mm, 1); {
	case text == "unknown":
		return text
	case text == "0.0":
		return "just enough"
	case mm < 0:
		return strings.TrimPrefix(text, "−") + " mm too little"
	default:
		return text + " mm to spare"
	}
}

// Things says how many there are: "1 band", "12 bands".
func Things(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return Count(n) + " " + thing + "s"
}

// InUnits puts inches beside mm where the wearer measures in them.
func InUnits(text string, brief analysis.Brief) string {
	if brief.Wearer.Inches {
		return withInches(text)
	}
	return text
}

// Also is what pictures write behind a length: inches where the wearer measures
// in them.
func Also(brief analysis.Brief) func(mm float64) string {
	if !brief.Wearer.Inches {
		return nil
	}
	return func(mm float64) string { return inch(mm) + " in" }
}

// Give writes a number with its doubt, where that is known.
func Give(value, doubt string, sd float64) string {
	if sd <= 0 {
		return value
	}
	return value + " ± " + doubt
}

// Odds says a chance in a hundred, and never that it is certain.
func Odds(chance float64) string {
	switch {
	case chance < 0.005:
		return "less than 1 in 100"
	case chance > 0.995:
		return "more than 99 in 100"
	}
	return Decimal(100*chance, 0) + " in 100"
}

// ThreeScales names the scales along the axes of a file.
func ThreeScales(axes [3]float64) string {
	return fmt.Sprintf("x %s, y %s, z %s", Percent(axes[0]), Percent(axes[1]), Percent(axes[2]))
}
