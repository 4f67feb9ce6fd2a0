package web

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

// offcutLine is an offcut in hand, or one that is gone.
type offcutLine struct {
	Key, Name, Lot, Size, Edges string
	Place, From, Kept           string
	For                         string // what the plan cuts from it
	Gone                        string
}

// offcutForm is what the form to record one offers.
type offcutForm struct {
	Tiles []tileChoice
	Unit  string
}

type tileChoice struct{ Key, Name string }

// goneShown is how many of the offcuts that are gone the page shows.
const goneShown = 20

// offcutsInHand fills the page of stock with the offcuts.
func (s *server) offcutsInHand(r *http.Request, v *view, p *stockPage) error {
	list, err := s.o.Stock.Offcuts(r.Context())
	if err != nil {
		return err
	}
	gone := 0
	for _, o := range list {
		l := v.offcutLine(o)
		if !o.Gone {
			p.InHand = append(p.InHand, l)
		} else if gone++; gone <= goneShown {
			p.Gone = append(p.Gone, l)
		}
	}
	p.Keep.Unit = v.w.Unit()
	for _, t := range v.Document.Tiles {
		if t.Of == nil && !strings.Contains(t.Key, "@") && len(t.Shape) == 4 {
			p.Keep.Tiles = append(p.Keep.Tiles, tileChoice{t.Key, v.x.ProductName(t.Key)})
		}
	}
	return nil
}

func (v *view) offcutLine(o OffcutRow) offcutLine {
	l := offcutLine{Key: o.Key, Name: v.x.ProductName(o.Tile), Lot: cmp.Or(o.Lot, "not known"), Place: cmp.Or(o.Place, "yard"), From: o.From,
		Size:  v.w.Cut(plandoc.MM(o.Width.Millimetres())) + " × " + v.w.Cut(plandoc.MM(o.Height.Millimetres())),
		Edges: cmp.Or(strings.Join(o.Edges(), ", "), "none"), Kept: v.w.DayClock(o.KeptAt.Format(time.RFC3339))}
	if o.KeptBy != "" {
		l.Kept += ", " + o.KeptBy
	}
	if o.Gone {
		l.Gone = v.w.DayClock(o.GoneAt.Format(time.RFC3339)) + ", " + cmp.Or(o.GoneBy, "cut as planned")
	}
	i := slices.IndexFunc(v.Document.Yard, func(k plandoc.KeptOffcut) bool { return k.Key == o.Key && k.Stock != nil })
	if i < 0 {
		return l
	}
	if st := v.x.Stock[*v.Document.Yard[i].Stock]; st != nil {
		var names []string
		for _, q := range st.Pieces {
			if at, piece := v.x.PieceAt[q.Piece], v.x.Pieces[q.Piece]; at != nil && piece != nil {
				names = append(names, fmt.Sprintf("%s, %s %s", v.x.RoomName(at.Room), v.x.SurfaceName(at.Key), piece.Label))
			}
		}
		l.For = strings.Join(names, "; ")
	}
	return l
}

// keepOffcut records an offcut from the page's form.
func (s *server) keepOffcut(w http.ResponseWriter, r *http.Request) error {
	if s.o.Stock == nil {
		return &Error{Kind: NotFound, Text: "This program keeps no stock."}
	}
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	f := r.PostForm
	key, err := s.o.Stock.KeepOffcut(r.Context(), OffcutIn{Key: f.Get("key"), Tile: f.Get("tile"), Lot: f.Get("lot"), Width: f.Get("width"), Height: f.Get("height"),
		Edges: f["edge"], Place: f.Get("place"), From: f.Get("from"), By: *userOf(r.Context())})
	if err != nil {
		return err
	}
	s.notice(r, "Offcut "+key+" is recorded: mark it so. The plan follows.")
	http.Redirect(w, r, "/stock#h-offcuts", http.StatusSeeOther)
	return nil
}

// offcutGone records that an offcut is not there any more.
func (s *server) offcutGone(w http.ResponseWriter, r *http.Request) error {
	if s.o.Stock == nil {
		return &Error{Kind: NotFound, Text: "This program keeps no stock."}
	}
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	key := r.PostForm.Get("key")
	if err := s.o.Stock.OffcutGone(r.Context(), key, *userOf(r.Context())); err != nil {
		return err
	}
	s.notice(r, "Offcut "+key+" is booked out. The plan follows.")
	http.Redirect(w, r, "/stock#h-offcuts", http.StatusSeeOther)
	return nil
}
