package takeoff

import (
	"cmp"
	"strings"

	"potlife/rooms"
)

// place is where suppliers deliver: a site that takes deliveries, or the yard,
// whose key is empty.
type place struct {
	key     string
	to      string  // as written on orders
	kg      float64 // how much it stores, 0 no limit
	pallets int
	open    rooms.Days // when somebody can be there, none: on any day
	contact bool       // somebody there takes goods in
}

// yardWords stand on an order where no address of the yard is known.
const yardWords = "the yard"

// addPlaces lists where a job's goods are delivered.
func (t *Taken) addPlaces(job *rooms.Job) {
	for i := range job.Sites {
		s := &job.Sites[i]
		if s.TakesDeliveries() {
			words := []string{cmp.Or(s.Name, s.Key), s.Address}
			if s.Contact != "" {
				words = append(words, "ask for "+s.Contact)
			}
			t.places = append(t.places, place{joinKey(job.Key, s.Key), joinWords(words), s.StorageKg, s.StoragePallets, whenOpen(s), s.Contact != ""})
		}
	}
}

// whenOpen are the days of a site's hours less those on which it is closed.
func whenOpen(s *rooms.Site) (d rooms.Days) {
	if len(s.Hours) == 0 && len(s.Closed) == 0 {
		return d
	}
	for k := range d.Week {
		d.Week[k] = len(s.Hours) == 0
	}
	for _, h := range s.Hours {
		d.Week[h.Weekday] = true
	}
	d.Off = s.Closed
	return d
}

func joinWords(words []string) string {
	var out []string
	for _, w := range words {
		if w = strings.TrimSpace(w); w != "" {
			out = append(out, w)
		}
	}
	return strings.Join(out, ", ")
}

// placeOf is where goods for a room are delivered.
func (t *Taken) placeOf(room string) string {
	site := t.siteOf[room]
	for _, p := range t.places {
		if p.key == site {
			return site
		}
	}
	return ""
}

// place is where a key's goods are delivered, as an order names it.
func (t *Taken) place(key string, b Buyer) place {
	if p := t.placeAt(key); p != nil {
		return *p
	}
	return place{to: cmp.Or(joinWords([]string{b.Yard}), joinWords([]string{b.Name, b.Address}), yardWords)}
}

// placeAt is the site that takes deliveries by its key, nil for the yard.
func (t *Taken) placeAt(key string) *place {
	for i := range t.places {
		if t.places[i].key == key {
			return &t.places[i]
		}
	}
	return nil
}
