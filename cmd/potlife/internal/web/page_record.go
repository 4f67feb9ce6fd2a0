package web

import (
	"bytes"
	"context"
	"fmt"
	"hash/fnv"
	"html/template"
	"io"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

// recordKinds are the reports that pages and API take.
var recordKinds = []string{"area started", "area done", "area not done", "activity started", "activity done", "activity not done", "pieces broken", "reading", "temperature", "boxes opened", "away", "hours", "note", withdrawn}

// withdrawn is the kind of a report that takes another one back.
const withdrawn = "withdrawn"

// workForms are the buttons under a piece of work: begun, done, and what did not
// come to pass.
type workForms struct {
	Key, Kind, Crew, Date, Area, Activity, Name string // Kind is "area" or "activity"
	Label                                       string
	Pieces                                      []breakable
	People                                      []string // who may have done it
	Said                                        []saidLine
	Done                                        bool
}

// saidLine is what somebody has reported on a piece of work.
type saidLine struct{ ID, Text string }

var workTemplate = template.Must(template.New("work").Parse(`{{define "hidden"}}<input type="hidden" name="crew" value="{{.Crew}}"><input type="hidden" name="date" value="{{.Date}}"><input type="hidden" name="area" value="{{.Area}}"><input type="hidden" name="activity" value="{{.Activity}}">{{end}}{{define "doers"}}<fieldset><legend>Everybody who worked on it, where it is known</legend>{{range .People}}<label class="check"><input type="checkbox" name="done_by" value="{{.}}"> {{.}}</label>{{end}}</fieldset>{{end}}<div class="work-forms no-print">{{if .Said}}<ul class="said">{{range .Said}}<li><a href="/records/{{.ID}}">{{.Text}}</a></li>{{end}}</ul>{{end}}{{if not .Done}}
<form class="record start-form" method="post" action="/record" data-record data-words="{{.Name}}"><input type="hidden" name="key" value="{{.Key}}-start"><input type="hidden" name="kind" value="{{.Kind}} started">{{template "hidden" .}}
<button class="big second">Started<span class="unseen">: {{.Name}}</span></button> <output class="sent" aria-live="polite"></output></form>
<form class="record done-form" method="post" action="/record" data-record data-words="{{.Name}}"><input type="hidden" name="key" value="{{.Key}}"><input type="hidden" name="kind" value="{{.Kind}} done">{{template "hidden" .}}{{if .People}}<details class="early"><summary>Who did it<span class="unseen">: {{.Name}}</span></summary>{{template "doers" .}}</details>{{end}}
<button class="big">{{.Label}}<span class="unseen">: {{.Name}}</span></button> <output class="sent" aria-live="polite"></output></form>{{end}}
{{if .Pieces}}<details class="early"><summary>Ended early or not done<span class="unseen">: {{.Name}}</span></summary><form class="record" method="post" action="/record" data-record data-words="{{.Name}}"><input type="hidden" name="key" value="{{.Key}}-early"><input type="hidden" name="kind" value="area done">{{template "hidden" .}}
<label for="upto-{{.Key}}">Last piece set</label><select id="upto-{{.Key}}" name="up_to" required><option value="none">none of it was set</option>{{range .Pieces}}<option value="{{.ID}}">{{.Name}}</option>{{end}}</select>{{if .People}}{{template "doers" .}}{{end}}
<button class="big">Report up to here</button> <output class="sent" aria-live="polite"></output></form></details>{{else if .Activity}}<details class="early"><summary>Not done<span class="unseen">: {{.Name}}</span></summary><form class="record" method="post" action="/record" data-record data-words="{{.Name}}"><input type="hidden" name="key" value="{{.Key}}-not"><input type="hidden" name="kind" value="activity not done">{{template "hidden" .}}
<button class="big">Report that it was not done</button> <output class="sent" aria-live="polite"></output></form></details>{{end}}</div>`))

// doneForm are the buttons that report on an area or another activity. An
// activity that sets tile is done by its areas.
func (s *server) doneForm(p sheetPage, x *plandoc.Index, kind, id string) template.HTML {
	h := fnv.New32a()
	_, _ = h.Write([]byte(kind + " " + id))
	d := workForms{Key: fmt.Sprintf("%s-%08x", p.Key, h.Sum32()), Crew: p.Crew, Date: p.Date, Kind: kind, People: p.People, Said: p.said[kind+" "+id]}
	switch kind {
	case "area":
		d.Area, d.Label, d.Pieces = id, "Area done", p.inArea[id]
		d.Name = areaName(x, id)
	case "activity":
		a := x.Activities[id]
		if a == nil || a.Kind == "set" {
			return ""
		}
		d.Activity, d.Label, d.Name = id, "Done", a.Title
		d.Done = strings.HasPrefix(a.State, "done") && !strings.Contains(a.State, "unconfirmed")
	}
	var b bytes.Buffer
	if err := workTemplate.Execute(&b, d); err != nil {
		return ""
	}
	return template.HTML(b.String())
}

// areaName says which area: the surfaces it covers.
func areaName(x *plandoc.Index, id string) string {
	a := x.Areas[id]
	if a == nil {
		return id
	}
	var names []string
	for _, key := range a.Surfaces {
		names = append(names, x.SurfaceName(key))
	}
	return strings.Join(names, ", ")
}

// record takes the forms of a browser without scripts.
func (s *server) record(w http.ResponseWriter, r *http.Request) error {
	err := r.ParseForm()
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		err = r.ParseMultipartForm(mostPhotoIn)
	}
	if err != nil {
		return unreadable(err)
	}
	in, tape, err := readRecord(r)
	if err != nil {
		return err
	}
	if in.Photos, err = formPhotos(r); err != nil {
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
	http.Redirect(w, r, whence(in, r), http.StatusSeeOther)
	return nil
}

// whence is the page on which a report is looked at: its sheet, its room, or the crews
// where it says of one who is away, of a day that may have no sheet yet.
func whence(in RecordIn, r *http.Request) string {
	switch {
	case in.Kind == "away", r.PostForm.Get("back") == "crews":
		return "/crews"
	case in.Crew != "":
		return path("sheets", in.Crew, in.Date)
	case in.Room != "":
		return path(append([]string{"rooms"}, strings.Split(in.Room, "/")...)...)
	}
	return "/"
}

// formPhotos reads the pictures that came with a form.
func formPhotos(r *http.Request) ([]Photo, error) {
	if r.MultipartForm == nil {
		return nil, nil
	}
	defer func() { _ = r.MultipartForm.RemoveAll() }()
	var out []Photo
	for _, h := range r.MultipartForm.File["photos"] {
		if h.Size == 0 {
			continue // nothing was chosen
		}
		if len(out) == mostPhotos {
			return nil, tooManyPhotos
		}
		f, err := h.Open()
		if err != nil {
			return nil, unreadable(err)
		}
		body, err := io.ReadAll(io.LimitReader(f, mostPhotoIn+1))
		_ = f.Close()
		if err != nil {
			return nil, unreadable(err)
		}
		p, err := readPhoto(body)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

var tooManyPhotos = &Error{Kind: Invalid, Field: "photos", Text: fmt.Sprintf("A report holds at most %d photos; send the others with another one.", mostPhotos)}

// tape is what is written down in a form's own terms: a reading, "4", "-4 mm",
// "3/16\"", a bare number being in the firm's unit; the last piece set of an area
// that ended early; the time of day it happened; and a temperature as the
// thermometer shows it.
type tape struct{ edgeAt, deviation, upTo, clock, celsius string }

func readRecord(r *http.Request) (RecordIn, tape, error) {
	f := r.PostForm
	in := RecordIn{Key: formKey(r), Kind: f.Get("kind"), Crew: f.Get("crew"), Date: f.Get("date"), Area: f.Get("area"), Activity: f.Get("activity"), Surface: f.Get("surface"), Note: strings.TrimSpace(f.Get("note")),
		Room: f.Get("room"), Product: f.Get("product"), Lot: strings.TrimSpace(f.Get("lot")), Corrects: f.Get("corrects"),
		Who: strings.TrimSpace(f.Get("who")), Until: f.Get("until"), AwayFrom: f.Get("away_from"), AwayTo: f.Get("away_to")}
	for _, id := range f["pieces"] {
		if id != "" {
			in.Pieces = append(in.Pieces, id)
		}
	}
	for _, name := range f["done_by"] {
		if name != "" {
			in.DoneBy = append(in.DoneBy, name)
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
	if text := strings.TrimSpace(f.Get("packages")); text != "" {
		v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err != nil {
			return in, tape{}, &Error{Kind: Invalid, Field: "packages", Text: fmt.Sprintf("packages: %q is not a number.", text)}
		}
		in.Packages = v
	}
	work(f.Get("work"), &in)
	return in, tape{edgeAt: f.Get("edge_at"), deviation: f.Get("deviation"), upTo: strings.TrimSpace(f.Get("up_to")), clock: strings.TrimSpace(f.Get("time")), celsius: strings.TrimSpace(f.Get("temperature"))}, nil
}

// work reads what a list of work chose: "area ID" or "activity ID".
func work(chosen string, in *RecordIn) {
	switch kind, id, _ := strings.Cut(chosen, " "); kind {
	case "area":
		in.Area = id
	case "activity":
		in.Activity = id
	}
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
	if t.celsius != "" {
		c, err := rooms.ParseCelsius(strings.Replace(t.celsius, ",", ".", 1), units == "imperial")
		if err != nil {
			return &Error{Kind: Invalid, Field: "temperature", Text: err.Error()}
		}
		in.Celsius = c
	}
	return nil
}

// at turns the day and a time of day into an instant.
func (t tape) at(zone *time.Location, in *RecordIn) error {
	if t.clock == "" || !in.At.IsZero() {
		return nil
	}
	if zone == nil {
		zone = time.UTC
	}
	at, err := time.ParseInLocation("2006-01-02 15:04", in.Date+" "+t.clock, zone)
	if err != nil {
		return &Error{Kind: Invalid, Field: "time", Text: fmt.Sprintf("The time %q is not of the form 14:30.", t.clock)}
	}
	in.At = at
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
		if err := t.at(v.w.Zone, &in); err != nil {
			return RecordOut{}, err
		}
		if t.upTo == "none" {
			in.Kind = "area not done"
		} else if t.upTo != "" {
			if err := s.upTo(ctx, &in, t.upTo); err != nil {
				return RecordOut{}, err
			}
		}
	}
	if strings.HasSuffix(in.Kind, " not done") {
		in.DoneBy = nil // a form that could say so of what was done
	}
	if in.Kind == "reading" && strings.TrimSpace(t.deviation) == "" {
		return RecordOut{}, &Error{Kind: Invalid, Field: "deviation", Text: "Say how far the edge lies outside (+) or inside (-) of the drawing; 0 when it is right."}
	}
	if in.Kind == "temperature" && t.celsius == "" {
		return RecordOut{}, &Error{Kind: Invalid, Field: "temperature", Text: "Say what the thermometer shows, such as 14 °C or 57 °F."}
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
	case in.Crew == "" && in.Kind != "temperature" && in.Kind != withdrawn: // the office reads thermometers too
		return bad("crew", "Say which crew reports.")
	case len(in.Note) > 4000:
		return bad("note", "A note holds at most 4 000 characters.")
	case !utf8.ValidString(in.Note+in.Lot+in.Key) || strings.ContainsRune(in.Note+in.Lot+in.Key, 0):
		return bad("note", "The text holds characters that are none.")
	case len(in.Photos) > mostPhotos:
		return tooManyPhotos
	case in.MinutesWorked < 0 || in.MinutesWorked > 24*60:
		return bad("minutes", "Minutes worked lie between 1 and 1 440.")
	case len(in.DoneBy) > 0 && !slices.Contains([]string{"area done", "activity done", "hours"}, in.Kind):
		return bad("done_by", "Who did it is said of work that is done, and of hours.")
	case in.Kind == withdrawn && in.Corrects == "":
		return bad("corrects", "Say which report is taken back.")
	}
	if err := checkKind(in); err != nil {
		return err
	}
	day, err := time.Parse(time.DateOnly, in.Date)
	now := s.o.Now()
	switch {
	case err != nil:
		return bad("date", "The day %q is not of the form 2026-03-04.", in.Date)
	case in.Kind == "away":
		return checkAway(in, day, now)
	case day.After(now.AddDate(0, 0, 60)):
		return bad("date", "The day %s lies more than 60 days ahead; no sheet reaches that far.", in.Date)
	case in.At.After(now.Add(10 * time.Minute)):
		return bad("at", "The time of the report lies ahead; check the clock of the phone.")
	}
	return nil
}

// checkKind checks what each kind of report needs.
func checkKind(in *RecordIn) error {
	bad := func(field, format string, args ...any) error {
		return &Error{Kind: Invalid, Field: field, Text: fmt.Sprintf(format, args...)}
	}
	switch {
	case strings.HasPrefix(in.Kind, "area ") && in.Area == "":
		return bad("area", "Say which area it is.")
	case strings.HasPrefix(in.Kind, "activity ") && in.Activity == "":
		return bad("activity", "Say which work it is.")
	case in.Kind == "pieces broken" && len(in.Pieces) == 0:
		return bad("pieces", "Choose the pieces that broke.")
	case in.Kind == "reading" && in.Surface == "":
		return bad("surface", "Say which surface was measured.")
	case in.Kind == "reading" && !(math.Abs(in.DeviationMM) <= 1000):
		return bad("deviation", "A deviation of more than a metre (39 in) is no reading of an edge; take it again.")
	case in.Kind == "temperature" && in.Room == "":
		return bad("room", "Say in which room the temperature was read.")
	case in.Kind == "hours" && in.MinutesWorked == 0:
		return bad("minutes", "Minutes worked lie between 1 and 1 440.")
	case in.Kind == "note" && in.Note == "" && len(in.Photos) == 0:
		return bad("note", "The note is empty, and there is no photo.")
	case in.Kind == "boxes opened" && in.Product == "":
		return bad("product", "Say what was opened.")
	case in.Kind == "boxes opened" && !(in.Packages > 0 && in.Packages <= 999):
		return bad("packages", "Say how many boxes or packages were opened, up to 999.")
	case len(in.Lot) > 60:
		return bad("lot", "A lot is written on the box in at most 60 characters.")
	}
	return nil
}

var errNoFeed = &Error{Kind: NotFound, Text: "There is no such calendar."}
