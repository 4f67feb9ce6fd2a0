package scheduler

import (
	"fmt"
	"strings"
)

// names are what people call the rooms, surfaces and products of a plan: keys
// are for files.
type names struct{ rooms, surfaces, products, labels map[string]string }

func namesOf(p *Plan) names {
	n := names{map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}}
	for _, j := range p.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				key := j.Key + "/" + r.Key
				if n.rooms[key] = r.Name; r.Name == "" {
					n.rooms[key] = key
				}
				for i := range r.Surfaces {
					n.surfaces[key+"/"+r.Surfaces[i].Key] = n.rooms[key] + ", " + nameOf(&r.Surfaces[i])
				}
			}
		}
	}
	for _, t := range p.Firm.Catalogue.Tiles {
		n.products[t.Key] = t.Name
	}
	for _, t := range p.Firm.Catalogue.Products {
		n.products[t.Key] = t.Name
	}
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
