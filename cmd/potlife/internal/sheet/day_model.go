package sheet

import (
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// Day is one crew's day sheet, the one model from which HTML, PDF, CSV and
// JSON are made. Texts are as printed, in the firm's units and zone.
type Day struct {
	Firm       string   `json:"firm"`
	Crew       string   `json:"crew"`
	CrewName   string   `json:"crew_name"`
	Date       string   `json:"date"`
	DateText   string   `json:"date_text"`
	Units      string   `json:"units"`
	Unit       string   `json:"unit"` // of lengths: "mm" or "in"
	Revision   int      `json:"revision"`
	ReplacedBy int      `json:"replaced_by,omitempty"`
	Issued     string   `json:"issued,omitempty"`
	URL        string   `json:"url,omitempty"`
	Hands      string   `json:"hands"`           // who is there: "1 setter, 1 helper"
	There      []string `json:"there,omitempty"` // their names: "Ida 07:00–12:00", "Tom (helper)"
	Away       []string `json:"away,omitempty"`  // "Jon (setter) until Thu 5 Mar"
	Time       string   `json:"time"`            // from the first start to the last finish
	Places     []Place  `json:"places"`
	Items      []Item   `json:"items"`
	Areas      []Lot    `json:"areas"`
	Mixes      []Bucket `json:"mixes"` // for setting; an activity's own stand with it
	Cuts       []Bench  `json:"cuts"`
	Saving     string   `json:"saving"`
	Labels     []Label  `json:"labels"` // for the backs of cut pieces
	OnSite     []Expect `json:"on_site"`
	Carry      []Load   `json:"carry"`
	CarryKg    string   `json:"carry_kg"`
	Read       []string `json:"read"`
	Waits      []string `json:"waits"`
	Changes    []string `json:"changes"` // from the revision before
	Moved      []string `json:"moved"`   // what was meant for the day and waits, with the reason
	Cautions   []string `json:"cautions"`
	Rule       string   `json:"rule"`

	Drawings []Drawing `json:"drawings"`

	x      *plandoc.Index
	w      plandoc.Writing
	sheet  *plandoc.Sheet
	number map[string]int
	mixNo  map[string]int
	part   []string // of There, those who by their own hours come for a part of the day

	severalRooms bool
	fetched      map[string]string // of stock tiles that are offcuts in hand, how the sheet calls them
	fetch        []Load            // those
}

// Place is a visit to a site.
type Place struct {
	Site    string   `json:"site"`
	Address string   `json:"address"`
	Job     string   `json:"job"`
	Rooms   []string `json:"rooms"`
	Time    string   `json:"time"`

	from, to string
}

// Item is an activity of the day.
type Item struct {
	ID       string   `json:"id"`
	Time     string   `json:"time"`
	Site     string   `json:"site"`
	Room     string   `json:"room"`
	Kind     string   `json:"kind"`
	Title    string   `json:"title"`
	Takes    []string `json:"takes"`
	Notes    []string `json:"notes"`
	Mixes    []Bucket `json:"mixes"`
	Areas    []string `json:"areas"` // their titles
	Critical bool     `json:"critical"`
	State    string   `json:"state"`
}

// Lot is a setting area: what is set without a stop.
type Lot struct {
	ID       string   `json:"id"`
	Title    string   `json:"title"`
	Room     string   `json:"room"`
	Surfaces []string `json:"surfaces"`
	Time     string   `json:"time"`
	Numbers  string   `json:"numbers"`
	Pieces   int      `json:"pieces"`
	M2       string   `json:"m2"`
	Mass     string   `json:"mass"`
	Mortar   string   `json:"mortar"`
	Open     string   `json:"open"`
	Grout    string   `json:"grout"`
	StopAt   string   `json:"stop_at"`
	Patches  []Spread `json:"patches"`
}

// Spread is a patch of mortar.
type Spread struct {
	Numbers string `json:"numbers"`
	M2      string `json:"m2"`
	At      string `json:"at"`
	SetBy   string `json:"set_by"`
	Mix     string `json:"mix"`
}

// Bucket is a mix.
type Bucket struct {
	ID      string `json:"id"`
	Name    string `json:"name"`
	Product string `json:"product"`
	Mass    string `json:"mass"`
	Water   string `json:"water"`
	At      string `json:"at"`
	UseBy   string `json:"use_by"`
	For     string `json:"for"`
}

// Bench is the cuts of one tool.
type Bench struct {
	Tool     string    `json:"tool"`
	Settings []Setting `json:"settings"`
}

// TileCuts are the settings of one tile in a run.
type TileCuts struct {
	Tile     string
	Settings []Setting
}

// Tiles parts the settings into runs of one tile.
func (b Bench) Tiles() []TileCuts {
	var out []TileCuts
	for _, s := range b.Settings {
		if len(out) == 0 || out[len(out)-1].Tile != s.Tile {
			out = append(out, TileCuts{Tile: s.Tile})
		}
		last := &out[len(out)-1]
		last.Settings = append(last.Settings, s)
	}
	return out
}

// Setting is the cuts at one stop setting.
type Setting struct {
	SizeMM *float64 `json:"size_mm"`
	Size   string   `json:"size"`
	Shape  string   `json:"shape"`
	Tile   string   `json:"tile"`
	Count  int      `json:"count"`
	Pieces []string `json:"pieces"` // ids
	Names  []string `json:"names"`  // as written on the drawing
	Text   string   `json:"text"`   // the names, drawn together
	From   []string `json:"from"`   // stock tiles
	Edges  []string `json:"edges"`  // the edge of each piece that is cut, "" for a shape
	Ahead  bool     `json:"ahead"`
	Dry    bool     `json:"dry"` // sawn wet and set on the same day: it dries first

	parts []edgeNames // of Text
	plain string      // the names without edges
}

// Expect is a piece to be measured on site.
type Expect struct {
	Piece string `json:"piece"`
	Name  string `json:"name"`
	Where string `json:"where"`
	Size  string `json:"size"`
	Why   string `json:"why"`
}

// Load is something to carry to the room.
type Load struct {
	Name   string `json:"name"`
	Lot    string `json:"lot"`
	Amount string `json:"amount"`
	Mass   string `json:"mass"`
}

// Drawing is a surface of the day.
type Drawing struct {
	Surface string   `json:"surface"`
	Title   string   `json:"title"`
	Areas   []string `json:"areas"` // letters of the areas on it

	picture *picture
}

// Caption names the surface and the areas on it.
func (d Drawing) Caption() string {
	word := ": area "
	if len(d.Areas) > 1 {
		word = ": areas "
	}
	return d.Title + word + strings.Join(d.Areas, ", ")
}
