package takeoff

import "slices"

// siteStore is how much a site can store; kg 0 is no limit.
type siteStore struct {
	key string
	kg  float64
}

// stores reports whether the sites of a want can store it if it comes with
// delivery i. What lies on a site at a delivery is what came until then and is
// used after it; everything counts as used on the day of its first use. A want
// that is too heavy by itself comes alone.
func (t *Taken) stores(list []delivery, i int, w want) bool {
	for _, s := range t.sites {
		if s.kg <= 0 {
			continue
		}
		kg := t.kgAt(w, s.key)
		if kg == 0 {
			continue
		}
		at := list[i].delivery
		for j := range list {
			for _, v := range list[j].wants {
				if !at.Before(list[j].delivery) && !v.needBy.Before(at) {
					kg += t.kgAt(v, s.key)
				}
			}
		}
		if kg > s.kg {
			return false
		}
	}
	return true
}

// kgAt is the weight of a want that goes to a site: its share by rooms.
func (t *Taken) kgAt(w want, site string) float64 {
	n := 0
	for _, r := range w.rooms {
		if t.siteOf[r] == site {
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return float64(w.kg*float64(w.packages)*float64(n)) / float64(len(w.rooms))
}

// overfull names the sites at which a single delivery is more than they store.
func (t *Taken) overfull(d *delivery) (sites []string) {
	for _, s := range t.sites {
		if s.kg <= 0 {
			continue
		}
		kg := 0.0
		for _, w := range d.wants {
			kg += t.kgAt(w, s.key)
		}
		if kg > s.kg && !slices.Contains(sites, s.key) {
			sites = append(sites, s.key)
		}
	}
	return sites
}
