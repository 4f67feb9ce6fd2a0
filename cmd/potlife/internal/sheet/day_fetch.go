package sheet

import (
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// fetching names the offcuts in hand that the day's cuts come from by K1, K2, …
// and lists them with what it takes to find each.
func (d *Day) fetching() {
	d.fetched = map[string]string{}
	var ids []string
	for _, g := range d.sheet.Cuts {
		ids = append(ids, g.Pieces...)
	}
	for _, id := range append(ids, d.sheet.OnSite...) {
		p := d.x.Pieces[id]
		if p == nil || d.fetched[p.Stock] != "" {
			continue
		}
		if st := d.x.Stock[p.Stock]; st != nil && st.Offcut != nil {
			mark := "K" + strconv.Itoa(len(d.fetch)+1)
			d.fetched[p.Stock] = mark
			d.fetch = append(d.fetch, d.offcutLoad(mark, st.Offcut))
		}
	}
}

// offcutLoad says which offcut to fetch, and where it lies.
func (d *Day) offcutLoad(mark string, o *plandoc.KeptOffcut) Load {
	text := []string{"offcut " + mark + ": " + d.x.ProductName(o.Tile) + ", " + d.w.Cut(o.Width) + " × " + d.w.Cut(o.Height)}
	switch n := len(o.Factory); n {
	case 0:
		text = append(text, "cut on all sides")
	case 1:
		text = append(text, o.Factory[0]+" edge uncut")
	default:
		text = append(text, strings.Join(o.Factory[:n-1], ", ")+" and "+o.Factory[n-1]+" edges uncut")
	}
	if o.From != nil {
		text = append(text, "the offcut kept from "+*o.From)
	} else {
		text = append(text, "marked "+o.Key)
	}
	l := Load{Name: strings.Join(text, "; "), Amount: "in the yard"}
	if o.Place != nil {
		l.Amount = "at " + *o.Place
	}
	if o.Lot != nil {
		l.Lot = *o.Lot
	}
	return l
}
