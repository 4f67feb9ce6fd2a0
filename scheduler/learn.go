package scheduler

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"potlife/rooms"
)

// LearnedRate is what crews recorded about one kind of work against the firm's
// rates as given: of all of it, of what was done on one class of tile, by one crew, or
// by one person of a crew.
//
// The estimator: the minutes recorded on one day are taken together and divided
// by the minutes at the given rates; of these ratios, one a day, the median is
// taken, so that one bad day moves nothing; it is drawn towards what is known
// without it as if two days of that stood beside it, and is not used before three
// days are recorded. Without it is known: of a kind of work 1, the given rate; of
// a class of tile what is recorded of the kind; of a crew 1, what is recorded of
// the work that it did; of a person 1, what is recorded of the crew. Spread is the
// median distance of the days from their median, as a share.
//
// A report may name who did the work. Its minutes are then held against those of as
// many people, at the paces that the firm gives them; where it names nobody, against
// those planned and the mean pace of who of the crew was there. A person is taught by
// the reports that name that one setter, or that one helper and no setter: the minutes
// of two setters do not tell which of them was slow, and counted for each they would
// make the quick one as slow as whoever he works with. A helper beside one setter is
// in the minutes expected and is taught nothing by them, as he is a small part of them.
type LearnedRate struct {
	Kind string // "set wall", "set floor", or an activity's kind
	// Class of the tile ("small tile", "large tile, herringbone"), "" for all.
	Class string `json:",omitempty"`
	// Crew it is said of, "" for all: Factor is then against the others.
	Crew string `json:",omitempty"`
	// Person of the crew it is said of, "" for all: Factor is then against the crew's
	// days, at the pace that the firm gives the person.
	Person string `json:",omitempty"`
	Days   int
	Factor float64 // to multiply minutes with; 1 until three days are recorded
	Median float64
	Spread float64
}

const (
	learnDays   = 3 // fewer days teach nothing
	learnPrior  = 2 // days of what is known without them that stand beside the recorded ones
	learnLeast  = 0.5
	learnMost   = 2.0
	setWallKind = "set wall"
	setFlatKind = "set floor"
)

// rateKind is the kind of work that an activity counts as.
func rateKind(kind string, onFlat bool) string {
	switch {
	case kind != kindSet:
		return kind
	case onFlat:
		return setFlatKind
	}
	return setWallKind
}

// Learn compares the minutes in records with what the activities of the plan
// take at the firm's rates. Records without minutes, and those of activities
// the plan does not know, count for nothing. A later record of the same area or
// activity replaces an earlier one. A name that the firm has no longer is passed over.
func Learn(f *Firm, p *Plan, records []Record) []LearnedRate {
	if p == nil {
		return nil
	}
	worked := recordedWork(p, records)
	flatOf := map[string]bool{}
	for _, j := range p.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				for _, f := range r.Surfaces {
					flatOf[j.Key+"/"+r.Key+"/"+f.Key] = flat(f.Kind)
				}
			}
		}
	}
	return estimate(samplesOf(f, p, worked, flatOf))
}

// worked is what was recorded of an activity: minutes, and by whom where that is said.
type worked struct {
	minutes int
	by      []string
}

// recordedWork are the minutes recorded by activity, and who did it; a later record of
// the same area or activity replaces what an earlier one says of either.
func recordedWork(p *Plan, records []Record) map[string]worked {
	out, activityOf := map[string]worked{}, map[string]string{}
	for _, a := range p.Areas {
		activityOf[a.ID] = a.Activity
	}
	for _, r := range records {
		id := r.Activity
		if id == "" {
			id = activityOf[r.Area]
		}
		if r.Minutes > 0 && id != "" && len(r.Pieces) == 0 {
			w := out[id]
			w.minutes = r.Minutes
			out[id] = w
		}
		if len(r.DoneBy) > 0 && id != "" {
			w := out[id]
			w.by = r.DoneBy
			out[id] = w
		}
	}
	return out
}

// sample is an activity with what was recorded of it.
type sample struct {
	key          rateKey
	day          rooms.Date
	actual, base float64 // minutes
}

func samplesOf(f *Firm, p *Plan, recorded map[string]worked, flatOf map[string]bool) []sample {
	crews := map[string]*Crew{}
	for i := range f.Crews {
		crews[f.Crews[i].Key] = &f.Crews[i]
	}
	clock := Clock{p.Epoch, p.Firm.Zone}
	if clock.Zone == nil {
		clock.Zone = p.Epoch.Location()
	}
	var out []sample
	for i := range p.Activities {
		a := &p.Activities[i]
		did := recorded[a.ID]
		if did.minutes == 0 || a.BaseMinutes <= 0 {
			continue
		}
		share, person := 1.0, ""
		if c := crews[a.Crew]; c != nil && len(c.People) > 0 {
			share, person = c.doing(a, did.by, clock, f.Rates.filled().SingleSetter)
		}
		onFlat := !slices.ContainsFunc(a.Surfaces, func(k string) bool { return !flatOf[k] })
		out = append(out, sample{rateKey{rateKind(a.Kind, onFlat), a.Class, a.Crew, person}, clock.Day(a.Start), float64(did.minutes), a.BaseMinutes * share})
	}
	return out
}

// estimate learns from the samples level by level: kinds of work, classes of tile
// within a kind, crews against what these say, and people of a crew against that.
// Where all of a kind was done on one class, or by one crew, or all that a crew did of
// it by one person, that tells nothing more.
func estimate(all []sample) []LearnedRate {
	byKind := grouped(all, func(k rateKey) rateKey { return rateKey{kind: k.kind} })
	var out []LearnedRate
	for _, k := range rateKeys(byKind) {
		of := byKind[k]
		kind := learned(k, ratios(of), 1)
		out = append(out, kind)
		factor := map[string]float64{}
		byClass := grouped(of, func(k rateKey) rateKey { return rateKey{kind: k.kind, class: k.class} })
		for _, c := range rateKeys(byClass) {
			if l := learned(c, ratios(byClass[c]), kind.Factor); c.class != "" && len(byClass) > 1 && l.Days >= learnDays {
				factor[c.class] = l.Factor
				out = append(out, l)
			}
		}
		byCrew := grouped(expected(of, factor, kind.Factor), func(k rateKey) rateKey { return rateKey{kind: k.kind, crew: k.crew} })
		for _, c := range rateKeys(byCrew) {
			l := learned(c, ratios(byCrew[c]), 1)
			if c.crew == "" || len(byCrew) < 2 || l.Days < learnDays {
				l.Factor = 1
			} else {
				out = append(out, l)
			}
			out = append(out, ofPeople(expected(byCrew[c], nil, l.Factor))...)
		}
	}
	return out
}

// ofPeople learns how the people of a crew do a kind of work, from samples of the crew.
func ofPeople(of []sample) (out []LearnedRate) {
	by := grouped(of, func(k rateKey) rateKey { return rateKey{kind: k.kind, crew: k.crew, person: k.person} })
	for _, k := range rateKeys(by) {
		if l := learned(k, ratios(by[k]), 1); k.person != "" && len(by) > 1 && l.Days >= learnDays {
			out = append(out, l)
		}
	}
	return out
}

// expected are samples with the minutes that what is learnt of their classes lets
// expect.
func expected(in []sample, factor map[string]float64, otherwise float64) []sample {
	out := slices.Clone(in)
	for i := range out {
		f, ok := factor[out[i].key.class]
		if !ok {
			f = otherwise
		}
		out[i].base *= f
	}
	return out
}

func grouped(in []sample, by func(rateKey) rateKey) map[rateKey][]sample {
	out := map[rateKey][]sample{}
	for _, s := range in {
		k := by(s.key)
		out[k] = append(out[k], s)
	}
	return out
}

func rateKeys(in map[rateKey][]sample) []rateKey {
	return slices.SortedFunc(maps.Keys(in), func(a, b rateKey) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.class, b.class), cmp.Compare(a.crew, b.crew), cmp.Compare(a.person, b.person))
	})
}

// ratios are the minutes recorded over those at the given rates, one of each day.
func ratios(in []sample) []float64 {
	type cell struct{ actual, base float64 }
	days := map[rooms.Date]cell{}
	for _, s := range in {
		c := days[s.day]
		days[s.day] = cell{c.actual + s.actual, c.base + s.base}
	}
	var out []float64
	for _, d := range slices.SortedFunc(maps.Keys(days), rooms.Date.Compare) {
		out = append(out, days[d].actual/days[d].base)
	}
	return out
}

// learned is the estimate from one ratio a day, drawn towards what is known
// without them.
func learned(k rateKey, ratios []float64, known float64) LearnedRate {
	l := LearnedRate{Kind: k.kind, Class: k.class, Crew: k.crew, Person: k.person, Days: len(ratios), Factor: known, Median: median(ratios)}
	var off []float64
	for _, r := range ratios {
		off = append(off, max(r-l.Median, l.Median-r))
	}
	l.Spread = round3(median(off))
	if l.Days >= learnDays {
		n := float64(l.Days)
		l.Factor = round3(min(learnMost, max(learnLeast, (float64(n*l.Median)+float64(learnPrior*known))/(n+learnPrior))))
	}
	l.Median = round3(l.Median)
	return l
}

// median sorts its own copy; 0 for none.
func median(in []float64) float64 {
	if len(in) == 0 {
		return 0
	}
	s := slices.Clone(in)
	slices.Sort(s)
	if n := len(s); n%2 == 0 {
		return (s[n/2-1] + s[n/2]) / 2
	}
	return s[len(s)/2]
}

// String says what was learnt, for pages and summaries.
func (l LearnedRate) String() string {
	what := l.Kind
	if l.Class != "" {
		what += " (" + l.Class + ")"
	}
	than := "the given rate"
	switch {
	case l.Person != "":
		what += " by " + l.Person + " of " + l.Crew
		than = "what the crew's days let expect"
	case l.Crew != "":
		what += " by " + l.Crew
		than = "what all crews' days let expect"
	}
	if l.Days < learnDays {
		return fmt.Sprintf("%s: %d days recorded, %d are needed", what, l.Days, learnDays)
	}
	return fmt.Sprintf("%s: takes %.2f times %s (%d days, median %.2f ± %.2f)", what, l.Factor, than, l.Days, l.Median, l.Spread)
}
