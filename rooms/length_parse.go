package rooms

import (
	"fmt"
	"math/bits"
	"strings"
	"unicode/utf8"
)

// Unit is the unit a bare number is read in.
type Unit int

// Units of a bare number.
const (
	UnitMM Unit = iota
	UnitCM
	UnitM
	UnitInch
	UnitFoot
)

// unitLength is one of each unit.
var unitLength = [...]Length{UnitMM: Millimetre, UnitCM: Centimetre, UnitM: Metre, UnitInch: Inch, UnitFoot: Foot}

// maxParsed is the longest length that is read: far above any surface, far
// below what a sum of lengths could overflow with.
const maxParsed = 1000 * Metre

// LengthError says what cannot be read as a length, and at which character.
type LengthError struct {
	Text string
	// Column counts characters from 1; one more than the text has where
	// something is missing at the end.
	Column int
	// Char is the character at Column, 0 at the end of the text.
	Char rune
	// Want is what was expected there.
	Want string
}

// Error names the text, the character and what was expected.
func (e *LengthError) Error() string {
	if e.Char == 0 {
		return fmt.Sprintf("%q is no length: it ends too early; expected %s", e.Text, e.Want)
	}
	if e.Char == ',' {
		return fmt.Sprintf("%q is no length: character %d is ','; expected a point before decimals, such as 1.778 m", e.Text, e.Column)
	}
	return fmt.Sprintf("%q is no length: character %d is %q; expected %s", e.Text, e.Column, e.Char, e.Want)
}

// ParseLength reads a length as a person writes it on a measuring sheet, a
// bare number being in def:
//
//	1778   1778 mm   1.778 m   177.8cm   70"   70 1/2"   70½ in   5'10   5' 10 3/8"   5-10-3/8   5 ft 10 in
//
// Typographic quotes, primes and fraction signs are understood; fractions are
// halves to 64ths. A decimal fraction finer than 1/8 µm is rounded to the
// nearest one. A leading minus is read for lengths that may be negative
// (deviations). The error is a *LengthError.
func ParseLength(s string, def Unit) (Length, error) {
	p := &lengthParser{text: s, chars: lengthChars(s), def: def}
	l, err := p.length()
	if err != nil {
		return 0, err
	}
	return l, nil
}

// lengthChar is one character as it is understood, with its column in the text.
type lengthChar struct {
	r    rune
	col  int
	orig rune
}

// vulgar are the fraction signs and how they are read.
var vulgar = map[rune]string{'½': "1/2", '¼': "1/4", '¾': "3/4", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8"}

// lengthChars replaces typographic signs by plain ones and keeps the columns.
func lengthChars(s string) []lengthChar {
	var out []lengthChar
	add := func(text string, col int, orig rune) {
		for _, r := range text {
			out = append(out, lengthChar{r, col, orig})
		}
	}
	col := 0
	for _, r := range s {
		col++
		switch {
		case vulgar[r] != "":
			add(" "+vulgar[r], col, r)
		case strings.ContainsRune("’‘′", r):
			add("'", col, r)
		case strings.ContainsRune("”“″", r):
			add(`"`, col, r)
		case strings.ContainsRune("\u00a0\u2009\u202f\t", r):
			add(" ", col, r)
		case r == '⁄':
			add("/", col, r)
		case strings.ContainsRune("‐‑–−", r):
			add("-", col, r)
		default:
			add(string(r), col, r)
		}
	}
	return out
}

type lengthParser struct {
	text  string
	chars []lengthChar
	at    int
	def   Unit
}

func (p *lengthParser) fail(want string) error {
	if p.at >= len(p.chars) {
		return &LengthError{Text: p.text, Column: utf8.RuneCountInString(p.text) + 1, Want: want}
	}
	return &LengthError{Text: p.text, Column: p.chars[p.at].col, Char: p.chars[p.at].orig, Want: want}
}

func (p *lengthParser) peek() rune {
	if p.at >= len(p.chars) {
		return 0
	}
	return p.chars[p.at].r
}

func (p *lengthParser) space() {
	for p.peek() == ' ' {
		p.at++
	}
}

// take consumes one of the words, longest first as listed, and reports which.
func (p *lengthParser) take(words ...string) bool {
	for _, w := range words {
		n := 0
		for _, r := range w {
			if p.at+n >= len(p.chars) || p.chars[p.at+n].r != r {
				n = -1
				break
			}
			n++
		}
		if n > 0 {
			p.at += n
			return true
		}
	}
	return false
}

// number is a count of 1/scale: 12.5 is 125 in tenths.
type number struct {
	num, scale uint64
	decimal    bool
}

const wantNumber = "a number such as 1778, 1.778 m, 70 1/2\" or 5' 10\""

func digit(r rune) bool { return r >= '0' && r <= '9' }

// number reads digits with an optional decimal point.
func (p *lengthParser) number() (number, error) {
	n := number{scale: 1}
	start := p.at
	for ; ; p.at++ {
		r := p.peek()
		switch {
		case digit(r):
			if n.num > 1e15 || n.scale > 1e11 {
				return n, p.fail("fewer digits")
			}
			n.num = n.num*10 + uint64(r-'0')
			if n.decimal {
				n.scale *= 10
			}
		case r == '.' && !n.decimal && p.at > start && p.at+1 < len(p.chars) && digit(p.chars[p.at+1].r):
			n.decimal = true
		case r == '.' && !n.decimal && p.at == start && p.at+1 < len(p.chars) && digit(p.chars[p.at+1].r):
			n.decimal = true
		default:
			if p.at == start {
				return n, p.fail(wantNumber)
			}
			return n, nil
		}
	}
}

// fraction reads what stands after a numerator: "/16".
func (p *lengthParser) fraction(over number) (Length, error) {
	if over.decimal {
		return 0, p.fail("no fraction after a decimal point")
	}
	p.at++ // the stroke
	from := p.at
	under, err := p.number()
	if err != nil {
		return 0, err
	}
	if under.decimal || under.num == 0 || under.num > 64 || under.num&(under.num-1) != 0 {
		p.at = from
		return 0, p.fail("a fraction of an inch in halves, 4ths, 8ths, 16ths, 32nds or 64ths")
	}
	if over.num >= under.num {
		p.at = from
		return 0, p.fail("a fraction below one")
	}
	return Length(over.num * (64 / under.num) * uint64(SixtyFourth)), nil
}

// times is n in the unit, to the nearest 1/8 µm.
func (p *lengthParser) times(n number, unit Length) (Length, error) {
	hi, lo := bits.Mul64(n.num, uint64(unit))
	lo, carry := bits.Add64(lo, n.scale/2, 0)
	hi += carry
	if hi >= n.scale {
		return 0, p.fail("a length below 1000 m")
	}
	q, _ := bits.Div64(hi, lo, n.scale)
	if q > uint64(maxParsed) {
		return 0, p.fail("a length below 1000 m")
	}
	return Length(q), nil
}

// length reads the whole text.
func (p *lengthParser) length() (Length, error) {
	p.space()
	negative := false
	if p.peek() == '-' || p.peek() == '+' {
		negative = p.peek() == '-'
		p.at++
		p.space()
	}
	l, err := p.value()
	if err != nil {
		return 0, err
	}
	p.space()
	if p.at < len(p.chars) {
		return 0, p.fail("nothing more, or a unit: mm, cm, m, ' or \"")
	}
	if l > maxParsed {
		return 0, p.fail("a length below 1000 m")
	}
	if negative {
		l = -l
	}
	return l, nil
}

// value reads the first number and decides by what follows it.
func (p *lengthParser) value() (Length, error) {
	p.space()
	n, err := p.number()
	if err != nil {
		return 0, err
	}
	if p.peek() == '/' {
		f, err := p.fraction(n)
		if err != nil {
			return 0, err
		}
		return f, p.inchMark(p.def == UnitInch || p.def == UnitFoot)
	}
	if p.peek() == '-' && !n.decimal {
		return p.dashed(n)
	}
	after := p.at
	p.space()
	switch {
	case p.take("mm"):
		return p.times(n, Millimetre)
	case p.take("cm"):
		return p.times(n, Centimetre)
	case p.take("m"):
		return p.times(n, Metre)
	case p.take("''", `"`, "inches", "inch", "in"):
		return p.times(n, Inch)
	case p.take("'", "feet", "foot", "ft"):
		return p.feet(n)
	case digit(p.peek()):
		return p.mixed(n)
	}
	p.at = after
	return p.times(n, unitLength[p.def])
}

// inchMark reads the mark that closes inches; it may be missing where the
// text is known to be in inches.
func (p *lengthParser) inchMark(optional bool) error {
	p.space()
	if p.take("''", `"`, "inches", "inch", "in") || optional {
		return nil
	}
	return p.fail(`the inch mark "`)
}

// mixed reads the fraction of "70 1/2", n being the 70.
func (p *lengthParser) mixed(n number) (Length, error) {
	whole, err := p.times(n, Inch)
	if err != nil {
		return 0, err
	}
	if n.decimal {
		return 0, p.fail("no fraction after a decimal point")
	}
	over, err := p.number()
	if err != nil {
		return 0, err
	}
	if p.peek() != '/' {
		return 0, p.fail("a unit, or a fraction such as 1/2")
	}
	f, err := p.fraction(over)
	if err != nil {
		return 0, err
	}
	return whole + f, p.inchMark(p.def == UnitInch || p.def == UnitFoot)
}

// dashed reads "5-10", "5-10-3/8" and "70-1/2", the first number read.
func (p *lengthParser) dashed(first number) (Length, error) {
	p.at++
	second, err := p.number()
	if err != nil {
		return 0, err
	}
	if p.peek() == '/' { // 70-1/2
		whole, err := p.times(first, Inch)
		if err != nil {
			return 0, err
		}
		f, err := p.fraction(second)
		if err != nil {
			return 0, err
		}
		return whole + f, p.inchMark(p.def == UnitInch || p.def == UnitFoot)
	}
	return p.feetAnd(first, second)
}

// feet reads what may follow "5'".
func (p *lengthParser) feet(ft number) (Length, error) {
	p.space()
	if p.peek() == '-' {
		p.at++
		p.space()
	}
	if !digit(p.peek()) {
		return p.times(ft, Foot)
	}
	if ft.decimal {
		return 0, p.fail("no inches after decimal feet")
	}
	in, err := p.number()
	if err != nil {
		return 0, err
	}
	if p.peek() == '/' {
		whole, err := p.times(ft, Foot)
		if err != nil {
			return 0, err
		}
		f, err := p.fraction(in)
		if err != nil {
			return 0, err
		}
		return whole + f, p.inchMark(true)
	}
	return p.feetAnd(ft, in)
}

// feetAnd adds inches to feet and reads the fraction that may follow.
func (p *lengthParser) feetAnd(ft, in number) (Length, error) {
	whole, err := p.times(ft, Foot)
	if err != nil {
		return 0, err
	}
	inches, err := p.times(in, Inch)
	if err != nil {
		return 0, err
	}
	if inches >= Foot {
		p.at--
		return 0, p.fail("inches below 12 after feet")
	}
	mark := p.at
	p.space()
	if p.peek() == '-' {
		p.at++
		p.space()
	}
	if !digit(p.peek()) {
		p.at = mark
		return whole + inches, p.inchMark(true)
	}
	over, err := p.number()
	if err != nil {
		return 0, err
	}
	if p.peek() != '/' || in.decimal {
		return 0, p.fail("a fraction of an inch such as 3/8")
	}
	f, err := p.fraction(over)
	if err != nil {
		return 0, err
	}
	return whole + inches + f, p.inchMark(true)
}
