package plandoc_test

import (
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// The digest that a client signs changes exactly with what the client sees.
func TestDrawn(t *testing.T) {
	digest := func(change func(d *plandoc.Document, s *plandoc.Surface, z *plandoc.Zone)) string {
		t.Helper()
		d := plandoctest.Sample("metric")
		s := &d.Surfaces[0]
		change(d, s, &s.Zones[0])
		got, err := d.Drawn(plandoctest.Room)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	as := digest(func(*plandoc.Document, *plandoc.Surface, *plandoc.Zone) {})
	if as == "" || digest(func(*plandoc.Document, *plandoc.Surface, *plandoc.Zone) {}) != as {
		t.Fatalf("the digest of the same drawings is %q and another", as)
	}
	type change = func(d *plandoc.Document, s *plandoc.Surface, z *plandoc.Zone)
	seen := map[string]string{as: "no change"}
	for name, c := range map[string]change{
		"the outline": func(_ *plandoc.Document, s *plandoc.Surface, _ *plandoc.Zone) { s.Outline.Outer[0][0] -= 1 },
		"an opening": func(_ *plandoc.Document, s *plandoc.Surface, _ *plandoc.Zone) {
			s.Openings = append(s.Openings, plandoc.Opening{Key: "niche"})
		},
		"the kind":    func(_ *plandoc.Document, s *plandoc.Surface, _ *plandoc.Zone) { s.Kind = "kerb" },
		"the tile":    func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Tile = "another" },
		"the grout":   func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Grout = "another" },
		"the pattern": func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Pattern = "herringbone" },
		"the joint":   func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Joint += 0.5 },
		"a soft joint": func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) {
			z.SoftJoints = append(z.SoftJoints, plandoc.SoftJoint{})
		},
		"a piece's place":  func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Pieces[0].Polygon.Outer[0][0] += 1 },
		"a piece's tile":   func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Pieces[0].Tile = "another" },
		"a piece less":     func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Pieces = z.Pieces[1:] },
		"a surface less":   func(d *plandoc.Document, _ *plandoc.Surface, _ *plandoc.Zone) { d.Surfaces = d.Surfaces[1:] },
		"the surface's id": func(_ *plandoc.Document, s *plandoc.Surface, _ *plandoc.Zone) { s.Key += "-2" },
	} {
		got := digest(c)
		if other, known := seen[got]; known {
			t.Errorf("%s changes the digest no more than %s", name, other)
		}
		seen[got] = name
	}
	for name, c := range map[string]change{
		"a piece that is late": func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) {
			late := "broken"
			z.Pieces[0].Late = &late
		},
		"a piece measured on site": func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Pieces[0].OnSite = true },
		"another stock tile":       func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Pieces[0].Stock += "/again.1" },
		"another area":             func(_ *plandoc.Document, _ *plandoc.Surface, z *plandoc.Zone) { z.Pieces[0].Area = "elsewhere" },
		"another finish":           func(d *plandoc.Document, _ *plandoc.Surface, _ *plandoc.Zone) { d.Finish = "2027-01-01T00:00:00Z" },
		"another price":            func(d *plandoc.Document, _ *plandoc.Surface, _ *plandoc.Zone) { d.Orders[0].Lines[0].UnitPrice = "1" },
		"another room's drawings": func(d *plandoc.Document, _ *plandoc.Surface, _ *plandoc.Zone) {
			d.Surfaces = append(d.Surfaces, plandoc.Surface{Room: "x/y"})
		},
		"how long its field is to hold": func(_ *plandoc.Document, s *plandoc.Surface, _ *plandoc.Zone) { n := 60; s.HoldMinutes = &n },
	} {
		if got := digest(c); got != as {
			t.Errorf("%s changes what the client signed", name)
		}
	}
	if got := digest(func(d *plandoc.Document, _ *plandoc.Surface, _ *plandoc.Zone) {
		for i := range d.Surfaces {
			for j := range d.Surfaces[i].Zones {
				d.Surfaces[i].Zones[j].Pieces = nil
			}
		}
	}); got != "" {
		t.Errorf("a room without tile has the digest %q", got)
	}
}
