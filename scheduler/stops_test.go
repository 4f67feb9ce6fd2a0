package scheduler

import (
	"slices"
	"testing"

	"potlife/rooms"
)

// Where a floor takes more than a shift, the stop goes to the soft joint near its end that
// runs across it, and the plan says so; without the joint it goes to a whole
// row.
func TestStopsGoToMovementJoints(t *testing.T) {
	at := func(joint bool) []string {
		in := small(t, 3, 1)
		floor := rectangle("floor", rooms.Floor, 2400*mm, 3600*mm, field("small", "straight"))
		if joint {
			floor.SoftJoints = []rooms.SoftJoint{{A: rooms.Point{Y: 1600 * mm}, B: rooms.Point{X: 2400 * mm, Y: 1600 * mm}, Width: 8 * mm, Name: "slab"}}
		}
		in.Jobs[0].Sites[0].Rooms, in.Jobs[0].Sites[1].Rooms = []rooms.Room{{Key: "hall", Celsius: 20, People: 2, Surfaces: []rooms.Surface{floor}}}, nil
		in.Firm.Crews = in.Firm.Crews[:1]
		p := made(t, in)
		var stops []string
		for _, a := range p.Areas {
			stops = append(stops, a.StopAt)
		}
		return stops
	}
	with, without := at(true), at(false)
	if !slices.Contains(with, "the movement joint") {
		t.Errorf("the stops are %q", with)
	}
	if slices.Contains(without, "the movement joint") || len(without) > len(with) {
		t.Errorf("without a joint the stops are %q, with it %q", without, with)
	}
}
