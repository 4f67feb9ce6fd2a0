package app

import (
	"context"
	"strings"
	"testing"

	"potlife/rooms"
)

// On the command line a temperature lands in a room by its keys, and where there is no such
// room the answer says where the rooms stand, not to reload a sheet.
func TestTemperatureFromTheCommandLine(t *testing.T) {
	ctx := context.Background()
	day := rooms.Date{Year: 2026, Month: 11, Day: 26}
	f := demoFirm(t, "inches", day, day.AddDays(5))
	d := &Daemon{App: f.App}
	saved, err := f.o.Store.CurrentPlan(ctx)
	if err != nil {
		t.Fatal(err)
	}
	room := saved.Plan.RoomDates[0].Room
	if said, err := d.RecordTemperature(ctx, room, 12, day); err != nil || !strings.HasPrefix(said, "Recorded.") {
		t.Errorf("%q, %v", said, err)
	}
	if _, err := d.RecordTemperature(ctx, room+"x", 12, day); err == nil || !strings.Contains(err.Error(), "potlife export") || strings.Contains(err.Error(), "reload") {
		t.Errorf("%v", err)
	}
}
