// Package rooms holds what was measured: lengths, polygons, and the tree from
// job to site, room, surface, opening and edge. It is pure: no clock, no
// database, no files.
package rooms

// Job is one contract: rooms on one or more sites with a start date.
type Job struct {
	Key, Name, Client string
	// Movement names the standard by which soft joints are placed and layouts
	// judged; empty is the firm's.
	Movement string
	// ClientSigns asks for the client's signature on a room's layout before goods
	// for the room are ordered.
	ClientSigns bool
	Start       Date
	Sites       []Site
}

// Site is one address.
type Site struct {
	Key, Name, Address string
	// Contact is who takes goods in there: a name and a telephone number.
	Contact string
	// Hours are the times of day at which work is allowed, by weekday
	// (0 = Sunday); none means whenever the crew works.
	Hours []DayHours
	// Closed are dates on which nobody works there, whatever the hours.
	Closed []Date
	// Noise are the times of day at which loud work is allowed (grinding, drilling,
	// power saws); none means whenever work is.
	Noise []DayHours
	// Storage is how much may lie on the site at once, in kg; 0 is no limit.
	StorageKg float64
	// StoragePallets is how many pallets of tile may stand on the site at once; 0
	// is no limit.
	StoragePallets int
	// Deliver says where goods for the site are delivered: ToSite, ToYard, or
	// empty for the site where its address is known and the yard otherwise.
	Deliver string
	Rooms   []Room
}

// Where goods for a site are delivered.
const (
	ToSite = "site"
	ToYard = "yard"
)

// TakesDeliveries reports whether suppliers deliver to the site itself.
func (s *Site) TakesDeliveries() bool {
	return s.Deliver == ToSite || s.Deliver == "" && s.Address != ""
}

// DayHours is an interval of the day on one weekday, in minutes from midnight.
type DayHours struct {
	Weekday    int // 0 = Sunday … 6 = Saturday
	Start, End int // minutes after midnight, Start < End ≤ 1440
}

// Room is what a crew sets as a whole: one bathroom, one shower.
type Room struct {
	Key, Name string
	// Due is the day on whose evening the room is to be handed over; Ready the
	// first day on which tile work may start in it (zero: the job's start).
	Due, Ready Date
	// Celsius is the air temperature while work and cures go on there, on days of
	// which Temperatures says nothing (see CelsiusOn). 0 is not known, unless AtZero
	// says that it is 0 °C.
	Celsius      float64
	AtZero       bool
	Temperatures []Temperature
	// People is how many can work in the room at once.
	People int
	// Crew names the crew that must do the room; empty leaves the choice open.
	Crew string
	// Group names what is seen together: rooms of one group take tile of one
	// lot and calibre. Empty: the room by itself.
	Group string
	// Split accepts that tile of more than one lot goes into what is seen together
	// and says where the change may lie: one of the Split constants; empty: one lot.
	Split string
	// Order of work: "walls then floor" (default), "floor then walls".
	Order string
	// Recipe names the sequence of activities; empty takes the built-in one by
	// surface kind.
	Recipe   string
	Holds    []Hold
	Surfaces []Surface
	// Obstacles stand on the floor when the room is in use; see takeoff's view.
	Obstacles []Obstacle
}

// Obstacle is what stands on a floor and hides cuts: a vanity, a tub, a cupboard.
type Obstacle struct {
	Key, Name string
	// Outline on the floor, in the coordinates of the room's first floor.
	Outline Ring
	// Tall hides the walls behind it too.
	Tall bool
}

// Where what is seen together may change from one lot to another, those that
// hide it best first.
const (
	SplitRooms     = "room from room"
	SplitFloor     = "floor from walls"
	SplitRoomFloor = "floor from walls of each room"
	SplitSurfaces  = "surface from surface"
)

// Hold is a stop in a room's sequence that others end: a plumber, an
// inspection. After and Before name activity kinds.
type Hold struct {
	Key, Why      string
	After, Before string
	// Until is the date on which it is expected to end, by the end of the office's
	// hours; Minutes, elapsed, is used when Until is zero.
	Until   Date
	Minutes int
}

// Surface kinds.
const (
	Floor       = "floor"
	Wall        = "wall"
	Ceiling     = "ceiling"
	ShowerFloor = "shower floor"
	TubSurround = "tub surround"
	NicheFace   = "niche face"
	Bench       = "bench"
	Kerb        = "kerb"
	Splash      = "splash"
)

// Layers on which a reading can be taken, from the structure outwards.
const (
	Stud     = "stud"
	Board    = "board"
	Render   = "render"
	Leveller = "leveller"
	Membrane = "membrane"
	Tiled    = "finished tile"
)

// Surface is one plane to be tiled.
type Surface struct {
	Key, Name, Kind string
	// Outline as read on Layer, counter-clockwise, simple. Edges[i] runs from
	// Outline[i] to the next point.
	Outline Ring
	Layer   string
	Edges   []Edge
	// Measured says that the outline was read on Layer as it will stay. Where that
	// is the last layer before setting its cuts may be made ahead; otherwise its
	// edge cuts are expected sizes only, to be measured on site. Edge.Unmeasured and
	// readings on the last layer refine it (see Released).
	Measured bool
	// Wet marks surfaces that get a membrane before they are tiled.
	Wet      bool
	Readings []Reading
	// Checks are measures across the surface, held against what the readings say.
	Checks   []Check
	Openings []Opening
	// Zones divide the surface; a zone without Region takes what the others
	// leave (at most one such zone).
	Zones []Zone
	// Build is what lies between the layer read and the finished tile.
	Build BuildUp
	// Ledger says that the first full course stands on a batten and the course
	// under it is set when the field has held.
	Ledger bool
	// Prepare lists the preparation this surface needs: any of "level",
	// "prime", "board", "membrane", "flood test"; "prepare" always comes first.
	Prepare []string
	// LevellerDepth is the mean depth of leveller where "level" is asked for.
	LevellerDepth Length
	// Base is new ground that dries before it is worked on; nil where it is old.
	Base *Base
	// Difficulty multiplies the setting time; 0 counts as 1.
	Difficulty float64
	// SoftJoints go straight through the tile where they are: over structural,
	// construction and saw-cut joints below.
	SoftJoints []SoftJoint
	// MovementLimit is the longest run without a soft joint; 0 takes the trade's
	// default by Wet and Sunny.
	MovementLimit Length
	// Sunny surfaces lie in direct sun or over heating, Outside ones in the weather,
	// Suspended floors on a slab or joists above another storey.
	Sunny, Outside, Suspended bool
	// Falls of a floor with a drain; nil is not known.
	Falls *Falls
	// LeftOut are pieces that are set after the field, on purpose.
	LeftOut []LeftOut
	// Waivers set findings aside, with the reason that stays on record.
	Waivers []Waiver
}

// SoftJoint is a straight movement joint from A to B.
type SoftJoint struct {
	A, B  Point
	Width Length
	Name  string
}

// Waiver sets the findings of one rule on a surface aside.
type Waiver struct{ Rule, Why string }

// BuildUp gives the thicknesses that change a surface's true outline: those
// set on the neighbouring surfaces before this one, by edge.
type BuildUp struct {
	// Deduct[i] is taken off at edge i (a neighbour's tile and bed, a
	// leveller); negative adds. None at all leaves it to be computed from what the
	// neighbours that share the edges are to be tiled with.
	Deduct []Length
}

// What an edge meets.
const (
	InsideCorner  = "inside corner"
	OutsideCorner = "outside corner"
	AtFloor       = "floor"
	AtCeiling     = "ceiling"
	AtTub         = "tub"
	AtTray        = "tray"
	Doorway       = "doorway"
	Fixture       = "fixture"
	FreeEdge      = "free edge"
)

// What fills the gap at an edge.
const (
	FillSealant = "sealant"
	FillGrout   = "grout"
	FillTrim    = "trim"
	FillNothing = "nothing"
	FillMitre   = "mitre" // both tiles run to the arris, their backs cut away at half its angle
)

// Edge is one side of an outline.
type Edge struct {
	// Meets is what lies beyond the edge.
	Meets string
	// Gap is kept clear between tile and edge: nominal, least and most.
	Gap, GapMin, GapMax Length
	// Fill is what closes the gap; FillTrim names a product in Trim.
	Fill, Trim string
	// Seen edges want full tiles or large cuts. Hidden edges take cuts whatever
	// the line of sight from the door says. Where neither is said that decides.
	Seen, Hidden bool
	// Shared names the edge of another surface ("room/surface#3") that is the
	// same line, so that its sealant and trim are counted once; of a niche's face
	// the opening that it lines ("room/wall#niche").
	Shared string
	// Beyond is how high an existing floor beyond a doorway stands over the ground
	// that this floor is built up from; 0 is not known.
	Beyond Length
	// Angle is what an outside corner measures through the wall, in degrees; 0 takes
	// it from the floor's outline, and a right angle where that does not tell.
	Angle float64
	// Unmeasured edges get no cuts ahead although the surface is measured.
	Unmeasured bool
}

// Opening is a part of the surface that is not tiled.
type Opening struct {
	Key, Kind string // "door", "window", "niche", "drain", "pipe", "valve", "fixture" …
	Outline   Ring
	// Gap kept around it: nominal, least and most.
	Gap, GapMin, GapMax Length
	// Fill is what closes the gap; FillTrim names a product in Trim.
	Fill, Trim string
	// NotYet marks fixtures that are not in place: pieces at them are measured
	// on site.
	NotYet bool
	// Seen and Hidden are as for edges.
	Seen, Hidden bool
	// Hinge is the side on which a door that opens into the room hangs, seen from
	// inside; empty where it opens the other way or slides.
	Hinge string
}

// OpeningKinds are the kinds of opening, each with its usual gap; a fixture is
// anything else.
func OpeningKinds() []string {
	return []string{"door", "window", "niche", "drain", "pipe", "valve", "fixture"}
}

// Sides on which a door hangs.
const (
	HingeLeft  = "left"
	HingeRight = "right"
)

// Zone is a part of a surface that is set in one way.
type Zone struct {
	Key string
	// Region is the zone's own part of the surface; empty takes the rest.
	Region Ring
	// Tile, Mortar, Grout and Sealant name products of the firm.
	Tile, Mortar, Grout, Sealant string
	// Tiles names the further tiles of a pattern of several sizes, in the order
	// the pattern lists them after Tile.
	Tiles []string
	// Pattern names a pattern: "straight", "offset 1/2", "offset 0,1/3,2/3",
	// "diagonal", "herringbone" …; Turn is its direction in degrees.
	Pattern string
	Turn    int
	Joint   Length
	Datum   Datum
	// Sideways stands a rectangular tile on its short side.
	Sideways bool
	// BackButter adds a skim to the back of each tile.
	BackButter bool
	// Trim names the profile along sides of the zone that end free, beside ground
	// that is not tiled; empty leaves the tile's own edge there.
	Trim string
}

// Datum policies.
const (
	Best      = "best"       // origin search, by the surface's own
	OnJoint   = "on joint"   // a joint on the centre line
	OnTile    = "on tile"    // a tile on the centre line
	FullLeft  = "full left"  // a full tile from the left edge
	FullRight = "full right" // a full tile from the right edge
	FullLow   = "full low"   // a full course from the lower edge
	FullHigh  = "full high"  // a full course below the upper edge
	At        = "at"         // origin given
	// Carry goes on from the wall beyond an inside corner, so that the offcut of
	// its last piece is the first of this one. Across only; the edge must be
	// Shared with the other wall's.
	Carry = "carry round"
)

// Datum says where a pattern starts: a policy along x and one along y. None at
// all along x is the best too, but walls in an offset pattern that share an
// inside corner then go on from each other. At uses X and Y: the lower left
// corner of the tile numbered 0, 0.
type Datum struct {
	Across, Up string
	X, Y       Length
}

// Kinds of check.
const (
	WidthAt   = "width"        // level, at the height At
	HeightAt  = "height"       // upright, at the distance At from the left
	Diagonal  = "diagonal"     // from the first corner to the third
	Diagonal2 = "diagonal 2-4" // from the second to the fourth
	LengthOf  = "length"       // of an edge, from corner to corner
	Plumb     = "plumb"        // how far an edge's upper end lies outside (+) or inside (-) of plumb over its lower end
	Square    = "3-4-5"        // between two marks, At and Leg from the corner where an edge begins
)

// Check is a measure across a surface.
type Check struct {
	Kind      string
	At, Value Length
	// Edge is meant by lengths and plumb lines, and begins at a 3-4-5's corner: At
	// goes along it, Leg along the edge before it.
	Edge int
	Leg  Length
}

// Reading is one measurement taken on a surface.
type Reading struct {
	// Edge is the index of the edge that moved, or -1 for checks of the whole.
	Edge int
	// At is the distance along the edge, Deviation how far the true edge lies
	// outside (+) or inside (-) of the outline there.
	At, Deviation Length
	Layer         string
	Note          string
}
