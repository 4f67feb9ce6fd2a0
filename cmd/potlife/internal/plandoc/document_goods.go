package plandoc

import "encoding/json"

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
	Late   bool     `json:"late"`   // the order-by date has passed
	Placed bool     `json:"placed"` // before this plan was made: it comes when that was agreed
	Rooms  []string `json:"rooms"`
	Notes  string   `json:"notes"` // for the buyer alone
	// Remark is what whoever placed it writes to the supplier.
	Remark string `json:"remark"`
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
