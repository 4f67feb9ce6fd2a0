// Package plandoc is the plan document "potlife-plan/1": one JSON document
// from which a stranger can re-check a whole plan. Pages, sheets and files are
// made from it and from nothing else.
//
// Lengths are mm, instants RFC 3339 with an offset, dates YYYY-MM-DD in Zone,
// amounts decimal strings. Fields marked "also" are ours beyond the fixed ones.
package plandoc

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
	Days        *Days        `json:"days"`  // on which the firm works and takes goods in, null: any
	Products    []Product    `json:"products"`
	Tools       []Tool       `json:"tools"` // shared ones, of which the firm has few
	Suppliers   []Supplier   `json:"suppliers"`
	StopSetting []StopSaving `json:"stop_settings"`
	Offcuts     []Offcut     `json:"offcuts"` // left of the cut tiles, worth keeping
	Yard        []KeptOffcut `json:"yard"`    // offcuts in hand, of jobs before or counted by the firm
	// Changes are what orders placed should become now, Counts the quantity chain of
	// tile by surface, room, lot group and job, Costs what rooms cost.
	Changes []Change `json:"changes"`
	Counts  []Count  `json:"counts"`
	Costs   []Cost   `json:"costs"`
	Likely  Likely   `json:"likely"`
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
	// Days are those on which the site is open for deliveries, null: any; Attended says
	// that somebody on it takes them in.
	Days     *Days `json:"days"`
	Attended bool  `json:"attended"`
}

// Days are working days: those of the week, 1 for Monday to 7 for Sunday, without the
// dates off and with the dates on.
type Days struct {
	Week []int    `json:"week"`
	Off  []string `json:"off"`
	On   []string `json:"on"`
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
	// HeldBy are the activities that held its hand-over in those runs, here or in
	// another room, most often first.
	HeldBy []Often `json:"held_by"`
	// Temperatures are the days that have their own, the later of two holding.
	Temperatures []Temperature `json:"temperatures"`
}

// Often is in what share of the simulated runs an activity held a finish.
type Often struct {
	Activity string  `json:"activity"`
	Share    float64 `json:"share"`
}

// Likely is when all is finished in half and in 80 % of the runs of a simulation.
type Likely struct {
	Runs   int    `json:"runs"`
	Half   string `json:"half"`
	Eighty string `json:"eighty"`
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
	// Of is the key of the whole tile where this one is as much of it as offcuts in
	// hand serve, counted by the piece; else null.
	Of *string `json:"of"`
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
	// Days are those on which it delivers and reckons its lead time in, null in a document
	// that does not say; Unattended says that goods are left where nobody is there.
	Days       *Days `json:"days"`
	LeadDays   int   `json:"lead_days"`
	Unattended bool  `json:"unattended"`
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

// StopSaving is what stop settings save for one tile product, or one that is cut from bars.
type StopSaving struct {
	Tile     string `json:"tile"`
	Cuts     int    `json:"cuts"`
	Settings int    `json:"settings"`
	Text     string `json:"text"`
}
