package sheet

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"io"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"potlife/cmd/potlife/internal/plandoc"
)

// CalendarMark says how a calendar is stamped.
type CalendarMark struct {
	// Sequence is the revision of the plan; a later one replaces events of the
	// same UID in the reader's calendar.
	Sequence int
	Stamp    time.Time // of the revision
	Host     string    // right of the @ in UIDs; empty is "potlife"
}

// CrewCalendar writes the crew's activities as iCalendar (RFC 5545).
func (Printer) CrewCalendar(w io.Writer, doc *plandoc.Document, crew string, sequence int, stamp time.Time) error {
	x := doc.Index()
	if x.Crews[crew] == nil {
		return fmt.Errorf("calendar: the plan has no crew %q", crew)
	}
	return calendar(w, x, x.CrewName(crew), CalendarMark{Sequence: sequence, Stamp: stamp}, func(a *plandoc.Activity) bool {
		return a.Crew != nil && *a.Crew == crew
	})
}

// JobCalendar writes all work on a job, and its cures and holds, as iCalendar.
func (Printer) JobCalendar(w io.Writer, doc *plandoc.Document, job string, sequence int, stamp time.Time) error {
	x := doc.Index()
	j := x.Jobs[job]
	if j == nil {
		return fmt.Errorf("calendar: the plan has no job %q", job)
	}
	return calendar(w, x, j.Name, CalendarMark{Sequence: sequence, Stamp: stamp}, func(a *plandoc.Activity) bool {
		r := x.Rooms[a.Room]
		return r != nil && r.Job == job
	})
}

func calendar(w io.Writer, x *plandoc.Index, name string, m CalendarMark, match func(*plandoc.Activity) bool) error {
	cal := ics.NewCalendarFor("potlife")
	cal.SetProductId("-//potlife//plan//EN")
	cal.SetMethod(ics.MethodPublish)
	cal.SetXWRCalName(plainText(name))
	for i := range x.Doc.Activities {
		if a := &x.Doc.Activities[i]; match(a) {
			if err := event(cal, x, a, m); err != nil {
				return err
			}
		}
	}
	var b bytes.Buffer
	if err := cal.SerializeTo(&b, ics.WithNewLineWindows); err != nil {
		return fmt.Errorf("calendar of %s: %w", name, err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// event adds an activity. Its UID is made of the activity's id alone, so that
// a moved activity moves in the reader's calendar too.
func event(cal *ics.Calendar, x *plandoc.Index, a *plandoc.Activity, m CalendarMark) error {
	start, err := time.Parse(time.RFC3339, a.Start)
	if err != nil {
		return fmt.Errorf("calendar: start of %s: %w", a.ID, err)
	}
	finish, err := time.Parse(time.RFC3339, a.Finish)
	if err != nil {
		return fmt.Errorf("calendar: finish of %s: %w", a.ID, err)
	}
	host := m.Host
	if host == "" {
		host = "potlife"
	}
	h := fnv.New128a()
	h.Write([]byte(a.ID))
	e := cal.AddEvent(fmt.Sprintf("%x@%s", h.Sum(nil), host))
	e.SetDtStampTime(m.Stamp.UTC())
	e.SetSequence(m.Sequence)
	e.SetStartAt(start.UTC())
	e.SetEndAt(finish.UTC())
	title := a.Title
	if title == "" {
		title = a.Kind
	}
	r := x.Rooms[a.Room]
	e.SetSummary(joinNonEmpty(", ", title, x.RoomName(a.Room)))
	if r != nil {
		if s := x.Sites[r.Site]; s != nil {
			e.SetLocation(joinNonEmpty(", ", s.Name, s.Address))
		}
	}
	if text := joinNonEmpty("\n", crewLine(x, a), strings.Join(a.Notes, "\n")); text != "" {
		e.SetDescription(text)
	}
	if a.Crew == nil {
		e.SetTimeTransparency(ics.TransparencyTransparent)
	}
	return nil
}

func crewLine(x *plandoc.Index, a *plandoc.Activity) string {
	if a.Crew == nil {
		return ""
	}
	return x.CrewOn(*a.Crew, x.Doc.Writing().DateOf(a.Start))
}
