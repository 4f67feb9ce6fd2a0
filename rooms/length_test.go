package rooms

import (
	"errors"
	"math/big"
	"strings"
	"testing"
)

func TestParseLength(t *testing.T) {
	in := func(sixteenths Length) Length { return sixteenths * Inch / 16 }
	for _, c := range []struct {
		text string
		def  Unit
		want Length
	}{
		{"1778", UnitMM, 1778 * Millimetre},
		{" 1778 mm ", UnitInch, 1778 * Millimetre},
		{"1.778 m", UnitMM, 1778 * Millimetre},
		{"177.8cm", UnitMM, 1778 * Millimetre},
		{".5", UnitMM, Millimetre / 2},
		{`70"`, UnitMM, 1778 * Millimetre},
		{`70 1/2"`, UnitMM, in(70*16 + 8)},
		{`70 1/2`, UnitInch, in(70*16 + 8)},
		{`70½"`, UnitMM, in(70*16 + 8)},
		{`70 ½ in`, UnitMM, in(70*16 + 8)},
		{`70-1/2"`, UnitMM, in(70*16 + 8)},
		{`5'10`, UnitMM, in(70 * 16)},
		{`5’10”`, UnitMM, in(70 * 16)},
		{`5′ 10⅜″`, UnitMM, in(70*16 + 6)},
		{`5' 10 3/8"`, UnitMM, in(70*16 + 6)},
		{`5'-10 3/8"`, UnitMM, in(70*16 + 6)},
		{`5-10-3/8`, UnitMM, in(70*16 + 6)},
		{`5-10`, UnitInch, in(70 * 16)},
		{`5 ft 10 in`, UnitMM, in(70 * 16)},
		{`5' 3/8"`, UnitMM, in(60*16 + 6)},
		{`5'`, UnitMM, 5 * Foot},
		{`5.5'`, UnitMM, in(66 * 16)},
		{`3/64"`, UnitMM, 3 * SixtyFourth},
		{`7''`, UnitMM, 7 * Inch},
		{`2.5`, UnitInch, in(40)},
		{`6`, UnitFoot, 6 * Foot},
		{`1.2`, UnitM, 1200 * Millimetre},
		{`-3`, UnitMM, -3 * Millimetre},
		{`−3 mm`, UnitMM, -3 * Millimetre},
		{`0.0001 mm`, UnitMM, 1}, // 0.8 of the unit, to the nearest
		{`0`, UnitMM, 0},
	} {
		got, err := ParseLength(c.text, c.def)
		if err != nil || got != c.want {
			t.Errorf("ParseLength(%q) = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

func TestParseLengthShowsTheCharacter(t *testing.T) {
	for _, c := range []struct {
		text   string
		column int
		says   string
	}{
		{"", 1, "ends too early"},
		{"abc", 1, `'a'`},
		{"12x", 3, `'x'`},
		{"1,778", 2, `','`},
		{`70 1/3"`, 6, "halves"},
		{`70 1/2`, 7, "inch mark"},
		{`5' 12"`, 5, "below 12"},
		{`5' 10 9/8"`, 9, "below one"},
		{"1 2", 4, "ends too early"},
		{"1.5 1/2\"", 5, "decimal"},
		{"99999 m", 8, "1000 m"},
		{"5'½½\"", 4, `'½'`},
		{"--1", 2, `'-'`},
		{"1/2", 4, "inch mark"},
		{"5.5-3", 4, `'-'`},
	} {
		_, err := ParseLength(c.text, UnitMM)
		var le *LengthError
		if !errors.As(err, &le) {
			t.Errorf("ParseLength(%q): %v, want a *LengthError", c.text, err)
			continue
		}
		if le.Column != c.column || !strings.Contains(err.Error(), c.says) {
			t.Errorf("ParseLength(%q): column %d, %q; want column %d and %q", c.text, le.Column, err, c.column, c.says)
		}
	}
}

func TestFormatRounds(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{FormatMetric(1778*Millimetre+7999, Down), "1778 mm"},
		{FormatMetric(1778*Millimetre+1, Up), "1779 mm"},
		{FormatMetric(-Millimetre/2, Down), "-1 mm"},
		{FormatMM(245*Millimetre+4799, 1, Down), "245.5"},
		{FormatMM(245*Millimetre, 1, Down), "245"},
		{Length(1).String(), "0.000125 mm"},
		{FormatImperial(70*Inch+Inch/16*15+3000, Nearest), `5' 10 15/16"`},
		{FormatImperial(70*Inch+Inch-1, Nearest), `5' 11"`}, // never 16/16
		{FormatImperial(12*Inch-1, Up), `1' 0"`},            // carried into the foot
		{FormatImperial(12*Inch-1, Down), `11 15/16"`},      // below a foot
		{FormatImperial(70*Inch+6*Inch/16, Down), `5' 10 3/8"`},
		{FormatInches(70*Inch+Inch/2+10, 16, Down), `70 1/2"`},
		{FormatInches(Inch/64, 64, Down), `1/64"`},
		{FormatInches(0, 16, Down), `0"`},
		{FormatInches(-Inch/4, 16, Down), `-1/4"`},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

// FuzzParseLength: whatever is read prints as something that reads back as the
// same length, and nothing makes the reader fall over.
func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"1778", `5' 10 3/8"`, "70½″", "5-10-3/8", "1.778 m", "- 3/4\"", "''", "9e9"} {
		f.Add(s, int(UnitMM))
	}
	f.Fuzz(func(t *testing.T, s string, def int) {
		unit := Unit(uint(def) % 5)
		l, err := ParseLength(s, unit)
		if err != nil {
			var le *LengthError
			if !errors.As(err, &le) || le.Column < 1 {
				t.Fatalf("%q: error without place: %v", s, err)
			}
			return
		}
		if back, err := ParseLength(l.String(), UnitInch); err != nil || back != l {
			t.Fatalf("%q is %v, which reads back as %v, %v", s, l, back, err)
		}
		imperial := FormatImperial(l, Nearest)
		back, err := ParseLength(imperial, UnitMM)
		if d := back - l; err != nil || d > Inch/32 || d < -Inch/32 {
			t.Fatalf("%q is %v, printed %s, which reads back as %v, %v", s, l, imperial, back, err)
		}
	})
}

// TestExactMetric compares decimals with big rationals.
func TestExactMetric(t *testing.T) {
	for _, s := range []string{"0.001", "1234.567875", "17.000125", "3.1415"} {
		got, err := ParseLength(s, UnitMM)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := new(big.Rat).SetString(s)
		want.Mul(want, big.NewRat(int64(Millimetre), 1))
		diff := new(big.Rat).Sub(want, big.NewRat(int64(got), 1))
		if diff.Abs(diff).Cmp(big.NewRat(1, 2)) > 0 {
			t.Errorf("%s mm is %d units, off by %v", s, got, diff)
		}
	}
}
