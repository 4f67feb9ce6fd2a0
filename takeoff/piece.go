package takeoff

import "potlife/rooms"

// Layout is one surface laid out.
type Layout struct {
	Job, Site, Room, Surface string // keys
	// Outline is the surface as it will be when its tile is set: what was read,
	// corrected by readings and build-up.
	Outline rooms.Polygon
	// Openings in the corrected surface, by key, in the order of the surface.
	Openings []LaidOpening
	// Edges are those of the surface with the gaps that were kept.
	Edges    []rooms.Edge
	Zones    []ZoneLayout
	Findings []Finding
}

// LaidOpening is an opening where it lies on the corrected surface.
type LaidOpening struct {
	Key     string
	Outline rooms.Polygon
}

// ZoneLayout is one zone laid out.
type ZoneLayout struct {
	Zone rooms.Zone
	// Cover is what tile and joints fill: the zone less gaps, openings, soft
	// joints and other zones.
	Cover  []rooms.Polygon
	Pieces []Piece
	// Origin is the lower left corner of the tile numbered 0, 0 as chosen, but for the
	// courses and positions Skipped by the numbers; Why says in words why it won.
	Origin  rooms.Point
	Skipped Skipped `json:",omitzero"`
	Why     string
	// LevelLine is the height of the course joint the field starts from, and
	// Plumb the x of the vertical joint it grows from. Both run along sides of
	// tiles that lie on the surface.
	LevelLine, Plumb rooms.Length
	// RunnersUp are three other origins that lost, fewer where there is nothing else: of
	// straight and offset patterns the next, each of another rank, of those that none
	// within 5 mm betters, then the best beside them; of others the best of those weighed
	// that lie apart, then the best beside them.
	RunnersUp []RunnerUp
	// Lattice is the pattern as it lies, from which a runner-up can be drawn.
	Lattice Lattice
	// Movement lists the soft joints inside the zone, to be filled with sealant.
	Movement []MovementJoint
	// Free lists where the zone ends beside ground that is not tiled, each stretch
	// with the tile on its left.
	Free []FreeEdge `json:",omitempty"`
}

// Lattice is a pattern as it lies on a surface: the tiles of a cell, by their
// places from the origin, which U and V repeat.
type Lattice struct {
	U, V  rooms.Point
	Tiles []LatticeTile
}

// LatticeTile is a tile of the cell, turned and moved.
type LatticeTile struct {
	Tile  string
	Shape rooms.Ring
}

// RunnerUp is an origin that was weighed and lost. A zone with the datum At and
// this origin draws it.
type RunnerUp struct {
	Origin    rooms.Point
	Why       string
	Full, Cut int // whole and cut pieces
}

// MovementJoint is a soft joint from A to B. One that goes Through cuts the
// tiles it crosses; the others lie in a joint of the pattern.
type MovementJoint struct {
	A, B    rooms.Point
	Width   rooms.Length
	Through bool
	Why     string
}

func (j MovementJoint) through() bool { return j.Through }

// FreeEdge is a stretch from A to B on which a zone ends free.
type FreeEdge struct{ A, B rooms.Point }

// Piece is one tile, whole or cut, where it lies.
type Piece struct {
	// ID is unique in the plan and stable as long as the origin is: surface,
	// zone, course, position and, where an opening splits a tile, a letter.
	ID string
	// Label is what a marker writes on the back: course and position, "3.07", and
	// before them, where the surface has several zones, the zone's letter: "B3.07".
	Label            string
	Course, Position int
	Tile             string
	Polygon          rooms.Polygon
	Full             bool
	Cuts             []Cut
	// OnSite pieces are measured on site; OnSiteWhy names the reading that would
	// free them.
	OnSite    bool
	OnSiteWhy string
	// Late pieces are left out on purpose and set afterwards; the text is why.
	Late string
	// Turn is the number of quarter turns (counter-clockwise) from the tile's
	// own frame to the wall, for right-angled patterns; Degrees the whole turn.
	Turn    int
	Degrees float64
	// Tile frame: Place maps the tile's own frame to the surface: a point of
	// the tile's frame is turned by Degrees about 0, 0 and moved by Place.
	Place rooms.Point
	// AreaMM2 is the piece's area in mm².
	AreaMM2 float64
}

// Tools of a cut.
const (
	Snap    = "score and snap"
	WetSaw  = "wet saw"
	HoleSaw = "hole saw"
	Grinder = "grinder"
)

// Cut is one cut of a piece.
type Cut struct {
	// Side of the piece as laid: "left", "right", "top", "bottom", or "shape"
	// for notches, holes and free lines, whose Sized is false.
	Side  string
	Sized bool
	// Drawn is the distance from the opposite factory edge to the cover line;
	// Size what is printed and cut; Least … Most what keeps the gap in its
	// limits. Before stop settings are chosen Size is Drawn rounded down.
	Drawn, Size, Least, Most rooms.Length
	// Shape describes a notch, hole, taper or free line in words with its figures.
	Shape string
	Tool  string
	// At names the boundary that made the cut: "top edge, inside corner",
	// "opening window", "zone band" (the one beyond), "fold to field 2", "free edge of
	// zone field".
	At string

	Rise rooms.Length // of a taper: the difference between its two ends
	// Trim is, of a sized cut, the cut that trims the edge across before; the piece has
	// it too, unless its place in the tile makes it needless.
	Trim FirstTrim `json:",omitzero"`
}

// Finding is a remark on a plan with the rule's figure and source.
type Finding struct {
	Rule, Severity, Where, Message string
	Value, Limit                   float64
	Source                         string
	// Waived is the reason on record for which the finding is set aside.
	Waived string
}

// Severities of findings.
const (
	Info = "info"
	Warn = "warn"
	Stop = "stop"
)

// StockTile is one tile out of a box, or an offcut in hand, with the pieces cut from
// it.
type StockTile struct {
	ID, Tile, Lot string
	Group         string // lot group it belongs to
	Broken        bool
	// Coming marks a tile that has been issued although its boxes have no lot yet:
	// what is seen together with it waits for the same purchase.
	Coming bool
	// Uncut marks a tile whose cuts are settled and not made yet: breakage still
	// lies ahead of it.
	Uncut  bool
	Pieces []StockPiece
	// Offcut is what the tile is where it is an offcut that was kept, and not one out
	// of a box; its pieces lie where they lay in the whole tile.
	Offcut *YardOffcut `json:",omitempty"`
	// Gone is what was cut from it for pieces that broke or have left the plan.
	Gone []rooms.Polygon `json:",omitempty"`
}

// StockPiece is a piece in its tile's own frame, at the printed size.
type StockPiece struct {
	Piece   string
	Polygon rooms.Polygon
}

// Row is the takeoff of one tile in one group of rooms seen together.
type Row struct {
	Tile, Group       string
	Rooms             []string
	Lot               string // "" where none is fixed yet
	Split             string // why more than one lot serves the group
	Pieces, Full, Cut int
	Stock, StockBound int // tiles out of boxes
	InHand            int // offcuts in hand that serve beside them
	Spares, Attic     int
	Quantity          int
	FlatQuantity      int
	Boxes             int
	FromStock         int // boxes taken from lots on hand
	How               string
}

// Material is the quantity of one product over a set of surfaces.
type Material struct {
	Product, Kind, Unit string
	Net, Quantity       float64 // Quantity = Packages × PackageSize
	Packages            int
	PackageSize         float64
	Surfaces            []string
	How                 string
}

// Order is a purchase order to be placed: what one supplier brings to one place
// on one day.
type Order struct {
	Key, Supplier string
	// Place is where it is delivered: a site as "job/site", empty for the yard.
	// DeliverTo is that place as written on the order, with its address; Buyer is
	// who buys.
	Place, DeliverTo string
	Buyer            Buyer
	NeedBy           rooms.Date // first use
	OrderBy          rooms.Date
	// Delivery is the day it comes, Ready when the first of it can be used; each
	// line has its own.
	Delivery, Ready  rooms.Date
	Currency         string
	Lines            []OrderLine
	Total            Money
	Late             bool // OrderBy lies before today
	Rooms            []string
	WhyMerged, Notes string
	// Remark is what whoever placed it writes to the supplier; Notes and WhyMerged
	// are for the buyer alone.
	Remark string
	// Saved is the freight that deliveries of their own would have cost beyond it.
	Saved Money
}

// OrderLine is a line of an order; Product is empty for freight.
type OrderLine struct {
	Product, Lot, Text string
	Quantity           float64 // packages; boxes for tiles
	Unit               string  // "box", "bag" …
	UnitPrice, Amount  Money
	NeedBy             rooms.Date
	// Ready is when it is opened, checked and acclimatised; zero: with the order.
	Ready rooms.Date
	Rooms []string
	// Groups are the lot groups that a line of tile is for.
	Groups []string
}

// ReadyOf is when a line of the order can be used.
func (o *Order) ReadyOf(l *OrderLine) rooms.Date {
	if l.Ready.IsZero() {
		return o.Ready
	}
	return l.Ready
}

// StopGroup is the cuts of one tile that one stop setting serves.
type StopGroup struct {
	Tile, Tool string
	Size       rooms.Length
	Least      rooms.Length // the interval common to all its cuts
	Most       rooms.Length
	Pieces     []string
}

// OnHand is what lies in the yard or on a site of a product, by lot.
type OnHand struct {
	Product, Lot string
	Quantity     float64
	Unit         string // "box", "tile" (loose tiles) or "package"
}
