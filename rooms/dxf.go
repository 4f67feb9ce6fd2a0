package rooms

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// DXF is what was read from a drawing.
type DXF struct {
	// Surfaces with their openings, each counted from the lower left corner of
	// its own outline.
	Surfaces []Drawn
	// Unit is the drawing's unit as its header gives it.
	Unit string
	// Ignored says what of the drawing was not used, and why.
	Ignored []string
}

// Layers whose name begins with these (in any case) hold outlines; what follows
// is the key: "SURFACE wall 1", "OPENING 3". A layer may also begin with the kind
// of the opening, alone or behind OPENING: "WINDOW 1", "OPENING drain"; an opening
// of no kind is a fixture. An opening belongs to the surface around it.
const (
	dxfSurface = "surface"
	dxfOpening = "opening"
)

// dxfJoin is how far apart the ends of two lines may lie and still be joined.
const dxfJoin = Millimetre / 2

// dxfUnits are the header's $INSUNITS.
var dxfUnits = map[int]struct {
	name string
	size Length
}{1: {"in", Inch}, 2: {"ft", Foot}, 4: {"mm", Millimetre}, 5: {"cm", Centimetre}, 6: {"m", Metre}}

// ReadDXF reads surfaces and openings from an ASCII DXF drawing: LINE,
// LWPOLYLINE, ARC and CIRCLE on layers named for them. An arc stays one side of
// the line; in the outline it is flattened to tolerance (0: 0.1 mm). The unit comes from the header's $INSUNITS; a drawing
// without one is refused. Errors name the line.
func ReadDXF(r io.Reader, tolerance Length) (DXF, error) {
	if tolerance <= 0 {
		tolerance = Millimetre / 10
	}
	d := &dxfReader{lines: bufio.NewScanner(r), tolerance: tolerance, loose: map[string][][]Corner{}}
	if err := d.read(); err != nil {
		return DXF{}, err
	}
	return d.finish()
}

type dxfReader struct {
	lines     *bufio.Scanner
	at        int
	unit      Length
	tolerance Length
	out       DXF
	layers    []string              // in order of first use
	closed    []dxfLoop             // closed outlines as they come
	loose     map[string][][]Corner // open lines by layer
}

// dxfLoop is a closed outline on a layer.
type dxfLoop struct {
	layer string
	drawn Drawn
}

// pair is a group code and its value.
type dxfPair struct {
	code  int
	value string
}

func (d *dxfReader) next() (dxfPair, bool, error) {
	if !d.lines.Scan() {
		return dxfPair{}, false, d.lines.Err()
	}
	d.at++
	code, err := strconv.Atoi(strings.TrimSpace(d.lines.Text()))
	switch text := d.lines.Text(); {
	case err == nil:
	case d.at == 1 && strings.Contains(text, "Binary DXF"):
		return dxfPair{}, false, errors.New("this is a binary drawing; expected one saved as ASCII DXF")
	case d.at == 1:
		return dxfPair{}, false, fmt.Errorf("this is no DXF drawing: it begins with %q; expected group codes and values by turns, saved as ASCII DXF", begin(text))
	default:
		return dxfPair{}, false, fmt.Errorf("DXF line %d: %q is no group code", d.at, begin(text))
	}
	if !d.lines.Scan() {
		return dxfPair{}, false, fmt.Errorf("DXF line %d: the value of group code %d is missing", d.at+1, code)
	}
	d.at++
	return dxfPair{code, strings.TrimSpace(d.lines.Text())}, true, d.lines.Err()
}

// begin is the beginning of a text, short enough for a message.
func begin(text string) string {
	r := []rune(text)
	if len(r) <= 24 {
		return text
	}
	return string(r[:24]) + "…"
}

// read goes through the file entity by entity.
func (d *dxfReader) read() error {
	var entity []dxfPair
	section, variable := "", ""
	for {
		p, ok, err := d.next()
		if err != nil {
			return err
		}
		if !ok || p.code == 0 {
			if section == "ENTITIES" && len(entity) > 0 {
				if err := d.entity(entity); err != nil {
					return fmt.Errorf("DXF before line %d: %w", d.at, err)
				}
			}
			entity = nil
		}
		if !ok || p.code == 0 && p.value == "EOF" {
			return nil
		}
		switch {
		case p.code == 0 && (p.value == "SECTION" || p.value == "ENDSEC"):
			section = ""
		case p.code == 2 && section == "":
			section = p.value
		case p.code == 9:
			variable = p.value
		case section == "HEADER" && variable == "$INSUNITS" && p.code == 70:
			n, _ := strconv.Atoi(p.value)
			d.unit, d.out.Unit = dxfUnits[n].size, dxfUnits[n].name
		case section == "ENTITIES":
			entity = append(entity, p)
		}
	}
}

var errNoUnit = errors.New("the drawing's header gives no unit in $INSUNITS; expected 1 in, 2 ft, 4 mm, 5 cm or 6 m")

// entity takes one entity in.
func (d *dxfReader) entity(e []dxfPair) error {
	if d.unit == 0 {
		return errNoUnit
	}
	kind, layer := e[0].value, ""
	for _, p := range e {
		if p.code == 8 {
			layer = p.value
		}
	}
	if l := layerOf(layer); l.what == "" {
		d.ignore("%s on layer %q, which is no surface and no opening", kind, layer)
		return nil
	}
	if !slices.Contains(d.layers, layer) {
		d.layers = append(d.layers, layer)
	}
	switch kind {
	case "LINE":
		return d.line(layer, e)
	case "ARC":
		return d.arc(layer, e)
	case "CIRCLE":
		return d.circle(layer, e)
	case "LWPOLYLINE":
		return d.polyline(layer, e)
	}
	d.ignore("%s on layer %q: only LINE, LWPOLYLINE, ARC and CIRCLE are read", kind, layer)
	return nil
}

func (d *dxfReader) ignore(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(d.out.Ignored, s) {
		d.out.Ignored = append(d.out.Ignored, s)
	}
}

// dxfLayer is what a layer holds by its name.
type dxfLayer struct{ what, kind, key string }

func layerOf(name string) dxfLayer {
	trim := func(s string) string { return strings.Trim(s, " -_") }
	if k, rest := beginsWith(name, dxfSurface); k {
		return dxfLayer{what: dxfSurface, key: trim(rest)}
	}
	opening, rest := beginsWith(name, dxfOpening)
	if !opening {
		rest = name
	}
	l := dxfLayer{what: dxfOpening, kind: "fixture", key: trim(rest)}
	for _, kind := range OpeningKinds() {
		if named, more := beginsWith(l.key, kind); named && (more == "" || !unicode.IsLetter([]rune(more)[0])) {
			l.kind = kind
			return l
		}
	}
	if !opening {
		return dxfLayer{}
	}
	return l
}

// beginsWith reports whether a name begins with a word, in any case, and what
// follows.
func beginsWith(name, word string) (ok bool, rest string) {
	if len(name) < len(word) || !strings.EqualFold(name[:len(word)], word) {
		return false, ""
	}
	return true, name[len(word):]
}

// number is the last value of a group code.
func (d *dxfReader) number(e []dxfPair, code int) (float64, error) {
	for _, p := range e {
		if p.code != code {
			continue
		}
		return dxfFloat(p)
	}
	return 0, fmt.Errorf("%s has no group code %d", e[0].value, code)
}

func dxfFloat(p dxfPair) (float64, error) {
	v, err := strconv.ParseFloat(p.value, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e9 {
		return 0, fmt.Errorf("group code %d: %q is no number that can be drawn", p.code, p.value)
	}
	return v, nil
}

// length turns a number of the drawing into a Length.
func (d *dxfReader) length(v float64) Length { return roundHalf(float64(v * float64(d.unit))) }

// point reads x and y of two group codes.
func (d *dxfReader) point(e []dxfPair, cx, cy int) (Point, error) {
	x, err := d.number(e, cx)
	if err != nil {
		return Point{}, err
	}
	y, err := d.number(e, cy)
	return Point{d.length(x), d.length(y)}, err
}

func (d *dxfReader) line(layer string, e []dxfPair) error {
	a, err := d.point(e, 10, 20)
	if err != nil {
		return err
	}
	b, err := d.point(e, 11, 21)
	if err != nil {
		return err
	}
	d.loose[layer] = append(d.loose[layer], []Corner{{To: a}, {To: b}})
	return nil
}

func (d *dxfReader) circle(layer string, e []dxfPair) error {
	c, err := d.point(e, 10, 20)
	if err != nil {
		return err
	}
	r, err := d.number(e, 40)
	if err != nil {
		return err
	}
	radius := d.length(r)
	if radius <= 0 || radius >= MaxSide {
		return fmt.Errorf("a circle of radius %v", r)
	}
	d.closed = append(d.closed, dxfLoop{layer, Drawn{Outline: Circle(c, radius, d.tolerance), Centre: c, Diameter: 2 * radius,
		Corners: []Corner{{Point{c.X - radius, c.Y}, radius}, {Point{c.X + radius, c.Y}, radius}}}})
	return nil
}

// fullTurn is the sweep, in degrees, from which an arc is drawn as a circle.
const fullTurn = 359.99

func (d *dxfReader) arc(layer string, e []dxfPair) error {
	c, err := d.point(e, 10, 20)
	if err != nil {
		return err
	}
	var v [3]float64
	for i, code := range []int{40, 50, 51} {
		if v[i], err = d.number(e, code); err != nil {
			return err
		}
	}
	sweep := math.Mod(v[2]-v[1], 360)
	if sweep <= 0 {
		sweep += 360
	}
	if sweep >= fullTurn {
		return d.circle(layer, e)
	}
	r := float64(d.length(v[0]))
	at := func(deg float64) Point {
		x, y := polar(deg)
		return Point{c.X + roundHalf(float64(r*x)), c.Y + roundHalf(float64(r*y))}
	}
	x, y := polar(sweep / 4)
	d.loose[layer] = append(d.loose[layer], arcTo([]Corner{{To: at(v[1])}}, at(v[1]+sweep), y/x))
	return nil
}

// mostBulge is the bulge of an arc that all but closes: 359.99 degrees.
const mostBulge = 23_000

// polyline reads corners with their bulges.
func (d *dxfReader) polyline(layer string, e []dxfPair) error {
	var pts []Point
	var bulge []float64
	closed := false
	for _, p := range e {
		switch p.code {
		case 70:
			n, _ := strconv.Atoi(p.value)
			closed = n&1 == 1
		case 10, 20, 42:
			v, err := dxfFloat(p)
			if err != nil {
				return err
			}
			switch {
			case p.code == 10:
				pts, bulge = append(pts, Point{X: d.length(v)}), append(bulge, 0)
			case len(pts) == 0:
				return fmt.Errorf("LWPOLYLINE: group code %d before the first corner", p.code)
			case p.code == 20:
				pts[len(pts)-1].Y = d.length(v)
			case math.Abs(v) > mostBulge:
				return fmt.Errorf("LWPOLYLINE: a bulge of %v is no arc that can be drawn", v)
			default:
				bulge[len(bulge)-1] = v
			}
		}
	}
	if len(pts) < 2 {
		return fmt.Errorf("LWPOLYLINE with %d corners", len(pts))
	}
	line := []Corner{{To: pts[0]}}
	for i := range len(pts) - 1 {
		line = arcTo(line, pts[i+1], bulge[i])
	}
	if closed {
		line = arcTo(line, pts[0], bulge[len(pts)-1])
	}
	d.loose[layer] = append(d.loose[layer], line)
	return nil
}
