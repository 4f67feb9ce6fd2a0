package web

import (
	"context"
	"math"
	"sort"
	"sync"

	"potlife/cmd/potlife/internal/plandoc"
)

// dayKey names one revision of a crew's sheet.
type dayKey struct {
	crew, date string
	revision   int
}

// plannedDay is what a sheet asked for, as far as it can be held against reports.
type plannedDay struct {
	areas   []plannedArea
	works   []string // activities that set no tile
	minutes int      // from the crew's first work to its last, breaks left out
	carry   []plandoc.Carry
}

type plannedArea struct {
	id, mortar string
	kg         float64
	pieces     []string
	m2         map[string]float64 // of each piece
	tile       map[string]string
}

// plannedDays keeps what sheets asked for: a revision never changes once it is
// issued, and reading its plan takes long.
type plannedDays struct {
	mu   sync.Mutex
	days map[dayKey]*plannedDay
}

func (s *server) plannedDay(ctx context.Context, k dayKey) (*plannedDay, error) {
	s.planned.mu.Lock()
	d := s.planned.days[k]
	s.planned.mu.Unlock()
	if d != nil {
		return d, nil
	}
	o, err := s.o.Sheets.Sheet(ctx, k.crew, k.date, k.revision)
	if err != nil {
		return nil, err
	}
	d = planOfDay(o.Document, &o.Document.Sheets[o.Index])
	s.planned.mu.Lock()
	defer s.planned.mu.Unlock()
	if s.planned.days == nil || len(s.planned.days) > 5000 {
		s.planned.days = map[dayKey]*plannedDay{}
	}
	s.planned.days[k] = d
	return d, nil
}

func planOfDay(doc *plandoc.Document, sh *plandoc.Sheet) *plannedDay {
	x, d := doc.Index(), &plannedDay{carry: sh.Carry}
	for _, id := range sh.Areas {
		a := x.Areas[id]
		if a == nil {
			continue
		}
		p := plannedArea{id: id, kg: a.Kg, pieces: a.Pieces, m2: map[string]float64{}, tile: map[string]string{}}
		if a.Mortar != nil {
			p.mortar = *a.Mortar
		}
		for _, q := range a.Pieces {
			if piece := x.Pieces[q]; piece != nil {
				p.m2[q], p.tile[q] = polygonM2(piece.Polygon), piece.Tile
			}
		}
		d.areas = append(d.areas, p)
	}
	at, wr := map[int]bool{}, doc.Writing()
	for _, id := range sh.Activities {
		a := x.Activities[id]
		if a == nil {
			continue
		}
		if a.Kind != "set" {
			d.works = append(d.works, id)
		}
		for _, span := range a.Work {
			from, to := wr.Time(span[0]), wr.Time(span[1])
			for t := from; t.Before(to); t = t.Add(60e9) {
				if t.Format("2006-01-02") == sh.Date {
					at[t.Hour()*60+t.Minute()] = true
				}
			}
		}
	}
	d.minutes = len(at)
	return d
}

func polygonM2(p plandoc.Polygon) float64 {
	a := ringMM2(p.Outer)
	for _, h := range p.Holes {
		a -= ringMM2(h)
	}
	return a / 1e6
}

func ringMM2(r []plandoc.Point) float64 {
	sum := 0.0
	for i, p := range r {
		q := r[(i+1)%len(r)]
		sum += float64(p[0])*float64(q[1]) - float64(q[0])*float64(p[1])
	}
	return math.Abs(sum) / 2
}

// amounts are what was planned or done.
type amounts struct {
	Areas, Works, Pieces int
	M2                   float64
	Minutes              int
	Tiles                map[string]int     // pieces by tile
	Kg                   map[string]float64 // mortar
	Packages             map[string]float64 // by product
}

func newAmounts() amounts {
	return amounts{Tiles: map[string]int{}, Kg: map[string]float64{}, Packages: map[string]float64{}}
}

// addArea counts the first n pieces of a list as set.
func (m *amounts) addArea(a *plannedArea, pieces []string) {
	all, set := 0.0, 0.0
	for _, v := range a.m2 {
		all += v
	}
	for _, id := range pieces {
		set += a.m2[id]
		m.Tiles[a.tile[id]]++
	}
	m.Areas++
	m.Pieces += len(pieces)
	m.M2 += set
	if all > 0 && a.mortar != "" {
		m.Kg[a.mortar] += a.kg * set / all
	}
}

func (m *amounts) plus(n amounts) {
	m.Areas, m.Works, m.Pieces, m.M2, m.Minutes = m.Areas+n.Areas, m.Works+n.Works, m.Pieces+n.Pieces, m.M2+n.M2, m.Minutes+n.Minutes
	for k, v := range n.Tiles {
		m.Tiles[k] += v
	}
	for k, v := range n.Kg {
		m.Kg[k] += v
	}
	for k, v := range n.Packages {
		m.Packages[k] += v
	}
}

// doneDay holds a crew's day against what was reported on it.
type doneDay struct {
	Crew, Date    string
	Planned, Done amounts
	Unconfirmed   int // areas and other works that nobody reported on: they count as done as planned
	Open          int // the same on a day that is not over: nothing is known yet
	Broken        int
	HoursReported bool
}

// holdAgainst compares the day as it first went out with the reports on it. What
// nobody reported counts as done once the day is over. Work that came onto the
// sheet by a later revision counts as done too where it is reported.
func holdAgainst(k dayKey, first, last *plannedDay, records []RecordRow, over bool) doneDay {
	d := doneDay{Crew: k.crew, Date: k.date, Planned: newAmounts(), Done: newAmounts()}
	said := map[string]RecordRow{}
	for _, r := range records {
		if what := doneWhat(r); what != "" && r.InForce() {
			if old, there := said[what]; !there || !r.At.Before(old.At) {
				said[what] = r
			}
		}
	}
	planned := map[string]bool{}
	for i := range first.areas {
		a := &first.areas[i]
		planned[a.id] = true
		d.Planned.addArea(a, a.pieces)
		d.area(a, said, over, true)
	}
	for i := range last.areas {
		if a := &last.areas[i]; !planned[a.id] {
			d.area(a, said, over, false)
		}
	}
	for _, id := range first.works {
		d.Planned.Works++
		r, there := said["activity "+id]
		switch {
		case there && r.Kind == "activity done", !there && over:
			d.Done.Works++
			d.Unconfirmed += map[bool]int{false: 1}[there]
		case !there:
			d.Open++
		}
	}
	d.Planned.Minutes = first.minutes
	for _, c := range first.carry {
		d.Planned.Packages[c.Product] += c.Quantity
	}
	d.count(records)
	return d
}

func (d *doneDay) area(a *plannedArea, said map[string]RecordRow, over, planned bool) {
	r, there := said["area "+a.id]
	switch {
	case there && r.Kind == "area not done":
	case there && len(r.Pieces) > 0:
		d.Done.addArea(a, r.Pieces)
	case there:
		d.Done.addArea(a, a.pieces)
	case over && planned:
		d.Done.addArea(a, a.pieces)
		d.Unconfirmed++
	case planned:
		d.Open++
	}
}

// count takes what reports say besides done and not done: broken pieces, boxes,
// and hours, those of the whole day before those of single works.
func (d *doneDay) count(records []RecordRow) {
	whole, single := 0, 0
	for _, r := range records {
		if !r.InForce() {
			continue
		}
		switch {
		case r.Kind == "pieces broken":
			d.Broken += len(r.Pieces)
		case r.Kind == "boxes opened":
			d.Done.Packages[r.Product] += r.Packages
		}
		if r.Area == "" && r.Activity == "" {
			whole += r.MinutesWorked
		} else {
			single += r.MinutesWorked
		}
	}
	d.Done.Minutes = whole
	if whole == 0 {
		d.Done.Minutes = single
	}
	d.HoursReported = d.Done.Minutes > 0
}

// doneDays holds every issued day from one to another against its reports, in
// order of day and crew; crew is empty for all.
func (s *server) doneDays(ctx context.Context, crew, from, to, today string) ([]doneDay, error) {
	issued, err := s.o.Sheets.List(ctx, crew)
	if err != nil {
		return nil, err
	}
	latest := map[dayKey]int{}
	for _, i := range issued {
		if i.Date >= from && i.Date <= to {
			k := dayKey{i.Crew, i.Date, 0}
			latest[k] = max(latest[k], i.Revision)
		}
	}
	records, err := s.o.Recorder.RecordsBetween(ctx, crew, from, to)
	if err != nil {
		return nil, err
	}
	var out []doneDay
	for k, n := range latest {
		first, err := s.plannedDay(ctx, dayKey{k.crew, k.date, 1})
		if err != nil {
			return nil, err
		}
		last, err := s.plannedDay(ctx, dayKey{k.crew, k.date, n})
		if err != nil {
			return nil, err
		}
		out = append(out, holdAgainst(k, first, last, ofDay(records, k), k.date < today))
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Date != out[j].Date {
			return out[i].Date < out[j].Date
		}
		return out[i].Crew < out[j].Crew
	})
	return out, nil
}

func ofDay(records []RecordRow, k dayKey) []RecordRow {
	var out []RecordRow
	for _, r := range records {
		if r.Crew == k.crew && r.Date == k.date {
			out = append(out, r)
		}
	}
	return out
}
