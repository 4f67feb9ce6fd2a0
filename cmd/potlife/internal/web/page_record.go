package web

import (
	"bytes"
	"context"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

// recordKinds are the reports that pages and API take.
var recordKinds = []string{"area done", "activity done", "pieces broken", "reading", "hours", "note"}

type doneData struct {
	Key, Kind, Crew, Date, Area, Activity, Label string
	Pieces                                       []breakable
}

var doneTemplate = template.Must(template.New("done").Parse(`<form class="record done-form" method="post" action="/record" data-record>
<input type="hidden" name="key" value="{{.Key}}"><input type="hidden" name="kind" value="{{.Kind}}"><input type="hidden" name="crew" value="{{.Crew}}"><input type="hidden" name="date" value="{{.Date}}"><input type="hidden" name="area" value="{{.Area}}"><input type="hidden" name="activity" value="{{.Activity}}">
<button class="big">{{.Label}}</button> <output class="sent" aria-live="polite"></output></form>{{if .Pieces}}
<details class="early"><summary>Ended early</summary><form class="record" method="post" action="/record" data-record>
<input type="hidden" name="key" value="{{.Key}}-early"><input type="hidden" name="kind" value="{{.Kind}}"><input type="hidden" name="crew" value="{{.Crew}}"><input type="hidden" name="date" value="{{.Date}}"><input type="hidden" name="area" value="{{.Area}}">
<label for="upto-{{.Key}}">Last piece set</label><select id="upto-{{.Key}}" name="up_to" required>{{range .Pieces}}<option value="{{.ID}}">{{.Name}}</option>{{end}}</select>
<button class="big">Report up to here</button> <output class="sent" aria-live="polite"></output></form></details>{{end}}`))

// doneForm is the button that reports an area or another activity done. An
// activity that sets tile is done by its areas.
func (s *server) doneForm(p sheetPage, x *plandoc.Index, kind, id string) template.HTML {
	d := doneData{Key: p.Key + "-" + kind + "-" + id, Crew: p.Crew, Date: p.Date}
	switch kind {
	case "area":
		d.Kind, d.Area, d.Label, d.Pieces = "area done", id, "Area done", p.inArea[id]
	case "activity":
		if a := x.Activities[id]; a == nil || a.Kind == "set" || strings.HasPrefix(a.State, "done") && !strings.Contains(a.State, "unconfirmed") {
			return ""
		}
		d.Kind, d.Activity, d.Label = "activity done", id, "Done"
	}
	var b bytes.Buffer
	if err := doneTemplate.Execute(&b, d); err != nil {
		return ""
	}
	return template.HTML(b.String())
}

// record takes the forms of a browser without scripts.
func (s *server) record(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	in, tape, err := readRecord(r)
	if err != nil {
		return err
	}
	out, err := s.store(r.Context(), in, tape)
	if err != nil {
		return err
	}
	text := out.Message
	if text == "" {
		text = "Recorded."
	}
	s.notice(r, text)
	http.Redirect(w, r, path("sheets", in.Crew, in.Date), http.StatusSeeOther)
	return nil
}

// tape is what is written down in a form's own terms: a reading, "4", "-4 mm",
// "3/16\"", a bare number being in the firm's unit; and the last piece set of
// an area that ended early.
type tape struct{ edgeAt, deviation, upTo string }

func readRecord(r *http.Request) (RecordIn, tape, error) {
	f := r.PostForm
	in := RecordIn{Key: formKey(r), Kind: f.Get("kind"), Crew: f.Get("crew"), Date: f.Get("date"), Area: f.Get("area"), Activity: f.Get("activity"), Surface: f.Get("surface"), Note: strings.TrimSpace(f.Get("note"))}
	for _, id := range f["pieces"] {
		if id != "" {
			in.Pieces = append(in.Pieces, id)
		}
	}
	for _, n := range []struct {
		field string
		into  *int
	}{{"edge", &in.Edge}, {"minutes", &in.MinutesWorked}} {
		text := strings.TrimSpace(f.Get(n.field))
		if text == "" {
			continue
		}
		v, err := strconv.Atoi(text)
		if err != nil {
			return in, tape{}, &Error{Kind: Invalid, Field: n.field, Text: fmt.Sprintf("%s: %q is not a whole number.", n.field, text)}
		}
		*n.into = v
	}
	return in, tape{edgeAt: f.Get("edge_at"), deviation: f.Get("deviation"), upTo: strings.TrimSpace(f.Get("up_to"))}, nil
}

// read turns what was written down into mm.
func (t tape) read(units string, in *RecordIn) error {
	bare := rooms.UnitMM
	if units == "imperial" {
		bare = rooms.UnitInch
	}
	for _, n := range []struct {
		field, text string
		into        *float64
	}{{"edge_at", t.edgeAt, &in.EdgeAtMM}, {"deviation", t.deviation, &in.DeviationMM}} {
		text := strings.ReplaceAll(strings.TrimSpace(n.text), "−", "-")
		if text == "" {
			continue
		}
		l, err := rooms.ParseLength(text, bare)
		if err != nil {
			return &Error{Kind: Invalid, Field: n.field, Text: err.Error()}
		}
		*n.into = l.Millimetres()
	}
	return nil
}

// store checks a report and hands it on. Page and API both come through here.
func (s *server) store(ctx context.Context, in RecordIn, t tape) (RecordOut, error) {
	u := userOf(ctx)
	in.By = *u
	if in.Crew == "" && u.Role == Crew {
		in.Crew = u.Crew
	}
	if !mayAct(u, in.Crew) {
		return RecordOut{}, &Error{Kind: Forbidden, Field: "crew", Text: "This is another crew's sheet; report it to the office."}
	}
	if t != (tape{}) {
		v, err := s.current(ctx)
		if err != nil {
			return RecordOut{}, err
		}
		if err := t.read(v.Document.Units, &in); err != nil {
			return RecordOut{}, err
		}
		if t.upTo != "" {
			if err := s.upTo(ctx, &in, t.upTo); err != nil {
				return RecordOut{}, err
			}
		}
	}
	if in.Kind == "reading" && strings.TrimSpace(t.deviation) == "" {
		return RecordOut{}, &Error{Kind: Invalid, Field: "deviation", Text: "Say how far the edge lies outside (+) or inside (-) of the drawing; 0 when it is right."}
	}
	if err := s.checkRecord(&in); err != nil {
		return RecordOut{}, err
	}
	return s.o.Recorder.Record(ctx, in)
}

// upTo fills in the pieces of an area that were set, in setting order up to and
// with the last one, from the sheet the report was written on.
func (s *server) upTo(ctx context.Context, in *RecordIn, last string) error {
	o, err := s.openSheet(ctx, &in.By, in.Crew, in.Date, "")
	if err != nil {
		return err
	}
	for i := range o.Document.Areas {
		a := &o.Document.Areas[i]
		if a.ID != in.Area {
			continue
		}
		if k := slices.Index(a.Pieces, last); k >= 0 {
			in.Pieces = append([]string(nil), a.Pieces[:k+1]...)
			return nil
		}
	}
	return &Error{Kind: Invalid, Field: "up_to", Text: "That piece is not in this area of the sheet; look at the current revision."}
}

func (s *server) checkRecord(in *RecordIn) error {
	bad := func(field, format string, args ...any) error {
		return &Error{Kind: Invalid, Field: field, Text: fmt.Sprintf(format, args...)}
	}
	switch {
	case in.Key == "" || len(in.Key) > 200:
		return bad("key", "A report needs a key of at most 200 characters, so that it lands once.")
	case !slices.Contains(recordKinds, in.Kind):
		return bad("kind", "There is no report %q; there are %s.", in.Kind, strings.Join(recordKinds, ", "))
	case in.Crew == "":
		return bad("crew", "Say which crew reports.")
	case len(in.Note) > 4000:
		return bad("note", "A note holds at most 4 000 characters.")
	case in.Kind == "area done" && in.Area == "":
		return bad("area", "Say which area is done.")
	case in.Kind == "activity done" && in.Activity == "":
		return bad("activity", "Say which work is done.")
	case in.Kind == "pieces broken" && len(in.Pieces) == 0:
		return bad("pieces", "Choose the pieces that broke.")
	case in.Kind == "reading" && in.Surface == "":
		return bad("surface", "Say which surface was measured.")
	case in.Kind == "reading" && math.Abs(in.DeviationMM) > 1000:
		return bad("deviation", "A deviation of %g mm is more than a metre; take the reading again.", in.DeviationMM)
	case in.Kind == "hours" && (in.MinutesWorked <= 0 || in.MinutesWorked > 24*60):
		return bad("minutes", "Minutes worked lie between 1 and 1 440.")
	case in.Kind == "note" && in.Note == "":
		return bad("note", "The note is empty.")
	}
	if _, err := time.Parse(time.DateOnly, in.Date); err != nil {
		return bad("date", "The day %q is not of the form 2026-03-04.", in.Date)
	}
	if in.At.After(s.o.Now().Add(10 * time.Minute)) {
		return bad("at", "The time of the report lies ahead; check the clock of the phone.")
	}
	return nil
}

var errNoFeed = &Error{Kind: NotFound, Text: "There is no such calendar."}
