// Package takeoff turns rooms into tile: pattern, layout, pieces, cuts,
// quantities, lots and purchase orders. It imports rooms and the standard
// library only.
package takeoff

import "potlife/rooms"

// Money counts 1/10 000 of the currency's unit.
type Money int64

// Tile is a tile product. Every value is the product's own; the data sheet
// overrides any default.
type Tile struct {
	Key, Name, Supplier string
	// Shape is the tile's outline in its own frame, counter-clockwise, convex,
	// its bounding box starting at 0, 0: its true mean size, not the nominal
	// one.
	Shape     rooms.Ring
	Thickness rooms.Length
	PerBox    int
	BoxKg     float64
	// BoxesPerPallet, 0 where not known.
	BoxesPerPallet int
	// Material: "ceramic", "porcelain", "glass", "stone".
	Material string
	// Directional faces may not be turned: cuts keep the face's way up.
	Directional bool
	// Finished edges can be seen: glazed or rounded, or coloured through.
	Finished bool
	// StoneWidth and StoneHeight are the size of the stones of a mosaic that comes in
	// sheets; 0 is no mosaic, or one of which nobody said.
	StoneWidth, StoneHeight rooms.Length
	// Rectified edges; Variation is the facial size variation as supplied.
	Rectified bool
	Variation rooms.Length
	// Warpage is how far its longest edge bows, measured at mid-edge; 0 is not
	// known.
	Warpage rooms.Length
	// MinStrip is the narrowest strip the score-and-snap cutter leaves; 0 takes
	// the trade's default by thickness.
	MinStrip rooms.Length
	// SawDry is how many minutes a piece dries after the wet saw before it is set; 0
	// is not given, below 0 none.
	SawDry int
	// BreakChance is the share of cut tiles that break; 0 takes the default by
	// tool and material. Attic is the number of tiles kept for repairs, as a
	// share of tiles laid.
	BreakChance, Attic float64
	// DefectChance is the share of whole tiles that come broken or unfit; 0
	// takes the default.
	DefectChance float64
	PricePerBox  Money
	// WaitDays lie between delivery and first use; 0 takes the firm's, negative
	// none.
	WaitDays int
	// NoReturn marks what the supplier does not take back: special orders.
	NoReturn bool
	// Of and OfLot name the tile and the lot that this tile is as measured, in a plan
	// that lays rooms out for it; empty for a tile of the catalogue.
	Of, OfLot string
}

// Product kinds other than tile.
const (
	KindMortar   = "mortar"
	KindGrout    = "grout"
	KindSealant  = "sealant"
	KindMembrane = "membrane"
	KindPrimer   = "primer"
	KindLeveller = "leveller"
	KindBoard    = "board"
	KindTrim     = "trim"
	KindBacker   = "backer rod"
	KindSpacer   = "spacer"
)

// Product is anything bought by the package that is not tile.
type Product struct {
	Key, Name, Supplier, Kind string
	// Unit: "kg", "l", "m", "m2", "piece"; PackageSize is how many units a
	// package holds (20 kg, 50 lb as 22.68 kg, 0.31 l, 2.5 m).
	Unit        string
	PackageSize float64
	Package     string // "bag", "pail", "cartridge", "bar" …
	Price       Money  // of a package
	// Content is what a package holds as its supplier writes it ("50 lb", "10.1 fl
	// oz"); empty prints PackageSize and Unit.
	Content string
	Sheet   DataSheet
	// Diameter of a backer rod, 0 where not given.
	Diameter rooms.Length
	// StockLength is the length of a bar of trim or a length of backer rod, where a
	// package holds several; 0: a package of trim is one bar, a rod comes on a roll.
	StockLength rooms.Length
	// WaitDays and NoReturn as of a tile.
	WaitDays int
	NoReturn bool
}

// How much of a package goes into a mix.
const (
	PortionWhole  = "whole"
	PortionHalf   = "half"
	PortionGauged = "gauged"
)

// Portions are all of them.
func Portions() []string { return []string{PortionWhole, PortionHalf, PortionGauged} }

// DataSheet holds a product's own figures; zero means not given, and the
// trade's default (which names its source) applies.
type DataSheet struct {
	// PerM2 is consumption in Unit per m² (mortar at its usual trowel, membrane
	// over all coats, primer); PerMM is leveller in kg per m² and mm.
	PerM2, PerMM float64
	// Density in kg per litre of joint (grout).
	Density float64
	// WaterPerKg in litres of mix water per kg of powder.
	WaterPerKg float64
	// PotMinutes and OpenMinutes at Reference °C; 0 for ready-mixed (no pot life).
	PotMinutes, OpenMinutes int
	ReadyMixed              bool
	// Resin marks a reaction resin such as epoxy, of two parts: no water, mixed in
	// whole packs unless Portion says otherwise.
	Resin bool
	// Portion is how much of a package a mix takes: one of the Portion constants;
	// empty is gauged, and whole for a resin.
	Portion string
	// PatchCapM2 caps the area spread at once; 0 is no cap.
	PatchCapM2 float64
	// Waits on the clock, in minutes at Reference °C; below 0 is none, 0 not given.
	// SealAfter is how long grout dries before soft joints beside it are sealed.
	SealAfter int
	// GroutWithin is the latest time for grout, 0 none.
	GroutWithin                                                        int
	GroutAfter, WalkAfter, FullAfter, WetAfter, RecoatAfter, TileAfter int
	// RecoatWithin and CoverWithin are the latest times, 0 none.
	RecoatWithin, CoverWithin int
	Coats                     int
	// Carries is how many kg/m² of tile and bed a board or a membrane carries on a
	// wall.
	Carries float64
	// PanelWidth and PanelLength of a board, or the width and length of a roll of
	// sheet membrane, in units of m2: what is needed is then cut from whole ones.
	PanelWidth, PanelLength rooms.Length
	Reference               float64
	// MinCelsius and MaxCelsius bound the temperature at which it may be used; 0
	// is not given. Below MinCelsius it does not cure either.
	MinCelsius, MaxCelsius float64
	// Curing says how its waits grow below Reference; the zero value takes the
	// firm's.
	Curing Curing
	// SawDry, of a mortar, is how many minutes a piece dries after the wet saw before
	// it is set; 0 is not given, below 0 none.
	SawDry int
	// ShelfDays is how long an unopened package keeps.
	ShelfDays int
	// LimitsFrom says where the figures come from: "data sheet", or a source.
	LimitsFrom string
}

// Rules by which a wait grows in the cold.
const (
	RuleAge      = "equivalent age" // after Arrhenius, ASTM C1074
	RuleMaturity = "maturity"       // after Nurse and Saul, ASTM C1074
	RuleDoubling = "doubling"       // a step colder doubles the wait
	RuleNone     = "none"           // the wait stays as the sheet has it
)

// Rules are all of them.
func Rules() []string { return []string{RuleAge, RuleMaturity, RuleDoubling, RuleNone} }

// Curing is how a wait grows below its reference temperature; no rule shortens
// it.
type Curing struct {
	Rule string // one of the Rule constants; empty: not chosen, or equivalent age
	// ActivationKJ is the activation energy of the equivalent age in kJ/mol; 0 takes
	// Q = 5 000 K, about 41.6.
	ActivationKJ float64
	// DoublesEvery is the step in °C that doubles a wait; 0 takes 8.
	DoublesEvery float64
	// Datum in °C is where maturity stops; 0 is C1074's own for Type I cement.
	Datum float64
}

// Supplier sells products.
type Supplier struct {
	Key, Name, Email string
	// LeadDays is the lead time in the supplier's working days.
	LeadDays, BufferDays int
	Days                 rooms.Days
	MinOrder, FreeFrom   Money
	Freight              Money // charged per delivery below FreeFrom
	// Unattended says that goods are left where nobody is there to take them in.
	Unattended bool `json:",omitempty"`
	// Returns of unopened packages are taken within ReturnDays of delivery (0:
	// never) less the share ReturnFee of their price.
	ReturnDays int
	ReturnFee  float64
	// ReturnLeast is the smallest number of packages of a product that is taken
	// back, 0 any.
	ReturnLeast int
}

// Buyer is who buys, as it stands on orders, and where the yard is.
type Buyer struct {
	Name, Address, Phone, Email string
	// TaxNumber is the tax or VAT number.
	TaxNumber string
	// Yard is the address to which goods go that no site takes; empty is Address.
	Yard string
}

// Lot is tile of one shade and calibre that lies in the yard or on a site, or
// is on offer.
type Lot struct {
	Tile, Lot, Calibre string
	Boxes              int
	// Tiles are loose tiles beyond whole boxes.
	Tiles int
	// Offered lots have not been bought yet.
	Offered bool
	// Width and Height are the mean size measured when it came in; 0 is not
	// measured.
	Width, Height rooms.Length
}

// Stock is what lies in the yard of a product that has no lots.
type Stock struct {
	Product  string
	Packages float64
}

// Catalogue is what the firm can buy and what it has.
type Catalogue struct {
	Currency  string
	Buyer     Buyer
	Tiles     []Tile
	Products  []Product
	Suppliers []Supplier
	Lots      []Lot
	Stock     []Stock
	// Offcuts that were kept: what takes the same tile of the same lot is cut from
	// them where that saves a tile.
	Offcuts []YardOffcut
	// ServiceLevel is the probability that breakage does not exhaust the spares
	// (default 0.98).
	ServiceLevel float64
	// FlatShare is the trade's flat percentage by pattern family, shown beside
	// the exact figure; empty takes the defaults.
	FlatShare map[string]float64
	// EarlyDays is how long before its own delivery date goods may come so as to
	// share a delivery; 0 takes DefaultEarlyDays, negative none. They may come up to four
	// times as early where holding them costs less than the freight that this saves.
	EarlyDays int
	// HoldShare is what it costs to hold goods for a week, as a share of their price; 0
	// takes DefaultHoldShare.
	HoldShare float64
	// Movement names the standard by which soft joints are placed where a surface
	// says nothing itself: one of MovementStandards; empty takes the first.
	Movement string
}

// Holds says what a package holds, as its supplier writes it.
func (p *Product) Holds() string {
	if p.Content != "" {
		return p.Content
	}
	return rooms.Grouped(trimmed(p.PackageSize, 3)) + " " + rooms.Plural(p.Unit, p.PackageSize)
}
