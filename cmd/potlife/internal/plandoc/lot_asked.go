package plandoc

// LotAsked is tile of another lot for a line of an order, as it is asked about on
// the command line.
type LotAsked struct {
	Order string // its number, or the key of a draft
	Line  int    // from 1
	Lot   string
	// Calibre and Boxes to be had of it; empty and 0 where they are not known.
	Calibre string
	Boxes   int
	// Take takes it after looking; Mixed allows two lots in a room.
	Take, Mixed bool
	Note        string // to the supplier
}
