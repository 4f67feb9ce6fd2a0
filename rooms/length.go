package rooms

// Length counts eighths of a micrometre, so that a millimetre and a 64th of an
// inch are both whole numbers: 1 mm = 8 000, 1/64 in = 3 175. A surface is at
// most 250 m a side, so a cross product of two coordinate differences fits
// int64.
type Length int64

// Units in which lengths are written down.
const (
	Micrometre  Length = 8
	Millimetre  Length = 8_000
	Centimetre  Length = 80_000
	Metre       Length = 8_000_000
	SixtyFourth Length = 3_175
	Inch        Length = 64 * SixtyFourth
	Foot        Length = 12 * Inch
)

// MaxSide is the longest side a surface may have.
const MaxSide = 250 * Metre

// Millimetres returns l in mm. It is for printing and for floating-point
// rates, never for geometry.
func (l Length) Millimetres() float64 { return float64(l) / float64(Millimetre) }

// Metres returns l in m.
func (l Length) Metres() float64 { return float64(l) / float64(Metre) }
