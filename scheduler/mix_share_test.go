package scheduler

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"potlife/takeoff"
)

// patchFeed is a patch spread from a mix of so long a life.
func patchFeed(i, at int, kg float64, life int) feed {
	return feed{patch: MixPatch{"a", i}, activity: "t", site: "s", start: at, by: at, lead: mixLead, kg: kg, life: life, pot: 2 * life}
}

// someFeeds are a crew's patches in rooms of several warmths on up to two sites.
func someFeeds(r *rand.Rand, n int) []feed {
	var out []feed
	lives := []int{20 + r.IntN(40), 40 + r.IntN(120), 10 + r.IntN(30)}[:1+r.IntN(3)]
	at := 100
	for i := range n {
		at += 3 + r.IntN(40)
		f := patchFeed(i, at, 0.5+8*r.Float64(), lives[r.IntN(len(lives))])
		if r.IntN(6) == 0 {
			f.site = "far"
		}
		out = append(out, f)
	}
	return out
}

func someSize(r *rand.Rand) mixSize {
	return []mixSize{{bucket: 20}, {bucket: 20, portion: 20, pack: 20}, {bucket: 25, portion: 12.5, pack: 25}, {bucket: 20, portion: 5, pack: 5}}[r.IntN(4)]
}

// oneMix says, by the rule and not by the code under test, whether one mix may
// serve some feeds, in order of time, and what it then holds.
func oneMix(feeds []feed, size mixSize) (kg float64, ok bool) {
	ok = true
	for _, f := range feeds {
		kg += f.kg
		for _, l := range feeds {
			ok = ok && l.site == f.site && f.start <= feeds[0].start-mixLead+l.life
		}
	}
	need := kg
	if size.portion > 0 {
		kg = math.Ceil(kg/size.portion-1e-9) * size.portion
	}
	return kg, len(feeds) == 1 && need <= size.bucket || ok && kg <= size.bucket+1e-9
}

// Of all ways to let mixes serve patches that follow one another, in rooms of
// several warmths, none takes fewer, none of as few throws away less; no way at all,
// in whatever order, takes fewer than the bound.
func TestMixesAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	p := takeoff.Product{Key: "bed", Kind: takeoff.KindMortar}
	tight, wasted, mended := 0, 0, 0
	for range 500 {
		feeds, size := someFeeds(r, 1+r.IntN(7)), someSize(r)
		groups := consecutive(p, feeds, size)
		thrown := 0.0
		for _, g := range groups {
			var in []feed
			for _, i := range g {
				in = append(in, feeds[i])
			}
			kg, ok := oneMix(in, size)
			if !ok {
				t.Fatalf("one mix for %+v", in)
			}
			for _, f := range in {
				kg -= f.kg
			}
			thrown += kg
		}
		fewest, least := bruteInOrder(feeds, size)
		if len(groups) != fewest || math.Abs(thrown-least) > 1e-5 {
			t.Fatalf("%+v: %d mixes with %.2f kg thrown away, brute force %d with %.2f", size, len(groups), thrown, fewest, least)
		}
		any := bruteAnyOrder(feeds, size)
		if bound := fewestMixes(p, feeds, size); bound > any {
			t.Fatalf("bound %d over %d mixes: %+v", bound, any, feeds)
		} else if bound == any {
			tight++
		}
		got := len(mixesOf("c", p, feeds, size))
		if got < any || got > fewest {
			t.Fatalf("%d mixes, brute force in any order %d, in order %d", got, any, fewest)
		}
		if got < fewest {
			mended++
		}
		if least > 0.5 {
			wasted++
		}
	}
	if tight < 250 || wasted == 0 || mended == 0 {
		t.Errorf("%d of 500 bounds are reached, %d throw something away, %d are mended by joining: the test shows little", tight, wasted, mended)
	}
}

// bruteInOrder tries all ways to begin new mixes.
func bruteInOrder(feeds []feed, size mixSize) (fewest int, least float64) {
	fewest = math.MaxInt
	for mask := range 1 << (len(feeds) - 1) {
		mixes, waste, ok := 0, 0.0, true
		for i := 0; i < len(feeds) && ok; {
			j := i + 1
			for j < len(feeds) && mask>>(j-1)&1 == 0 {
				j++
			}
			kg, one := oneMix(feeds[i:j], size)
			for _, f := range feeds[i:j] {
				kg -= f.kg
			}
			mixes, waste, ok, i = mixes+1, waste+kg, one, j
		}
		if ok && (mixes < fewest || mixes == fewest && waste < least) {
			fewest, least = mixes, waste
		}
	}
	return fewest, least
}

// bruteAnyOrder tries all partitions.
func bruteAnyOrder(feeds []feed, size mixSize) int {
	best := len(feeds)
	var groups [][]feed
	var put func(i int)
	put = func(i int) {
		if len(groups) > best {
			return
		}
		if i == len(feeds) {
			for _, g := range groups {
				if _, ok := oneMix(g, size); !ok {
					return
				}
			}
			best = len(groups)
			return
		}
		for k := range groups {
			groups[k] = append(groups[k], feeds[i])
			put(i + 1)
			groups[k] = groups[k][:len(groups[k])-1]
		}
		groups = append(groups, []feed{feeds[i]})
		put(i + 1)
		groups = groups[:len(groups)-1]
	}
	put(0)
	return best
}

// A mortar lives as long as the room is warm in which it is spread: what a crew
// mixes in a cold room is not bounded by a warm one it works in on other days.
func TestMixesFollowTheRoomAndTheDay(t *testing.T) {
	w := &works{limits: Limits{}.filled()}
	p := takeoff.Product{Key: "bed", Kind: takeoff.KindMortar, Sheet: takeoff.DataSheet{PotMinutes: 240, Reference: 20}}
	cold, hot := &roomWork{celsius: 15}, &roomWork{celsius: 35}
	turning := &roomWork{celsius: 20, air: []airSpell{{math.MinInt32, 15}, {1000, 35}, {2000, 30}}}
	for _, c := range []struct {
		room      *roomWork
		from, to  int
		life, pot int
	}{
		{cold, 0, 10, 168, 240},
		{hot, 0, 10, 58, 84}, // 240 min halved 1.5 times, × 0.7
		{turning, 0, 999, 168, 240},
		{turning, 900, 1000, 58, 84},
		{turning, 2000, 9000, 84, 120},
	} {
		if life, pot := w.life(p, c.room, c.from, c.to); life != c.life || pot != c.pot {
			t.Errorf("%g °C, minutes %d to %d: %d and %d min, want %d and %d", c.room.celsius, c.from, c.to, life, pot, c.life, c.pot)
		}
	}
	var feeds []feed
	for i := range 12 { // six patches in the cold room, days later six in the hot one
		at, life := 100+25*i, 168
		if i >= 6 {
			at, life = 5000+25*i, 58
		}
		feeds = append(feeds, patchFeed(i, at, 2, life))
	}
	got := mixesOf("c", p, feeds, mixSize{bucket: 20})
	if bound := fewestMixes(p, feeds, mixSize{bucket: 20}); len(got) != 3 || bound != 3 {
		t.Errorf("%d mixes, bound %d; want one in the cold and two in the heat", len(got), bound)
	}
}

// Grout is divided like mortar: whole parts of an activity to a mix, as few mixes as
// the bucket and its life allow, none of it older.
func TestWorkIsMixedLikeMortar(t *testing.T) {
	w := &works{limits: Limits{}.filled(), products: map[string]takeoff.Product{
		"joint": {Key: "joint", Kind: takeoff.KindGrout, Sheet: takeoff.DataSheet{PotMinutes: 60, Reference: 20}}}}
	p := w.products["joint"]
	for _, c := range []struct {
		minutes int
		kg      float64
		size    mixSize
		mixes   int
	}{
		{160, 8, mixSize{bucket: 20}, 4}, // 42 min of life
		{40, 8, mixSize{bucket: 20}, 1},
		{40, 50, mixSize{bucket: 20}, 3},
		{200, 0.05, mixSize{bucket: 20}, 1},
		{120, 30, mixSize{bucket: 20, portion: 5, pack: 5}, 3},
		{10, 300, mixSize{bucket: 25, portion: 25, pack: 25}, 12},
	} {
		task := &task{id: "g", room: &roomWork{site: "s", celsius: 20}, start: 1000, minutes: c.minutes}
		feeds := w.workFeeds(task, Use{"joint", c.kg, "kg"}, c.size)
		got := mixesOf("c", p, feeds, c.size)
		name := fmt.Sprintf("%d min, %g kg, %+v", c.minutes, c.kg, c.size)
		bound := fewestMixes(p, feeds, c.size)
		if len(got) != c.mixes || bound > len(got) {
			t.Errorf("%s: %d mixes, bound %d, want %d", name, len(got), bound, c.mixes)
		}
		kg := 0.0
		for i, m := range got {
			kg += m.Kg - m.Thrown
			end := 1000 + c.minutes
			if i+1 < len(got) {
				end = got[i+1].Start
			}
			if m.Kg > c.size.bucket+1e-9 || c.kg > 0.1 && end > m.UseBy || m.UseBy-m.Start > 42 {
				t.Errorf("%s: mix %+v, used until %d", name, m, end)
			}
		}
		if math.Abs(kg-c.kg) > 1e-6 {
			t.Errorf("%s: %g kg are mixed", name, kg)
		}
	}
}

// What is left of a mix of grout goes on to the next field, and to the next room of the
// site, for as long as it may be used; the last minutes of a field are washing, and use
// none. To another site nothing goes.
func TestAMixOfGroutServesSeveralFields(t *testing.T) {
	w := &works{limits: Limits{}.filled(), products: map[string]takeoff.Product{
		"joint": {Key: "joint", Kind: takeoff.KindGrout, Sheet: takeoff.DataSheet{PotMinutes: 60, Reference: 20}}}}
	p, size := w.products["joint"], mixSize{bucket: 20} // 42 min of life
	one, two, far := &roomWork{key: "one", site: "s", celsius: 20}, &roomWork{key: "two", site: "s", celsius: 10}, &roomWork{key: "far", site: "t", celsius: 20}
	for _, c := range []struct {
		name  string
		tasks []*task
		mixes int
	}{
		{"two fields of half a mix each", []*task{{id: "a", room: one, start: 0, minutes: 25, washing: 5}, {id: "b", room: one, start: 25, minutes: 20, washing: 5}}, 1},
		{"two rooms of a site", []*task{{id: "a", room: one, start: 0, minutes: 20}, {id: "b", room: two, start: 20, minutes: 20}}, 1},
		{"two sites", []*task{{id: "a", room: one, start: 0, minutes: 20}, {id: "b", room: far, start: 20, minutes: 20}}, 2},
		{"a break that it does not outlast", []*task{{id: "a", room: one, start: 0, minutes: 20}, {id: "b", room: one, start: 40, minutes: 20}}, 2},
		{"one and a half mixes, twice", []*task{{id: "a", room: one, start: 0, minutes: 63}, {id: "b", room: one, start: 63, minutes: 63}}, 3},
		{"the washing uses none", []*task{{id: "a", room: one, start: 0, minutes: 50, washing: 10}}, 1},
		{"without washing it would", []*task{{id: "a", room: one, start: 0, minutes: 50}}, 2},
	} {
		var feeds []feed
		need := map[string]float64{}
		for _, k := range c.tasks {
			feeds = append(feeds, w.workFeeds(k, Use{"joint", 1.2, "kg"}, size)...)
			need[k.id] = 1.2
		}
		got := mixesOf("c", p, feeds, size)
		if bound := fewestMixes(p, feeds, size); len(got) != c.mixes || bound > len(got) {
			t.Errorf("%s: %d mixes, bound %d, want %d", c.name, len(got), bound, c.mixes)
		}
		for _, m := range got {
			need[m.Activity] -= m.Kg
			for _, a := range m.Also {
				need[m.Activity] += a.Kg
				need[a.Activity] -= a.Kg
			}
		}
		for id, left := range need {
			if math.Abs(left) > 0.002 {
				t.Errorf("%s: of what %s takes, %g kg are not mixed for it", c.name, id, left)
			}
		}
	}
}

// A plan made again keeps of a mix what work that stays takes from it.
func TestKeptMixOfSeveralFields(t *testing.T) {
	x := Mix{Kg: 2, WaterL: 0.4, Activity: "a", Also: []MixWork{{"b", 0.5}, {"c", 0.3}}}
	for _, c := range []struct {
		keep     string
		kg       float64
		activity string
		also     int
	}{{"abc", 2, "a", 2}, {"a", 1.2, "a", 0}, {"bc", 0.8, "b", 1}, {"ac", 1.5, "a", 1}, {"", 0, "", 0}} {
		keep := map[string]bool{}
		for _, k := range c.keep {
			keep[string(k)] = true
		}
		y, ok := x.keptWork(keep)
		if ok != (c.keep != "") || ok && (math.Abs(y.Kg-c.kg) > 1e-9 || y.Activity != c.activity || len(y.Also) != c.also) {
			t.Errorf("of %q is kept %+v (%v), want %+v", c.keep, y, ok, c)
		}
	}
}
