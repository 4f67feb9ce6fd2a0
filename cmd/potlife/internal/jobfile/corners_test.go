package jobfile

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// TestOutsideCorners: what a room says of its outside corners holds for those, and
// for niches, that say nothing themselves; what is written reads back alike.
func TestOutsideCorners(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(good), "          surfaces:")
	head = strings.Replace(head, "  patterns:", "    - {key: film, name: Film, supplier: yard, kind: membrane, holds: 5 kg, price: 50}\n    - {key: angle, name: Angle, supplier: yard, kind: trim, holds: 2.5 m, price: 9}\n  patterns:", 1)
	const shower = "          corner_shower: {width: 1200, depth: 900, height: 2100, side: left, niche: {wall: back, x: 400, y: 1100, width: 300, height: 400, depth: 90}}\n"
	for _, c := range []struct{ firm, says, fill, trim string }{
		{"", "", rooms.FillNothing, ""},
		{"", "          outside_corners: mitre\n", rooms.FillMitre, ""},
		{"", "          outside_corners: angle\n", rooms.FillTrim, "angle"},
		{"mitre", "", rooms.FillMitre, ""}, // as the firm does
		{"angle", "", rooms.FillTrim, "angle"},
		{"mitre", "          outside_corners: angle\n", rooms.FillTrim, "angle"},
		{"mitre", "          outside_corners: nothing\n", rooms.FillNothing, ""},
	} {
		own := head
		if c.firm != "" {
			own = strings.Replace(head, "firm:\n", "firm:\n  outside_corners: "+c.firm+"\n", 1)
		}
		f, problems := Parse("quick.yaml", []byte(own+c.says+shower))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		edges := 0
		for _, s := range f.Jobs[0].Sites[0].Rooms[0].Surfaces {
			for i, e := range s.Edges {
				if e.Meets != rooms.OutsideCorner {
					continue
				}
				if edges++; e.Fill != c.fill || e.Trim != c.trim || !strings.HasSuffix(e.Shared, "/shower-back#niche") {
					t.Errorf("%q: %s#%d is closed by %s %s and lines %q", c.says, s.Key, i, e.Fill, e.Trim, e.Shared)
				}
			}
			for _, o := range s.Openings {
				want := fmt.Sprint(c.fill, c.trim)
				if c.fill == rooms.FillNothing {
					want = rooms.FillGrout
				}
				if o.Kind == "niche" && fmt.Sprint(o.Fill, o.Trim) != want {
					t.Errorf("%q: the niche is closed by %s %s", c.says, o.Fill, o.Trim)
				}
			}
		}
		if edges != 4 {
			t.Errorf("%q: %d outside corners, want the niche's four", c.says, edges)
		}
		once, err := Write(f)
		if err != nil {
			t.Fatal(err)
		}
		again, problems := Parse("again.yaml", once)
		if len(problems) > 0 {
			t.Fatalf("%q: %v", c.says, problems)
		}
		if twice, err := Write(again); err != nil || !bytes.Equal(once, twice) {
			t.Errorf("%q: what is written does not read back alike (%v)", c.says, err)
		}
	}
}

// TestFirmsOutsideCorners: the firm names mitre or a trim that it has; a job file of
// its own takes what the firm that stands says.
func TestFirmsOutsideCorners(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	bad := strings.Replace(string(good), "firm:\n", "firm:\n  outside_corners: bullnose\n", 1)
	if _, problems := Parse("bad.yaml", []byte(bad)); len(problems) != 1 || !strings.Contains(problems[0].String(), `"bullnose" is no trim; expected mitre, nothing, or the key of a trim`) {
		t.Errorf("%v", problems)
	}
	f, problems := Parse("good.yaml", good)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	f.Firm.OutsideCorners = rooms.FillMitre
	tile := f.Firm.Catalogue.Tiles[0].Key
	m := slices.IndexFunc(f.Firm.Catalogue.Products, func(p takeoff.Product) bool { return p.Kind == takeoff.KindMortar })
	g := slices.IndexFunc(f.Firm.Catalogue.Products, func(p takeoff.Product) bool { return p.Kind == takeoff.KindGrout })
	job := fmt.Sprintf("job: {key: other, name: b, start: 2026-12-07, sites: [{key: s, rooms: [{key: r, surfaces: [{key: w, kind: wall, width: 1 m, height: 1 m, set: {tile: %s, mortar: %s, grout: %s, joint: 3}, edges: {right: outside corner}}]}]}]}",
		tile, f.Firm.Catalogue.Products[m].Key, f.Firm.Catalogue.Products[g].Key)
	got, problems := ParseAll(f.Firm, Source{"job.yaml", []byte(job)})
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if e := got.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Edges[1]; e.Fill != rooms.FillMitre {
		t.Errorf("%+v is not mitred", e)
	}
}

// TestCornerAngle: a corner that cannot be mitred is refused at its line.
func TestCornerAngle(t *testing.T) {
	for angle, want := range map[string]string{"135": "", "90": "", "8": "a corner of 8 degrees cannot be mitred", "200": "200"} {
		_, problems := Parse("job.yaml", []byte(`job: {key: a, name: b, start: 2026-12-07, sites: [{key: s, rooms: [{key: r, surfaces: [
  {key: w, kind: wall, width: 1 m, height: 1 m, set: {tile: x, mortar: m, grout: g, joint: 3}, edges: {right: {meets: outside corner, fill: mitre, angle: `+angle+`}}}]}]}]}`))
		switch {
		case want == "" && len(problems) > 0:
			t.Errorf("%s: %v", angle, problems)
		case want != "" && (len(problems) != 1 || problems[0].Line != 2 || !strings.Contains(problems[0].String(), want)):
			t.Errorf("%s: %v, want %q", angle, problems, want)
		}
	}
}
