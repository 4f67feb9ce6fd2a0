package scheduler

import "potlife/takeoff"

// RoomCost is what a room costs: goods by the takeoff and labour by the schedule,
// as planned, and what has been recorded of it so far.
type RoomCost struct {
	Room, Job string
	// Goods at the catalogue's prices, boxes and packages whole.
	Tiles, Products takeoff.Money
	// SetterMinutes and HelperMinutes are planned, of one person each; Labour is
	// their cost at the crews' hourly rates.
	SetterMinutes, HelperMinutes int
	Labour                       takeoff.Money
	// Done are the planned minutes, of one person each, of the activities that are
	// done, Worked those recorded for them, and WorkedLabour their cost: the
	// variance of what is done is Worked less Done.
	Done, Worked             int
	DoneLabour, WorkedLabour takeoff.Money
	// TilesPlanned and TilesUsed are stock tiles of the pieces set so far: those the
	// plan took for them, and with breakage those it really took.
	TilesPlanned, TilesUsed int
}

// Total is the room's planned cost.
func (c RoomCost) Total() takeoff.Money { return c.Tiles + c.Products + c.Labour }
