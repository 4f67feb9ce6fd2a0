package scheduler

import (
	"fmt"
	"slices"
)

// LearnedRate is what crews recorded about one kind of work against the firm's
// rates as given.
//
// The estimator: the minutes recorded on one day for one kind are taken
// together and divided by the minutes at the given rates; of these ratios, one
// a day, the median is taken, so that one bad day moves nothing; it is drawn
// towards 1 as if two days at the given rate stood beside it, and is not used
// before three days are recorded. Spread is the median distance of the days
// from their median, as a share.
type LearnedRate struct {
	Kind   string // "set wall", "set floor", or an activity's kind
	Days   int
	Factor float64 // to multiply minutes with; 1 until three days are recorded
	Median float64
	Spread float64
}

const (
	learnDays   = 3 // fewer days teach nothing
	learnPrior  = 2 // days at the given rate that stand beside the recorded ones
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
// activity replaces an earlier one.
func Learn(p *Plan, records []Record) []LearnedRate {
	if p == nil {
		return nil
	}
	worked := recordedMinutes(p, records)
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
	return estimate(p, worked, flatOf)
}

// recordedMinutes are the minutes recorded by activity; a later record of the same
// area or activity replaces an earlier one.
func recordedMinutes(p *Plan, records []Record) map[string]int {
	worked, activityOf := map[string]int{}, map[string]string{}
	for _, a := range p.Areas {
		activityOf[a.ID] = a.Activity
	}
	for _, r := range records {
		id := r.Activity
		if id == "" {
			id = activityOf[r.Area]
		}
		if r.Minutes > 0 && id != "" && len(r.Pieces) == 0 {
			worked[id] = r.Minutes
		}
	}
	return worked
}

func estimate(p *Plan, worked map[string]int, flatOf map[string]bool) []LearnedRate {
	type cell struct{ actual, base float64 }
	clock := Clock{p.Epoch, p.Firm.Zone}
	if clock.Zone == nil {
		clock.Zone = p.Epoch.Location()
	}
	days := map[string]map[string]*cell{}
	var kinds []string
	for i := range p.Activities {
		a := &p.Activities[i]
		if worked[a.ID] == 0 || a.BaseMinutes <= 0 {
			continue
		}
		onFlat := !slices.ContainsFunc(a.Surfaces, func(k string) bool { return !flatOf[k] })
		kind, day := rateKind(a.Kind, onFlat), clock.Day(a.Start).String()
		if days[kind] == nil {
			days[kind] = map[string]*cell{}
			kinds = append(kinds, kind)
		}
		if days[kind][day] == nil {
			days[kind][day] = &cell{}
		}
		days[kind][day].actual += float64(worked[a.ID])
		days[kind][day].base += a.BaseMinutes
	}
	slices.Sort(kinds)
	var out []LearnedRate
	for _, k := range kinds {
		var ratios []float64
		for _, c := range days[k] {
			ratios = append(ratios, c.actual/c.base)
		}
		out = append(out, learned(k, ratios))
	}
	return out
}

func learned(kind string, ratios []float64) LearnedRate {
	l := LearnedRate{Kind: kind, Days: len(ratios), Factor: 1, Median: median(ratios)}
	var off []float64
	for _, r := range ratios {
		off = append(off, max(r-l.Median, l.Median-r))
	}
	l.Spread = round3(median(off))
	if l.Days >= learnDays {
		n := float64(l.Days)
		l.Factor = round3(min(learnMost, max(learnLeast, (float64(n*l.Median)+learnPrior)/(n+learnPrior))))
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
	if l.Days < learnDays {
		return fmt.Sprintf("%s: %d days recorded, %d are needed", l.Kind, l.Days, learnDays)
	}
	return fmt.Sprintf("%s: takes %.2f times the given rate (%d days, median %.2f ± %.2f)", l.Kind, l.Factor, l.Days, l.Median, l.Spread)
}
