package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
)

// absence is who a report says is away, from a day on.
func absence(in web.RecordIn, from rooms.Date) (*scheduler.Absence, error) {
	a := scheduler.Absence{Who: in.Who, From: from, To: from}
	if in.Who == "setter" || in.Who == "helper" {
		a.Who, a.Helper = "", in.Who == "helper"
	}
	var err error
	if in.Until != "" {
		if a.To, err = rooms.ParseDate(in.Until); err != nil {
			return nil, &web.Error{Kind: web.Invalid, Field: "until", Text: err.Error()}
		}
	}
	for _, n := range []struct {
		field, text string
		into        *int
	}{{"away_from", in.AwayFrom, &a.Start}, {"away_to", in.AwayTo, &a.End}} {
		if n.text == "24:00" {
			*n.into = 24 * 60
		} else if n.text != "" {
			at, err := time.Parse("15:04", n.text)
			if err != nil {
				return nil, &web.Error{Kind: web.Invalid, Field: n.field, Text: fmt.Sprintf("the time %q is not of the form 14:30", n.text)}
			}
			*n.into = at.Hour()*60 + at.Minute()
		}
	}
	return &a, nil
}

// awayFields write an absence as the report had it.
func awayFields(a scheduler.Absence) (who, until, from, to string) {
	who = a.Who
	if who == "" {
		who = map[bool]string{false: "setter", true: "helper"}[a.Helper]
	}
	if a.End > 0 {
		from, to = fmt.Sprintf("%02d:%02d", a.Start/60, a.Start%60), fmt.Sprintf("%02d:%02d", a.End/60, a.End%60)
	}
	return who, a.To.String(), from, to
}

// mayBeAway refuses a report of somebody whom the crew has not, or who is away then
// already, by the firm or by the reports in force. One that has come before is let
// through: it lands once.
func (p Pages) mayBeAway(ctx context.Context, r *store.Record) error {
	if r.Kind != "away" {
		return nil
	}
	firm, err := p.o.Store.Firm(ctx)
	if err != nil {
		return refuse(err)
	}
	all, err := p.o.Store.RecordsByTime(ctx)
	if err != nil {
		return refuse(err)
	}
	crews := scheduler.WithReported(firm.Crews, saidBeside(all, r))
	i := slices.IndexFunc(crews, func(c scheduler.Crew) bool { return c.Key == r.Crew })
	if i < 0 {
		return &web.Error{Kind: web.Invalid, Field: "crew", Text: fmt.Sprintf("the firm has no crew %q", r.Crew)}
	}
	if who, ok := crews[i].Named(r.Away.Who); ok {
		r.Away.Who, r.Away.Helper = who.Name, who.Helper
	}
	if anyOf(all, func(other store.Record) bool { return other.Key == r.Key }) {
		return nil
	}
	if why := crews[i].Refuses(*r.Away); why != "" {
		return &web.Error{Kind: web.Invalid, Field: "who", Text: crews[i].Name + ": " + why}
	}
	return nil
}

// saidBeside are the reports in force beside one, and beside the one it puts right.
func saidBeside(all []store.Record, r *store.Record) (out []scheduler.Record) {
	for _, other := range store.InForce(all) {
		if other.Key != r.Corrects && other.Key != r.Key {
			out = append(out, other.Record)
		}
	}
	return out
}

// RecordAway records that one of a crew is away, once however often it is said; after it
// has been taken back it may be said again.
func (d *Daemon) RecordAway(ctx context.Context, crew string, a scheduler.Absence) (string, error) {
	in := web.RecordIn{Kind: "away", By: web.User{Name: "command line", Role: web.Office}, Crew: crew, Date: a.From.String()}
	in.Who, in.Until, in.AwayFrom, in.AwayTo = awayFields(a)
	key := fmt.Sprintf("away %s %s %s %s %s-%s", crew, in.Who, in.Date, in.Until, in.AwayFrom, in.AwayTo)
	in.Key = key
	for n := 2; ; n++ {
		before, err := d.o.Store.RecordByKey(ctx, in.Key)
		if errors.Is(err, store.ErrNotFound) || err == nil && before.CorrectedBy == "" {
			break
		}
		if err != nil {
			return "", err
		}
		in.Key = fmt.Sprintf("%s, %d", key, n)
	}
	out, err := Pages{d.App}.Record(ctx, in)
	return out.Message, err
}

// issuedWarning says that what is out stays as it is, where somebody is away on a day
// that has been issued.
func (p Pages) issuedWarning(ctx context.Context, doc *plandoc.Document, in web.RecordIn) string {
	zone, err := time.LoadLocation(doc.Zone)
	if in.Kind != "away" || err != nil {
		return ""
	}
	frozen, err := p.o.Store.Frozen(ctx)
	from, bad := rooms.ParseDate(in.Date)
	if err != nil || bad != nil || frozen[in.Crew].IsZero() {
		return ""
	}
	last := rooms.DateOf(frozen[in.Crew].Add(-time.Minute).In(zone))
	if last.Before(from) || last.Before(rooms.DateOf(p.now().In(zone))) {
		return ""
	}
	return fmt.Sprintf(" Mind: what is issued, up to %s, stays as it is; report what does not get done.", doc.Writing().ShortDay(last.String()))
}
