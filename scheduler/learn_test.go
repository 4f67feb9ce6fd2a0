package scheduler

import (
	"math"
	"testing"

	"potlife/rooms"
)

func TestLearningIsRobust(t *testing.T) {
	cases := []struct {
		name   string
		ratios []float64
		factor float64
	}{
		{"nothing", nil, 1},
		{"two days teach nothing", []float64{1.5, 1.5}, 1},
		{"as planned", []float64{1, 1, 1, 1}, 1},
		{"slower", []float64{1.25, 1.25, 1.25, 1.25}, 1.167}, // (4 × 1.25 + 2) ÷ 6
		{"one bad day changes nothing", []float64{1.25, 1.25, 1.25, 9}, 1.167},
		{"limits", []float64{9, 9, 9, 9, 9, 9, 9, 9}, 2},
	}
	for _, c := range cases {
		if got := learned(rateKey{kind: "grout"}, c.ratios, 1); math.Abs(got.Factor-c.factor) > 0.0006 {
			t.Errorf("%s: factor %g, want %g", c.name, got.Factor, c.factor)
		}
	}
}

// A class of tile is learnt beside its kind of work, drawn towards that, and a crew
// against what both let expect; one day teaches neither.
func TestLearningGoesByClassAndCrew(t *testing.T) {
	var all []sample
	add := func(class, crew string, day int, ratio float64) {
		all = append(all, sample{rateKey{kind: setWallKind, class: class, crew: crew}, rooms.Date{Year: 2026, Month: 3, Day: day}, 100 * ratio, 100})
	}
	for d := 1; d <= 6; d++ {
		add("tile", "alder", d, 1)
	}
	for d := 11; d <= 14; d++ {
		add("large tile", "birch", d, 2)
	}
	add("small tile", "birch", 20, 5)
	got := map[rateKey]LearnedRate{}
	for _, l := range estimate(all) {
		got[rateKey{l.Kind, l.Class, l.Crew, l.Person}] = l
	}
	for _, c := range []struct {
		class, crew string
		days        int
		factor      float64
	}{
		{"", "", 11, 1},                // the median of six 1, four 2 and a 5
		{"tile", "", 6, 1},             // (6 × 1 + 2 × 1) ÷ 8
		{"large tile", "", 4, 1.667},   // (4 × 2 + 2 × 1) ÷ 6
		{"", "alder", 6, 1},            // as the class lets expect
		{"", "birch", 5, (6 + 2) / 7.}, // 2 ÷ 1.667 on four days and 5 on one: the median 1.2
	} {
		l, ok := got[rateKey{kind: setWallKind, class: c.class, crew: c.crew}]
		if !ok || l.Days != c.days || math.Abs(l.Factor-c.factor) > 0.001 {
			t.Errorf("%q %q: %+v, want %d days, factor %.3f", c.class, c.crew, l, c.days, c.factor)
		}
	}
	if l, ok := got[rateKey{kind: setWallKind, class: "small tile"}]; ok {
		t.Errorf("one day taught %+v", l)
	}
	if one := estimate(all[:6]); len(one) != 1 {
		t.Errorf("one class and one crew tell nothing beside the kind, got %v", one)
	}
}

// What a crew and a class of tile have shown changes their minutes and those of
// nothing else.
func TestPaceGoesByClassAndCrew(t *testing.T) {
	w := &works{factor: map[rateKey]float64{{kind: setWallKind}: 1.2, {kind: setWallKind, class: "large tile"}: 1.5, {kind: setWallKind, crew: "birch"}: 0.8}}
	for _, c := range []struct {
		kind, class string
		want        float64
	}{{setWallKind, "large tile", 1.5}, {setWallKind, "tile", 1.2}, {setFlatKind, "large tile", 1}} {
		if got := w.pace(c.kind, c.class); got != c.want {
			t.Errorf("%s of %s: %g, want %g", c.kind, c.class, got, c.want)
		}
	}
	for crew, want := range map[string]float64{"birch": 0.8, "alder": 1} {
		if got := (&builder{works: w, crew: &team{Crew: Crew{Key: crew}}}).crewPace(setWallKind, oneSetter); got != want {
			t.Errorf("%s: %g, want %g", crew, got, want)
		}
	}
	if w.paceWords("birch") == w.paceWords("alder") {
		t.Error("crews that differ in what they have shown would share their tasks")
	}
}

// Crews that take half as long again make the rest of the plan longer.
func TestRecordedMinutesChangeThePlan(t *testing.T) {
	in := small(t, 6, 3)
	p := made(t, in)
	next, d := frozenAfter(in, p, 5)
	next.Placed = p.Orders
	plain := replanned(t, next)
	frozen := Clock{p.Epoch, in.Firm.Zone}.DayStart(d.AddDays(1))
	clock := Clock{p.Epoch, in.Firm.Zone}
	for _, a := range p.Activities {
		if a.Crew != "" && a.Start < frozen {
			next.Records = append(next.Records, Record{Kind: "activity done", Activity: a.ID, Crew: a.Crew, At: clock.At(a.Finish), Minutes: int(1.5 * a.BaseMinutes)})
		}
	}
	slow := replanned(t, next)
	if len(slow.Learned) == 0 {
		t.Fatal("nothing was learnt")
	}
	work := func(q *Plan) (n int) {
		for _, a := range q.Activities {
			if a.Start >= frozen && a.Crew != "" {
				n += (a.Finish - a.Start) * a.Setters
			}
		}
		return n
	}
	if a, b := work(plain), work(slow); b <= a {
		t.Errorf("%d min of work before, %d after learning %v", a, b, slow.Learned)
	}
}
