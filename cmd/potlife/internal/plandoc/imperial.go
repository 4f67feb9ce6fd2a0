package plandoc

import (
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"potlife/rooms"
)

// The trade's packages speak metric. In the document of a firm that works in
// inches their sentences are turned where it is written, so that whatever shows
// a text shows the same: sizes to 1/16 in (below 6 mm to 1/32 in), lb, ft²,
// fl oz, qt and gal, °F, days as "Mon, Dec 7" and hours as "7:30 am". Names of
// the user's own are left alone.

// spoken are the fields that hold sentences.
var spoken = map[string]bool{"summary": true, "blocked": true, "why": true, "shape": true, "on_site_why": true, "how": true, "text": true, "notes": true,
	"title": true, "limits_from": true, "stop_at": true, "read": true, "cautions": true, "saving": true, "message": true}

// speakImperial turns every sentence of the document but those that are taken over from
// the document before, where they are turned already.
func (w *writer) speakImperial(d *Document) {
	for i := range w.shared {
		zones := d.Surfaces[i].Zones
		d.Surfaces[i].Zones = nil
		defer func() { d.Surfaces[i].Zones = zones }()
	}
	d.speakImperial()
}

// speakImperial turns every sentence of the document.
func (d *Document) speakImperial() {
	sp := speaker{shapes: map[reflect.Type][]part{}, said: map[string]string{}, turn: d.turner()}
	sp.speak(reflect.ValueOf(d).Elem(), false)
}

// Say writes sentences of the trade's packages that stand outside the document in
// the units, dates and hours of its firm.
func (d *Document) Say(sentences []string) []string {
	if d.Units != "imperial" {
		return sentences
	}
	turn, out := d.turner(), make([]string, len(sentences))
	for i, s := range sentences {
		out[i] = turn(s)
	}
	return out
}

// turner turns a sentence but for the names in it.
func (d *Document) turner() func(string) string {
	var names []string
	for _, t := range d.Tiles {
		names = append(names, t.Name)
	}
	for _, p := range d.Products {
		names = append(names, p.Name)
	}
	names = slices.DeleteFunc(names, func(s string) bool { return s == "" || imperialWords(s) == s })
	slices.SortFunc(names, func(a, b string) int { return len(b) - len(a) })
	return func(s string) string { return besides(names, s, imperialWords) }
}

// speaker turns the strings of spoken fields. Many stand more than once.
type speaker struct {
	shapes map[reflect.Type][]part
	said   map[string]string
	turn   func(string) string
}

// part is a field of a struct in which something may be said.
type part struct {
	index  int
	spoken bool
}

// parts of a struct, those without a spoken string left out.
func (sp *speaker) parts(t reflect.Type) []part {
	list, known := sp.shapes[t]
	if known {
		return list
	}
	for i := range t.NumField() {
		tag, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if t.Field(i).IsExported() && sp.says(t.Field(i).Type, spoken[tag]) {
			list = append(list, part{i, spoken[tag]})
		}
	}
	sp.shapes[t] = list
	return list
}

func (sp *speaker) says(t reflect.Type, here bool) bool {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		return sp.says(t.Elem(), here)
	case reflect.Struct:
		return len(sp.parts(t)) > 0
	}
	return here && t.Kind() == reflect.String
}

func (sp *speaker) speak(v reflect.Value, here bool) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			sp.speak(v.Elem(), here)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			sp.speak(v.Index(i), here)
		}
	case reflect.Struct:
		for _, p := range sp.parts(v.Type()) {
			sp.speak(v.Field(p.index), p.spoken)
		}
	case reflect.String:
		if s := v.String(); here && s != "" {
			t, known := sp.said[s]
			if !known {
				t = sp.turn(s)
				sp.said[s] = t
			}
			if t != s {
				v.SetString(t)
			}
		}
	}
}

// besides turns s but for the names in it.
func besides(names []string, s string, turn func(string) string) string {
	for i, n := range names {
		if parts := strings.Split(s, n); len(parts) > 1 {
			for k := range parts {
				parts[k] = besides(names[i+1:], parts[k], turn)
			}
			return strings.Join(parts, n)
		}
	}
	return turn(s)
}

// published are figures that the trade prints in both systems, each rounded in
// its own way.
var published = strings.NewReplacer(
	"6 mm under 3 m and 1.6 mm under 300 mm", `1/4" under 10 ft and 1/16" under 12"`,
	"3 mm under 3 m and 1.6 mm under 600 mm", `1/8" under 10 ft and 1/16" under 24"`,
	"over 23 kg two people", "over 51 lb two people",
	"every 200 mm each way", `every 8" each way`,
)

// figures are one number or several of one unit, such as "52.2 × 8.2", "3 to 6".
var figures = regexp.MustCompile(`\d[\d,]*(?:\.\d+)?(?:(?: × | to |–)\d[\d,]*(?:\.\d+)?)* ?`)

var figure = regexp.MustCompile(`\d[\d,]*(?:\.\d+)?`)

// speech says how a unit is spoken in the other system: write prints a number of
// it, after is what follows the last number.
type speech struct {
	unit  string
	write func(float64) string
	after string
}

// speeches, longer units before those they begin with.
var speeches = []speech{
	{"kg/m² and mm", by(0.2048161436*25.4, 2), " lb/ft² and inch"},
	{"kg/m²", by(0.2048161436, 2), " lb/ft²"},
	{"kg/l", by(8.345404452, 1), " lb/gal"},
	{"l/m²", by(33.8140227/10.76391042, 2), " fl oz/ft²"},
	{"m²", by(10.76391042, 1), " ft²"},
	{"m2", by(10.76391042, 1), " ft²"},
	{"mm", sixteenths, ""},
	{"ml", by(0.0338140227, 1), " fl oz"},
	{"°C", func(c float64) string { return Figure(c*9/5+32, 0) }, " °F"},
	{"kg", by(2.204622622, 1), " lb"},
	{"m", by(3.280839895, 1), " ft"},
	{"l", litres, ""},
}

func by(factor float64, digits int) func(float64) string {
	return func(v float64) string { return imperialGroups(rooms.Grouped(Figure(v*factor, digits))) }
}

// sixteenths writes mm as inches: to 1/16 in, small ones to 1/32 in.
func sixteenths(v float64) string {
	step := int64(4 * per64th)
	if v < 6 {
		step = 2 * per64th
	}
	return inches(floorTo(eighths(MM(v))+step/2, step), true)
}

// ouncesPerLitre are US fluid ounces.
const ouncesPerLitre = 33.8140227

// litres writes fluid ounces below a quart, quarts below a gallon.
func litres(v float64) string {
	switch oz := v * ouncesPerLitre; {
	case oz < 31.95:
		return Figure(oz, 1) + " fl oz"
	case oz < 127.95:
		return Figure(oz/32, 2) + " qt"
	default:
		return Figure(oz/128, 2) + " gal"
	}
}

// imperialWords turns the figures of a sentence.
func imperialWords(s string) string {
	s = imperialGroups(imperialDates(published.Replace(s)))
	var out strings.Builder
	at := 0
	for _, m := range figures.FindAllStringIndex(s, -1) {
		if m[0] < at || m[0] > 0 && strings.ContainsAny(s[m[0]-1:m[0]], "/.#_-") || m[0] > 0 && isWord(s[m[0]-1]) {
			continue
		}
		u := unitAt(s[m[1]:])
		if u == nil {
			continue
		}
		out.WriteString(s[at:m[0]])
		numbers := strings.TrimSuffix(s[m[0]:m[1]], " ")
		out.WriteString(figure.ReplaceAllStringFunc(numbers, func(n string) string {
			v, err := strconv.ParseFloat(strings.ReplaceAll(n, ",", ""), 64)
			if err != nil {
				return n
			}
			return u.write(v)
		}))
		out.WriteString(u.after)
		at = m[1] + len(u.unit)
		if u.unit == "°C" { // both scales were printed
			if rest := bothScales.FindString(s[at:]); rest != "" {
				at += len(rest)
			}
		}
	}
	return out.String() + s[at:]
}

var bothScales = regexp.MustCompile(`^ \(-?\d+ °F\)`)

// unitAt finds the unit that the text begins with.
func unitAt(s string) *speech {
	for i := range speeches {
		if rest, ok := strings.CutPrefix(s, speeches[i].unit); ok && (rest == "" || !isWord(rest[0]) && rest[0] != '/' && !strings.HasPrefix(rest, "²")) {
			return &speeches[i]
		}
	}
	return nil
}

func isWord(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}
