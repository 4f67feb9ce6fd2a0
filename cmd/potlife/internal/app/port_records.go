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
	stamped := in.At.IsZero()
	if in.At, err = p.stamp(doc, in); err != nil {
		return web.RecordOut{}, err
	}
	if in.Room == "" && in.Kind == "boxes opened" {
		in.Room = p.roomOfReport(doc, in)
	}
	if err := p.known(ctx, doc, in); err != nil {
		return web.RecordOut{}, err
	}
	if err := p.mayCorrect(ctx, in); err != nil {
		return web.RecordOut{}, err
	}
	r, err := p.storedAs(ctx, in)
	if err != nil {
		return web.RecordOut{}, err
	}
	if err := p.mayBeAway(ctx, &r); err != nil {
		return web.RecordOut{}, err
	}
	added, err := p.add(ctx, r, stamped)
	if err != nil {
		return web.RecordOut{}, refuse(err)
	}
	out := web.RecordOut{ID: strconv.FormatInt(added.ID, 10), Again: !added.New, Message: "Recorded."}
	if !added.New {
		out.Message = "This report had come before; nothing was added."
		return out, nil
	}
	out.Message = p.acknowledged(ctx, doc, in, added)
	if in.Corrects != "" || in.MinutesWorked > 0 || in.Kind == "boxes opened" || changesPlan(in.Kind) {
		p.follow.Follow(in.Kind + " reported by " + in.By.Name)
		out.Message += " The plan follows."
	}
	return out, nil
}

// storedAs is a report as the store keeps it.
func (p Pages) storedAs(ctx context.Context, in web.RecordIn) (store.Record, error) {
	r := store.Record{Key: in.Key, Who: in.By.Name, Corrects: in.Corrects, Record: scheduler.Record{Kind: in.Kind, At: in.At, Crew: in.Crew, Area: in.Area,
		Activity: in.Activity, Pieces: in.Pieces, Surface: in.Surface, Minutes: in.MinutesWorked, DoneBy: in.DoneBy, Note: in.Note,
		Room: in.Room, Product: in.Product, Lot: in.Lot, Packages: in.Packages, Celsius: in.Celsius}}
	for _, f := range in.Photos {
		r.Photos = append(r.Photos, store.Photo{Type: f.Type, Body: f.Body})
	}
	var err error
	if in.Date != "" {
		if r.Day, err = rooms.ParseDate(in.Date); err != nil {
			return r, &web.Error{Kind: web.Invalid, Field: "date", Text: err.Error()}
		}
	}
	switch in.Kind {
	case "reading":
		r.Reading, err = p.reading(ctx, in)
	case "away":
		r.Away, err = absence(in, r.Day)
	}
	return r, err
}

// acknowledged says what follows from a report, and what to mind.
func (p Pages) acknowledged(ctx context.Context, doc *plandoc.Document, in web.RecordIn, added store.Added) string {
	text := "Recorded."
	switch {
	case in.Kind == store.Withdrawn:
		text = "Taken back; the report itself stays to be read."
	case in.Corrects != "":
		text = "Corrected; the earlier report stays to be read."
	}
	if in.Kind == "boxes opened" {
		text += lotWarning(doc, in)
	}
	text += aheadWarning(doc, in, p.now()) + p.issuedWarning(ctx, doc, in)
	if len(added.Same) == 0 {
		return text
	}
	other := added.Same[len(added.Same)-1]
	at, said := other.At, other.Kind
	if zone, err := time.LoadLocation(doc.Zone); err == nil {
		at = at.In(zone)
	}
	if n := len(other.Pieces); n > 0 {
		said += ", " + count(n, "piece")
	}
	counts := "yours counts, being the later one"
	if other.At.After(in.At) {
		counts = "theirs counts, being the later one"
	}
	return fmt.Sprintf("%s %s had reported on the same work at %s: %s. Both stand to be read, and %s.", text, other.Who, doc.Writing().Clock(at.Format(time.RFC3339)), said, counts)
}

// aheadWarning says how far ahead a day lies that something is reported done on.
func aheadWarning(doc *plandoc.Document, in web.RecordIn, now time.Time) string {
	zone, err := time.LoadLocation(doc.Zone)
	if err != nil || in.Kind == "note" || in.Kind == "reading" || in.Kind == "temperature" || in.Kind == "away" || in.Kind == store.Withdrawn || in.Date == "" {
		return ""
	}
	day, err := rooms.ParseDate(in.Date)
	n := 0
	for d := rooms.DateOf(now.In(zone)); err == nil && d.Before(day) && n < 1000; d = d.AddDays(1) {
		n++
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(" Mind: this sheet is for %s, %s ahead; put the report right where it was meant for another day.", doc.Writing().ShortDay(in.Date), count(n, "day"))
}

// lotWarning says where a lot opened is not the one that its room takes.
func lotWarning(doc *plandoc.Document, in web.RecordIn) string {
	for _, t := range doc.Takeoff {
		if t.Tile != in.Product || !anyOf(t.Rooms, func(r string) bool { return r == in.Room }) || t.Lot == nil || *t.Lot == "" || *t.Lot == in.Lot {
			continue
		}
		return fmt.Sprintf(" Mind: this room is planned in lot %s, and these boxes are of lot %s. Shade and size may differ: set none of them before the office has agreed.", *t.Lot, in.Lot)
	}
	return ""
}

// mayCorrect lets a crew put its own reports right, and the office any.
func (p Pages) mayCorrect(ctx context.Context, in web.RecordIn) error {
	if in.Corrects == "" {
		return nil
	}
	old, err := p.o.Store.RecordByKey(ctx, in.Corrects)
	if err != nil {
		return refuse(err)
	}
	if old.Crew != in.Crew {
		return &web.Error{Kind: web.Forbidden, Field: "corrects", Text: "The report to correct is another crew's."}
	}
	return nil
}

// add stores a report. One that gave no time of its own and comes again was
// stamped with another instant the first time; it is the same all the same.
func (p Pages) add(ctx context.Context, r store.Record, stamped bool) (store.Added, error) {
	added, err := p.o.Store.AddRecord(ctx, r, p.now())
	if !stamped || !errors.Is(err, store.ErrConflict) {
		return added, err
	}
	before, bad := p.o.Store.RecordByKey(ctx, r.Key)
	if bad != nil {
		return added, err
	}
	r.At = before.At
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

// known refuses a report on something that neither the plan in force nor any
// revision of the sheet it was written on knows: a phone without a network may
// hold an older one.
func (p Pages) known(ctx context.Context, doc *plandoc.Document, in web.RecordIn) error {
	last := p.knownTo(doc, in)
	if last == nil || in.Date == "" || in.Crew == "" {
		return last
	}
	for revision := 0; ; {
		s, err := p.Sheet(ctx, in.Crew, in.Date, revision)
		if err != nil {
			return last
		}
		if p.knownTo(s.Document, in) == nil {
			return nil
		}
		if revision = s.Revision - 1; revision < 1 {
			return last
		}
	}
}

func (p Pages) knownTo(d *plandoc.Document, in web.RecordIn) error {
	if err := knownIn(d, in); err != nil {
		return err
	}
	if in.By.Role == web.Crew && !ownWork(d, in) {
		return &web.Error{Kind: web.Forbidden, Text: "this is another crew's work; ask the office to report it"}
	}
	return nil
}

// roomOfReport is the room of the area, work or surface a report names.
func (p Pages) roomOfReport(d *plandoc.Document, in web.RecordIn) string {
	activity := in.Activity
	for _, a := range d.Areas {
		if a.ID == in.Area {
			activity = a.Activity
		}
	}
	for _, a := range d.Activities {
		if a.ID == activity {
			return a.Room
		}
	}
	for _, s := range d.Surfaces {
		if s.Key == in.Surface {
			return s.Room
		}
	}
	return ""
}

// ownWork reports whether all that a report names is work of the reporter's
// crew.
func ownWork(d *plandoc.Document, in web.RecordIn) bool {
	crew := in.By.Crew
	pieces, surfaces, activities, inRooms := map[string]bool{}, map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, a := range d.Activities {
		if a.Crew != nil && *a.Crew == crew {
			activities[a.ID], inRooms[a.Room] = true, true
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
	return area && (in.Activity == "" || activities[in.Activity]) && (in.Surface == "" || surfaces[in.Surface]) && (in.Room == "" || inRooms[in.Room])
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
	if in.Room != "" && !anyOf(d.Rooms, func(r plandoc.Room) bool { return r.Key == in.Room }) {
		return bad("room", "room "+in.Room)
	}
	if in.Kind == "boxes opened" && !anyOf(d.Tiles, func(t plandoc.Tile) bool { return t.Key == in.Product }) &&
		!anyOf(d.Products, func(q plandoc.Product) bool { return q.Key == in.Product }) {
		return bad("product", "product "+in.Product)
	}
	if err := doneByKnown(d, in); err != nil {
		return err
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

// doneByKnown refuses a report that names somebody whom the crew has not.
func doneByKnown(d *plandoc.Document, in web.RecordIn) error {
	var names []string
	for _, k := range d.Crews {
		for _, p := range k.People {
			if k.Key == in.Crew {
				names = append(names, p.Name)
			}
		}
	}
	for _, by := range in.DoneBy {
		if anyOf(names, func(n string) bool { return strings.EqualFold(n, by) }) {
			continue
		}
		text := fmt.Sprintf("the crew has nobody called %q; its people are %s", by, strings.Join(names, ", "))
		if len(names) == 0 {
			text = fmt.Sprintf("the crew's people have no names, so that %q is not known: leave it out, or have the office name them in the firm's file (people)", by)
		}
		return &web.Error{Kind: web.Invalid, Field: "done_by", Text: text}
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
	return p.RecordsBetween(ctx, crew, date, date)
}

// RecordsBetween returns the reports on a crew's days in order of time; a report
// belongs to the day of the sheet it was written on.
func (p Pages) RecordsBetween(ctx context.Context, crew, from, to string) ([]web.RecordRow, error) {
	firm, err := p.o.Store.Firm(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	span := [2]rooms.Date{{Year: 1900, Month: 1, Day: 1}, {Year: 9998, Month: 1, Day: 1}}
	for i, text := range []string{from, to} {
		if text == "" {
			continue
		}
		if span[i], err = rooms.ParseDate(text); err != nil {
			return nil, &web.Error{Kind: web.Invalid, Field: "date", Text: err.Error()}
		}
	}
	all, err := p.o.Store.RecordsOfDays(ctx, crew, span[0], span[1], firm.Zone)
	if err != nil {
		return nil, refuse(err)
	}
	out := []web.RecordRow{}
	for _, r := range all {
		out = append(out, recordRow(r, firm.Zone))
	}
	return out, nil
}

func recordRow(r store.Record, zone *time.Location) web.RecordRow {
	day := r.Day
	if day.IsZero() {
		day = rooms.DateOf(r.At.In(zone))
	}
	row := web.RecordRow{ID: strconv.FormatInt(r.ID, 10), Stored: r.ReceivedAt, Pictures: r.Pictures, CorrectedBy: r.CorrectedBy, RecordIn: web.RecordIn{Key: r.Key, Kind: r.Kind,
		At: r.At, By: web.User{Name: r.Who}, Crew: r.Crew, Date: day.String(), Area: r.Area, Activity: r.Activity, Pieces: r.Pieces,
		Surface: r.Surface, Edge: r.Reading.Edge, EdgeAtMM: r.Reading.At.Millimetres(), DeviationMM: r.Reading.Deviation.Millimetres(),
		MinutesWorked: r.Minutes, DoneBy: r.DoneBy, Note: strings.TrimSpace(r.Note), Room: r.Room, Product: r.Product, Lot: r.Lot, Packages: r.Packages, Celsius: r.Celsius, Corrects: r.Corrects}}
	if r.Away != nil {
		row.Who, row.Until, row.AwayFrom, row.AwayTo = awayFields(*r.Away)
	}
	return row
}

// OneRecord returns a report by its number.
func (p Pages) OneRecord(ctx context.Context, id string) (web.RecordRow, error) {
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil {
		return web.RecordRow{}, &web.Error{Kind: web.NotFound, Text: "there is no report " + strconv.Quote(id)}
	}
	firm, err := p.o.Store.Firm(ctx)
	if err != nil {
		return web.RecordRow{}, refuse(err)
	}
	r, err := p.o.Store.RecordByID(ctx, n)
	if err != nil {
		return web.RecordRow{}, refuse(err)
	}
	return recordRow(*r, firm.Zone), nil
}

// Photo returns the n-th picture of a report.
func (p Pages) Photo(ctx context.Context, id string, n int) (web.Photo, error) {
	number, err := strconv.ParseInt(id, 10, 64)
	if err != nil {
		return web.Photo{}, &web.Error{Kind: web.NotFound, Text: "there is no report " + strconv.Quote(id)}
	}
	got, err := p.o.Store.Photos(ctx, number)
	if err != nil {
		return web.Photo{}, refuse(err)
	}
	if n < 0 || n >= len(got) {
		return web.Photo{}, &web.Error{Kind: web.NotFound, Text: "there is no such picture"}
	}
	return web.Photo(got[n]), nil
}

// stamp is the instant a report happened: as the reporter says, else now, and of
// a day that is over the planned end of what it calls done, or of the crew's
// work on that day.
func (p Pages) stamp(d *plandoc.Document, in web.RecordIn) (time.Time, error) {
	now := p.now()
	if !in.At.IsZero() {
		if now.Sub(in.At) > oldest {
			return in.At, &web.Error{Kind: web.Invalid, Field: "at", Text: "the report is dated more than a year back; give the day on which it happened"}
		}
		return in.At, nil
	}
	zone, err := time.LoadLocation(d.Zone)
	if err != nil {
		return now, nil
	}
	day, err := rooms.ParseDate(in.Date)
	if err != nil || !day.Before(rooms.DateOf(now.In(zone))) {
		return now, nil
	}
	if now.Sub(day.In(zone)) > oldest {
		return now, &web.Error{Kind: web.Invalid, Field: "date", Text: "that day lies more than a year back"}
	}
	end := day.In(zone).Add(17 * time.Hour)
	hours, err := hoursOf(d, in.Crew)
	if err != nil {
		return now, err
	}
	for _, h := range hours {
		if rooms.DateOf(h.To.In(zone)) == day {
			end = h.To
		}
	}
	if at, ok := plannedEnd(d, in); ok && rooms.DateOf(at.In(zone)) == day {
		end = at
	}
	return end, nil
}

// plannedEnd is when the plan ends the work that a report calls done: who says
// later that it was, and not when, confirms that.
func plannedEnd(d *plandoc.Document, in web.RecordIn) (time.Time, bool) {
	finish := ""
	switch in.Kind {
	case "area done":
		if i := indexOf(d.Areas, func(a plandoc.Area) bool { return a.ID == in.Area }); i >= 0 {
			finish = d.Areas[i].Finish
		}
	case "activity done":
		if i := indexOf(d.Activities, func(a plandoc.Activity) bool { return a.ID == in.Activity }); i >= 0 {
			finish = d.Activities[i].Finish
		}
	}
	at, err := time.Parse(time.RFC3339, finish)
	return at, err == nil
}
