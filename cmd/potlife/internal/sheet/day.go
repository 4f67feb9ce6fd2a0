package sheet

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// rule closes every sheet.
const rule = "This sheet plans the work; it does not overrule anyone. Local codes, the products' data sheets and the licensed trades (structure, plumbing, electrical, hazardous materials) decide. Where the room differs from the sheet, stop and ask."

// NewDay builds the model of sheet i of the document.
func (Printer) NewDay(doc *plandoc.Document, i int, m plandoc.Mark) (*Day, error) {
	return newDay(doc, i, m)
}

func newDay(doc *plandoc.Document, i int, m plandoc.Mark) (*Day, error) {
	if i < 0 || i >= len(doc.Sheets) {
		return nil, fmt.Errorf("day sheet: the plan has %d sheets, number %d is not among them", len(doc.Sheets), i)
	}
	s := &doc.Sheets[i]
	d := &Day{
		Firm: doc.Firm, Crew: s.Crew, Date: s.Date, Units: doc.Units, Saving: s.Saving, Read: s.Read,
		Revision: m.Revision, ReplacedBy: m.ReplacedBy, Changes: m.Differences, Moved: m.Moved, URL: m.URL, Rule: rule,
		x: doc.Index(), w: doc.Writing(), sheet: s, number: map[string]int{},
	}
	if d.Revision == 0 {
		d.Revision = s.Revision
	}
	d.CrewName, d.DateText, d.Unit = d.x.CrewName(s.Crew), d.w.Day(s.Date), d.w.Unit()
	if m.Issued != "" {
		d.Issued = d.w.DayClock(m.Issued)
	}
	d.hands()
	d.numberMixes()
	areas := d.areas()
	d.countRooms()
	d.items()
	d.places()
	d.lots(areas)
	d.mixes(areas)
	d.drawings(areas)
	d.fetching()
	d.cuts()
	d.labels()
	d.expects()
	d.carry()
	d.waits()
	d.cautions()
	return d, nil
}

// hands says who is there, and who of the crew is away.
func (d *Day) hands() {
	there := d.x.There(d.Crew, d.Date)
	d.Hands, d.There, d.Away, d.part = there.Hands(), there.Names, d.x.AwayWords(d.Crew, d.Date), there.Part
}

// areas returns the day's areas in order of time and numbers their pieces
// through the whole day, so that a number stands for one piece on the sheet.
func (d *Day) areas() []*plandoc.Area {
	var list []*plandoc.Area
	for _, id := range d.sheet.Areas {
		if a := d.x.Areas[id]; a != nil {
			list = append(list, a)
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return d.w.Time(list[i].Start).Before(d.w.Time(list[j].Start)) })
	n := 0
	for _, a := range list {
		for _, id := range a.Pieces {
			n++
			d.number[id] = n
		}
	}
	return list
}

// today returns the part of an activity's work that lies on the sheet's date,
// or the whole where none does.
func (d *Day) today(a *plandoc.Activity) (from, to string) {
	for _, span := range a.Work {
		if d.w.DateOf(span[0]) == d.Date {
			if from == "" {
				from = span[0]
			}
			to = span[1]
		}
	}
	if from == "" {
		return a.Start, a.Finish
	}
	return from, to
}

func (d *Day) items() {
	var acts []*plandoc.Activity
	for _, id := range d.sheet.Activities {
		if a := d.x.Activities[id]; a != nil {
			acts = append(acts, a)
		}
	}
	begin := func(a *plandoc.Activity) string { from, _ := d.today(a); return from }
	sort.SliceStable(acts, func(i, j int) bool { return d.w.Time(begin(acts[i])).Before(d.w.Time(begin(acts[j]))) })
	first, last := "", ""
	for _, a := range acts {
		from, to := d.today(a)
		if first == "" {
			first = from
		}
		if last == "" || d.w.Time(to).After(d.w.Time(last)) {
			last = to
		}
		it := Item{ID: a.ID, Time: d.w.Span(from, to), Room: d.x.RoomName(a.Room), Site: d.siteName(a.Room),
			Kind: a.Kind, Title: a.Title, Notes: slices.Concat(d.goesOn(a), a.Notes), Critical: a.Critical, State: a.State}
		if it.Title == "" {
			it.Title = a.Kind
		}
		for _, u := range a.Products {
			it.Takes = append(it.Takes, d.w.Quantity(u.Quantity, u.Unit)+" "+d.x.ProductName(u.Product))
		}
		it.Mixes = d.buckets(func(m *plandoc.Mix) bool {
			return m.Activity == a.ID && len(m.Patches) == 0 && d.w.DateOf(m.Start) == d.Date
		})
		d.Items = append(d.Items, it)
	}
	if first != "" {
		d.Time = d.w.Span(first, last)
	}
}

// goesOn says which mixes, begun for other work, are used up in an activity.
func (d *Day) goesOn(a *plandoc.Activity) []string {
	var out []string
	for i := range d.x.Doc.Mixes {
		m := &d.x.Doc.Mixes[i]
		if n := d.mixNo[m.ID]; n > 0 && slices.ContainsFunc(m.Also, func(w plandoc.MixWork) bool { return w.Activity == a.ID }) {
			text := fmt.Sprintf("Begin with what is left of mix %d", n)
			if m.UseBy != nil {
				text += ", used up by " + d.w.Clock(*m.UseBy)
			}
			out = append(out, text+".")
		}
	}
	return out
}

func (d *Day) siteName(room string) string {
	if r := d.x.Rooms[room]; r != nil {
		if s := d.x.Sites[r.Site]; s != nil && s.Name != "" {
			return s.Name
		}
		return r.Site
	}
	return ""
}

// numberMixes counts the crew's mixes of the day, so that a number stands for
// one bucket on the sheet.
func (d *Day) numberMixes() {
	var day []*plandoc.Mix
	for i := range d.x.Doc.Mixes {
		if m := &d.x.Doc.Mixes[i]; m.Crew == d.Crew && d.w.DateOf(m.Start) == d.Date {
			day = append(day, m)
		}
	}
	sort.SliceStable(day, func(i, j int) bool { return d.w.Time(day[i].Start).Before(d.w.Time(day[j].Start)) })
	d.mixNo = map[string]int{}
	for i, m := range day {
		d.mixNo[m.ID] = i + 1
	}
}

// buckets lists the mixes that match, in order of time.
func (d *Day) buckets(match func(*plandoc.Mix) bool) []Bucket {
	var found []*plandoc.Mix
	for i := range d.x.Doc.Mixes {
		if m := &d.x.Doc.Mixes[i]; m.Crew == d.Crew && match(m) {
			found = append(found, m)
		}
	}
	sort.SliceStable(found, func(i, j int) bool { return d.w.Time(found[i].Start).Before(d.w.Time(found[j].Start)) })
	var out []Bucket
	for _, m := range found {
		b := Bucket{ID: m.ID, Name: "mix " + strconv.Itoa(d.mixNo[m.ID]), Product: d.x.ProductName(m.Product), Mass: d.w.Mass(m.Kg), At: d.w.Clock(m.Start)}
		if p := d.x.Products[m.Product]; m.Packages > 0 && p != nil {
			b.Mass = d.w.Quantity(m.Packages, p.Package) + ", " + b.Mass
		}
		if m.WaterL > 0 {
			b.Water = d.w.Volume(m.WaterL) + " water"
		}
		if m.UseBy != nil {
			b.UseBy = d.w.Clock(*m.UseBy)
		}
		out = append(out, b)
	}
	return out
}

// places lists the day's visits: a site once for each time the crew comes to it.
func (d *Day) places() {
	site := ""
	for _, it := range d.Items {
		act := d.x.Activities[it.ID]
		r := d.x.Rooms[act.Room]
		if r == nil {
			continue
		}
		from, to := d.today(act)
		if len(d.Places) == 0 || r.Site != site {
			site = r.Site
			p := Place{Site: it.Site, from: from, to: to}
			if s := d.x.Sites[r.Site]; s != nil {
				p.Address = s.Address
			}
			if j := d.x.Jobs[r.Job]; j != nil {
				p.Job = j.Name
			}
			d.Places = append(d.Places, p)
		}
		p := &d.Places[len(d.Places)-1]
		if d.w.Time(to).After(d.w.Time(p.to)) {
			p.to = to
		}
		p.Time = d.w.Span(p.from, p.to)
		if !contains(p.Rooms, it.Room) {
			p.Rooms = append(p.Rooms, it.Room)
		}
	}
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// lots describes the setting areas.
func (d *Day) lots(areas []*plandoc.Area) {
	for i, a := range areas {
		l := Lot{
			ID: a.ID, Title: "Area " + areaLetter(i), Surfaces: a.Surfaces, Time: d.w.Span(a.Start, a.Finish),
			Numbers: d.numbers(a.Pieces), Pieces: len(a.Pieces), StopAt: a.StopAt,
		}
		if a.M2 > 0 {
			l.M2 = d.w.Area(a.M2)
		}
		if a.Kg > 0 {
			l.Mass = d.w.Mass(a.Kg)
		}
		if a.Mortar != nil {
			l.Mortar = d.x.ProductName(*a.Mortar)
		}
		if a.OpenMinutes > 0 {
			l.Open = fmt.Sprintf("%s min open time as planned", plandoc.Figure(a.OpenMinutes, 0))
			if a.LimitsFrom != "" {
				l.Open += " (" + a.LimitsFrom + ")"
			}
		}
		if t := d.w.Time(a.Finish); a.GroutAfterMinutes > 0 && !t.IsZero() {
			l.Grout = "Grout from " + d.w.DayClock(t.Add(minutes(a.GroutAfterMinutes)).Format(rfc))
		}
		d.patches(a, &l)
		if act := d.x.Activities[a.Activity]; act != nil {
			l.Room = d.x.RoomName(act.Room)
			for k := range d.Items {
				if d.Items[k].ID == a.Activity {
					d.Items[k].Areas = append(d.Items[k].Areas, l.Title+" ("+l.Numbers+")")
				}
			}
		}
		d.Areas = append(d.Areas, l)
	}
}

// areaLetter names the i-th area of the day. Numbers are left to pieces.
func areaLetter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return areaLetter(i/26-1) + areaLetter(i%26)
}

// patches fills in the patches of an area and the mixes that feed each.
func (d *Day) patches(a *plandoc.Area, l *Lot) {
	for k, p := range a.Patches {
		s := Spread{Numbers: d.numbers(p.Pieces), At: d.w.Clock(p.Start), SetBy: d.w.Clock(p.SetBy)}
		if p.M2 > 0 {
			s.M2 = d.w.Area(p.M2)
		}
		var names []string
		for i := range d.x.Doc.Mixes {
			if m := &d.x.Doc.Mixes[i]; d.mixNo[m.ID] > 0 && feeds(m, a.ID, k) {
				names = append(names, "mix "+strconv.Itoa(d.mixNo[m.ID]))
			}
		}
		s.Mix = strings.Join(names, ", ")
		l.Patches = append(l.Patches, s)
	}
}

func feeds(m *plandoc.Mix, area string, index int) bool {
	for _, p := range m.Patches {
		if p.Area == area && p.Index == index {
			return true
		}
	}
	return false
}

// mixes lists the day's mixes for setting, with the pieces each serves.
func (d *Day) mixes(areas []*plandoc.Area) {
	d.Mixes = d.buckets(func(m *plandoc.Mix) bool { return len(m.Patches) > 0 && d.mixNo[m.ID] > 0 })
	byID := map[string]*plandoc.Mix{}
	for i := range d.x.Doc.Mixes {
		byID[d.x.Doc.Mixes[i].ID] = &d.x.Doc.Mixes[i]
	}
	for i := range d.Mixes {
		var ids []string
		for _, a := range areas {
			for k, p := range a.Patches {
				if feeds(byID[d.Mixes[i].ID], a.ID, k) {
					ids = append(ids, p.Pieces...)
				}
			}
		}
		d.Mixes[i].For = d.numbers(ids)
	}
}

// numbers writes the numbers of pieces as ranges: "1–8, 12".
func (d *Day) numbers(ids []string) string {
	var n []int
	for _, id := range ids {
		if k := d.number[id]; k > 0 {
			n = append(n, k)
		}
	}
	return ranges(n)
}

func ranges(n []int) string {
	sort.Ints(n)
	var out []string
	for i := 0; i < len(n); {
		j := i
		for j+1 < len(n) && n[j+1] == n[j]+1 {
			j++
		}
		switch {
		case j == i:
			out = append(out, strconv.Itoa(n[i]))
		case j == i+1:
			out = append(out, strconv.Itoa(n[i]), strconv.Itoa(n[j]))
		default:
			out = append(out, strconv.Itoa(n[i])+"–"+strconv.Itoa(n[j]))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}
