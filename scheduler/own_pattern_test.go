package scheduler

import (
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// A pattern of the firm's own lays the rooms that name it: one that is drawn as
// the built-in third offset is gives the same pieces under its own name.
func TestPatternOfTheFirmsOwn(t *testing.T) {
	in := small(t, 3, 1)
	third, err := takeoff.PatternNamed("offset 1/3", nil)
	if err != nil {
		t.Fatal(err)
	}
	third.Name = "lap"
	in.Firm.Patterns = []takeoff.Pattern{third}
	with := func(name string) *Plan {
		for s := range in.Jobs[0].Sites {
			for r := range in.Jobs[0].Sites[s].Rooms {
				for f := range in.Jobs[0].Sites[s].Rooms[r].Surfaces {
					face := &in.Jobs[0].Sites[s].Rooms[r].Surfaces[f]
					for z := range face.Zones {
						if face.Kind == rooms.Floor {
							face.Zones[z].Pattern = name
						}
					}
				}
			}
		}
		return made(t, in)
	}
	built, own := with("offset 1/3"), with("lap")
	if built.Finish != own.Finish || len(built.Rows) == 0 || len(built.Rows) != len(own.Rows) {
		t.Fatalf("done at %d with %d rows, and at %d with %d", built.Finish, len(built.Rows), own.Finish, len(own.Rows))
	}
	for i, row := range built.Rows {
		if other := own.Rows[i]; row.Pieces != other.Pieces || row.Stock != other.Stock {
			t.Errorf("%s: %d pieces of %d tiles, and %d of %d", row.Tile, row.Pieces, row.Stock, other.Pieces, other.Stock)
		}
	}
}
