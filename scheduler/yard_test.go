package scheduler

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"potlife/takeoff"
)

// keeping is a firm that keeps offcuts, with one lot of each tile on hand, and jobs.
func keeping(t testing.TB, keys ...string) Input {
	t.Helper()
	in := small(t, 20, 3)
	in.Jobs = nil
	r := rand.New(rand.NewPCG(8, 7))
	for _, k := range keys {
		in.Jobs = append(in.Jobs, job(k, 2, day("2026-03-20"), r))
	}
	in.Firm.Catalogue.Lots = nil
	for _, tile := range in.Firm.Catalogue.Tiles {
		in.Firm.Catalogue.Lots = append(in.Firm.Catalogue.Lots, takeoff.Lot{Tile: tile.Key, Lot: "L1", Boxes: 900})
	}
	in.Firm.Limits.KeepOffcuts = true
	return in
}

// inHand are a plan's stock tiles that are offcuts in hand, by the offcut's key.
func inHand(p *Plan) map[string]takeoff.StockTile {
	out := map[string]takeoff.StockTile{}
	for _, s := range p.Stock {
		if s.InHand() {
			out[s.Offcut.Key] = s
		}
	}
	return out
}

// What a job that is put away left lies in the yard for the next one: it takes fewer
// tiles, the sheets name the offcuts, and once something is cut from one it is offered
// no more.
func TestOffcutsOutliveTheirJob(t *testing.T) {
	first := keeping(t, "job")
	p := made(t, first)
	done := first
	done.Prior = p
	done.Today = Clock{p.Epoch, first.Firm.Zone}.Day(p.Finish).AddDays(1)
	done.Now = done.Today.In(first.Firm.Zone)
	done.Frozen = allUntil(first.Firm, done.Now)
	for _, o := range p.Offcuts {
		if o.Lot != "L1" {
			t.Fatalf("offcut of lot %q", o.Lot)
		}
	}

	next := done
	next.Jobs = keeping(t, "later").Jobs
	thrown := next
	thrown.Firm.Limits.KeepOffcuts = false
	if q := replanned(t, thrown); len(q.ToYard) > 0 || len(inHand(q)) > 0 {
		t.Errorf("a firm that keeps nothing has %d offcuts, uses %d", len(q.ToYard), len(inHand(q)))
	}
	early := next
	early.Today, early.Now, early.Frozen = first.Today, first.Today.In(first.Firm.Zone), nil
	if q := replanned(t, early); len(q.ToYard) > 0 {
		t.Errorf("nothing is cut, and %d offcuts come to hand", len(q.ToYard))
	}
	q := replanned(t, next)
	used := inHand(q)
	if len(q.ToYard) != len(p.Offcuts) || len(used) == 0 || len(q.Spent) > 0 {
		t.Fatalf("%d offcuts left, %d come to hand, %d used, %d spent", len(p.Offcuts), len(q.ToYard), len(used), len(q.Spent))
	}
	for _, o := range q.ToYard {
		if o.From == "" || o.Place == "" {
			t.Fatalf("%+v: nobody finds it", o)
		}
	}
	bare := replanned(t, thrown)
	tiles, boxes := 0, 0
	for i, r := range q.Rows {
		tiles += bare.Rows[i].Stock - r.Stock
		boxes += bare.Rows[i].Boxes - r.Boxes
	}
	if tiles < 1 || boxes < 0 {
		t.Errorf("%d offcuts save %d tiles in %d boxes", len(used), tiles, boxes)
	}

	// The yard keeps what came to hand; the same plan comes of it.
	stored := next
	stored.Firm.Catalogue.Offcuts, stored.Prior = q.ToYard, q
	again := replanned(t, stored)
	if len(again.ToYard) > 0 || !reflect.DeepEqual(offcutKeys(inHand(again)), offcutKeys(used)) {
		t.Errorf("planned again: %d come to hand; used %v, were %v", len(again.ToYard), offcutKeys(inHand(again)), offcutKeys(used))
	}
	// Everything is issued and done: what was cut is spent, all else lies there.
	all, _ := frozenAfter(stored, again, 99)
	all.Today = Clock{again.Epoch, first.Firm.Zone}.Day(again.Finish).AddDays(1)
	all.Now = all.Today.In(first.Firm.Zone)
	for i := range all.Prior.Sheets {
		all.Prior.Sheets[i].Revision = 1
	}
	end := replanned(t, all)
	if !slices.Equal(end.Spent, offcutKeys(used)) {
		t.Errorf("spent %v, used %v", end.Spent, offcutKeys(used))
	}
	third := all
	third.Prior, third.Jobs = end, keeping(t, "third").Jobs
	for k := range inHand(replanned(t, third)) {
		if used[k].ID != "" {
			t.Errorf("offcut %s is cut twice", k)
		}
	}
}

func offcutKeys(m map[string]takeoff.StockTile) []string {
	out := []string{}
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// A piece cut from an offcut in hand breaks: it is cut again from a tile out of a box,
// the offcut is spent, and the report taken back puts all as it was.
func TestOffcutInHandBreaks(t *testing.T) {
	in := keeping(t, "job")
	bare := made(t, in)
	for i, o := range bare.Offcuts {
		in.Firm.Catalogue.Offcuts = append(in.Firm.Catalogue.Offcuts, takeoff.YardOffcut{Key: "shelf/" + string(rune('a'+i%26)) + string(rune('a'+i/26)), Tile: o.Tile, Lot: "L1",
			Width: o.Box.Width(), Height: o.Box.Height(), Left: o.Left, Bottom: o.Bottom, Right: o.Right, Top: o.Top})
	}
	p := made(t, in)
	used := inHand(p)
	if len(used) == 0 {
		t.Fatal("no offcut is used")
	}
	for _, s := range p.Sheets {
		for _, g := range s.Cuts {
			for i, id := range g.Pieces {
				for _, o := range used {
					if o.Pieces[0].Piece == id && g.From[i] != o.ID {
						t.Errorf("the cut list has %s from %s, it comes from %s", id, g.From[i], o.ID)
					}
				}
			}
		}
	}
	next, d := frozenAfter(in, p, 99)
	next.Now = d.AddDays(1).In(in.Firm.Zone)
	for i := range p.Sheets {
		p.Sheets[i].Revision = 1
	}
	q := replanned(t, next)
	key := offcutKeys(inHand(q))[0]
	piece := inHand(q)[key].Pieces[0].Piece
	broken := next
	broken.Prior = q
	broken.Records = []Record{{Kind: "pieces broken", At: next.Now, Crew: q.Sheets[0].Crew, Area: areaOfPiece(q)[piece].ID, Pieces: []string{piece}}}
	b := replanned(t, broken)
	if s, there := inHand(b)[key]; !there || !s.Broken || !slices.Contains(b.Spent, key) {
		t.Errorf("offcut %s: %+v; spent %v", key, s, b.Spent)
	}
	rows := func(p *Plan) (tiles, spares int) {
		for _, r := range p.Rows {
			tiles, spares = tiles+r.Stock, spares+r.Spares
		}
		return tiles, spares
	}
	was, _ := rows(q)
	if now, _ := rows(b); now != was+1 {
		t.Errorf("%d tiles after the breakage, %d before", now, was)
	}
	// The recut is issued when the report turns out to be wrong, before or after the
	// saw has run.
	recut := Clock{b.Epoch, in.Firm.Zone}.Day(areaOfPiece(b)[piece].Start)
	for i := range b.Sheets {
		b.Sheets[i].Revision = 1
	}
	for _, sawn := range []bool{false, true} {
		back := broken
		back.Prior, back.Records, back.Withdrawn = b, nil, &Withdrawal{Before: q, Pieces: []string{piece}}
		back.Today, back.Now, back.Frozen = recut, recut.In(in.Firm.Zone), allUntil(in.Firm, recut.AddDays(1).In(in.Firm.Zone))
		if sawn {
			back.Now = recut.AddDays(1).In(in.Firm.Zone)
		}
		whole := replanned(t, back)
		if s := inHand(whole)[key]; s.Broken || len(s.Pieces) == 0 || s.Pieces[0].Piece != piece {
			t.Errorf("sawn %v, taken back: %+v", sawn, s)
		}
		now, _ := rows(whole)
		broke := 0
		for _, s := range whole.Stock {
			if s.Broken && !s.InHand() {
				broke++
			}
		}
		if now != was || (broke == 1) != sawn {
			t.Errorf("sawn %v, taken back: %d tiles, were %d; %d lost", sawn, now, was, broke)
		}
	}
}
