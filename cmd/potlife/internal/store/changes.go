package store

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// firmChanges says in words how b differs from a; a is nil for a new firm.
func firmChanges(a, b *scheduler.Firm) []string {
	if a == nil {
		return []string{fmt.Sprintf("firm %s: added, %s, %s, %s, %s", b.Key, count(len(b.Crews), "crew"), count(len(b.Catalogue.Suppliers), "supplier"),
			count(len(b.Catalogue.Tiles), "tile"), count(len(b.Catalogue.Products), "product"))}
	}
	var d differ
	d.compare(spot{noun: "firm", path: b.Key}, "", reflect.ValueOf(*a), reflect.ValueOf(*b))
	return d.lines
}

// jobChanges says in words how b differs from a; a is nil for a new job.
func jobChanges(a, b *rooms.Job) []string {
	if a == nil {
		var nRooms, nSurfaces int
		for _, s := range b.Sites {
			nRooms += len(s.Rooms)
			for _, m := range s.Rooms {
				nSurfaces += len(m.Surfaces)
			}
		}
		return []string{fmt.Sprintf("job %s: added, %s, %s, %s", b.Key, count(len(b.Sites), "site"), count(nRooms, "room"), count(nSurfaces, "surface"))}
	}
	var d differ
	d.compare(spot{noun: "job", path: b.Key}, "", reflect.ValueOf(*a), reflect.ValueOf(*b))
	return d.lines
}

func count(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return strconv.Itoa(n) + " " + noun
}

// spot is what a line of changes is about: "room flat-2/bath".
type spot struct{ noun, path string }

func (s spot) String() string { return s.noun + " " + s.path }

// differ walks two values of one type and collects what differs. Lists whose
// elements have a Key (or are named in keyFields) are matched by it, other
// lists of structs by position.
type differ struct{ lines []string }

func (d *differ) add(at spot, format string, args ...any) {
	d.lines = append(d.lines, at.String()+": "+fmt.Sprintf(format, args...))
}

// compare goes through two structs; prefix names the way to them within at.
func (d *differ) compare(at spot, prefix string, a, b reflect.Value) {
	for i := range a.NumField() {
		f := a.Type().Field(i)
		if !f.IsExported() {
			continue
		}
		x, y := a.Field(i), b.Field(i)
		if reflect.DeepEqual(x.Interface(), y.Interface()) || printed(x) == "" && printed(y) == "" && bare(x) && bare(y) {
			continue
		}
		label := strings.TrimSpace(prefix + " " + words(f.Name))
		switch {
		case listOfStructs(x):
			d.lists(at, x, y)
		case x.Kind() == reflect.Struct && !hasText(x):
			if prefix == "" && f.Name == "Catalogue" {
				label = "" // its lists name themselves
			}
			d.compare(at, label, x, y)
		case x.Type() == reflect.TypeFor[rooms.Ring]():
			d.add(at, "%s %s", label, ringChange(x.Interface().(rooms.Ring), y.Interface().(rooms.Ring)))
		default:
			d.add(at, "%s %s → %s", label, orNone(printed(x)), orNone(printed(y)))
		}
	}
}

// bare reports whether v is a list or a map, which may be empty or absent
// without a difference that matters.
func bare(v reflect.Value) bool { return v.Kind() == reflect.Slice || v.Kind() == reflect.Map }

func listOfStructs(v reflect.Value) bool {
	return v.Kind() == reflect.Slice && v.Type().Elem().Kind() == reflect.Struct &&
		!hasText(reflect.Zero(v.Type().Elem())) && v.Type() != reflect.TypeFor[rooms.Ring]()
}

func hasText(v reflect.Value) bool {
	_, ok := v.Interface().(fmt.Stringer)
	return ok
}

func (d *differ) lists(at spot, a, b reflect.Value) {
	was, is := index(at, a), index(at, b)
	var order []string
	for _, e := range was.order {
		old := was.at[e]
		if _, stays := is.at[e]; !stays {
			d.add(old.spot, "removed")
		} else {
			order = append(order, e)
		}
	}
	var again []string
	for _, e := range is.order {
		now := is.at[e]
		old, there := was.at[e]
		if !there {
			d.add(now.spot, "added")
			continue
		}
		again = append(again, e)
		d.compare(now.spot, "", old.value, now.value)
	}
	if !slices.Equal(order, again) {
		d.add(at, "%ss in another order", noun(singular(a.Type().Elem())))
	}
}

type element struct {
	spot  spot
	value reflect.Value
}

type elements struct {
	order []string
	at    map[string]element
}

// index names the elements of a list.
func index(parent spot, list reflect.Value) elements {
	out := elements{at: map[string]element{}}
	for i := range list.Len() {
		v := list.Index(i)
		name, keyed := nameOf(v)
		if !keyed {
			name = "#" + strconv.Itoa(i)
		}
		path := parent.path + "/" + name
		switch {
		case !keyed:
			path = parent.path + name
		case parent.noun == "firm":
			path = name // a firm's lists name themselves
		case v.Type() == reflect.TypeFor[rooms.Room]():
			job, _, _ := strings.Cut(parent.path, "/")
			path = job + "/" + name // a room's path is job/room
		}
		id := path
		for n := 2; out.at[id].value.IsValid(); n++ { // a key that comes twice
			id = path + " (" + strconv.Itoa(n) + ")"
		}
		out.order = append(out.order, id)
		out.at[id] = element{spot{singular(v.Type()), path}, v}
	}
	return out
}

// nameOf returns what identifies an element in its list.
func nameOf(v reflect.Value) (string, bool) {
	switch e := v.Interface().(type) {
	case takeoff.Lot:
		return e.Tile + " lot " + e.Lot + offered(e.Offered), true
	case takeoff.Stock:
		return e.Product, true
	case scheduler.Travel:
		return e.From + " – " + e.To, true
	}
	if k := v.FieldByName("Key"); k.IsValid() {
		return k.String(), true
	}
	return "", false
}

func offered(o bool) string {
	if o {
		return " (offered)"
	}
	return ""
}

func singular(t reflect.Type) string {
	if t == reflect.TypeFor[rooms.DayHours]() {
		return "hours"
	}
	return words(t.Name())
}

// words turns GapMin into "gap min".
func words(name string) string {
	var b strings.Builder
	for i, r := range name {
		if unicode.IsUpper(r) && i > 0 && !unicode.IsUpper(rune(name[i-1])) {
			b.WriteByte(' ')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func ringChange(a, b rooms.Ring) string {
	if len(a) != len(b) {
		return fmt.Sprintf("%s → %s", count(len(a), "point"), count(len(b), "point"))
	}
	n := 0
	for i := range a {
		if a[i] != b[i] {
			n++
		}
	}
	return fmt.Sprintf("%s of %d moved", count(n, "point"), len(a))
}

// printed is a value in words; "" is none.
func printed(v reflect.Value) string {
	switch x := v.Interface().(type) {
	case rooms.Length:
		return strconv.FormatFloat(x.Millimetres(), 'f', -1, 64) + " mm"
	case takeoff.Money:
		return money(x)
	case *time.Location:
		if x == nil {
			return ""
		}
		return x.String()
	case fmt.Stringer:
		return x.String()
	case string:
		return x
	case bool:
		if x {
			return "yes"
		}
		return "no"
	}
	switch v.Kind() {
	case reflect.Float64:
		return strconv.FormatFloat(v.Float(), 'g', -1, 64)
	case reflect.Slice, reflect.Array:
		var parts []string
		for i := range v.Len() {
			parts = append(parts, printed(v.Index(i)))
		}
		return strings.Join(parts, ", ")
	case reflect.Map:
		return printedMap(v)
	default:
		return fmt.Sprint(v.Interface())
	}
}

func printedMap(v reflect.Value) string {
	var parts []string
	for _, k := range v.MapKeys() {
		parts = append(parts, printed(k)+" "+printed(v.MapIndex(k)))
	}
	slices.Sort(parts)
	return strings.Join(parts, ", ")
}

// money prints an amount with two decimals, or four where it has them.
func money(m takeoff.Money) string {
	sign, n := "", int64(m)
	if n < 0 {
		sign, n = "-", -n
	}
	if n%100 == 0 {
		return fmt.Sprintf("%s%d.%02d", sign, n/10_000, n%10_000/100)
	}
	return fmt.Sprintf("%s%d.%04d", sign, n/10_000, n%10_000)
}
