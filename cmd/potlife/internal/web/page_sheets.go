package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

type sheetsPage struct {
	frame
	Planned []sheetEntry
	Issued  []sheetEntry
	Feeds   []feedLink
}

type sheetEntry struct {
	Crew, CrewName, Date, Text string
	Revision, ReplacedBy       int
	Issued                     string
	Work                       string
	Delivery                   []string
}

type feedLink struct{ Name, URL string }

func (s *server) sheets(w http.ResponseWriter, r *http.Request) error {
	u := userOf(r.Context())
	crew := ""
	if u.Role == Crew {
		crew = u.Crew
	}
	issued, err := s.o.Sheets.List(r.Context(), crew)
	if err != nil {
		return err
	}
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	p := sheetsPage{frame: s.frame(r, "Day sheets", "sheets")}
	known := map[string]bool{}
	for _, i := range issued {
		known[i.Crew+" "+i.Date] = true
		p.Issued = append(p.Issued, v.issuedEntry(i))
	}
	for i := range v.Document.Sheets {
		sh := &v.Document.Sheets[i]
		if mayAct(u, sh.Crew) && !known[sh.Crew+" "+sh.Date] && sh.Date >= v.Document.Today {
			p.Planned = append(p.Planned, sheetEntry{Crew: sh.Crew, CrewName: v.x.CrewOn(sh.Crew, sh.Date), Date: sh.Date, Text: v.w.Day(sh.Date), Work: v.sheetWork(sh)})
		}
	}
	sort.SliceStable(p.Planned, func(i, j int) bool { return p.Planned[i].Date < p.Planned[j].Date })
	for _, c := range v.Document.Crews {
		if link := s.feedURL(r, "crew", c.Key); link != "" && mayAct(u, c.Key) {
			p.Feeds = append(p.Feeds, feedLink{v.x.CrewName(c.Key), link})
		}
	}
	s.render(w, r, http.StatusOK, "sheets", p)
	return nil
}

func (v *view) issuedEntry(i SheetInfo) sheetEntry {
	return sheetEntry{Crew: i.Crew, CrewName: v.x.CrewName(i.Crew), Date: i.Date, Text: v.w.Day(i.Date), Revision: i.Revision, ReplacedBy: i.ReplacedBy,
		Issued: v.w.DayClock(i.Issued.Format(time.RFC3339)), Delivery: i.Delivery}
}

// sheetWork names the work of a planned day: "set, grout in Bath 1".
func (v *view) sheetWork(sh *plandoc.Sheet) string {
	var kinds, rooms []string
	for _, id := range sh.Activities {
		if a := v.x.Activities[id]; a != nil {
			kinds, rooms = addOnce(kinds, a.Kind), addOnce(rooms, v.x.RoomName(a.Room))
		}
	}
	return strings.Join(kinds, ", ") + " in " + strings.Join(rooms, ", ")
}

func addOnce(list []string, s string) []string {
	for _, have := range list {
		if have == s {
			return list
		}
	}
	return append(list, s)
}

type sheetPage struct {
	frame
	Crew, CrewName, Date string
	Revision, ReplacedBy int
	Planned              bool // not issued yet
	Article              template.HTML
	Revisions            []sheetEntry
	Query                string // to the files of this revision
	MayRecord            bool
	Key                  string
	Breakable            []breakable
	Surfaces             []surfaceChoice
	Records              []recordLine
	Past                 bool // the day is over
	Ahead                int  // days until it, 0 from the day on
	DayText              string
	Works                []choice
	People               []string // of the crew, where they have names
	MayBeAway            []choice
	Rooms                []choice
	Boxes                []boxChoice
	Lots                 []string
	Jobs                 []choice // whose drawings are a link away
	Unit, Example        string   // of a reading: what a bare number is in, and one
	Degree               string   // what a bare temperature is in

	inArea map[string][]breakable // the pieces of an area, in setting order
	said   map[string][]saidLine  // what is reported, by "area ID" and "activity ID"
}

// daysAhead counts the days from an instant's date to a date that lies after it.
func daysAhead(date string, now time.Time) int {
	day, err := time.Parse(time.DateOnly, date)
	today, bad := time.Parse(time.DateOnly, now.Format(time.DateOnly))
	if err != nil || bad != nil {
		return 0
	}
	return max(0, int(day.Sub(today)/(24*time.Hour)))
}

type breakable struct{ ID, Name string }

type surfaceChoice struct {
	Key, Name string
	Edges     []string
}

type recordLine struct {
	ID, At, Kind, Text, By string
	Old                    bool // put right by a later one
	Pictures               []int
	// Also says who else reported on the same work.
	Also string
}

// boxChoice is a product that the day takes, with its lot where one is known.
type boxChoice struct{ Key, Name string }

// opened is a sheet as it is shown: issued, or as planned so far.
type opened struct {
	IssuedSheet
	planned bool
}

// openSheet finds the sheet of an address: the revision asked for, else the
// current one, else what is planned for that day.
func (s *server) openSheet(ctx context.Context, u *User, crew, date, revision string) (*opened, error) {
	if !mayAct(u, crew) {
		return nil, &Error{Kind: Forbidden, Text: "This is another crew's sheet."}
	}
	if _, err := time.Parse(time.DateOnly, date); err != nil {
		return nil, &Error{Kind: NotFound, Text: fmt.Sprintf("%q is not a day of the form 2026-03-04.", date)}
	}
	n := 0
	if revision != "" {
		var err error
		if n, err = strconv.Atoi(revision); err != nil || n < 1 {
			return nil, &Error{Kind: NotFound, Text: fmt.Sprintf("%q is no revision; they count from 1.", revision)}
		}
	}
	issued, err := s.o.Sheets.Sheet(ctx, crew, date, n)
	if err == nil {
		return &opened{IssuedSheet: issued}, nil
	}
	var known *Error
	if n > 0 || !errors.As(err, &known) || known.Kind != NotFound {
		return nil, err
	}
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	for i := range v.Document.Sheets {
		if sh := &v.Document.Sheets[i]; sh.Crew == crew && sh.Date == date {
			return &opened{IssuedSheet: IssuedSheet{SheetInfo: SheetInfo{Crew: crew, Date: date}, Document: v.Document, Index: i}, planned: true}, nil
		}
	}
	return nil, &Error{Kind: NotFound, Text: fmt.Sprintf("There is no sheet for %s on %s: no work is planned for that day.", v.x.CrewName(crew), v.w.Day(date))}
}

// mark is what the printed sheet says beside the plan.
func (s *server) mark(r *http.Request, o *opened) plandoc.Mark {
	m := plandoc.Mark{URL: s.base(r) + path("sheets", o.Crew, o.Date), Revision: o.Revision, ReplacedBy: o.ReplacedBy, Differences: o.Differences, Moved: o.Moved}
	if !o.Issued.IsZero() {
		m.Issued = o.Issued.Format(time.RFC3339)
	}
	return m
}

// base is the address of this site as the reader reaches it.
func (s *server) base(r *http.Request) string {
	if s.o.PublicURL != "" {
		return s.o.PublicURL
	}
	if r.TLS != nil {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}

func (s *server) sheet(w http.ResponseWriter, r *http.Request) error {
	u := userOf(r.Context())
	crew, date := r.PathValue("crew"), r.PathValue("date")
	o, err := s.openSheet(r.Context(), u, crew, date, r.URL.Query().Get("revision"))
	if err != nil {
		return err
	}
	x, wr := o.Document.Index(), o.Document.Writing()
	p := sheetPage{frame: s.frame(r, x.CrewName(crew)+", "+wr.Day(date), "sheets"), Crew: crew, CrewName: x.CrewName(crew), Date: date, Revision: o.Revision, ReplacedBy: o.ReplacedBy, Planned: o.planned, Key: s.o.NewKey(), Unit: wr.Unit(), Example: "-4", Degree: degreeOf(wr)}
	if wr.Imperial {
		p.Example = "-1/8"
	}
	if o.Revision > 0 {
		p.Query = "?revision=" + strconv.Itoa(o.Revision)
	}
	p.MayRecord = !o.planned && o.ReplacedBy == 0
	now := s.o.Now()
	if wr.Zone != nil {
		now = now.In(wr.Zone)
	}
	p.Past, p.Ahead, p.DayText = date < now.Format(time.DateOnly), daysAhead(date, now), wr.ShortDay(date)
	if err := s.sheetLists(r, &p, x, wr); err != nil {
		return err
	}
	p.choices(x, &o.Document.Sheets[o.Index])
	slot := func(kind, id string) template.HTML {
		if !p.MayRecord {
			return ""
		}
		return s.doneForm(p, x, kind, id)
	}
	var b bytes.Buffer
	if err := s.o.Print.DayHTML(&b, o.Document, o.Index, s.mark(r, o), slot); err != nil {
		return err
	}
	p.Article = template.HTML(b.String())
	s.render(w, r, http.StatusOK, "sheet", p)
	return nil
}

// sheetLists fills in the other revisions and what was recorded.
func (s *server) sheetLists(r *http.Request, p *sheetPage, x *plandoc.Index, wr plandoc.Writing) error {
	all, err := s.o.Sheets.List(r.Context(), p.Crew)
	if err != nil {
		return err
	}
	v := &view{x: x, w: wr}
	for _, i := range all {
		if i.Date == p.Date {
			p.Revisions = append(p.Revisions, v.issuedEntry(i))
		}
	}
	records, err := s.o.Recorder.Records(r.Context(), p.Crew, p.Date)
	if err != nil {
		return err
	}
	p.Records, p.said = recordLines(x, wr, records), map[string][]saidLine{}
	for i, rec := range records {
		key := ""
		switch {
		case rec.Area != "":
			key = "area " + rec.Area
		case rec.Activity != "":
			key = "activity " + rec.Activity
		}
		if key != "" && rec.InForce() {
			text := p.Records[i].At + " " + rec.Kind
			if n := len(rec.Pieces); n > 0 {
				text += fmt.Sprintf(", %d pieces", n)
			}
			p.said[key] = append(p.said[key], saidLine{ID: rec.ID, Text: text + ", " + rec.By.Name})
		}
	}
	return nil
}

// recordLines writes reports down, one line each. Where several people reported
// on the same work each line names the others and says which one counts.
func recordLines(x *plandoc.Index, wr plandoc.Writing, records []RecordRow) []recordLine {
	var out []recordLine
	for _, rec := range records {
		l := recordLine{ID: rec.ID, At: wr.Clock(rec.At.Format(time.RFC3339)), Kind: rec.Kind, Text: recordText(x, rec.RecordIn), By: rec.By.Name, Old: rec.CorrectedBy != ""}
		for i := range rec.Pictures {
			l.Pictures = append(l.Pictures, i)
		}
		if last, others := lastOf(records, rec); len(others) > 0 {
			l.Also = "also reported by " + strings.Join(others, ", ")
			if last.ID == rec.ID {
				l.Also += "; this one counts, being the latest"
			} else {
				l.Also += "; the one of " + last.By.Name + " counts, being the latest"
			}
		}
		out = append(out, l)
	}
	return out
}

// lastOf returns the latest report on the work of one, and who else reported.
func lastOf(records []RecordRow, one RecordRow) (RecordRow, []string) {
	last := one
	var others []string
	if what := doneWhat(one); what != "" && one.InForce() {
		for _, r := range records {
			if doneWhat(r) != what || !r.InForce() {
				continue
			}
			if r.At.After(last.At) || r.At.Equal(last.At) && r.ID > last.ID {
				last = r
			}
			if r.By.Name != one.By.Name {
				others = addOnce(others, r.By.Name)
			}
		}
	}
	return last, others
}

// doneWhat names the work that a report calls done or not done.
func doneWhat(r RecordRow) string {
	switch r.Kind {
	case "area done", "area not done":
		return "area " + r.Area
	case "activity done", "activity not done":
		return "activity " + r.Activity
	}
	return ""
}

// degreeOf is the unit of a bare temperature.
func degreeOf(w plandoc.Writing) string {
	if w.Imperial {
		return "°F"
	}
	return "°C"
}

// recordText says in a line what was reported.
func recordText(x *plandoc.Index, in RecordIn) string {
	var parts []string
	add := func(s string) {
		if s != "" {
			parts = append(parts, s)
		}
	}
	if a := x.Areas[in.Area]; a != nil {
		for _, key := range a.Surfaces {
			add(x.SurfaceName(key))
		}
	}
	if a := x.Activities[in.Activity]; a != nil {
		add(a.Title)
	}
	if n := len(in.Pieces); n > 6 {
		add(fmt.Sprintf("%d pieces", n))
	}
	for _, id := range in.Pieces {
		if p := x.Pieces[id]; p != nil && len(in.Pieces) <= 6 {
			add(x.SurfaceName(x.PieceAt[id].Key) + " " + p.Label)
		}
	}
	switch {
	case in.Kind == "reading":
		add(readingText(x, in))
	case in.Surface != "":
		add(x.SurfaceName(in.Surface))
	}
	if in.Packages > 0 {
		add(openedText(x, in))
	}
	if in.Kind == "temperature" {
		add(x.RoomName(in.Room) + ": " + x.Doc.Writing().Degrees(in.Celsius))
	}
	if in.Kind == "away" {
		add(awayText(x.Doc.Writing(), in))
	}
	if in.MinutesWorked > 0 {
		add(fmt.Sprintf("%d min", in.MinutesWorked))
	}
	if len(in.DoneBy) > 0 {
		add("done by " + strings.Join(in.DoneBy, ", "))
	}
	add(in.Note)
	return strings.Join(parts, ", ")
}

// openedText says what was opened: "2 boxes of Bone 300 × 600, lot K7, Bath 1".
func openedText(x *plandoc.Index, in RecordIn) string {
	unit := packageOf(x, in.Product)
	if in.Packages != 1 {
		unit += map[bool]string{true: "es", false: "s"}[strings.HasSuffix(unit, "x")]
	}
	text := plandoc.Figure(in.Packages, 2) + " " + unit + " of " + productName(x, in.Product)
	if in.Lot != "" {
		text += ", lot " + in.Lot
	}
	if in.Room != "" {
		text += ", " + x.RoomName(in.Room)
	}
	return text
}

// packageOf is what a product comes in: "box", "bag".
func packageOf(x *plandoc.Index, key string) string {
	if x.Tiles[key] != nil {
		return "box"
	}
	if q := x.Products[key]; q != nil && q.Package != "" {
		return q.Package
	}
	return "package"
}

func productName(x *plandoc.Index, key string) string {
	if t := x.Tiles[key]; t != nil && t.Name != "" {
		return t.Name
	}
	if q := x.Products[key]; q != nil && q.Name != "" {
		return q.Name
	}
	return key
}

// readingText writes a reading in the firm's units: "north wall, right: -4 mm".
func readingText(x *plandoc.Index, in RecordIn) string {
	where := x.SurfaceName(in.Surface)
	if sf := x.Surfaces[in.Surface]; sf != nil && in.Edge >= 0 && in.Edge < len(sf.Outline.Outer) {
		where += ", " + edgeNames(sf)[in.Edge]
	}
	w, size, sign := x.Doc.Writing(), in.DeviationMM, "+"
	if size < 0 {
		size, sign = -size, "-"
	}
	text := w.Cut(plandoc.MM(size))
	if !w.Imperial {
		text += " mm"
	}
	return where + ": " + sign + text
}

// choices lists what the forms under the sheet choose from: the day's pieces,
// numbered as on the sheet, and its surfaces.
func (p *sheetPage) choices(x *plandoc.Index, sh *plandoc.Sheet) {
	seen := map[string]bool{}
	p.inArea = map[string][]breakable{}
	wr := x.Doc.Writing()
	areas := make([]*plandoc.Area, 0, len(sh.Areas))
	for _, id := range sh.Areas {
		if a := x.Areas[id]; a != nil {
			areas = append(areas, a)
		}
	}
	sort.SliceStable(areas, func(i, j int) bool { return wr.Time(areas[i].Start).Before(wr.Time(areas[j].Start)) })
	n := 0
	for _, a := range areas {
		for _, id := range a.Pieces {
			n++
			if piece := x.Pieces[id]; piece != nil {
				b := breakable{id, fmt.Sprintf("%d · %s %s", n, x.SurfaceName(x.PieceAt[id].Key), piece.Label)}
				p.Breakable = append(p.Breakable, b)
				p.inArea[a.ID] = append(p.inArea[a.ID], b)
			}
		}
	}
	p.boxes(x, sh)
	p.People, p.MayBeAway = x.PeopleOf(p.Crew), mayBeAway(x, p.Crew)
	for _, a := range areas {
		p.Works = append(p.Works, choice{Key: "area " + a.ID, Name: wr.Clock(a.Start) + " " + areaName(x, a.ID)})
	}
	for _, id := range sh.Activities {
		a := x.Activities[id]
		if a == nil {
			continue
		}
		if a.Kind != "set" {
			p.Works = append(p.Works, choice{Key: "activity " + a.ID, Name: wr.Clock(a.Start) + " " + a.Title})
		}
		if !seen["room "+a.Room] {
			seen["room "+a.Room] = true
			p.Rooms = append(p.Rooms, choice{Key: a.Room, Name: x.RoomName(a.Room)})
		}
		if r := x.Rooms[a.Room]; r != nil && !seen["job "+r.Job] && x.Jobs[r.Job] != nil {
			seen["job "+r.Job] = true
			p.Jobs = append(p.Jobs, choice{Key: r.Job, Name: x.Jobs[r.Job].Name})
		}
		for _, key := range a.Surfaces {
			if sf := x.Surfaces[key]; sf != nil && !seen[key] {
				seen[key] = true
				p.Surfaces = append(p.Surfaces, surfaceChoice{Key: key, Name: x.RoomName(sf.Room) + ", " + x.SurfaceName(key), Edges: edgeNames(sf)})
			}
		}
	}
}

// boxes lists what the day opens: what is carried in, and the tiles and products
// its rooms take.
func (p *sheetPage) boxes(x *plandoc.Index, sh *plandoc.Sheet) {
	seen := map[string]bool{}
	add := func(key string) {
		if key != "" && !seen[key] && (x.Tiles[key] != nil || x.Products[key] != nil) {
			seen[key] = true
			p.Boxes = append(p.Boxes, boxChoice{key, productName(x, key)})
		}
	}
	for _, c := range sh.Carry {
		add(c.Product)
		if c.Lot != nil && *c.Lot != "" {
			p.Lots = addOnce(p.Lots, *c.Lot)
		}
	}
	for _, id := range sh.Activities {
		a := x.Activities[id]
		if a == nil {
			continue
		}
		for _, key := range a.Surfaces {
			if sf := x.Surfaces[key]; sf != nil && a.Kind == "set" {
				for _, z := range sf.Zones {
					add(z.Tile)
					add(z.Mortar)
				}
			}
		}
		for _, u := range a.Products {
			add(u.Product)
		}
		for i := range x.Doc.Takeoff {
			if t := &x.Doc.Takeoff[i]; t.Lot != nil && *t.Lot != "" && slices.Contains(t.Rooms, a.Room) {
				p.Lots = addOnce(p.Lots, *t.Lot)
			}
		}
	}
}

// edgeNames says where each edge of a surface lies and what it meets; those of
// an outline carry the number that drawings and job files give the side.
func edgeNames(sf *plandoc.Surface) []string {
	names := make([]string, len(sf.Edges))
	for i, e := range sf.Edges {
		if names[i] = strings.Replace(e.Name, " edge", "", 1); e.Name == "" { // planned by an older version
			names[i] = fmt.Sprintf("side %d", i)
		} else if len(sf.Edges) != 4 {
			names[i] = fmt.Sprintf("%d: %s", i, names[i])
		}
		if e.Meets != "" {
			names[i] += ", " + e.Meets
		}
	}
	return names
}

// sheetFile serves day.pdf, day.json, day.html and cuts.csv.
func (s *server) sheetFile(w http.ResponseWriter, r *http.Request) error {
	formats := map[string]string{"day.pdf": "pdf", "day.json": "json", "cuts.csv": "csv"}
	format := formats[r.PathValue("file")]
	if format == "" {
		return &Error{Kind: NotFound, Text: "A sheet comes as day.pdf, day.json or cuts.csv."}
	}
	o, err := s.openSheet(r.Context(), userOf(r.Context()), r.PathValue("crew"), r.PathValue("date"), r.URL.Query().Get("revision"))
	if err != nil {
		return err
	}
	name := fmt.Sprintf("%s-%s-r%d.%s", o.Crew, o.Date, o.Revision, format)
	return s.file(w, contentTypes[format], name, format == "csv", func(b *bytes.Buffer) error {
		return s.o.Print.DayFile(b, o.Document, o.Index, s.mark(r, o), format)
	})
}
