package sheet

import (
	"strconv"

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
	words, place := d.x.KeptWords(o)
	l := Load{Name: "offcut " + mark + ": " + words, Amount: place}
	if o.Lot != nil {
		l.Lot = *o.Lot
	}
	return l
}
