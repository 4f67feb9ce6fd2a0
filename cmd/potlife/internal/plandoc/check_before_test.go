package plandoc_test

import (
	"slices"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

// spoilings change one figure of a drawing each; those of TestCheckNoticesFaults
// come on top.
var spoilings = []fault{
	{"a wider joint", "2 geometry", func(_ *testing.T, d *plandoc.Document) { d.Surfaces[0].Zones[0].Joint += 3 }},
	{"a smaller cover", "2 geometry", func(_ *testing.T, d *plandoc.Document) { d.Surfaces[0].Zones[0].Cover[0].Outer[0][0] += 40 }},
	{"an opening that was not there", "2 geometry", func(_ *testing.T, d *plandoc.Document) {
		d.Surfaces[0].Openings = append(d.Surfaces[0].Openings, plandoc.Opening{Key: "hatch", Outline: d.Surfaces[0].Zones[0].Pieces[0].Polygon})
	}},
	{"an outline moved", "2 geometry", func(_ *testing.T, d *plandoc.Document) {
		for i := range d.Surfaces[0].Outline.Outer {
			d.Surfaces[0].Outline.Outer[i][1] += 90
		}
	}},
	{"a tile of another shape", "2 geometry", func(_ *testing.T, d *plandoc.Document) {
		for i := range d.Tiles {
			d.Tiles[i].Shape[1][0] += 5
		}
	}},
	{"a cut piece called full", "2 geometry", func(t *testing.T, d *plandoc.Document) { cutPiece(t, d).Full = true }},
	{"a cut without limits", "3 cut", func(t *testing.T, d *plandoc.Document) { cutPiece(t, d).Cuts[0].Least = nil }},
	{"a cut taken out", "3 cut", func(t *testing.T, d *plandoc.Document) { cutPiece(t, d).Cuts = nil }},
	{"a stock tile of two pieces broken", "4 stock", func(t *testing.T, d *plandoc.Document) { usedStock(t, d).Broken = true }},
	{"two pieces in one place of a stock tile", "4 stock", func(t *testing.T, d *plandoc.Document) {
		s := usedStock(t, d)
		moved := s.Pieces[0]
		for i := range d.Stock {
			if o := &d.Stock[i]; o != s && o.Tile == s.Tile && len(o.Pieces) > 0 {
				o.Pieces = append(o.Pieces, moved)
				s.Pieces = s.Pieces[1:]
				pieceOf(d, moved.Piece).Stock = o.ID
				return
			}
		}
		t.Fatal("all are cut from one tile")
	}},
}

func usedStock(t *testing.T, d *plandoc.Document) *plandoc.Stock {
	t.Helper()
	for i := range d.Stock {
		if len(d.Stock[i].Pieces) > 0 {
			return &d.Stock[i]
		}
	}
	t.Fatal("no tile is used")
	return nil
}

func pieceOf(d *plandoc.Document, id string) *plandoc.Piece { return d.Index().Pieces[id] }

// A fault that comes into a document is found whether or not the one before is
// given: the short way finds what the long one finds, to the last breach.
func TestCheckAfterFindsWhatCheckFinds(t *testing.T) {
	for _, seed := range []uint64{3, 8} {
		sound := randomDocument(t, seed)
		if found := plandoc.CheckAfter(again(t, sound), sound); len(found) > 0 {
			t.Fatalf("the sound plan breaks %v", found[0])
		}
		for _, f := range slices.Concat(faults, spoilings) {
			t.Run(f.name, func(t *testing.T) {
				d := again(t, sound)
				f.spoil(t, d)
				long, short := plandoc.Check(d), plandoc.CheckAfter(d, sound)
				if !slices.ContainsFunc(long, func(b plandoc.Breach) bool { return b.Group == f.group }) {
					t.Errorf("not noticed as %s; found %v", f.group, long)
				}
				if !slices.Equal(long, short) {
					t.Errorf("the long way finds\n%v\nthe short way\n%v", long, short)
				}
			})
		}
	}
}
