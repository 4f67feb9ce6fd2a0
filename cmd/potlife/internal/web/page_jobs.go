package web

import (
	"bytes"
	"html/template"
	"net/http"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

type jobsPage struct {
	frame
	Jobs []jobEntry
}

type jobEntry struct {
	Key, Name, Client, Start string
	Sites                    []string
	Rooms, Late              int
	Finish                   string
}

func (s *server) jobs(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	p := jobsPage{frame: s.frame(r, "Jobs", "jobs")}
	for _, j := range v.Document.Jobs {
		p.Jobs = append(p.Jobs, v.jobEntry(&j))
	}
	s.render(w, r, http.StatusOK, "jobs", p)
	return nil
}

func (v *view) jobEntry(j *plandoc.Job) jobEntry {
	e := jobEntry{Key: j.Key, Name: v.jobName(j.Key), Client: j.Client, Start: v.w.Day(j.Start)}
	for _, site := range v.Document.Sites {
		if site.Job == j.Key {
			e.Sites = append(e.Sites, v.siteName(site.Key))
		}
	}
	last := ""
	for i := range v.Document.Rooms {
		room := &v.Document.Rooms[i]
		if room.Job != j.Key {
			continue
		}
		e.Rooms++
		if room.LateDays > 0 {
			e.Late++
		}
		if last == "" || v.w.Time(room.Finish).After(v.w.Time(last)) {
			last = room.Finish
		}
	}
	e.Finish = v.w.Day(last)
	return e
}

type jobPage struct {
	frame
	Job   jobEntry
	Rooms []jobRoom
	Feed  string
	Open  bool // so few rooms that none is folded
}

// fewRooms are shown unfolded.
const fewRooms = 1

type jobRoom struct {
	Key, Name, Site, Due, Finish, Bound, Ready, Blocked string
	LateDays                                            int
	Air                                                 string
	Surfaces                                            []jobSurface
	Work                                                []workLine
	Findings                                            []plandoc.Finding
}

type jobSurface struct {
	Key, Name, Kind, Size string
	Pieces, Cut           int
	Patterns              string
}

type workLine struct{ Kind, Title, When, Crew, State string }

func (s *server) job(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	key := r.PathValue("job")
	j := v.x.Jobs[key]
	if j == nil || !v.worksOn(userOf(r.Context()), key) {
		return &Error{Kind: NotFound, Text: "There is no job " + key + " in the plan."}
	}
	p := jobPage{frame: s.frame(r, v.jobName(key), "jobs"), Job: v.jobEntry(j), Feed: s.feedURL(r, "job", key)}
	for i := range v.Document.Rooms {
		if room := &v.Document.Rooms[i]; room.Job == key {
			p.Rooms = append(p.Rooms, v.jobRoom(room))
		}
	}
	p.Open = len(p.Rooms) <= fewRooms
	s.render(w, r, http.StatusOK, "job", p)
	return nil
}

func (v *view) jobRoom(room *plandoc.Room) jobRoom {
	out := jobRoom{Key: room.Key, Name: room.Name, Site: v.siteName(room.Site), Due: v.w.ShortDay(deref(room.Due)), Finish: v.w.DayClock(room.Finish), Bound: v.w.DayClock(room.Bound),
		Ready: v.w.ShortDay(room.Ready), Blocked: room.Blocked, LateDays: room.LateDays, Air: v.w.Degrees(room.Celsius)}
	for i := range v.Document.Surfaces {
		if sf := &v.Document.Surfaces[i]; sf.Room == room.Key {
			out.Surfaces = append(out.Surfaces, v.jobSurface(sf))
		}
	}
	for i := range v.Document.Activities {
		if a := &v.Document.Activities[i]; a.Room == room.Key {
			line := workLine{Kind: a.Kind, Title: a.Title, When: v.w.DayClock(a.Start), State: a.State}
			if a.Crew != nil {
				line.Crew = v.x.CrewName(*a.Crew)
			}
			out.Work = append(out.Work, line)
		}
	}
	for _, f := range v.Document.Findings {
		if f.Where == room.Key || strings.HasPrefix(f.Where, room.Key+"/") {
			f.Where = v.x.Places([]string{f.Where})
			out.Findings = append(out.Findings, f)
		}
	}
	return out
}

func (v *view) jobSurface(sf *plandoc.Surface) jobSurface {
	e := jobSurface{Key: sf.Key, Name: v.x.SurfaceName(sf.Key), Kind: sf.Kind, Size: v.outlineSize(sf)}
	var patterns []string
	for _, z := range sf.Zones {
		patterns = append(patterns, z.Pattern+", "+v.x.ProductName(z.Tile))
		e.Pieces += len(z.Pieces)
		for i := range z.Pieces {
			if !z.Pieces[i].Full {
				e.Cut++
			}
		}
	}
	e.Patterns = strings.Join(patterns, "; ")
	return e
}

// outlineSize is width by height of a surface's outline.
func (v *view) outlineSize(sf *plandoc.Surface) string {
	if len(sf.Outline.Outer) == 0 {
		return ""
	}
	lo, hi := sf.Outline.Outer[0], sf.Outline.Outer[0]
	for _, p := range sf.Outline.Outer {
		lo[0], lo[1] = min(lo[0], p[0]), min(lo[1], p[1])
		hi[0], hi[1] = max(hi[0], p[0]), max(hi[1], p[1])
	}
	return v.w.Length(hi[0]-lo[0]) + " × " + v.w.LengthUnit(hi[1]-lo[1])
}

type surfacePage struct {
	frame
	Key, Room, Job, JobKey, Kind, Size, Unit string
	Drawing                                  template.HTML
	Zones                                    []zoneFacts
	Cuts                                     []cutRow
	Findings                                 []plandoc.Finding
}

type zoneFacts struct {
	Pattern, Tile, Joint, Mortar, Grout, Why, Level, Plumb string
	Pieces, Cut                                            int
	Runners                                                []runnerFacts
}

// runnerFacts is a start that was weighed and lost.
type runnerFacts struct {
	Why, At   string
	Full, Cut int
	Drawing   template.HTML
}

// cutRow is the cuts of a surface that are alike.
type cutRow struct{ Labels, Side, Size, Least, Most, Tool, At, Remark string }

func (s *server) surface(w http.ResponseWriter, r *http.Request) error {
	v, sf, err := s.surfaceOf(r)
	if err != nil {
		return err
	}
	svg, err := s.o.Print.Surface(v.Document, sf.Key)
	if err != nil {
		return err
	}
	room := v.x.Rooms[sf.Room]
	p := surfacePage{frame: s.frame(r, v.x.SurfaceName(sf.Key), "jobs"), Key: sf.Key, Room: v.x.RoomName(sf.Room), Kind: sf.Kind, Size: v.outlineSize(sf), Unit: v.w.Unit(), Drawing: template.HTML(svg)}
	if room != nil {
		p.Job, p.JobKey = v.jobName(room.Job), room.Job
	}
	for i := range sf.Zones {
		v.zone(&p, &sf.Zones[i])
		if err := s.runners(v, &p.Zones[i], sf, &sf.Zones[i]); err != nil {
			return err
		}
	}
	for _, f := range v.Document.Findings {
		if f.Where == sf.Key || strings.HasPrefix(f.Where, sf.Key+"/") {
			p.Findings = append(p.Findings, f)
		}
	}
	s.render(w, r, http.StatusOK, "surface", p)
	return nil
}

// runners draws the starts that lost.
func (s *server) runners(v *view, f *zoneFacts, sf *plandoc.Surface, z *plandoc.Zone) error {
	for i, r := range z.RunnersUp {
		svg, err := s.o.Print.RunnerUp(v.Document, sf.Key, z.Key, i)
		if err != nil {
			return err
		}
		f.Runners = append(f.Runners, runnerFacts{Why: r.Why, At: v.w.Length(r.Origin[0]) + ", " + v.w.LengthUnit(r.Origin[1]), Full: r.Full, Cut: r.Cut, Drawing: template.HTML(svg)})
	}
	return nil
}

func (v *view) zone(p *surfacePage, z *plandoc.Zone) {
	f := zoneFacts{Pattern: z.Pattern, Tile: v.x.ProductName(z.Tile), Joint: jointText(v.w, z.Joint), Mortar: v.x.ProductName(z.Mortar), Grout: v.x.ProductName(z.Grout), Why: z.Why, Pieces: len(z.Pieces)}
	if z.LevelLine > 0 {
		f.Level = v.w.LengthUnit(z.LevelLine)
	}
	if z.Plumb > 0 {
		f.Plumb = v.w.LengthUnit(z.Plumb)
	}
	for i := range z.Pieces {
		piece := &z.Pieces[i]
		if !piece.Full {
			f.Cut++
		}
		for _, c := range piece.Cuts {
			p.addCut(piece.Label, v.cutRow(piece, c))
		}
	}
	p.Zones = append(p.Zones, f)
}

// addCut puts a cut with those that are alike.
func (p *surfacePage) addCut(label string, row cutRow) {
	for i := range p.Cuts {
		like := p.Cuts[i]
		if like.Labels = ""; like == row {
			p.Cuts[i].Labels += ", " + label
			return
		}
	}
	row.Labels = label
	p.Cuts = append(p.Cuts, row)
}

// jointText keeps a tenth of a mm, which matters in a joint.
func jointText(w plandoc.Writing, joint plandoc.MM) string {
	if w.Imperial {
		return w.Cut(joint)
	}
	return plandoc.Figure(float64(joint), 1) + " mm"
}

func (v *view) cutRow(piece *plandoc.Piece, c plandoc.Cut) cutRow {
	row := cutRow{Side: c.Side, Tool: c.Tool, At: c.At, Remark: c.Shape}
	size := func(m *plandoc.MM) string {
		if m == nil {
			return ""
		}
		return v.w.Cut(*m)
	}
	row.Size, row.Least, row.Most = size(c.Size), size(c.Least), size(c.Most)
	if piece.OnSite {
		row.Remark = strings.TrimPrefix(row.Remark+"; measure on site: "+piece.OnSiteWhy, "; ")
	}
	return row
}

// surfaceOf finds the surface of an address that the person may see.
func (s *server) surfaceOf(r *http.Request) (*view, *plandoc.Surface, error) {
	v, err := s.current(r.Context())
	if err != nil {
		return nil, nil, err
	}
	key := r.PathValue("job") + "/" + r.PathValue("room") + "/" + r.PathValue("surface")
	sf := v.x.Surfaces[key]
	if sf == nil || !v.worksOn(userOf(r.Context()), r.PathValue("job")) {
		return nil, nil, &Error{Kind: NotFound, Text: "There is no surface " + key + " in the plan."}
	}
	return v, sf, nil
}

func (s *server) drawing(w http.ResponseWriter, r *http.Request) error {
	v, sf, err := s.surfaceOf(r)
	if err != nil {
		return err
	}
	return s.file(w, contentTypes["svg"], sf.Key+".svg", false, func(b *bytes.Buffer) error {
		svg, err := s.o.Print.Surface(v.Document, sf.Key)
		b.Write(svg)
		return err
	})
}
