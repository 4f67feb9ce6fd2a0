package scheduler

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"potlife/rooms"
)

// Differences says in words what changes on a crew's sheet of a day between
// two plans: what a second revision must tell its reader. Nothing is returned
// where the sheet is the same in all that a crew acts on.
func Differences(was, is *Plan, crew string, date rooms.Date) []string {
	a, b := dayOf(was, crew, date), dayOf(is, crew, date)
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	switch {
	case a.sheet == nil && b.sheet == nil:
		return nil
	case b.sheet == nil:
		say("no work is left on %s", date.Words())
		return out
	case a.sheet == nil:
		say("work is planned on %s now", date.Words())
	}
	diffActivities(a, b, say)
	diffPieces(a, b, say)
	diffCuts(a, b, say)
	diffMixes(a, b, say)
	diffLists(a, b, say)
	return out
}

// dayView is one sheet with what it names.
type dayView struct {
	sheet      *Sheet
	clock      Clock
	activities map[string]*Activity
	pieces     map[string]string // piece → area
	cuts       map[string]string // piece and cut → words
	names      names
	kg         map[string]float64
	mixes      map[string]int
}

func dayOf(p *Plan, crew string, date rooms.Date) dayView {
	v := dayView{activities: map[string]*Activity{}, pieces: map[string]string{}, cuts: map[string]string{},
		kg: map[string]float64{}, mixes: map[string]int{}}
	if p == nil {
		return v
	}
	v.clock = clockOf(p)
	for i := range p.Sheets {
		if s := &p.Sheets[i]; s.Crew == crew && s.Date == date {
			v.sheet = s
		}
	}
	if v.sheet == nil {
		return v
	}
	for i := range p.Activities {
		if a := &p.Activities[i]; slices.Contains(v.sheet.Activities, a.ID) {
			v.activities[a.ID] = a
		}
	}
	for _, a := range p.Areas {
		if slices.Contains(v.sheet.Areas, a.ID) {
			for _, id := range a.Pieces {
				v.pieces[id] = a.ID
			}
		}
	}
	for _, g := range v.sheet.Cuts {
		for i, id := range g.Pieces {
			from := ""
			if i < len(g.From) {
				from = g.From[i]
			}
			v.cuts[id+"|"+g.Tool+"|"+g.Shape] = cutWords(g, p.Firm.Units) + "|" + from
		}
	}
	v.names = namesOf(p)
	for _, m := range p.Mixes {
		if v.activities[m.Activity] != nil {
			v.kg[m.Product] += m.Kg
			v.mixes[m.Product]++
		}
	}
	return v
}

func cutWords(g CutGroup, units string) string {
	if !g.Sized {
		return g.Shape
	}
	if units == "imperial" {
		return rooms.FormatInches(g.Size, 16, rooms.Down)
	}
	return fmt.Sprintf("%g mm", g.Size.Millimetres())
}

type sayer func(format string, args ...any)

func diffActivities(a, b dayView, say sayer) {
	for _, id := range keysOf(a.activities, b.activities) {
		x, y := a.activities[id], b.activities[id]
		switch {
		case y == nil:
			say("dropped: %s in %s", x.Title, a.names.room(x.Room))
		case x == nil:
			say("added: %s in %s, %s to %s", y.Title, b.names.room(y.Room), clockTime(b, y.Start), clockTime(b, y.Finish))
		case x.Start != y.Start || x.Finish != y.Finish:
			say("moved: %s in %s, now %s to %s", y.Title, b.names.room(y.Room), clockTime(b, y.Start), clockTime(b, y.Finish))
		}
	}
}

func clockTime(v dayView, m int) string { return v.clock.At(m).Format("15:04") }

func diffPieces(a, b dayView, say sayer) {
	var gone, come []string
	for _, id := range keysOf(a.pieces, b.pieces) {
		if b.pieces[id] == "" {
			gone = append(gone, label(a, b, id))
		} else if a.pieces[id] == "" {
			come = append(come, label(a, b, id))
		}
	}
	if len(gone) > 0 {
		say("not set on this day any more: %s", some(gone))
	}
	if len(come) > 0 {
		say("also set on this day: %s", some(come))
	}
}

func diffCuts(a, b dayView, say sayer) {
	var gone, come []string
	for _, k := range keysOf(a.cuts, b.cuts) {
		id := k[:strings.IndexByte(k, '|')]
		x, y := a.cuts[k], b.cuts[k]
		xs, xf, _ := strings.Cut(x, "|")
		ys, yf, _ := strings.Cut(y, "|")
		switch {
		case y == "":
			gone = append(gone, fmt.Sprintf("%s (%s)", label(a, b, id), xs))
		case x == "":
			come = append(come, fmt.Sprintf("%s (%s)", label(a, b, id), ys))
		case xs != ys:
			say("cut %s to %s instead of %s", label(a, b, id), ys, xs)
		case xf != yf:
			say("cut %s again, %s, from %s", label(a, b, id), ys, b.names.stock(yf))
		}
	}
	if len(gone) > 0 {
		say("cuts that are no longer due: %s", some(gone))
	}
	if len(come) > 0 {
		say("cuts added: %s", some(come))
	}
}

func label(a, b dayView, id string) string {
	if l := b.names.labels[id]; l != "" {
		return l
	}
	if l := a.names.labels[id]; l != "" {
		return l
	}
	return id
}

// some lists up to a dozen.
func some(in []string) string {
	if len(in) > 12 {
		return strings.Join(in[:12], ", ") + fmt.Sprintf(" and %d more", len(in)-12)
	}
	return strings.Join(in, ", ")
}

func diffMixes(a, b dayView, say sayer) {
	for _, p := range sortedKeys(a.kg, b.kg) {
		if d := a.kg[p] - b.kg[p]; d > 0.05 || d < -0.05 {
			say("%s: %d mixes of %.1f kg in all instead of %d of %.1f kg", b.names.product(p), b.mixes[p], b.kg[p], a.mixes[p], a.kg[p])
		}
	}
}

func diffLists(a, b dayView, say sayer) {
	unit := map[string]string{}
	carried := func(n names, s *Sheet) map[string]float64 {
		out := map[string]float64{}
		if s != nil {
			for _, c := range s.Carry {
				k := strings.TrimSpace(n.product(c.Product) + " " + c.Lot)
				if u, ok := unit[k]; ok && u != c.Unit {
					k += ", by the " + c.Unit
				}
				unit[k] = c.Unit
				out[k] += c.Quantity
			}
		}
		return out
	}
	x, y := carried(a.names, a.sheet), carried(b.names, b.sheet)
	for _, k := range sortedKeys(x, y) {
		if x[k] != y[k] {
			say("%s", carryChange(k, unit[k], x[k], y[k]))
		}
	}
	for _, id := range b.sheet.OnSite {
		if a.sheet == nil || !slices.Contains(a.sheet.OnSite, id) {
			say("measure on site: %s", label(a, b, id))
		}
	}
}

// carryChange says how much of something is carried, and was.
func carryChange(what, unit string, was, is float64) string {
	amount := func(n float64) string {
		return rooms.Grouped(strconv.FormatFloat(n, 'f', -1, 64)) + " " + rooms.Plural(unit, n)
	}
	switch {
	case is == 0:
		return fmt.Sprintf("carry no %s any more (%s before)", what, amount(was))
	case was == 0:
		return fmt.Sprintf("carry %s of %s too", amount(is), what)
	}
	return fmt.Sprintf("carry %s of %s instead of %s", amount(is), what, rooms.Grouped(strconv.FormatFloat(was, 'f', -1, 64)))
}

// keysOf are the keys of both maps, sorted.
func keysOf[V any](a, b map[string]V) []string {
	out := make([]string, 0, len(a)+len(b))
	for k := range a {
		out = append(out, k)
	}
	for k := range b {
		if _, ok := a[k]; !ok {
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}
