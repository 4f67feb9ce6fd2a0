package app

import (
	"context"
	"errors"
	"fmt"

	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
)

// RecordTemperature records what was read in a room on a day, today where it is
// zero. Its key names room, day and reading, so that it lands once however often
// it is said.
func (d *Daemon) RecordTemperature(ctx context.Context, room string, celsius float64, day rooms.Date) (string, error) {
	firm, err := d.o.Store.Firm(ctx)
	if err != nil {
		return "", err
	}
	if day.IsZero() {
		day = rooms.DateOf(d.now().In(firm.Zone))
	}
	out, err := Pages{d.App}.Record(ctx, web.RecordIn{Key: fmt.Sprintf("temperature %s %s %.2f", room, day, celsius), Kind: "temperature",
		By: web.User{Name: "command line", Role: web.Office}, Room: room, Date: day.String(), Celsius: celsius})
	var refused *web.Error
	if errors.As(err, &refused) && refused.Field == "room" { // there is no sheet to choose from
		return "", &web.Error{Kind: refused.Kind, Field: refused.Field, Text: fmt.Sprintf("no room %q is planned; \"potlife export\" prints the jobs and their rooms by their keys", room)}
	}
	return out.Message, err
}
