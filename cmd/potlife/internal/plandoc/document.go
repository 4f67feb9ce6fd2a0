// Package plandoc is the plan document "potlife-plan/1": one JSON document
// from which a stranger can re-check a whole plan. Pages, sheets and files are
// made from it and from nothing else.
//
// Lengths are mm, instants RFC 3339 with an offset, dates YYYY-MM-DD in Zone,
// amounts decimal strings. Fields marked "also" are ours beyond the fixed ones.
package plandoc

import "encoding/json"

// Format names the document's version.
const Format = "potlife-plan/1"

// Document is the whole plan.
type Document struct {
	Format      string     `json:"format"`
	Zone        string     `json:"zone"`
	Currency    string     `json:"currency"`
	Hours       []Span     `json:"hours"`
	Finish      string     `json:"finish"`
	FinishBound string     `json:"finish_bound"`
	Jobs        []Job      `json:"jobs"`
	Sites       []Site     `json:"sites"`
	Travel      []Travel   `json:"travel"`
	Rooms       []Room     `json:"rooms"`
	Tiles       []Tile     `json:"tiles"`
	Surfaces    []Surface  `json:"surfaces"`
	Stock       []Stock    `json:"stock"`
	Takeoff     []Takeoff  `json:"takeoff"`
	Materials   []Material `json:"materials"`
	OnHand      []OnHand   `json:"on_hand"`
	Orders      []Order    `json:"orders"`
	Crews       []Crew     `json:"crews"`
	Activities  []Activity `json:"activities"`
	Areas       []Area     `json:"areas"`
	Mixes       []Mix      `json:"mixes"`
	Sheets      []Sheet    `json:"sheets"`
	Findings    []Finding  `json:"findings"`

	// Also: who plans, in which units, from when, and in words what was found.
	Firm        string       `json:"firm"`
	Units       string       `json:"units"` // "metric" or "imperial"
	Today       string       `json:"today"` // the first day this plan was free to decide
	Products    []Product    `json:"products"`
	Tools       []Tool       `json:"tools"` // shared ones, of which the firm has few
	Suppliers   []Supplier   `json:"suppliers"`
	StopSetting []StopSaving `json:"stop_settings"`
	Offcuts     []Offcut     `json:"offcuts"` // left of the cut tiles, worth keeping
	// Changes are what orders placed should become now, Counts the quantity chain of
	// tile by surface, room, lot group and job, Costs what rooms cost.
	Changes []Change `json:"changes"`
	Counts  []Count  `json:"counts"`
	Costs   []Cost   `json:"costs"`
	Summary []string `json:"summary"`
}

// Span is an interval [start, finish] of instants.
type Span [2]string

// Point is [x, y] in mm.
type Point [2]MM

// MM is a length in mm, printed with as many of six decimals as it needs.
type MM float64

// MarshalJSON prints six decimals at most and no exponent.
func (m MM) MarshalJSON() ([]byte, error) { return appendMM(nil, float64(m)), nil }

// Polygon has its outer ring counter-clockwise; rings are not closed.
type Polygon struct {
	Outer []Point   `json:"outer"`
	Holes [][]Point `json:"holes"`
}

// Job is a contract.
type Job struct {
	Key    string `json:"key"`
	Name   string `json:"name"`
	Client string `json:"client"`
	Start  string `json:"start"`
}

// Site is an address.
type Site struct {
	Key     string `json:"key"`
	Job     string `json:"job"`
	Name    string `json:"name"`
	Address string `json:"address"`
	// Open and Noise are when work and loud work are allowed over the span of the
	// plan; empty: whenever the crews work.
	Open  []Span `json:"open"`
	Noise []Span `json:"noise"`
}

// Travel is the way between two sites, in minutes, either way.
type Travel struct {
	From    string `json:"from"`
	To      string `json:"to"`
	Minutes int    `json:"minutes"`
}

// Room is a room to hand over.
type Room struct {
	Key    string  `json:"key"`
	Job    string  `json:"job"`
	Site   string  `json:"site"`
	Name   string  `json:"name"`
	Due    *string `json:"due"`
	People int     `json:"people"`

	Ready   string  `json:"ready"`
	Celsius float64 `json:"celsius"`
	Group   string  `json:"group"`
	// Finish is when the room is handed over; Bound no plan hands it over
	// earlier; LateDays whole days after Due.
	Finish   string `json:"finish"`
	Bound    string `json:"bound"`
	LateDays int    `json:"late_days"`
	Blocked  string `json:"blocked"` // what it waits for, in words
	// Half and Eighty are when it is handed over in 50 % and in 80 % of the runs
	// of a simulation of uncertain durations and breakage, Chance how often by its
	// due date (1 without one).
	Half   string  `json:"half"`
	Eighty string  `json:"eighty"`
	Chance float64 `json:"chance"`
	// Temperatures are the days that have their own, the later of two holding.
	Temperatures []Temperature `json:"temperatures"`
}

// Temperature is the air of a room from one day to another, both counted.
type Temperature struct {
	From     string  `json:"from"`
	To       string  `json:"to"`
	Celsius  float64 `json:"celsius"`
	Forecast bool    `json:"forecast"` // a reading of the same day goes before it
}

// Tool is a tool that crews share.
type Tool struct {
	Key   string `json:"key"`
	Count int    `json:"count"`
}

// Tile is a tile product.
type Tile struct {
	Key       string  `json:"key"`
	Name      string  `json:"name"`
	Shape     []Point `json:"shape"`
	Thickness MM      `json:"thickness"`
	PerBox    int     `json:"per_box"`

	Material string  `json:"material"`
	Supplier string  `json:"supplier"`
	BoxKg    float64 `json:"box_kg"`
	// Warpage is how far the longest edge bows; null where its entry does not say.
	Warpage *MM `json:"warpage"`
}

// Product is what is bought by the package other than tile.
type Product struct {
	Key         string  `json:"key"`
	Name        string  `json:"name"`
	Kind        string  `json:"kind"`
	Unit        string  `json:"unit"`
	Package     string  `json:"package"`
	PackageSize float64 `json:"package_size"`
	Content     string  `json:"content"` // what a package holds, as its supplier writes it: "50 lb"
	// MinCelsius and MaxCelsius bound the temperature at which it may be used;
	// null where its sheet does not say.
	MinCelsius *float64 `json:"min_celsius"`
	MaxCelsius *float64 `json:"max_celsius"`
}

// Supplier is where orders go.
type Supplier struct {
	Key   string `json:"key"`
	Name  string `json:"name"`
	Email string `json:"email"`
}

// Surface is one plane.
type Surface struct {
	Key         string    `json:"key"`
	Room        string    `json:"room"`
	Kind        string    `json:"kind"`
	Lie         string    `json:"lie"` // "vertical", "flat", "under"
	Outline     Polygon   `json:"outline"`
	Openings    []Opening `json:"openings"`
	HoldMinutes *int      `json:"hold_minutes"`
	Zones       []Zone    `json:"zones"`

	Name  string `json:"name"`
	Edges []Edge `json:"edges"`
	Base  *Base  `json:"base"` // new ground under it that dries first
}

// Base is new ground: nothing is laid on it before the day it is ready, by its
// age or by a moisture test.
type Base struct {
	Kind   string  `json:"kind"`
	Laid   string  `json:"laid"`
	Ready  string  `json:"ready"`
	Tested *string `json:"tested"`
}

// Edge is a side of the outline: from point i to the next.
type Edge struct {
	Name  string `json:"name"` // where it lies: "bottom edge", "top edge (2)"
	Meets string `json:"meets"`
	Gap   MM     `json:"gap"`
	Fill  string `json:"fill"`
}

// Opening is not tiled.
type Opening struct {
	Key     string  `json:"key"`
	Outline Polygon `json:"outline"`
	Kind    string  `json:"kind"`
}

// Zone is set in one way.
type Zone struct {
	Key     string    `json:"key"`
	Pattern string    `json:"pattern"`
	Joint   MM        `json:"joint"`
	Cover   []Polygon `json:"cover"`
	Pieces  []Piece   `json:"pieces"`

	Tile      string `json:"tile"`
	Mortar    string `json:"mortar"`
	Grout     string `json:"grout"`
	Origin    Point  `json:"origin"`
	Why       string `json:"why"`
	LevelLine MM     `json:"level_line"`
	Plumb     MM     `json:"plumb"`
	// Lattice repeats from any origin; RunnersUp are other origins that were
	// weighed and lost; SoftJoints divide long runs.
	Lattice    Lattice     `json:"lattice"`
	RunnersUp  []RunnerUp  `json:"runners_up"`
	SoftJoints []SoftJoint `json:"soft_joints"`
}

// Lattice is a pattern as it lies: the tiles of a cell, placed from the origin,
// repeated by U and V.
type Lattice struct {
	U     Point         `json:"u"`
	V     Point         `json:"v"`
	Tiles []LatticeTile `json:"tiles"`
}

// LatticeTile is a tile of the cell.
type LatticeTile struct {
	Tile  string  `json:"tile"`
	Shape []Point `json:"shape"`
}

// RunnerUp is an origin that was weighed and lost.
type RunnerUp struct {
	Origin Point  `json:"origin"`
	Why    string `json:"why"`
	Full   int    `json:"full"`
	Cut    int    `json:"cut"`
}

// SoftJoint is a movement joint in a zone, in a joint of the pattern or through
// the tiles.
type SoftJoint struct {
	A       Point  `json:"a"`
	B       Point  `json:"b"`
	Width   MM     `json:"width"`
	Through bool   `json:"through"`
	Why     string `json:"why"`
}

// Piece is one tile, whole or cut, where it lies.
type Piece struct {
	ID       string  `json:"id"`
	Course   int     `json:"course"`
	Position int     `json:"position"`
	Tile     string  `json:"tile"`
	Polygon  Polygon `json:"polygon"`
	Full     bool    `json:"full"`
	Cuts     []Cut   `json:"cuts"`
	OnSite   bool    `json:"on_site"`
	Late     *string `json:"late"`
	Stock    string  `json:"stock"`
	Area     string  `json:"area"`

	Label     string `json:"label"`
	OnSiteWhy string `json:"on_site_why"`
}

// Cut is one cut of a piece.
type Cut struct {
	Side  string `json:"side"`
	Drawn *MM    `json:"drawn"`
	Size  *MM    `json:"size"`
	Least *MM    `json:"least"`
	Most  *MM    `json:"most"`
	Tool  string `json:"tool"`
	Shape string `json:"shape"`
	At    string `json:"at"`
}

// Stock is one tile out of a box; polygons in the tile's frame.
type Stock struct {
	ID     string       `json:"id"`
	Tile   string       `json:"tile"`
	Lot    *string      `json:"lot"`
	Broken bool         `json:"broken"`
	Pieces []StockPiece `json:"pieces"`
}

// StockPiece is a piece at its printed size in the tile's frame.
type StockPiece struct {
	Piece   string  `json:"piece"`
	Polygon Polygon `json:"polygon"`
}

// Offcut is a rectangle left of a cut tile that is worth keeping; Factory names its
// sides that are the tile's own edges.
type Offcut struct {
	Stock   string   `json:"stock"`
	Tile    string   `json:"tile"`
	Lot     *string  `json:"lot"`
	Width   MM       `json:"width"`
	Height  MM       `json:"height"`
	Factory []string `json:"factory"`
}

// Takeoff is a row per tile and group of rooms seen together.
type Takeoff struct {
	Tile         string   `json:"tile"`
	Group        string   `json:"group"`
	Rooms        []string `json:"rooms"`
	Lot          *string  `json:"lot"`
	Split        *string  `json:"split"`
	Pieces       int      `json:"pieces"`
	Full         int      `json:"full"`
	Cut          int      `json:"cut"`
	Stock        int      `json:"stock"`
	StockBound   int      `json:"stock_bound"`
	Spares       int      `json:"spares"`
	Attic        int      `json:"attic"`
	Quantity     int      `json:"quantity"`
	FlatQuantity int      `json:"flat_quantity"`
	Boxes        int      `json:"boxes"`
	How          string   `json:"how"`
}

// Material is the quantity of one product.
type Material struct {
	Product     string   `json:"product"`
	Kind        string   `json:"kind"`
	Unit        string   `json:"unit"`
	Net         float64  `json:"net"`
	Quantity    float64  `json:"quantity"`
	Packages    int      `json:"packages"`
	PackageSize float64  `json:"package_size"`
	Surfaces    []string `json:"surfaces"`
	How         string   `json:"how"`
}

// OnHand is what lies in the yard or on a site.
type OnHand struct {
	Product  string  `json:"product"`
	Lot      *string `json:"lot"`
	Quantity float64 `json:"quantity"`
	Unit     string  `json:"unit"` // "box", "tile", "package"
}

// Order is a purchase order.
type Order struct {
	Key      string      `json:"key"`
	Supplier string      `json:"supplier"`
	OrderBy  string      `json:"order_by"`
	Delivery string      `json:"delivery"`
	Ready    string      `json:"ready"`
	Currency string      `json:"currency"`
	Total    json.Number `json:"total"`
	Lines    []OrderLine `json:"lines"`

	NeedBy string   `json:"need_by"`
	Late   bool     `json:"late"` // the order-by date has passed
	Rooms  []string `json:"rooms"`
	Notes  string   `json:"notes"`
	// Place is where it is delivered, a site's key or null for the yard; DeliverTo
	// names it with its address.
	Place     *string     `json:"place"`
	DeliverTo string      `json:"deliver_to"`
	Buyer     Buyer       `json:"buyer"`
	Saved     json.Number `json:"saved"` // freight that merging saves
}

// Buyer is who buys.
type Buyer struct {
	Name    string `json:"name"`
	Address string `json:"address"`
	Phone   string `json:"phone"`
	Email   string `json:"email"`
	Tax     string `json:"tax"`
}

// Change is what an order placed should become.
type Change struct {
	Order    string      `json:"order"`
	Supplier string      `json:"supplier"`
	Product  string      `json:"product"`
	Lot      *string     `json:"lot"`
	Kind     string      `json:"kind"` // "add", "reduce", "return", "keep"
	Quantity float64     `json:"quantity"`
	Unit     string      `json:"unit"`
	Credit   json.Number `json:"credit"` // what comes back; negative where it costs more
	Text     string      `json:"text"`
}

// Count is the quantity chain of one tile on one surface, in one room, group or
// job: each level adds up to the next.
type Count struct {
	Level    string  `json:"level"` // "surface", "room", "group", "job"
	Key      string  `json:"key"`
	Tile     string  `json:"tile"`
	Pieces   int     `json:"pieces"`
	Full     int     `json:"full"`
	Cut      int     `json:"cut"`
	Stock    int     `json:"stock"`
	Spares   int     `json:"spares"`
	Attic    int     `json:"attic"`
	Quantity int     `json:"quantity"`
	Flat     int     `json:"flat"`
	Boxes    float64 `json:"boxes"`
	M2       float64 `json:"m2"`
}

// Cost is what a room costs, planned and recorded; minutes are of one person.
type Cost struct {
	Room          string      `json:"room"`
	Job           string      `json:"job"`
	Tiles         json.Number `json:"tiles"`
	Products      json.Number `json:"products"`
	Labour        json.Number `json:"labour"`
	Total         json.Number `json:"total"`
	SetterMinutes int         `json:"setter_minutes"`
	HelperMinutes int         `json:"helper_minutes"`
	Done          int         `json:"done_minutes"`
	Worked        int         `json:"worked_minutes"`
	DoneLabour    json.Number `json:"done_labour"`
	WorkedLabour  json.Number `json:"worked_labour"`
	TilesPlanned  int         `json:"tiles_planned"`
	TilesUsed     int         `json:"tiles_used"`
	// Packages of other products: opened, beside what the plan takes for what is
	// done.
	Packages []PackageUse `json:"packages"`
}

// PackageUse is packages of a product.
type PackageUse struct {
	Product string  `json:"product"`
	Planned float64 `json:"planned"`
	Opened  float64 `json:"opened"`
}

// OrderLine is a line of an order; freight has no product.
type OrderLine struct {
	Product   *string     `json:"product"`
	Lot       *string     `json:"lot"`
	Quantity  float64     `json:"quantity"`
	Unit      string      `json:"unit"`
	UnitPrice json.Number `json:"unit_price"`
	Amount    json.Number `json:"amount"`
	Text      string      `json:"text"`

	NeedBy string   `json:"need_by"`
	Ready  string   `json:"ready"` // when this line can be used; the order's ready is that of its first
	Rooms  []string `json:"rooms"`
}

// Crew works together.
type Crew struct {
	Key     string `json:"key"`
	Setters int    `json:"setters"`
	Helpers int    `json:"helpers"`
	Hours   []Span `json:"hours"`
	Name    string `json:"name"`
	// Skills are the special work it may do, empty for all; Away its people who
	// are absent while the others work on.
	Skills []string  `json:"skills"`
	Away   []Absence `json:"away"`
}

// Absence is one person of a crew away from one day to another, both counted.
type Absence struct {
	Who    string `json:"who"`
	Helper bool   `json:"helper"`
	From   string `json:"from"`
	To     string `json:"to"`
}

// Activity is one uninterrupted piece of work, or a hold by others.
type Activity struct {
	ID       string   `json:"id"`
	Room     string   `json:"room"`
	Surfaces []string `json:"surfaces"`
	Kind     string   `json:"kind"`
	Crew     *string  `json:"crew"`
	Setters  int      `json:"setters"`
	Helpers  int      `json:"helpers"`
	Start    string   `json:"start"`
	Finish   string   `json:"finish"`
	Work     []Span   `json:"work"`
	After    []After  `json:"after"`

	Title    string   `json:"title"`    // "set south wall, area 2 of 3"
	Notes    []string `json:"notes"`    // what to do and watch, with figures
	Products []Use    `json:"products"` // what it takes
	Critical bool     `json:"critical"`
	// CriticalShare is how often, of the runs of the simulation, it held the finish.
	CriticalShare float64  `json:"critical_share"`
	Skills        []string `json:"skills"` // that it asks of its crew
	Tools         []string `json:"tools"`  // shared ones it takes
	Noisy         bool     `json:"noisy"`  // bound to its site's hours for loud work
	State         string   `json:"state"`  // "planned", "issued", "done", "done, unconfirmed"
}

// Use is a quantity of a product that an activity takes.
type Use struct {
	Product  string  `json:"product"`
	Quantity float64 `json:"quantity"`
	Unit     string  `json:"unit"`
}

// After is a lag from another activity's finish to this one's start.
type After struct {
	Activity     string   `json:"activity"`
	LeastMinutes float64  `json:"least_minutes"`
	MostMinutes  *float64 `json:"most_minutes"`
	Clock        string   `json:"clock"` // "elapsed" or "working"
	Why          string   `json:"why"`
}

// Area is what is set without a stop.
type Area struct {
	ID                string   `json:"id"`
	Activity          string   `json:"activity"`
	Surfaces          []string `json:"surfaces"`
	Crew              string   `json:"crew"`
	Start             string   `json:"start"`
	Finish            string   `json:"finish"`
	OpenMinutes       float64  `json:"open_minutes"`
	LimitsFrom        string   `json:"limits_from"`
	Mortar            *string  `json:"mortar"`
	KgPerM2           float64  `json:"kg_per_m2"`
	GroutAfterMinutes float64  `json:"grout_after_minutes"`
	Pieces            []string `json:"pieces"`
	Patches           []Patch  `json:"patches"`

	M2     float64 `json:"m2"`
	Kg     float64 `json:"kg"`
	StopAt string  `json:"stop_at"` // where the area ends and why there
}

// Patch is mortar spread at once.
type Patch struct {
	Pieces []string `json:"pieces"`
	Start  string   `json:"start"`
	SetBy  string   `json:"set_by"`
	M2     float64  `json:"m2"`
}

// Mix is one bucket.
type Mix struct {
	ID         string   `json:"id"`
	Crew       string   `json:"crew"`
	Product    string   `json:"product"`
	Kg         float64  `json:"kg"`
	WaterL     float64  `json:"water_l"`
	Start      string   `json:"start"`
	UseBy      *string  `json:"use_by"`
	PotMinutes *float64 `json:"pot_minutes"`
	// Packages is how many, whole or halved, go into it, 0 where it is weighed;
	// ThrownKg is what of it is left over.
	Packages float64    `json:"packages"`
	ThrownKg float64    `json:"thrown_kg"`
	Activity string     `json:"activity"`
	Patches  []MixPatch `json:"patches"`
}

// MixPatch is a patch that a mix feeds.
type MixPatch struct {
	Area  string `json:"area"`
	Index int    `json:"index"`
}

// Sheet is one crew's day.
type Sheet struct {
	Date       string     `json:"date"`
	Crew       string     `json:"crew"`
	Activities []string   `json:"activities"`
	Areas      []string   `json:"areas"`
	Cuts       []CutGroup `json:"cuts"`
	OnSite     []string   `json:"on_site"`
	Carry      []Carry    `json:"carry"`
	Waits      []Wait     `json:"waits"`

	Revision int      `json:"revision"` // 0 until issued
	Read     []string `json:"read"`     // readings to take first
	Cautions []string `json:"cautions"`
	Saving   string   `json:"saving"` // "41 cuts, 6 settings"
}

// CutGroup is cuts of one tile with one tool at one stop setting.
type CutGroup struct {
	Tile   string   `json:"tile"`
	Tool   string   `json:"tool"`
	Size   *MM      `json:"size"`
	Pieces []string `json:"pieces"`

	Shape string `json:"shape"`
	// Ahead: pieces set on a later day, cut now because the setting is made.
	Ahead bool `json:"ahead"`
	// From names, per piece, the stock tile it is cut from.
	From []string `json:"from"`
}

// Carry is what to bring to the room.
type Carry struct {
	Product  string  `json:"product"`
	Lot      *string `json:"lot"`
	Quantity float64 `json:"quantity"`
	Unit     string  `json:"unit"`
	Kg       float64 `json:"kg"`
}

// Wait is a cure or hold that ends on or after the day.
type Wait struct {
	Room  string `json:"room"`
	Until string `json:"until"`
	Why   string `json:"why"`
}

// Finding is a remark with its figure and source.
type Finding struct {
	Rule     string  `json:"rule"`
	Severity string  `json:"severity"`
	Where    string  `json:"where"`
	Message  string  `json:"message"`
	Value    float64 `json:"value"`
	Limit    float64 `json:"limit"`
	Source   string  `json:"source"`
	Waived   string  `json:"waived"`
}

// StopSaving is what stop settings save for one tile product.
type StopSaving struct {
	Tile     string `json:"tile"`
	Cuts     int    `json:"cuts"`
	Settings int    `json:"settings"`
	Text     string `json:"text"`
}
