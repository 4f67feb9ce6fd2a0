package scheduler

import (
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

// Input is everything a plan depends on; the same input gives the same plan.
type Input struct {
	Firm Firm
	Jobs []rooms.Job
	// Today is the first civil day on which work may be planned and orders
	// placed.
	Today rooms.Date
	// Now is the instant of planning: what is issued and begins later is not set
	// yet, so a new reading may still change its cuts. Zero counts all that is
	// issued as begun.
	Now time.Time
	// From is the instant before which nothing new starts: the work of a day that
	// can no longer be issued is not planned for it. Zero: the beginning of Today.
	From time.Time
	// Prior is the plan in force and Frozen, by crew, the instant up to which its
	// work may not change: what starts before it is carried over as it stands. A
	// crew that is not named has nothing issued.
	Prior  *Plan
	Frozen map[string]time.Time
	// Records are what crews and office reported, in order of time.
	Records []Record
	// Withdrawn, where given, are reports of broken pieces that Prior was made from
	// and that are not among Records any more.
	Withdrawn *Withdrawal
	// First are rooms ("job/room") to be done before all others.
	First []string
	// Received are order deliveries that have come in.
	Received []Receipt
	// Placed are the orders already placed: they are kept as they are.
	Placed []takeoff.Order
	// Memory, where given, spares a plan made again what has not changed since;
	// the plan is the same without it.
	Memory *takeoff.Memory

	supposed *supposed
}

// Record is one report.
type Record struct {
	// Kind is "area done", "area not done", "area started", "activity done",
	// "activity not done", "activity started", "pieces broken", "reading",
	// "temperature", "boxes opened", "away", "hours" or "note".
	Kind string
	At   time.Time
	// Day is the working day of the sheet it reports on; zero: that of At.
	Day  rooms.Date
	Crew string
	// Area names a setting area, Activity an activity, Pieces the broken ones
	// or, for "area done", those set (none means all).
	Area, Activity string
	Pieces         []string
	// Surface ("job/room/surface") and Reading for "reading".
	Surface string
	Reading rooms.Reading
	Minutes int // worked, for rates
	// DoneBy names those of the crew who did the work, for "area done", "activity done"
	// and "hours"; none is not said.
	DoneBy []string `json:",omitempty"`
	// Room ("job/room"), Product, Lot and Packages are for "boxes opened"; Room and
	// Celsius for "temperature", read there on Day.
	Room, Product, Lot string
	Celsius            float64
	Packages           float64
	// Away is who of Crew is absent, for "away".
	Away *Absence `json:",omitempty"`
	Note string
}

// Receipt is a delivery that came in.
type Receipt struct {
	Order, Product, Lot, Calibre string
	Packages                     float64
	At                           rooms.Date
	// Line is the order's line it is for, counted from 1; 0 is any of the product.
	Line int
	// Width and Height are the measured mean size of the lot's tiles; 0: not
	// measured.
	Width, Height rooms.Length
}

// Plan is the whole plan of the firm. Minutes count from Epoch.
type Plan struct {
	Firm    Firm `json:"-"`
	Jobs    []rooms.Job
	Today   rooms.Date
	Epoch   time.Time
	Horizon int // minutes from Epoch to the end of the calendars
	Finish  int
	Bound   int
	Status  string // solver status in words

	Layouts   []takeoff.Layout
	Stock     []takeoff.StockTile
	Rows      []takeoff.Row
	Materials []takeoff.Material
	Orders    []takeoff.Order
	Placed    int // how many of the orders, the first, were placed before it was made
	Stops     []takeoff.StopGroup
	Offcuts   []takeoff.Offcut // left of the cut tiles, worth keeping
	// ToYard are the offcuts that came to hand with this plan, of rooms that have left
	// it; Spent names the offcuts in hand from which something has been cut.
	ToYard []takeoff.YardOffcut
	Spent  []string

	Activities []Activity
	Areas      []Area
	Mixes      []Mix
	Sheets     []Sheet
	Findings   []takeoff.Finding
	RoomDates  []RoomDate
	Locks      map[string]takeoff.Lock
	// Holds is, by surface ("job/room/surface") with a ledger, how many minutes
	// the field above it holds before the courses under it are set.
	Holds map[string]int
	// Office are the firm's office hours and Hours each crew's working hours, by
	// crew key, over the span of the plan.
	Office []Interval
	Hours  map[string][]Interval
	// Digests are of what each room's layout depends on, by room: where a room
	// has not changed, a later plan takes its layouts over.
	Digests map[string]string
	// Learned are the rates as recorded, by kind of work.
	Learned []LearnedRate
	// Risk is what a simulation of uncertain durations and breakage says.
	Risk Risk

	OnHand  []takeoff.OnHand
	Summary []string
	// Changes are what orders placed should become, Counts the quantity chain by
	// surface, room, lot group and job, Costs what each room costs.
	Changes []takeoff.Change
	Counts  []takeoff.Count
	Costs   []RoomCost
}

// There is how many setters and helpers of a crew are there for an activity, and which
// where that makes a difference: by their place, the slowest first.
type There struct {
	Setters, Helpers     int
	OfSetters, OfHelpers uint64 `json:",omitempty"`
}

// Activity is one uninterrupted piece of work, a hold or a flood test.
type Activity struct {
	ID, Job, Site, Room string
	Surfaces            []string
	Kind, Title         string
	Crew                string // "" for holds
	Setters, Helpers    int
	// There are those of its crew for whose number and paces it is planned, where the
	// crew's people come and go by hours of their own.
	There         *There `json:",omitempty"`
	Start, Finish int
	// Ended is the minute at which carried work was reported done, 0 where nobody
	// said: what waits for it waits from then on.
	Ended    int `json:",omitempty"`
	Work     []Interval
	After    []After
	Products []Use
	// Skills and shared Tools it asks for; Noisy work keeps to its site's hours for
	// it.
	Skills, Tools []string
	Noisy         bool
	Notes         []string
	Critical      bool
	// BaseMinutes is the work at the firm's rates as given, before the paces of people and
	// what the crews record are taken into account; 0 where no rate applies.
	BaseMinutes float64
	// Class is that of most of the tile it sets or grouts, for what the crews record;
	// "" for other work.
	Class string `json:",omitempty"`
	// Shares are of those surfaces of which grout or a coat is done in part.
	Shares []SurfaceShare `json:",omitempty"`
	// Because says what it waited for last before it could start; "" where it is
	// carried over or nothing held it.
	Because string `json:",omitempty"`
	State   string // "planned", "issued", "done", "done, unconfirmed"
}

// Interval is [Start, End) in minutes since the plan's epoch.
type Interval struct{ Start, End int }

// After is a lag from the planned finish of another activity to this one's
// start. Least is below 0 where that one was reported done so much earlier that
// its wait was over before.
type After struct {
	Activity    string
	Least, Most int // Most -1: none
	Working     bool
	Why         string
}

// Use is a quantity of a product.
type Use struct {
	Product  string
	Quantity float64
	Unit     string
}

// Area is what is set without a stop, in its order.
type Area struct {
	ID, Activity  string
	Surfaces      []string
	Crew          string
	Start, Finish int
	// Ended is when it was reported set, 0 for as planned.
	Ended       int `json:",omitempty"`
	OpenMinutes int
	LimitsFrom  string
	Mortar      string
	KgPerM2     float64
	GroutAfter  int
	Pieces      []string
	Patches     []Patch
	M2, Kg      float64
	StopAt      string
}

// Patch is mortar spread at once.
type Patch struct {
	Pieces       []string
	Start, SetBy int
	M2           float64
}

// Mix is one bucket.
type Mix struct {
	ID, Crew, Product string
	Kg, WaterL        float64
	Start, UseBy      int // UseBy -1: no pot life
	PotMinutes        int // 0: none
	Activity          string
	Patches           []MixPatch
	// Also is the work that it goes on to after that of Activity, of a mix without
	// patches: grout left of one field serves the next.
	Also []MixWork `json:",omitempty"`
	// Packages is how many go into it whole or halved, 0 where it is weighed;
	// Thrown is what of it is left over and thrown away, in kg.
	Packages, Thrown float64
}

// MixWork is what an activity takes from a mix, in kg.
type MixWork struct {
	Activity string
	Kg       float64
}

// MixPatch is a patch fed by a mix.
type MixPatch struct {
	Area  string
	Index int
}

// RoomDate is when a room is handed over.
type RoomDate struct {
	Room          string
	Finish, Bound int
	LateDays      int
	Blocked       string
}

// Sheet is one crew's working day.
type Sheet struct {
	Date       rooms.Date
	Crew       string
	Revision   int // 0 until issued
	Activities []string
	Areas      []string
	Cuts       []CutGroup
	OnSite     []string
	Carry      []Carry
	Waits      []Wait
	Read       []string
	Cautions   []string
	Saving     string
}

// CutGroup is cuts of one tile with one tool at one stop setting.
type CutGroup struct {
	Tile, Tool string
	Sized      bool
	Size       rooms.Length
	Shape      string
	Pieces     []string
	From       []string // per piece, the stock tile it is cut from
	Ahead      bool
}

// Carry is what to bring to the room.
type Carry struct {
	Product, Lot string
	Quantity     float64
	Unit         string
	Kg           float64
}

// Wait is a cure or hold and when it ends.
type Wait struct {
	Room  string
	Until int
	Why   string
}
