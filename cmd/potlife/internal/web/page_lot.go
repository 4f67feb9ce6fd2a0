package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"potlife/rooms"
)

// lotForm asks what another lot would change: it stands on the page of an order
// and on that of the answer.
type lotForm struct {
	Lines       []choice // of tile, by number
	Known       []string // lots that the firm has or is offered
	Lot         string
	Calibre     string
	Boxes       string
	Trouble     string
	Name, Title string // of the order
}

type lotPage struct {
	frame
	Form                       lotForm
	Answer                     *lotAnswer
	Mixed                      string
	Key, Seen, Line, Note, Lot string
}

// lotAnswer is an answer as the page words it.
type lotAnswer struct {
	Product, Planned, Taken          string
	Text, Warnings                   []string
	Bought                           []LotBought
	CostWas, CostIs, Cost            string
	Whole, Stay, Mixed, Relaid       string
	Shifts                           []shiftRow
	Draft, Placed, Nothing, NeedsMix bool
}

// lotForm lists the lines of an order for which another lot may be taken; none
// where the order is past that.
func (v *view) lotForm(b booked) lotForm {
	f := lotForm{Name: b.name()}
	if !slices.Contains([]string{"draft", "placed", "confirmed", "part received"}, b.state.State) {
		return f
	}
	for i, l := range b.Lines {
		if l.Product == nil || v.x.Tiles[*l.Product] == nil || b.open(i) <= 0 {
			continue
		}
		f.Lines = append(f.Lines, choice{Key: strconv.Itoa(i + 1), Name: fmt.Sprintf("%d: %s", i+1, l.Text)})
		for _, h := range v.Document.OnHand {
			if lot := deref(h.Lot); h.Product == *l.Product && lot != "" && !slices.Contains(f.Known, lot) {
				f.Known = append(f.Known, lot)
			}
		}
	}
	return f
}

// otherLot shows what taking another lot would change.
func (s *server) otherLot(w http.ResponseWriter, r *http.Request) error {
	return s.lotAgain(w, r, r.URL.Query(), nil)
}

// lotAgain shows the page of a lot, with what was wrong with taking it.
func (s *server) lotAgain(w http.ResponseWriter, r *http.Request, q url.Values, bad *Error) error {
	v, o, err := s.orderOf(r)
	if err != nil {
		return err
	}
	p := &lotPage{frame: s.frame(r, "Another lot for order "+o.name(), "orders"), Form: v.lotForm(o), Key: s.o.NewKey(), Note: q.Get("note")}
	p.Form.Lot, p.Form.Calibre, p.Form.Boxes = strings.TrimSpace(q.Get("lot")), strings.TrimSpace(q.Get("calibre")), strings.TrimSpace(q.Get("boxes"))
	for i := range p.Form.Lines {
		p.Form.Lines[i].Chosen = p.Form.Lines[i].Key == q.Get("line")
	}
	in, err := readLot(q, o)
	var got LotAnswer
	if err == nil {
		got, err = s.o.Orders.OtherLot(r.Context(), in)
	}
	known, ok := err.(*Error)
	if err != nil && (!ok || known.Kind == NotFound) {
		return err
	}
	status := http.StatusOK
	if bad == nil {
		bad = known
	}
	if bad != nil {
		p.Form.Trouble, status = bad.Text, statuses[bad.Kind]
	}
	if err == nil {
		p.Answer, p.Seen, p.Line, p.Lot = v.lotAnswer(o, in, got), got.Seen, strconv.Itoa(in.Line), in.Lot
	}
	s.render(w, r, status, "lot", p)
	return nil
}

// readLot reads what is asked.
func readLot(q url.Values, o booked) (LotIn, error) {
	in := LotIn{Order: o.name(), Lot: strings.TrimSpace(q.Get("lot")), Calibre: strings.TrimSpace(q.Get("calibre"))}
	var err error
	if in.Line, err = strconv.Atoi(q.Get("line")); err != nil || in.Line < 1 || in.Line > len(o.Lines) {
		return in, &Error{Kind: Invalid, Field: "line", Text: "Choose the line for which the lot is meant."}
	}
	if text := strings.TrimSpace(q.Get("boxes")); text != "" {
		if in.Boxes, err = strconv.Atoi(text); err != nil {
			return in, &Error{Kind: Invalid, Field: "boxes", Text: fmt.Sprintf("%q boxes is no whole number; leave it empty where there is enough of the lot.", text)}
		}
		if in.Boxes == 0 {
			return in, &Error{Kind: Invalid, Field: "boxes", Text: "Of a lot of which no box is to be had none can be taken."}
		}
	}
	return in, in.check()
}

func (in LotIn) check() error {
	switch {
	case in.Lot == "":
		return &Error{Kind: Invalid, Field: "lot", Text: "Name the lot, as the supplier does."}
	case len(in.Lot) > 100 || len(in.Calibre) > 100 || strings.ContainsAny(in.Lot+in.Calibre, "\x00\n\r"):
		return &Error{Kind: Invalid, Field: "lot", Text: "The name of a lot or calibre has at most 100 characters on one line."}
	case in.Boxes < 0 || in.Boxes > 1_000_000:
		return &Error{Kind: Invalid, Field: "boxes", Text: "The boxes that are to be had are a whole number up to a million."}
	}
	return nil
}

// lotAnswer words an answer.
func (v *view) lotAnswer(o booked, in LotIn, got LotAnswer) *lotAnswer {
	planned := "a lot that the supplier picks"
	if got.Planned != "" {
		planned = "lot " + got.Planned
	}
	a := &lotAnswer{Product: v.x.ProductName(got.Product), Planned: planned, Taken: in.Lot, Text: got.Text, Warnings: got.Warnings, Bought: got.Bought,
		CostWas: v.w.Money(got.CostWas) + " " + got.Currency, CostIs: v.w.Money(got.CostIs) + " " + got.Currency, Whole: v.roomNames(got.Whole), Stay: v.roomNames(got.Stay),
		Mixed: v.roomNames(got.Mixed), Relaid: v.roomNames(got.Relaid), Draft: o.state.State == "draft", NeedsMix: len(got.Mixed) > 0}
	switch {
	case strings.HasPrefix(got.Difference, "-"):
		a.Cost = v.w.Money(got.Difference[1:]) + " " + got.Currency + " less"
	case strings.Trim(got.Difference, "0.") != "":
		a.Cost = v.w.Money(got.Difference) + " " + got.Currency + " more"
	default:
		a.Cost = "nothing more"
	}
	for _, sh := range got.Shifts {
		a.Shifts = append(a.Shifts, v.shiftRow(sh))
	}
	a.Nothing = len(a.Text) == 0 && len(a.Shifts) == 0
	return a
}

// roomNames names rooms: "Bath, Hall".
func (v *view) roomNames(keys []string) string {
	var list []string
	for _, k := range rooms.InOrder(keys) {
		list = append(list, v.x.RoomName(k))
	}
	return strings.Join(list, ", ")
}

// shiftRow words what moves of a room.
func (v *view) shiftRow(sh Shift) shiftRow {
	row := shiftRow{Room: v.x.RoomName(sh.Room), Was: v.w.DayClock(sh.Was.Format(time.RFC3339)), Is: v.w.DayClock(sh.Is.Format(time.RFC3339)), LateWas: sh.LateWas, LateIs: sh.LateIs, Blocked: sh.Blocked}
	switch {
	case sh.MovedDays > 0:
		row.Moved = fmt.Sprintf("%d d later", sh.MovedDays)
	case sh.MovedDays < 0:
		row.Moved = fmt.Sprintf("%d d earlier", -sh.MovedDays)
	}
	return row
}

// takeLot takes the lot that was looked at.
func (s *server) takeLot(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	_, o, err := s.orderOf(r)
	if err != nil {
		return err
	}
	f := r.PostForm
	lot, err := readLot(f, o)
	if err == nil {
		err = s.o.Orders.TakeLot(r.Context(), TakeLotIn{LotIn: lot, Seen: f.Get("seen"), Mixed: f.Get("mixed") == "yes", By: *userOf(r.Context()), Note: strings.TrimSpace(f.Get("note"))})
	}
	if known, ok := err.(*Error); ok && known.Kind != NotFound && known.Kind != Forbidden {
		return s.lotAgain(w, r, f, known)
	}
	if err != nil {
		return err
	}
	s.notice(r, "Lot "+lot.Lot+" is taken on order "+o.name()+".")
	http.Redirect(w, r, path("orders", o.name()), http.StatusSeeOther)
	return nil
}
