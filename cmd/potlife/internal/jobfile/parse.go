// Package jobfile reads and writes the files a contractor keeps: the firm with
// its crews, suppliers and products, and jobs with their measured rooms, in
// YAML. Every problem of a file is reported at once, with its line and column.
package jobfile

import (
	"fmt"

	"potlife/rooms"
	"potlife/scheduler"
)

// File is what one file, or several that belong together, hold.
type File struct {
	Firm *scheduler.Firm // nil where no file has a firm part
	Jobs []rooms.Job
}

// AtRoom is a problem of a room as a whole, at its line of the files, which are read
// once more for that.
func AtRoom(sources []Source, job, room, what, expected string) Problem {
	r, all := &reader{}, content{}
	var firmAt place
	for _, s := range sources {
		docs, _ := tree(s.Name, s.Text)
		for _, d := range docs {
			r.document(d, &all, &firmAt)
		}
	}
	for _, j := range all.jobs {
		for _, s := range j.sites {
			for _, m := range s.rooms {
				if j.Key == job && m.Key == room {
					at := m.v.at("key")
					return Problem{at.file, at.line, at.col, what, expected}
				}
			}
		}
	}
	return Problem{File: sources[0].Name, What: what, Expected: expected}
}

// Source is a file to be read.
type Source struct {
	Name string
	Text []byte
}

// Limits of what is read at once. A firm with more open rooms is beyond what
// one plan is made for; it is told so instead of waiting for hours.
const (
	MaxRooms    = 2000
	MaxSurfaces = 40_000
)

// content is a document as it is written.
type content struct {
	firm *firm
	jobs []job
	one  *job
}

var fileObject = object[content]{
	name: "file", doc: "a firm part, a job part (job, or a list of jobs), or both",
	fields: []field[content]{
		keep("firm", "the firm", maybe(of(&firmObject)), func(c *content) **firm { return &c.firm }),
		keep("job", "one job", maybe(of(&jobObject)), func(c *content) **job { return &c.one }),
		keep("jobs", "several jobs", listOf(of(&jobObject)), func(c *content) *[]job { return &c.jobs }),
	},
}

// Parse reads one file.
func Parse(name string, text []byte) (*File, Problems) {
	return ParseAll(nil, Source{name, text})
}

// ParseAll reads files that belong together: a firm in one, its jobs in
// others. Where none has a firm part, references are checked against known,
// the firm that stands already; with neither they are not checked.
func ParseAll(known *scheduler.Firm, sources ...Source) (*File, Problems) {
	r := &reader{}
	var names []string
	var all content
	var firmAt place
	var whole []*value
	for _, s := range sources {
		names = append(names, s.Name)
		docs, problems := tree(s.Name, s.Text)
		r.problems = append(r.problems, problems...)
		if len(docs) == 0 && len(problems) == 0 {
			r.fail(place{file: s.Name}, "the file is empty", "a firm part, a job part, or both")
		}
		whole = append(whole, docs...)
	}
	r.imperial = inInches(known, whole)
	for _, d := range whole {
		r.document(d, &all, &firmAt)
	}
	file := &File{Firm: all.firm}
	if rooms := r.count(all.jobs, names); rooms <= MaxRooms {
		firm := file.Firm
		if firm == nil {
			firm = known
		}
		r.imperial = firm != nil && firm.Units == "imperial"
		if firm != nil && firm.OutsideCorners != "" {
			r.corners = &firm.OutsideCorners
		}
		r.jobs(all.jobs, file)
		c := newCatalog(firm, file.Jobs)
		if !r.twoFirms { // what refers to the second would only be reported over again
			for _, check := range r.later {
				check(c)
			}
		}
	}
	if len(r.problems) > 0 {
		return nil, sorted(r.problems, names)
	}
	return file, nil
}

// inInches looks into documents, before they are read, for whether their firm works in
// inches, or the one that stands already where they have none.
func inInches(known *scheduler.Firm, docs []*value) bool {
	for _, d := range docs {
		if f := d.get("firm"); f != nil {
			return f.get("units").isWord("imperial")
		}
	}
	return known != nil && known.Units == "imperial"
}

// document adds what one YAML document holds.
func (r *reader) document(d *value, all *content, firmAt *place) {
	got, ok := fileObject.read(r, d)
	if !ok {
		return
	}
	if got.firm != nil {
		if all.firm != nil {
			r.twoFirms = true
			r.failf(d.at("firm"), "one firm part in all", "this is a second firm part (first in %s line %d)", firmAt.file, firmAt.line)
		} else {
			all.firm, *firmAt = got.firm, d.at("firm")
		}
	}
	if got.one != nil {
		all.jobs = append(all.jobs, *got.one)
	}
	all.jobs = append(all.jobs, got.jobs...)
	if got.firm == nil && got.one == nil && got.jobs == nil && len(r.problems) == 0 {
		r.fail(d.place, "the file holds neither firm nor job", "firm:, job: or jobs:")
	}
}

// count counts the rooms and says so where there are too many.
func (r *reader) count(jobs []job, names []string) int {
	n := 0
	for _, j := range jobs {
		for _, s := range j.sites {
			n += len(s.rooms)
		}
	}
	if n > MaxRooms {
		r.failf(place{file: names[0]}, fmt.Sprintf("at most %d open rooms planned together; finished jobs can be left out", MaxRooms), "there are %d rooms", n)
	}
	return n
}

// jobs expands the jobs and keeps their keys apart.
func (r *reader) jobs(jobs []job, file *File) {
	lines := map[string]place{}
	surfaces := 0
	for i := range jobs {
		j := &jobs[i]
		if at, twice := lines[j.Key]; twice && j.Key != "" {
			r.failf(j.v.at("key"), "a key of its own", "the job key %q stands a second time (first in %s line %d)", j.Key, at.file, at.line)
		}
		lines[j.Key] = j.v.at("key")
		out := j.expand(r)
		r.sayLacking()
		for _, s := range out.Sites {
			for _, m := range s.Rooms {
				surfaces += len(m.Surfaces)
			}
		}
		file.Jobs = append(file.Jobs, out)
	}
	if surfaces > MaxSurfaces {
		r.failf(place{file: jobs[0].v.file}, fmt.Sprintf("at most %d", MaxSurfaces), "there are %d surfaces", surfaces)
	}
}
