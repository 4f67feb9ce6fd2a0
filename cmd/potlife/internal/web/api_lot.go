package web

import "context"

type lotIn struct {
	Order   string `path:"order" doc:"the order's number, or its key"`
	Line    int    `query:"line" required:"true" minimum:"1" doc:"as on the order, from 1"`
	Lot     string `query:"lot" required:"true" minLength:"1" maxLength:"100"`
	Calibre string `query:"calibre" maxLength:"100" doc:"left out where it is not known"`
	Boxes   int    `query:"boxes" minimum:"0" maximum:"1000000" doc:"to be had of it; left out or 0 where there is enough"`
}

type lotOut struct{ Body apiLot }

type apiLot struct {
	Seen       string         `json:"seen" doc:"names what was looked at; taking it asks for it"`
	Product    string         `json:"product"`
	Planned    string         `json:"planned" doc:"the lot the line asks for, empty where the supplier picks it"`
	Text       []string       `json:"text" nullable:"false" doc:"what would change, in words"`
	Warnings   []string       `json:"warnings" nullable:"false"`
	Bought     []apiLotBought `json:"bought" nullable:"false" doc:"boxes of the tile on all orders, by lot"`
	CostWas    string         `json:"cost_was" doc:"all orders with freight, decimal"`
	CostIs     string         `json:"cost_is"`
	Difference string         `json:"difference"`
	Currency   string         `json:"currency"`
	Whole      []string       `json:"whole" nullable:"false" doc:"rooms that the lot serves alone"`
	Stay       []string       `json:"stay" nullable:"false" doc:"rooms left with the lot planned"`
	Mixed      []string       `json:"mixed" nullable:"false" doc:"rooms that would get two lots"`
	Relaid     []string       `json:"relaid" nullable:"false" doc:"rooms laid out anew for the size of the lot"`
}

type apiLotBought struct {
	Lot string `json:"lot" doc:"empty: of the supplier's choice"`
	Was int    `json:"was"`
	Is  int    `json:"is"`
}

func (s *server) apiOtherLot(ctx context.Context, in *lotIn) (*lotOut, error) {
	ask := LotIn{Order: in.Order, Line: in.Line, Lot: in.Lot, Calibre: in.Calibre, Boxes: in.Boxes}
	if _, err := s.apiOrder(ctx, in.Order); err != nil {
		return nil, err
	}
	if err := ask.check(); err != nil {
		return nil, err
	}
	got, err := s.o.Orders.OtherLot(ctx, ask)
	if err != nil {
		return nil, err
	}
	list := func(l []string) []string { return append([]string{}, l...) }
	out := &lotOut{apiLot{Seen: got.Seen, Product: got.Product, Planned: got.Planned, Text: list(got.Text), Warnings: list(got.Warnings), Bought: []apiLotBought{},
		CostWas: got.CostWas, CostIs: got.CostIs, Difference: got.Difference, Currency: got.Currency, Whole: list(got.Whole), Stay: list(got.Stay), Mixed: list(got.Mixed), Relaid: list(got.Relaid)}}
	for _, b := range got.Bought {
		out.Body.Bought = append(out.Body.Bought, apiLotBought(b))
	}
	return out, nil
}

type takeLotIn struct {
	Order string `path:"order" doc:"the order's number, or its key"`
	Body  struct {
		Line    int    `json:"line" minimum:"1"`
		Lot     string `json:"lot" minLength:"1" maxLength:"100"`
		Calibre string `json:"calibre,omitempty" maxLength:"100"`
		Boxes   int    `json:"boxes,omitempty" minimum:"0" maximum:"1000000"`
		Seen    string `json:"seen" minLength:"1" maxLength:"100" doc:"of the answer that was looked at; the order must still be as it was then"`
		Mixed   bool   `json:"mixed,omitempty" doc:"rooms may get two lots side by side"`
		Note    string `json:"note,omitempty" maxLength:"4000" doc:"to the supplier"`
	}
}

func (s *server) apiTakeLot(ctx context.Context, in *takeLotIn) (*orderOut, error) {
	b := in.Body
	take := TakeLotIn{LotIn: LotIn{Order: in.Order, Line: b.Line, Lot: b.Lot, Calibre: b.Calibre, Boxes: b.Boxes}, Seen: b.Seen, Mixed: b.Mixed, By: *userOf(ctx), Note: b.Note}
	if _, err := s.apiOrder(ctx, in.Order); err != nil {
		return nil, err
	}
	if err := take.check(); err != nil {
		return nil, err
	}
	if err := s.o.Orders.TakeLot(ctx, take); err != nil {
		return nil, err
	}
	return s.apiOrder(ctx, in.Order)
}
