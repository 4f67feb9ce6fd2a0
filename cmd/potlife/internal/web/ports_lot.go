package web

// LotIn asks for tile of another lot on a line of an order, a draft or one that
// was placed.
type LotIn struct {
	Order string
	Line  int // from 1, as on the order
	Lot   string
	// Calibre and Boxes to be had of it; empty and 0 where they are not known: it
	// is as the lot planned, and enough of it.
	Calibre string
	Boxes   int
}

// TakeLotIn takes it, after its effect was seen.
type TakeLotIn struct {
	LotIn
	// Seen is that of the preview.
	Seen string
	// Mixed: rooms may get two lots.
	Mixed bool
	By    User
	Note  string
}

// LotAnswer is what taking another lot would do. Nothing is saved.
type LotAnswer struct {
	// Seen stands for what was previewed; taking it asks for it.
	Seen string
	// Product is the tile's key, Planned the lot the line asks for, empty where
	// the supplier picks it.
	Product, Planned string
	// Text says in words what would change, Warnings what speaks against it.
	Text, Warnings []string
	Bought         []LotBought
	// CostWas, CostIs and Difference are decimal amounts: all orders, with freight.
	CostWas, CostIs, Difference, Currency string
	// Whole are the keys of rooms that the other lot serves alone, Stay of those
	// left with the lot planned, Mixed of those that get both, Relaid of those that
	// are laid out anew.
	Whole, Stay, Mixed, Relaid []string
	Shifts                     []Shift
}

// LotBought is what all orders buy of a lot of the tile, in boxes; an empty Lot
// is one the supplier picks.
type LotBought struct {
	Lot     string
	Was, Is int
}
