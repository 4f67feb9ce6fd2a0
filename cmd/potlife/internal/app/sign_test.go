package app

import (
	"context"
	"errors"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
)

// A job that asks for signatures has its orders placed once its rooms are
// signed; a price changes nothing of it, another joint asks again.
func TestOrdersWaitForTheClient(t *testing.T) {
	ctx := context.Background()
	day := rooms.Date{Year: 2026, Month: 11, Day: 26}
	f := demoFirm(t, "inches", day, day.AddDays(20))
	p := Pages{f.App}
	jobs, err := f.o.Store.Jobs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	change := func(with func(j *rooms.Job)) {
		t.Helper()
		for i := range jobs {
			with(&jobs[i])
		}
		if _, err := f.o.Store.Import(ctx, store.Import{Jobs: jobs, Who: "test", Source: "change"}, f.at); err != nil {
			t.Fatal(err)
		}
		if _, err := f.Replan(ctx, "test"); err != nil {
			t.Fatal(err)
		}
	}
	change(func(j *rooms.Job) { j.ClientSigns = true })
	saved, err := f.o.Store.CurrentPlan(ctx)
	if err != nil {
		t.Fatal(err)
	}
	o := saved.Plan.Orders[0]
	place := func() error {
		return p.Place(ctx, web.PlaceIn{Key: "place-1", Order: o.Key, By: web.User{Name: "olga"}})
	}
	var refused *web.Error
	if err := place(); !errors.As(err, &refused) || refused.Kind != web.Conflict || !strings.Contains(refused.Text, "Hall bathroom") {
		t.Fatalf("placed unsigned: %v", err)
	}
	state := func() web.RoomSigning {
		t.Helper()
		got, err := p.Signings(ctx, o.Rooms)
		if err != nil || len(got) == 0 {
			t.Fatalf("%v, %v", got, err)
		}
		return got[o.Rooms[0]]
	}
	sign := func(key, on, digest string) error {
		return p.Sign(ctx, web.SignIn{Key: key, Room: o.Rooms[0], Digest: digest, Signer: "Q. Reed", On: on, By: web.User{Name: "olga"}})
	}
	first := state()
	if err := sign("s0", "2027-11-27", first.Digest); !errors.As(err, &refused) || refused.Field != "on" {
		t.Errorf("signed on a day to come: %v", err)
	}
	if err := sign("s1", "2026-11-26", first.Digest); err != nil {
		t.Fatal(err)
	}
	if now := state(); !now.Signed {
		t.Fatalf("signed: %+v", now)
	}
	change(func(j *rooms.Job) { j.Name += " (renamed)" })
	if now := state(); !now.Signed {
		t.Errorf("a name asks for another signature: %+v", now)
	}
	change(func(j *rooms.Job) {
		for s := range j.Sites {
			for r := range j.Sites[s].Rooms {
				for k := range j.Sites[s].Rooms[r].Surfaces {
					for z := range j.Sites[s].Rooms[r].Surfaces[k].Zones {
						j.Sites[s].Rooms[r].Surfaces[k].Zones[z].Joint += rooms.Millimetre
					}
				}
			}
		}
	})
	second := state()
	if second.Signed || second.Digest == first.Digest || len(second.Signatures) != 1 {
		t.Fatalf("another joint does not ask again: %+v", second)
	}
	if err := sign("s2", "2026-11-26", first.Digest); !errors.As(err, &refused) || refused.Field != "digest" {
		t.Errorf("signed drawings that are no longer: %v", err)
	}
	if saved, err = f.o.Store.CurrentPlan(ctx); err != nil {
		t.Fatal(err)
	}
	o = saved.Plan.Orders[0]
	for i, room := range o.Rooms {
		got, err := p.Signings(ctx, []string{room})
		if err != nil {
			t.Fatal(err)
		}
		in := web.SignIn{Key: "s3" + room, Room: room, Digest: got[room].Digest, Signer: "Q. Reed", On: "2026-11-26", By: web.User{Name: "olga"}}
		if err := p.Sign(ctx, in); err != nil {
			t.Fatalf("room %d: %v", i, err)
		}
	}
	if err := place(); err != nil {
		t.Errorf("signed and not placed: %v", err)
	}
}
