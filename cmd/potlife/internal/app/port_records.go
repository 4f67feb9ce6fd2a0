package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
)

// Record takes a report: it is stored at once, the plan follows right after.
func (p Pages) Record(ctx context.Context, in web.RecordIn) (web.RecordOut, error) {
	_, doc, err := p.current(ctx)
	if err != nil {
		return web.RecordOut{}, refuse(err)
	}
	if err := p.known(ctx, doc, in); err != nil {
		return web.RecordOut{}, err
	}
	if age := p.now().Sub(p.stamp(in.At)); age > oldest {
		return web.RecordOut{}, &web.Error{Kind: web.Invalid, Field: "at", Text: "the report is dated more than a year back; give the day on which it happened"}
	}
	r := store.Record{Key: in.Key, Who: in.By.Name, Record: scheduler.Record{Kind: in.Kind, At: p.stamp(in.At), Crew: in.Crew, Area: in.Area,
		Activity: in.Activity, Pieces: in.Pieces, Surface: in.Surface, Minutes: in.MinutesWorked, Note: in.Note}}
	if in.Kind == "reading" {
		if r.Reading, err = p.reading(ctx, in); err != nil {
			return web.RecordOut{}, err
		}
	}
	added, err := p.add(ctx, r, in.At.IsZero())
	if err != nil {
		return web.RecordOut{}, refuse(err)
	}
	out := web.RecordOut{ID: strconv.FormatInt(added.ID, 10), Again: !added.New, Message: "Recorded."}
	if !added.New {
		out.Message = "This report had come before; nothing was added."
		return out, nil
	}
	if len(added.Same) > 0 {
		other := added.Same[len(added.Same)-1]
		out.Message = fmt.Sprintf("Recorded. %s had reported the same at %s; both stand, and the later one counts.", other.Who, other.At.Format("15:04"))
	}
	if in.Kind != "note" {
		p.follow.Follow(in.Kind + " reported by " + in.By.Name)
		out.Message += " The plan follows."
	}
	return out, nil
}

// add stores a report. One that gave no time of its own and comes again was
// stamped with another instant the first time; it is the same all the same.
func (p Pages) add(ctx context.Context, r store.Record, stamped bool) (store.Added, error) {
	added, err := p.o.Store.AddRecord(ctx, r, p.now())
	if !stamped || !errors.Is(err, store.ErrConflict) {
		return added, err
	}
	before, bad := p.o.Store.RecordsByTime(ctx)
	if bad != nil {
		return added, bad
	}
	i := indexOf(before, func(b store.Record) bool { return b.Key == r.Key })
	if i < 0 {
		return added, err
	}
	r.At = before[i].At
	return p.o.Store.AddRecord(ctx, r, p.now())
}

// lengthOf rounds to the tenth of a millimetre, finer than any tape reads.
func lengthOf(mm float64) rooms.Length {
	return rooms.Length(math.Round(mm*10)) * rooms.Millimetre / 10
}

// oldest is how far back a report may reach.
const oldest = 400 * 24 * time.Hour

// reading is the reading of a report on a surface of the jobs in force.
func (p Pages) reading(ctx context.Context, in web.RecordIn) (rooms.Reading, error) {
	jobs, err := p.o.Store.Jobs(ctx)
	if err != nil {
		return rooms.Reading{}, refuse(err)
	}
	return readingOn(surfaceOf(jobs, in.Surface), in)
}

// readingOn is the reading of a report on a surface, nil where it does not
// exist. Whoever stands before it to set it reads the layer its tile goes on; the
// place must lie on the edge.
func readingOn(f *rooms.Surface, in web.RecordIn) (rooms.Reading, error) {
	r := rooms.Reading{Edge: in.Edge, At: lengthOf(in.EdgeAtMM), Deviation: lengthOf(in.DeviationMM), Note: in.Note}
	if f == nil || in.Edge < 0 || in.Edge >= len(f.Outline) {
		return r, &web.Error{Kind: web.Invalid, Field: "edge", Text: fmt.Sprintf("%s has no edge %d, counted from 0; choose one of the list", in.Surface, in.Edge)}
	}
	long := rooms.Distance(f.Outline[in.Edge], f.Outline[(in.Edge+1)%len(f.Outline)])
	if r.At < 0 || r.At > long {
		return r, &web.Error{Kind: web.Invalid, Field: "edge_at", Text: fmt.Sprintf("the edge is %s long and the reading is %s along it; measure from the edge's beginning", long, r.At)}
	}
	r.Layer = f.LastLayer()
	return r, nil
}

// surfaceOf finds a surface by its key "job/room/surface".
func surfaceOf(jobs []rooms.Job, key string) *rooms.Surface {
	for _, j := range jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				for i := range r.Surfaces {
					if j.Key+"/"+r.Key+"/"+r.Surfaces[i].Key == key {
						return &r.Surfaces[i]
					}
				}
			}
		}
	}
	return nil
}

// known refuses a report on something that neither the plan in force nor the
// sheet it was written on knows.
func (p Pages) known(ctx context.Context, doc *plandoc.Document, in web.RecordIn) error {
	docs := []*plandoc.Document{doc}
	if in.Date != "" && in.Crew != "" {
		if s, err := p.Sheet(ctx, in.Crew, in.Date, 0); err == nil {
			docs = append(docs, s.Document)
		}
	}
	var last error
	for _, d := range docs {
		if last = knownIn(d, in); last != nil {
			continue
		}
		if in.By.Role == web.Crew && !ownWork(d, in) {
			return &web.Error{Kind: web.Forbidden, Text: "this is another crew's work; ask the office to report it"}
		}
		return nil
	}
	return last
}

// ownWork reports whether all that a report names is work of the reporter's
// crew.
func ownWork(d *plandoc.Document, in web.RecordIn) bool {
	crew := in.By.Crew
	pieces, surfaces, activities := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, a := range d.Activities {
		if a.Crew != nil && *a.Crew == crew {
			activities[a.ID] = true
			for _, s := range a.Surfaces {
				surfaces[s] = true
			}
		}
	}
	area := in.Area == ""
	for _, a := range d.Areas {
		if a.Crew != crew {
			continue
		}
		area = area || a.ID == in.Area
		for _, p := range a.Pieces {
			pieces[p] = true
		}
	}
	for _, p := range in.Pieces {
		if !pieces[p] {
			return false
		}
	}
	return area && (in.Activity == "" || activities[in.Activity]) && (in.Surface == "" || surfaces[in.Surface])
}

func knownIn(d *plandoc.Document, in web.RecordIn) error {
	bad := func(field, what string) error {
		return &web.Error{Kind: web.Invalid, Field: field, Text: fmt.Sprintf("the plan knows no %s; reload the sheet and choose again", what)}
	}
	if in.Area != "" && !anyOf(d.Areas, func(a plandoc.Area) bool { return a.ID == in.Area }) {
		return bad("area", "setting area "+in.Area)
	}
	if in.Activity != "" && !anyOf(d.Activities, func(a plandoc.Activity) bool { return a.ID == in.Activity }) {
		return bad("activity", "activity "+in.Activity)
	}
	if in.Surface != "" {
		i := indexOf(d.Surfaces, func(s plandoc.Surface) bool { return s.Key == in.Surface })
		if i < 0 {
			return bad("surface", "surface "+in.Surface)
		}
		if in.Kind == "reading" && (in.Edge < 0 || in.Edge >= len(d.Surfaces[i].Edges)) {
			return bad("edge", fmt.Sprintf("edge %d of %s", in.Edge, in.Surface))
		}
	}
	if len(in.Pieces) == 0 {
		return nil
	}
	have := map[string]bool{}
	for _, s := range d.Surfaces {
		for _, z := range s.Zones {
			for _, q := range z.Pieces {
				have[q.ID] = true
			}
		}
	}
	for _, id := range in.Pieces {
		if !have[id] {
			return bad("pieces", "piece "+id)
		}
	}
	return nil
}

func anyOf[T any](list []T, is func(T) bool) bool { return indexOf(list, is) >= 0 }

func indexOf[T any](list []T, is func(T) bool) int {
	for i, v := range list {
		if is(v) {
			return i
		}
	}
	return -1
}

// Records returns the reports of a crew's day in order of time.
func (p Pages) Records(ctx context.Context, crew, date string) ([]web.RecordRow, error) {
	all, err := p.o.Store.RecordsByTime(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	firm, err := p.o.Store.Firm(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	out := []web.RecordRow{}
	for _, r := range all {
		day := rooms.DateOf(r.At.In(firm.Zone)).String()
		if crew != "" && r.Crew != crew || date != "" && day != date {
			continue
		}
		out = append(out, web.RecordRow{ID: strconv.FormatInt(r.ID, 10), Stored: r.ReceivedAt, RecordIn: web.RecordIn{Key: r.Key, Kind: r.Kind,
			At: r.At, By: web.User{Name: r.Who}, Crew: r.Crew, Date: day, Area: r.Area, Activity: r.Activity, Pieces: r.Pieces,
			Surface: r.Surface, Edge: r.Reading.Edge, EdgeAtMM: r.Reading.At.Millimetres(), DeviationMM: r.Reading.Deviation.Millimetres(),
			MinutesWorked: r.Minutes, Note: strings.TrimSpace(r.Note)}})
	}
	return out, nil
}
