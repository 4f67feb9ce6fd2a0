package takeoff

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"potlife/rooms"
)

// ErrLot marks a lot that cannot be taken instead of the one planned; the message
// says why and what to do.
var ErrLot = errors.New("takeoff: lot")

// LotOffer is tile of a lot that could be taken instead of the one a line of an
// order asks for.
type LotOffer struct {
	Lot, Calibre string
	// Boxes of it are to be had, 0: as many as it takes. Lying of it is on hand
	// and given to nobody.
	Boxes, Lying int
}

// OtherLot is what becomes of an order when tile of another lot is taken for one
// of its lines.
type OtherLot struct {
	// Lines are the order's lines afterwards: none is dropped, and what stays of
	// the lot planned stands where it stood.
	Lines []OrderLine
	// Taken boxes are of the other lot, OnHand of them lie there already and are
	// not bought. Staying boxes are of the lot planned.
	Taken, OnHand, Staying int
	// Whole are the rooms, "job/room", that the other lot serves alone, Stay those
	// left with the lot planned, Mixed those that get both.
	Whole, Stay, Mixed []string
}

// TakeLot takes the boxes of line i that have not come yet of another lot. What
// is seen together is not split as long as the lot serves another group of the
// line whole; where it serves none, it goes as far as it does and its rooms are
// mixed. Came boxes of the line are there, of the lot planned. Rows are those of
// the plan the order is from. Errors wrap ErrLot.
func TakeLot(lines []OrderLine, i, came int, tile Tile, rows []Row, offer LotOffer) (OtherLot, error) {
	l := lines[i]
	name := cmp.Or(tile.Name, tile.Key)
	open := int(l.Quantity) - came
	switch {
	case offer.Lot == "":
		return OtherLot{}, fmt.Errorf("%w: %s: name the lot", ErrLot, name)
	case offer.Lot == l.Lot:
		return OtherLot{}, fmt.Errorf("%w: %s: lot %s is what the line asks for already", ErrLot, name, l.Lot)
	case open <= 0:
		return OtherLot{}, fmt.Errorf("%w: %s: all %s have come; what is in the yard is changed by a return", ErrLot, name, boxes(came))
	}
	have := open
	if offer.Boxes > 0 {
		have = min(open, offer.Boxes+offer.Lying)
	}
	out := OtherLot{Taken: have}
	groups := []string(nil)
	switch {
	case have == open && came == 0:
		out.Whole = l.Rooms
	case have < open && came == 0 && len(l.Groups) > 1:
		groups = out.fit(l, rows, have)
	}
	if out.Whole == nil {
		out.Mixed = l.Rooms
	}
	out.OnHand = min(out.Taken, offer.Lying)
	out.Staying = int(l.Quantity) - out.Taken
	out.Lines = out.lines(lines, i, tile, offer, groups)
	return out, nil
}

// fit gives the groups of a line, the largest first, what there is of a lot, and
// returns those it serves whole; it changes nothing where there is none.
func (o *OtherLot) fit(l OrderLine, rows []Row, have int) (groups []string) {
	var list []Row
	for _, r := range rows {
		if GoodsKey(r.Tile) == l.Product && slices.Contains(l.Groups, r.Group) {
			list = append(list, r)
		}
	}
	slices.SortStableFunc(list, func(a, b Row) int { return cmp.Compare(b.Boxes-b.FromStock, a.Boxes-a.FromStock) })
	taken := 0
	var whole, stay []string
	for _, r := range list {
		if n := r.Boxes - r.FromStock; n > 0 && n <= have-taken {
			taken += n
			groups, whole = append(groups, r.Group), append(whole, r.Rooms...)
		} else {
			stay = append(stay, r.Rooms...)
		}
	}
	if len(groups) > 0 {
		o.Taken, o.Whole, o.Stay = taken, uniqueSorted(whole), uniqueSorted(stay)
	}
	return groups
}

// lines writes what is taken as a line of its own, or in place of line i where
// nothing stays of it.
func (o *OtherLot) lines(lines []OrderLine, i int, tile Tile, offer LotOffer, groups []string) []OrderLine {
	out := slices.Clone(lines)
	was := lines[i]
	next := was
	next.Lot = offer.Lot
	next.set(tile, o.Taken-o.OnHand)
	if offer.Calibre != "" {
		next.Text += ", calibre " + offer.Calibre
	}
	if o.Staying == 0 {
		out[i] = next
		return out
	}
	if groups != nil {
		next.Groups, next.Rooms = groups, o.Whole
		was.Groups = slices.DeleteFunc(slices.Clone(was.Groups), func(g string) bool { return slices.Contains(groups, g) })
		was.Rooms = o.Stay
	}
	was.set(tile, o.Staying)
	out[i] = was
	return append(out, next)
}

// set makes a line of tile one of n boxes.
func (l *OrderLine) set(tile Tile, n int) {
	l.Quantity, l.Amount = float64(n), Amount(n, l.UnitPrice)
	if l.Lot != "" {
		l.Text = lotText(&tile, l.Lot, n)
	} else {
		l.Text = lotRequest(&tile, &Row{Boxes: n}, n)
	}
}

// Lying is how much of a tile's lot is on hand and given to no row.
func (c *Catalogue) Lying(tile, lot string, rows []Row) int {
	n := 0
	for _, l := range c.Lots {
		if l.Tile == tile && l.Lot == lot && !l.Offered {
			n += l.Boxes
		}
	}
	for _, r := range rows {
		if GoodsKey(r.Tile) == tile && r.Lot == lot {
			n -= r.FromStock
		}
	}
	return max(0, n)
}

// Calibre is what is known of a lot's calibre and mean size, nothing where it has
// not been seen.
func (c *Catalogue) Calibre(tile, lot string) (calibre string, width, height rooms.Length) {
	for _, l := range c.Lots {
		if l.Tile == tile && l.Lot == lot {
			return l.Calibre, l.Width, l.Height
		}
	}
	return "", 0, 0
}
