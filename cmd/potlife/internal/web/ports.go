package web

import (
	"context"
	"html/template"
	"io"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

// Role is what a person may do.
type Role string

// Roles. The contractor may do everything; the office everything but hand out
// sign-in links; a crew sees its own sheets and the drawings of the jobs it
// works on, and records.
const (
	Contractor Role = "contractor"
	Office     Role = "office"
	Crew       Role = "crew"
)

// User is a person who may sign in.
type User struct {
	ID, Name string
	Role     Role
	// Crew is the key of the crew a person of role Crew belongs to.
	Crew string
	// Email is where a contractor's notices go; it may be empty.
	Email string
	// Epoch grows when all of the person's sessions are to end.
	Epoch int64
}

// Kind says what sort of refusal an Error is.
type Kind uint8

// Kinds of refusal, with the HTTP status they become.
const (
	Invalid     Kind = iota + 1 // 422: a field holds what it may not
	NotFound                    // 404
	Forbidden                   // 403
	Conflict                    // 409: somebody else was first, or the state does not allow it
	Gone                        // 410: a used or expired sign-in link
	Unavailable                 // 503: try again later
	WrongMethod                 // 405: the address takes other methods
)

// Error is a refusal whose text may be shown to the user. Any other error is
// logged under an incident number and shown only as that number.
type Error struct {
	Kind  Kind
	Field string // of the form or body, where one is at fault
	Text  string // what is wrong, where, and what to do
}

func (e *Error) Error() string { return e.Text }

// Plan is a plan in force.
type Plan struct {
	Document *plandoc.Document // never changed once handed out
	Revision int               // grows with every plan saved
	Made     time.Time
}

// Plans is where the plan in force comes from; NotFound before the first.
type Plans interface {
	Current(ctx context.Context) (Plan, error)
}

// SheetInfo is an issued sheet's entry in the ledger.
type SheetInfo struct {
	Crew, Date string // key; YYYY-MM-DD
	Revision   int    // from 1
	ReplacedBy int    // 0: current
	Issued     time.Time
	// Delivery says in words where it went: "mail sent 17:00", "webhook failed: 550 …".
	Delivery []string
	// Differences from the revision before, in words.
	Differences []string
	// Moved is what was meant for the day and is not on the sheet, and why.
	Moved []string
}

// IssuedSheet is a sheet as it was issued: its own copy of the plan, and which
// of its sheets it is.
type IssuedSheet struct {
	SheetInfo
	Document *plandoc.Document
	Index    int
}

// Sheets is the ledger of issued sheets.
type Sheets interface {
	// List returns every revision of every sheet of a crew, or of all crews
	// when crew is empty, the newest day first and of a day the newest
	// revision first.
	List(ctx context.Context, crew string) ([]SheetInfo, error)
	// Sheet returns one sheet; revision 0 is the current one. NotFound where
	// none has been issued.
	Sheet(ctx context.Context, crew, date string, revision int) (IssuedSheet, error)
}

// RecordIn is one report from the day. Kinds are those of scheduler.Record, and
// "withdrawn", which takes another report back.
type RecordIn struct {
	// Key makes a repeated report land once; it is made where the report is
	// written.
	Key  string
	Kind string
	At   time.Time // when it happened, as the reporter says; zero: now
	By   User
	Crew string
	Date string // of the sheet it was written on, YYYY-MM-DD
	// Area or Activity names what is done; Pieces the broken ones or, for an
	// area, those set (none means all).
	Area, Activity string
	Pieces         []string
	// Surface and the reading on it, in mm: how far the edge lies outside (+)
	// or inside (−) of the outline at a distance along it.
	Surface       string
	Edge          int
	EdgeAtMM      float64
	DeviationMM   float64
	MinutesWorked int
	// DoneBy names those of the crew who did the work.
	DoneBy []string
	Note   string
	// Room, Product, Lot and Packages say which boxes were opened, and where.
	Room, Product, Lot string
	Packages           float64
	// Celsius is what was read in Room on Date, for "temperature".
	Celsius float64
	// Who of the crew is away from Date to Until (empty: on Date alone), for "away": a
	// name, or "setter" or "helper" where they have none. AwayFrom and AwayTo are the
	// hours of each of those days, "13:00"; both empty is all day.
	Who, Until, AwayFrom, AwayTo string
	// Corrects is the key of a report that this one puts right.
	Corrects string
	Photos   []Photo
}

// Photo is a picture, checked and made anew: nothing but the picture is in it.
type Photo struct {
	Type string // "image/jpeg"
	Body []byte
}

// RecordOut acknowledges a report.
type RecordOut struct {
	ID      string // of the stored event
	Again   bool   // the key was known already; nothing was added
	Message string // what follows from it, in words
}

// RecordRow is a report as stored.
type RecordRow struct {
	RecordIn
	ID     string
	Stored time.Time
	// Pictures says how many photos came with it; CorrectedBy is the key of the
	// report that puts it right, empty where it stands.
	Pictures    int
	CorrectedBy string
}

// InForce reports whether a report counts: it has not been put right and does
// more than take another one back.
func (r RecordRow) InForce() bool { return r.CorrectedBy == "" && r.Kind != "withdrawn" }

// Recorder takes reports and shows them.
type Recorder interface {
	Record(ctx context.Context, in RecordIn) (RecordOut, error)
	// Records returns the reports of a crew's day in order of time; an empty
	// crew or date stands for all.
	Records(ctx context.Context, crew, date string) ([]RecordRow, error)
	// RecordsBetween is Records for all days from one to another, both included.
	RecordsBetween(ctx context.Context, crew, from, to string) ([]RecordRow, error)
	// OneRecord returns a report by its ID; NotFound where there is none.
	OneRecord(ctx context.Context, id string) (RecordRow, error)
	// Photo returns the n-th picture, from 0, of a report.
	Photo(ctx context.Context, id string, n int) (Photo, error)
}

// Happening is an entry of a room's history besides work and reports: a change
// of its data, a sheet with work in it, a step of an order or a delivery.
type Happening struct {
	At              time.Time
	Kind, Who, Text string
}

// History is what was.
type History interface {
	// PlanAt returns the plan that was in force at an instant; NotFound before
	// the first.
	PlanAt(ctx context.Context, at time.Time) (Plan, error)
	// Happenings returns what has happened to a room, "job/room", in order of
	// time.
	Happenings(ctx context.Context, room string) ([]Happening, error)
}

// OrderState is an order that has been placed.
type OrderState struct {
	Key    string // the plan's name for it
	Number string // counted by the firm: "17"
	State  string // "placed", "confirmed", "part received", "received", "closed", "cancelled"
	Steps  []OrderStep
	// Order is what was ordered, with what was changed since.
	Order *plandoc.Order
	// Came is what has been booked in.
	Came []Delivered
	// Mail says in words what became of the mail to the supplier; empty: none was
	// written.
	Mail string
	// Unsent: the mail was given up.
	Unsent bool
}

// Delivered is one entry of a delivery.
type Delivered struct {
	Line                  int // from 0
	Product, Lot, Calibre string
	Sound, Damaged, Wrong float64
	On, By, Note          string
}

// OrderStep is one step of an order's life.
type OrderStep struct {
	State, By, Text string
	At              time.Time
}

// PlaceIn places an order.
type PlaceIn struct {
	Key, Order string // idempotency key; order
	By         User
	At         time.Time
	Note       string
}

// ReceiveIn is a delivery that came in.
type ReceiveIn struct {
	Key, Order string
	By         User
	At         time.Time
	Date       string // YYYY-MM-DD
	Lines      []ReceiveLine
	Note       string
	// Yard: it lies in the yard, although the order names a site.
	Yard bool
}

// ReceiveLine is what came of one product.
type ReceiveLine struct {
	Product, Lot, Calibre string
	// Packages came; Damaged and Wrong ones of them are not kept.
	Packages, Damaged, Wrong float64
	// MeanWidth and MeanHeight are the measured mean size of the lot's tiles, 0
	// where nobody measured.
	MeanWidth, MeanHeight rooms.Length
}

// StepIn takes a placed order a step further.
type StepIn struct {
	Order string
	To    string // "confirmed", "closed" or "cancelled"
	Date  string // of delivery, as the supplier confirms it; may be empty
	By    User
	Note  string
}

// AdjustIn makes a change that the plan in force asks for in an order that stands.
type AdjustIn struct {
	Key, Order         string // idempotency key; order
	Kind, Product, Lot string
	Quantity           float64 // packages
	By                 User
	Note               string
}

// Orders keeps the life of purchase orders.
type Orders interface {
	// Placed returns every order that is no mere draft, by number.
	Placed(ctx context.Context) ([]OrderState, error)
	Place(ctx context.Context, in PlaceIn) error
	Receive(ctx context.Context, in ReceiveIn) error
	Step(ctx context.Context, in StepIn) error
	// Adjust makes a change of the plan in force; Conflict where the plan no longer
	// asks for it.
	Adjust(ctx context.Context, in AdjustIn) error
	// OtherLot says what taking another lot would do, and TakeLot takes it: a draft
	// is placed with it. Conflict where rooms would be mixed and may not be, or the
	// order is not as it was seen.
	OtherLot(ctx context.Context, in LotIn) (LotAnswer, error)
	TakeLot(ctx context.Context, in TakeLotIn) error
}

// Accounts knows people and their one-time sign-in links.
type Accounts interface {
	// Redeem uses up a link's token; Gone when it is unknown, used or expired.
	Redeem(ctx context.Context, token string) (User, error)
	// User returns a person by id; NotFound when gone.
	User(ctx context.Context, id string) (User, error)
	// People returns everybody, in order of name.
	People(ctx context.Context) ([]User, error)
	// NewLink makes a one-time token for a person.
	NewLink(ctx context.Context, by User, id string) (token string, err error)
}

// Health says whether the program can serve.
type Health interface {
	Ready(ctx context.Context) error
}

// Drawer draws surfaces.
type Drawer interface {
	// Surface returns an SVG element, safe to stand in a page.
	Surface(doc *plandoc.Document, key string) ([]byte, error)
	// RunnerUp returns an SVG element of a surface with one of its zones laid from
	// runner-up i.
	RunnerUp(doc *plandoc.Document, surface, zone string, i int) ([]byte, error)
}

// SheetPrinter makes day sheets.
type SheetPrinter interface {
	// DayHTML writes an <article>; slot puts the page's own forms after an
	// "activity" or "area" of an id.
	DayHTML(w io.Writer, doc *plandoc.Document, index int, m plandoc.Mark, slot func(kind, id string) template.HTML) error
	// DayFile writes "pdf", "csv", "json" or "html".
	DayFile(w io.Writer, doc *plandoc.Document, index int, m plandoc.Mark, format string) error
}

// OrderPrinter makes files of orders: "pdf", "csv", "xlsx", "json".
type OrderPrinter interface {
	OrderFile(w io.Writer, doc *plandoc.Document, o *plandoc.Order, m plandoc.OrderMark, format string) error
}

// CalendarPrinter makes iCalendar files.
type CalendarPrinter interface {
	CrewCalendar(w io.Writer, doc *plandoc.Document, crew string, sequence int, stamp time.Time) error
	JobCalendar(w io.Writer, doc *plandoc.Document, job string, sequence int, stamp time.Time) error
}

// Printer is all that is printed; sheet.Printer is one.
type Printer interface {
	Drawer
	SheetPrinter
	OrderPrinter
	CalendarPrinter
}
