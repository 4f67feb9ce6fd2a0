package web

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

type recordPage struct {
	frame
	Record      recordLine
	In          RecordIn
	Key         string // of the correction to be made
	Day, Stored string
	CrewName    string
	Corrects    *recordLine
	CorrectedBy *recordLine
	MayCorrect  bool
	Surface     string // of a reading
	Edges       []string
	Deviation   string
	EdgeAt      string
	Degrees     string // of a temperature, as it is read back
	Pieces      []breakable
	People      []doer // who may have done it
	MayBeAway   []choice
}

// doer is one of a crew, and whether a report says that it was that one.
type doer struct {
	Name string
	Did  bool
}

// oneRecord shows a report, what became of it, and a form to put it right.
func (s *server) oneRecord(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	rec, err := s.ownRecord(ctx, r.PathValue("record"))
	if err != nil {
		return err
	}
	v, err := s.current(ctx)
	if err != nil {
		return err
	}
	x := v.x
	// The sheet it was written on knows its pieces by the numbers it gave them.
	if o, err := s.openSheet(ctx, userOf(ctx), rec.Crew, rec.Date, ""); err == nil {
		x = o.Document.Index()
	}
	line := func(r RecordRow) recordLine { return recordLines(x, v.w, []RecordRow{r})[0] }
	p := recordPage{frame: s.frame(r, "Report: "+rec.Kind, "sheets"), Record: line(rec), In: rec.RecordIn, Key: s.o.NewKey(), Day: v.w.Day(rec.Date),
		Stored: v.w.DayClock(rec.Stored.Format("2006-01-02T15:04:05Z07:00")), CrewName: v.x.CrewName(rec.Crew), MayCorrect: rec.InForce()}
	all, err := s.o.Recorder.Records(ctx, rec.Crew, "")
	if err != nil {
		return err
	}
	for _, other := range all {
		l := line(other)
		if other.Key == rec.Corrects && rec.Corrects != "" {
			p.Corrects = &l
		}
		if other.Key == rec.CorrectedBy && rec.CorrectedBy != "" {
			p.CorrectedBy = &l
		}
	}
	p.Degrees = celsiusText(rec.RecordIn)
	if rec.Crew == "" {
		p.CrewName = ""
	}
	p.fill(x, v.w, rec.RecordIn)
	s.render(w, r, http.StatusOK, "record", p)
	return nil
}

// tapeText writes a reading in the firm's unit, which it names, near enough to
// come back as the same length.
func tapeText(w plandoc.Writing, mm float64) string {
	if w.Imperial && mm != 0 {
		return plandoc.Figure(mm/25.4, 4) + " in"
	}
	return mmText(mm)
}

// fill lists what the correction's form chooses from.
func (p *recordPage) fill(x *plandoc.Index, w plandoc.Writing, in RecordIn) {
	if sf := x.Surfaces[in.Surface]; sf != nil {
		p.Surface, p.Edges = x.SurfaceName(in.Surface), edgeNames(sf)
	}
	p.Deviation, p.EdgeAt = tapeText(w, in.DeviationMM), tapeText(w, in.EdgeAtMM)
	if p.Deviation == "" {
		p.Deviation = "0"
	}
	if in.Kind == "away" {
		p.MayBeAway = chosen(mayBeAway(x, in.Crew), in.Who)
	}
	for _, name := range x.PeopleOf(in.Crew) {
		did := slices.ContainsFunc(in.DoneBy, func(by string) bool { return strings.EqualFold(by, name) })
		p.People = append(p.People, doer{name, did})
	}
	pieces := in.Pieces
	if a := x.Areas[in.Area]; a != nil {
		pieces = a.Pieces
	}
	for i, id := range pieces {
		if q := x.Pieces[id]; q != nil {
			p.Pieces = append(p.Pieces, breakable{id, strconv.Itoa(i+1) + " · " + x.SurfaceName(x.PieceAt[id].Key) + " " + q.Label})
		}
	}
}

// ownRecord returns a report that the person who asks may see.
func (s *server) ownRecord(ctx context.Context, id string) (RecordRow, error) {
	rec, err := s.o.Recorder.OneRecord(ctx, id)
	if err != nil {
		return rec, err
	}
	if !mayAct(userOf(ctx), rec.Crew) {
		return rec, &Error{Kind: Forbidden, Text: "This is another crew's report."}
	}
	return rec, nil
}

// photo serves a picture of a report.
func (s *server) photo(w http.ResponseWriter, r *http.Request) error {
	rec, err := s.ownRecord(r.Context(), r.PathValue("record"))
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil {
		return &Error{Kind: NotFound, Text: "There is no such picture."}
	}
	f, err := s.o.Recorder.Photo(r.Context(), rec.ID, n)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", f.Type)
	w.Header().Set("Content-Length", strconv.Itoa(len(f.Body)))
	w.Header().Set("Cache-Control", "private, max-age=86400") // reports never change
	_, _ = w.Write(f.Body)
	return nil
}
