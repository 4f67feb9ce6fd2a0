package app

import (
	"context"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
)

// absent are the absences that the plan in force knows of a crew.
func (s *onSite) absent() []scheduler.Absence {
	p := s.plan()
	i := slices.IndexFunc(p.Firm.Crews, func(c scheduler.Crew) bool { return c.Key == s.crew })
	return p.Firm.Crews[i].Away
}

// setOn counts the pieces that the plan in force has the crew set on days from one to
// another.
func (s *onSite) setOn(from, to rooms.Date) int {
	p, n := s.plan(), 0
	clock := scheduler.Clock{Epoch: p.Epoch, Zone: s.zone}
	for _, a := range p.Areas {
		if d := clock.Day(a.Start); a.Crew == s.crew && !d.Before(from) && !to.Before(d) {
			n += len(a.Pieces)
		}
	}
	return n
}

// Who is reported away is missing from the next plan, and what is issued stays; the same
// report lands once, the person is not away twice, and what is taken back never was.
func TestReportedAway(t *testing.T) {
	s := settingDay(t)
	ctx := context.Background()
	crews := s.plan().Firm.Crews
	crew := crews[slices.IndexFunc(crews, func(c scheduler.Crew) bool { return c.Key == s.crew })]
	from, to := s.day.AddDays(1), s.day.AddDays(14)
	usual, revision, finish := s.setOn(from, to), s.revision(), s.plan().Finish
	for range crew.Setters { // all of them: nothing can be set
		s.report(web.RecordIn{Kind: "away", Who: "setter", Until: to.String()})
	}
	if n := s.setOn(from, to); n >= usual || usual == 0 {
		t.Errorf("with nobody to set %d pieces are set, %d with all", n, usual)
	}
	if got := s.absent(); len(got) != crew.Setters || got[0].From != s.day || got[0].To != to {
		t.Errorf("away: %v", got)
	}
	if s.revision() != revision {
		t.Error("the sheet that is out has changed")
	}
	if _, err := s.try(web.RecordIn{Kind: "away", Who: "setter", Until: to.String()}); err == nil || !strings.Contains(err.Error(), "all of them are away") {
		t.Errorf("one setter too many: %v", err)
	}
	out, err := s.try(web.RecordIn{Kind: "away", Who: "setter", Until: to.String(), Key: "report-1"})
	if err != nil || !out.Again {
		t.Errorf("the same report once more: %+v, %v", out, err)
	}
	for _, r := range s.reports(t) {
		if r.Kind == "away" {
			s.report(web.RecordIn{Kind: "withdrawn", Corrects: r.Key})
		}
	}
	if got := s.absent(); len(got) > 0 || s.setOn(from, to) != usual || s.plan().Finish != finish {
		t.Errorf("taken back: away %v, %d pieces set for %d, finish %d for %d", got, s.setOn(from, to), usual, s.plan().Finish, finish)
	}

	d := &Daemon{App: s.App}
	who := scheduler.Absence{From: to, To: to, Start: 7 * 60, End: 9 * 60, Helper: true}
	if crew.Helpers == 0 {
		who.Helper = false
	}
	for range 2 {
		if said, err := d.RecordAway(ctx, s.crew, who); err != nil || said == "" {
			t.Fatalf("%q, %v", said, err)
		}
	}
	s.catchUp("away")
	if got := s.absent(); !slices.Equal(got, []scheduler.Absence{who}) {
		t.Errorf("away by the command line: %v", got)
	}
	if _, err := d.RecordAway(ctx, "nobody", who); err == nil || !strings.Contains(err.Error(), `no crew "nobody"`) {
		t.Errorf("a crew that is none: %v", err)
	}
	who.Who = "Otto"
	if _, err := d.RecordAway(ctx, s.crew, who); (err == nil) != (len(crew.People) == 0) {
		t.Errorf("Otto: %v", err)
	}
}

// reports are those in force, as the pages list them.
func (s *onSite) reports(t *testing.T) (out []web.RecordRow) {
	t.Helper()
	all, err := Pages{s.App}.Records(context.Background(), s.crew, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range all {
		if r.InForce() {
			out = append(out, r)
		}
	}
	return out
}
