package plandoc

// Crew works together.
type Crew struct {
	Key     string `json:"key"`
	Setters int    `json:"setters"`
	Helpers int    `json:"helpers"`
	Hours   []Span `json:"hours"`
	Name    string `json:"name"`
	// Skills are the special work it may do, empty for all; Away its people who
	// are absent for whole days while the others work on, AwayHours for some hours.
	Skills    []string        `json:"skills"`
	Away      []Absence       `json:"away"`
	AwayHours []HourlyAbsence `json:"away_hours"`
	// People are those of it whom the firm names; left out where it names none.
	People []Person `json:"people,omitempty"`
}

// Person is one of a crew.
type Person struct {
	Name   string `json:"name"`
	Helper bool   `json:"helper"`
	// Hours are weekly hours of his or her own; left out, whenever the crew works. The
	// person is there where both say so, but not on days of Off, on those of On whenever the
	// crew works, and on those of Dates in the hours of these.
	Hours []WeekdayHours `json:"hours,omitempty"`
	Off   []string       `json:"off,omitempty"`
	On    []string       `json:"on,omitempty"`
	Dates []DateHours    `json:"dates,omitempty"`
}

// WeekdayHours are a span of a weekday, 1 Monday to 7 Sunday; times are 15:04.
type WeekdayHours struct {
	Weekday int    `json:"weekday"`
	Start   string `json:"start"`
	End     string `json:"end"`
}

// DateHours are a span of a date; times are 15:04.
type DateHours struct {
	Date  string `json:"date"`
	Start string `json:"start"`
	End   string `json:"end"`
}

// HourlyAbsence is an absence from one time of day to another, on each of its days.
type HourlyAbsence struct {
	Absence
	Start string `json:"start"` // 15:04
	End   string `json:"end"`
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
	// Also is the work that it goes on to after that of Activity, of a mix without
	// patches.
	Also []MixWork `json:"also"`
}

// MixWork is what an activity takes from a mix.
type MixWork struct {
	Activity string  `json:"activity"`
	Kg       float64 `json:"kg"`
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
