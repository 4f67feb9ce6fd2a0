package scheduler

import (
	"fmt"
	"strings"

	"potlife/rooms"
)

// names are what people call the crews, sites, rooms, surfaces and products of a
// plan: keys are for files, and sentences name none where there is a name.
type names struct{ crews, sites, rooms, surfaces, products, labels map[string]string }

// called are the names of a firm and its jobs. A name that rooms or sites of
// several jobs have in common is told apart by the job's.
func called(f *Firm, jobs []rooms.Job) names {
	n := names{map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}}
	rooms, sites := map[string]int{}, map[string]int{}
	for _, j := range jobs {
		here := map[string]bool{}
		for _, s := range j.Sites {
			sites[s.Name]++
			for _, r := range s.Rooms {
				if !here[r.Name] {
					rooms[r.Name]++
				}
				here[r.Name] = true
			}
		}
	}
	for _, j := range jobs {
		for _, s := range j.Sites {
			n.sites[j.Key+"/"+s.Key] = withJob(j.Name, s.Name, sites)
			for _, r := range s.Rooms {
				key := j.Key + "/" + r.Key
				n.rooms[key] = withJob(j.Name, r.Name, rooms)
				for i := range r.Surfaces {
					n.surfaces[key+"/"+r.Surfaces[i].Key] = n.room(key) + ", " + nameOf(&r.Surfaces[i])
				}
			}
		}
	}
	for _, c := range f.Crews {
		n.crews[c.Key] = c.Name
	}
	for _, t := range f.Catalogue.Tiles {
		n.products[t.Key] = t.Name
	}
	for _, t := range f.Catalogue.Products {
		n.products[t.Key] = t.Name
	}
	return n
}

// withJob is a name, with the job's before it where several jobs have it.
func withJob(job, name string, often map[string]int) string {
	if name != "" && job != "" && often[name] > 1 {
		return job + ", " + name
	}
	return name
}

// namesOf adds to the names of a plan the labels of its pieces.
func namesOf(p *Plan) names {
	n := called(&p.Firm, p.Jobs)
	for i := range p.Layouts {
		l := &p.Layouts[i]
		for z := range l.Zones {
			for k := range l.Zones[z].Pieces {
				q := &l.Zones[z].Pieces[k]
				n.labels[q.ID] = known(n.surfaces, l.Surface) + " " + q.Label
			}
		}
	}
	return n
}

// crew names a crew in a sentence; one without a name is called by its key.
func (n names) crew(key string) string {
	if s := n.crews[key]; s != "" {
		return s
	}
	return "crew " + key
}

func (n names) site(key string) string    { return known(n.sites, key) }
func (n names) room(key string) string    { return known(n.rooms, key) }
func (n names) surface(key string) string { return known(n.surfaces, key) }
func (n names) product(key string) string { return known(n.products, key) }

// known is the name of a key, or the key.
func known(in map[string]string, key string) string {
	if s := in[key]; s != "" {
		return s
	}
	return key
}

// stock says which tile a piece is cut from: a tile is called after the piece it
// is first cut for, and a piece that broke is cut from a fresh one.
func (n names) stock(id string) string {
	if strings.Contains(id, "/again.") {
		return "a fresh tile"
	}
	if l := n.labels[id]; l != "" {
		return "the tile of " + l
	}
	return fmt.Sprintf("tile %s", id)
}
