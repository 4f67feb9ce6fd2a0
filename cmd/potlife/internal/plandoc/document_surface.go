package plandoc

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
	// Lattice repeats from any origin; RunnersUp are the next best origins: of straight
	// and offset patterns those that none within 5 mm betters, each of another rank, of
	// other patterns the best of those weighed that lie apart; SoftJoints divide long runs.
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

// Stock is one tile out of a box, or an offcut in hand; polygons in the whole tile's
// frame. Offcut is null for a tile out of a box.
type Stock struct {
	ID     string       `json:"id"`
	Tile   string       `json:"tile"`
	Lot    *string      `json:"lot"`
	Broken bool         `json:"broken"`
	Pieces []StockPiece `json:"pieces"`
	Offcut *KeptOffcut  `json:"offcut"`
}

// KeptOffcut is an offcut in hand, as it lies with its face up. Factory names its sides
// that are the tile's own edges; Stock is the stock tile that the plan makes of it, null
// while nothing is to be cut from it; Gone says that something has been.
type KeptOffcut struct {
	Key     string   `json:"key"`
	Tile    string   `json:"tile"` // the whole tile
	Lot     *string  `json:"lot"`
	Width   MM       `json:"width"`
	Height  MM       `json:"height"`
	Factory []string `json:"factory"`
	Place   *string  `json:"place"` // where it lies, null in the yard
	From    *string  `json:"from"`  // what it was left of
	Stock   *string  `json:"stock"`
	Gone    bool     `json:"gone"`
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
