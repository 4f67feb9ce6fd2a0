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
			t.places = append(t.places, place{joinKey(job.Key, s.Key), joinWords(words), s.StorageKg, s.StoragePallets})
		}
	}
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
	for _, p := range t.places {
		if p.key == key {
			return p
		}
	}
	return place{to: cmp.Or(joinWords([]string{b.Yard}), joinWords([]string{b.Name, b.Address}), yardWords)}
}
