package store

import (
	"encoding/json"
	"fmt"
	"time"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

type firmRow struct {
	Key          string          `db:"key"`
	Name         string          `db:"name"`
	Zone         string          `db:"zone"`
	Units        string          `db:"units"`
	IssueAt      string          `db:"issue_at"`
	Currency     string          `db:"currency"`
	ServiceLevel float64         `db:"service_level"`
	Week         []bool          `db:"week"`
	DaysOff      []day           `db:"days_off"`
	DaysOn       []day           `db:"days_on"`
	Rates        json.RawMessage `db:"rates"`
	Limits       json.RawMessage `db:"limits"`
	FlatShare    json.RawMessage `db:"flat_share"`
	More         json.RawMessage `db:"more"`
	ChangedAt    time.Time       `db:"changed_at"`
}

var firmTable = relation[firmRow]{"firm", []string{"only_one"}}

// newFirmRow holds the firm without its lists.
func newFirmRow(f *scheduler.Firm, now time.Time) (firmRow, error) {
	if f.Zone == nil {
		return firmRow{}, invalid("firm %s: no time zone", f.Key)
	}
	r := firmRow{Key: f.Key, Name: f.Name, Zone: f.Zone.String(), Units: f.Units, IssueAt: f.IssueAt,
		Currency: f.Catalogue.Currency, ServiceLevel: f.Catalogue.ServiceLevel,
		Week: week(f.Days.Week), DaysOff: days(f.Days.Off), DaysOn: days(f.Days.On), ChangedAt: now}
	var err error
	for _, part := range []struct {
		to   *json.RawMessage
		from any
	}{{&r.Rates, f.Rates}, {&r.Limits, f.Limits}, {&r.FlatShare, f.Catalogue.FlatShare}} {
		if *part.to, err = json.Marshal(part.from); err != nil {
			return r, fmt.Errorf("store the firm: %w", err)
		}
	}
	bare := *f
	bare.Office, bare.Crews, bare.Travel, bare.Recipes = nil, nil, nil, nil
	bare.Catalogue.Tiles, bare.Catalogue.Products, bare.Catalogue.Suppliers = nil, nil, nil
	bare.Catalogue.Lots, bare.Catalogue.Stock = nil, nil
	back, err := r.firm()
	if err != nil {
		return r, err
	}
	back.Zone = bare.Zone
	r.More, err = more(bare, back)
	return r, err
}

func (r firmRow) firm() (scheduler.Firm, error) {
	zone, err := time.LoadLocation(r.Zone)
	if err != nil {
		return scheduler.Firm{}, fmt.Errorf("the firm's time zone: %w", err)
	}
	f := scheduler.Firm{Key: r.Key, Name: r.Name, Zone: zone, Units: r.Units, IssueAt: r.IssueAt,
		Days:      rooms.Days{Week: week7(r.Week), Off: dates(r.DaysOff), On: dates(r.DaysOn)},
		Catalogue: takeoff.Catalogue{Currency: r.Currency, ServiceLevel: r.ServiceLevel}}
	for _, part := range []struct {
		from json.RawMessage
		to   any
	}{{r.Rates, &f.Rates}, {r.Limits, &f.Limits}, {r.FlatShare, &f.Catalogue.FlatShare}} {
		if err := json.Unmarshal(part.from, part.to); err != nil {
			return f, fmt.Errorf("read the firm: %w", err)
		}
	}
	return f, andMore(&f, r.More)
}

type officeRow struct {
	Pos     int `db:"pos"`
	Weekday int `db:"weekday"`
	Starts  int `db:"starts"`
	Ends    int `db:"ends"`
}

var officeTable = relation[officeRow]{"office_hours", []string{"pos"}}

type crewRow struct {
	Key     string          `db:"key"`
	Pos     int             `db:"pos"`
	Name    string          `db:"name"`
	Setters int             `db:"setters"`
	Helpers int             `db:"helpers"`
	Email   string          `db:"email"`
	DaysOff []day           `db:"days_off"`
	DaysOn  []day           `db:"days_on"`
	More    json.RawMessage `db:"more"`
	Retired *time.Time      `db:"retired_at"`
}

var crewTable = relation[crewRow]{"crews", []string{"key"}}

func newCrewRow(pos int, c scheduler.Crew) (crewRow, error) {
	r := crewRow{Key: c.Key, Pos: pos, Name: c.Name, Setters: c.Setters, Helpers: c.Helpers, Email: c.Email,
		DaysOff: days(c.Off), DaysOn: days(c.On)}
	c.Hours = nil
	back, err := r.crew()
	if err != nil {
		return r, err
	}
	r.More, err = more(c, back)
	return r, err
}

func (r crewRow) crew() (scheduler.Crew, error) {
	c := scheduler.Crew{Key: r.Key, Name: r.Name, Setters: r.Setters, Helpers: r.Helpers, Email: r.Email,
		Off: dates(r.DaysOff), On: dates(r.DaysOn)}
	return c, andMore(&c, r.More)
}

type crewHoursRow struct {
	Crew    string `db:"crew"`
	Pos     int    `db:"pos"`
	Weekday int    `db:"weekday"`
	Starts  int    `db:"starts"`
	Ends    int    `db:"ends"`
}

var crewHoursTable = relation[crewHoursRow]{"crew_hours", []string{"crew", "pos"}}

type travelRow struct {
	Pos     int    `db:"pos"`
	From    string `db:"from_site"`
	To      string `db:"to_site"`
	Minutes int    `db:"minutes"`
}

var travelTable = relation[travelRow]{"travel", []string{"pos"}}

type recipeRow struct {
	Key  string          `db:"key"`
	Pos  int             `db:"pos"`
	More json.RawMessage `db:"more"`
}

var recipeTable = relation[recipeRow]{"recipes", []string{"key"}}

func newRecipeRow(pos int, c scheduler.Recipe) (recipeRow, error) {
	r := recipeRow{Key: c.Key, Pos: pos}
	c.Steps = nil
	var err error
	r.More, err = more(c, scheduler.Recipe{Key: c.Key})
	return r, err
}

type stepRow struct {
	Recipe        string          `db:"recipe"`
	Pos           int             `db:"pos"`
	Kind          string          `db:"kind"`
	MinutesPerM2  float64         `db:"minutes_per_m2"`
	Minutes       float64         `db:"minutes"`
	Setters       int             `db:"setters"`
	Helpers       int             `db:"helpers"`
	AfterMinutes  int             `db:"after_minutes"`
	WithinMinutes int             `db:"within_minutes"`
	Product       string          `db:"product"`
	More          json.RawMessage `db:"more"`
}

var stepTable = relation[stepRow]{"recipe_steps", []string{"recipe", "pos"}}

func newStepRow(recipe string, pos int, s scheduler.Step) (stepRow, error) {
	r := stepRow{Recipe: recipe, Pos: pos, Kind: s.Kind, MinutesPerM2: s.MinutesPerM2, Minutes: s.Minutes, Setters: s.Setters,
		Helpers: s.Helpers, AfterMinutes: s.AfterMinutes, WithinMinutes: s.WithinMinutes, Product: s.Product}
	back, err := r.step()
	if err != nil {
		return r, err
	}
	r.More, err = more(s, back)
	return r, err
}

func (r stepRow) step() (scheduler.Step, error) {
	s := scheduler.Step{Kind: r.Kind, MinutesPerM2: r.MinutesPerM2, Minutes: r.Minutes, Setters: r.Setters, Helpers: r.Helpers,
		AfterMinutes: r.AfterMinutes, WithinMinutes: r.WithinMinutes, Product: r.Product}
	return s, andMore(&s, r.More)
}
