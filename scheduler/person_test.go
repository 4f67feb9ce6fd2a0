package scheduler

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// The people of a crew are as many as it has, each once, and its absences are theirs.
func TestPeopleOfACrew(t *testing.T) {
	ida, jon, tom := Person{Name: "Ida"}, Person{Name: "Jon", Pace: 1.5}, Person{Name: "Tom", Helper: true}
	away := func(who string, helper bool) []Absence {
		return []Absence{{Who: who, Helper: helper, From: day("2026-03-23"), To: day("2026-03-24")}}
	}
	for _, c := range []struct {
		name   string
		people []Person
		away   []Absence
		want   string // a part of the refusal; "" for none
	}{
		{"nobody has a name", nil, away("Kim", false), ""},
		{"all have one", []Person{ida, jon, tom}, away("Tom", true), ""},
		{"in any case", []Person{ida, jon, tom}, away("jon", false), ""},
		{"the setters alone", []Person{ida, jon}, away("Kim", true), ""},
		{"somebody who is not said", []Person{ida, jon, tom}, away("", false), ""},
		{"one setter too few", []Person{ida, tom}, nil, "it has 2 setters and names 1"},
		{"a helper too many", []Person{ida, jon, tom, {Name: "Kim", Helper: true}}, nil, "it has 1 helper and names 2"},
		{"one twice", []Person{ida, {Name: "ida"}}, nil, "it names ida twice"},
		{"no name", []Person{ida, {}}, nil, "has no name"},
		{"a stranger", []Person{ida, jon, tom}, away("Kim", false), `it has no setter called "Kim"; it names Ida, Jon`},
		{"a helper as a setter", []Person{ida, jon, tom}, away("Tom", false), "Tom is a helper and is away as a setter"},
	} {
		k := Crew{Key: "birch", Setters: 2, Helpers: 1, People: c.people, Away: c.away}
		if got := k.Unnamed(); got != c.want && (c.want == "" || !strings.Contains(got, c.want)) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		in := small(t, 1, 1)
		in.Firm.Crews = []Crew{k}
		in.Firm.Crews[0].Hours = weekHours(7, 12, 13, 16)
		if _, err := Make(context.Background(), in); (err != nil) != (c.want != "") {
			t.Errorf("%s: planning said %v", c.name, err)
		}
	}
}

// Setters add up their speeds, each of those who work counting as the mean of those
// who are there; a helper's pace counts in the share in which he helps. By hand, with
// one setter alone at 0.65 of the pair.
func TestPaceOfThoseThere(t *testing.T) {
	d := day("2026-03-23")
	crew := func(away ...string) team {
		k := Crew{Key: "birch", Setters: 3, Helpers: 1, People: []Person{{Name: "Ida"}, {Name: "Tom", Helper: true, Pace: 2}, {Name: "Jon", Pace: 2}, {Name: "Kim", Pace: 1.25}}}
		for _, name := range away {
			k.Away = append(k.Away, Absence{Who: name, From: d, To: d, Helper: name == "Tom"})
		}
		return k.told(map[rateKey]float64{{kind: "grout", crew: "birch", person: "Kim"}: 1.6, {kind: "grout", crew: "alder", person: "Ida"}: 2})
	}
	for _, c := range []struct {
		name string
		crew team
		kind string
		gang gang
		want float64
	}{
		{"all three set", crew(), kindSet, gang{3, 0, 1.95}, 3 / (1 + 0.5 + 0.8)},
		{"two of the three", crew(), kindSet, gang{2, 0, 1.3}, 2 / (2 * 2.3 / 3)},
		{"the slow one is away", crew("Jon"), kindSet, gang{2, 0, 1.3}, 2 / 1.8},
		{"the quick one is left", crew("Jon", "kim"), kindSet, gang{1, 0, 0.65}, 1},
		{"one alone with a slow helper", crew("Jon", "Kim"), kindSet, gang{1, 1, 1}, 1 / (0.65 + 0.35*0.5)},
		{"as recorded of grout, 1.25 × 1.6", crew("Ida", "Jon"), "grout", gang{1, 0, 0.65}, 2},
		{"nothing recorded of setting", crew("Ida", "Jon"), kindSet, gang{1, 0, 0.65}, 1.25},
	} {
		there := c.crew.handsAt(d, 8*60)
		if got := c.crew.paceOf(there.who, c.kind, c.gang, 0.65); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %.4f times as long, want %.4f", c.name, got, c.want)
		}
	}
	even := Crew{Key: "birch", Setters: 2, People: []Person{{Name: "Ida"}, {Name: "Jon", Pace: 1}}}
	if told := even.told(nil); told.people != nil || told.who != (who{}) {
		t.Errorf("people who take as the rates say are told apart: %+v", told)
	}
}

// Of people who take alike it makes no difference who is there, of others it does.
func TestWhoIsThere(t *testing.T) {
	d := day("2026-03-23")
	there := func(away string) hands {
		k := Crew{Key: "birch", Setters: 3, People: []Person{{Name: "Ida"}, {Name: "Jon"}, {Name: "Kim", Pace: 2}}, Away: []Absence{{Who: away, From: d, To: d}}}.told(nil)
		return k.handsAt(d, 0)
	}
	if there("Ida") != there("Jon") || there("Ida") == there("Kim") {
		t.Errorf("without Ida %v, without Jon %v, without Kim %v", there("Ida"), there("Jon"), there("Kim"))
	}
	unsaid := there("") // somebody: it is not known who, so the mean of all three counts
	if unsaid.setters != 2 || unsaid.who.setters != all(3) {
		t.Errorf("somebody away: %v", unsaid)
	}
	if got := there("Ida").least(there("Kim")); got != there("Ida") {
		t.Errorf("of as many the slower count, got %v", got)
	}
}

// A plan of one setter takes longer by his pace: other work of his by just that, to the
// five minutes it is planned in, areas by it beside their ten minutes of setting up.
func TestASlowSetterTakesLonger(t *testing.T) {
	const pace = 1.5
	in := small(t, 6, 2)
	in.Firm.Crews = slices.Clone(in.Firm.Crews[:1])
	k := &in.Firm.Crews[0]
	plain := made(t, in)
	for i, name := range []string{"Ida", "Jon", "Kim"}[:k.Setters] {
		k.People = append(k.People, Person{Name: name, Pace: []float64{1, pace}[i%2]})
	}
	for i := range k.People {
		k.People[i].Pace = 1
	}
	if a, b := written(t, plain), written(t, made(t, in)); a != b {
		t.Error("names alone change the plan")
	}
	for i := range k.People {
		k.People[i].Pace = pace
	}
	slow := made(t, in)
	checked, areas := 0, 0
	for _, a := range slow.Activities {
		n := float64(a.Finish - a.Start)
		switch {
		case a.Crew == "" || a.BaseMinutes == 0:
		case a.Kind == kindSet:
			areas++
			if want := a.BaseMinutes*pace + 10; math.Abs(n-want) > 0.01 {
				t.Errorf("%s takes %g min, want %.1f", a.ID, n, want)
			}
		case a.BaseMinutes*pace > 5:
			checked++
			if want := math.Ceil(math.Ceil(a.BaseMinutes*pace-1e-9)/5) * 5; n != want {
				t.Errorf("%s takes %g min, want %g", a.ID, n, want)
			}
		}
	}
	if slow.Finish <= plain.Finish || checked == 0 || areas == 0 {
		t.Errorf("done at %d, before at %d; %d activities and %d areas were looked at", slow.Finish, plain.Finish, checked, areas)
	}
}

func written(t *testing.T, p *Plan) string {
	t.Helper()
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// While the slow one of two setters is away the other goes on at his own pace, sooner
// than the slow one would; nobody who is away is counted (CheckPlan looks by name).
func TestAwayByName(t *testing.T) {
	sooner := 0
	for seed := uint64(1); seed <= 3; seed++ {
		finish := func(who string) int {
			in := oneAway(t, seed, 1, Absence{Who: who, From: day("2026-03-18"), To: day("2026-04-10")})
			in.Firm.Crews[0].People = []Person{{Name: "Ida"}, {Name: "Jon", Pace: 2}}
			return made(t, in).Finish
		}
		slow, quick := finish("Jon"), finish("Ida")
		if slow > quick {
			t.Errorf("seed %d: without the slow one done at %d, without the quick one at %d", seed, slow, quick)
		} else if slow < quick {
			sooner++
		}
	}
	if sooner == 0 {
		t.Error("no plan is sooner: the test shows nothing")
	}
	p := made(t, oneAway(t, 1, 1))
	k := &p.Firm.Crews[0]
	k.People = []Person{{Name: "Ida"}, {Name: "Jon"}}
	k.Away = []Absence{{Who: "Ida", From: p.Today, To: p.Today.AddDays(60), Helper: true}} // wrongly said to be the helper
	if err := CheckPlan(p); err == nil || !strings.Contains(err.Error(), "are there") {
		t.Errorf("a plan with a setter who is away passed: %v", err)
	}
}

// What a report lets expect of those it names: of work planned for so many, by hand.
func TestMinutesOfThoseNamed(t *testing.T) {
	d := day("2026-03-23")
	k := Crew{Key: "birch", Setters: 2, Helpers: 1, Away: []Absence{{Who: "Jon", From: d, To: d}},
		People: []Person{{Name: "Tom", Helper: true}, {Name: "Ida"}, {Name: "Jon", Pace: 2}}}
	clock := NewClock(d, zone(t, "Europe/Berlin"))
	for _, c := range []struct {
		name     string
		s, h, at int
		by       []string
		times    float64
		person   string
	}{
		{"nobody is named, Jon is away", 1, 1, 8 * 60, nil, 1, ""},
		{"nobody is named, both are there", 2, 0, 32 * 60, nil, 2 / 1.5, ""},
		{"as planned", 1, 1, 8 * 60, []string{"ida", "Tom"}, 1, "Ida"},
		{"without the helper", 1, 1, 8 * 60, []string{"Ida"}, 1 / 0.65, "Ida"},
		{"at the pace the firm gives", 1, 1, 8 * 60, []string{"Jon", "Tom"}, 2, "Jon"},
		{"one of two", 2, 0, 8 * 60, []string{"Ida"}, 2, "Ida"},
		{"both: of neither", 2, 0, 8 * 60, []string{"Ida", "Jon"}, 2 / 1.5, ""},
		{"the helper alone", 1, 0, 8 * 60, []string{"Tom"}, 1, "Tom"},
		{"somebody who has left", 1, 1, 8 * 60, []string{"Kim"}, 1, ""},
	} {
		times, person := k.doing(&Activity{Setters: c.s, Helpers: c.h, Start: c.at}, c.by, clock, 0.65)
		if math.Abs(times-c.times) > 1e-9 || person != c.person {
			t.Errorf("%s: %.4f times, of %q; want %.4f, of %q", c.name, times, person, c.times, c.person)
		}
	}
}

// Labour costs what those cost who are named.
func TestThoseNamedAreCounted(t *testing.T) {
	all := Crew{Setters: 2, Helpers: 1, People: []Person{{Name: "Ida"}, {Name: "Jon"}, {Name: "Tom", Helper: true}}}
	setters := Crew{Setters: 2, Helpers: 1, People: all.People[:2]}
	for _, c := range []struct {
		crew Crew
		by   []string
		s, h int
	}{
		{all, nil, 2, 1}, {all, []string{"Ida"}, 1, 0}, {all, []string{"jon", "Tom"}, 1, 1}, {all, []string{"Tom"}, 0, 1}, {all, []string{"Kim"}, 2, 1},
		{setters, []string{"Ida"}, 1, 1}, {setters, []string{"Ida", "ida", "Jon"}, 2, 1}, {Crew{Setters: 2, Helpers: 1}, []string{"Ida"}, 2, 1},
	} {
		if s, h := c.crew.counted(2, 1, c.by); s != c.s || h != c.h {
			t.Errorf("%v by %v: %d setters and %d helpers, want %d and %d", c.crew.People, c.by, s, h, c.s, c.h)
		}
	}
}

// A person is learnt against what the crew's days let expect, by the estimator of the
// other levels: by hand.
func TestLearningGoesByPerson(t *testing.T) {
	var all []sample
	add := func(person string, from int, ratios ...float64) {
		for i, r := range ratios {
			all = append(all, sample{rateKey{"grout", "", "birch", person}, rooms.Date{Year: 2026, Month: 3, Day: from + i}, 100 * r, 100})
		}
	}
	add("Ida", 1, 1, 1, 1, 1)
	add("Jon", 11, 1.5, 1.5, 9, 1.5)
	add("", 21, 1, 1)    // who did it is not said
	add("Kim", 25, 2, 2) // two days teach nothing
	got := map[string]LearnedRate{}
	for _, l := range estimate(all) {
		got[l.Person] = l
	}
	// The kind: twelve days, of which six 1, three 1.5, two 2 and a 9: median 1.25,
	// (12 × 1.25 + 2) ÷ 14 = 1.214. One crew alone tells nothing more than that.
	for _, c := range []struct {
		person         string
		days           int
		factor, spread float64
	}{
		{"", 12, 1.214, 0.25},
		{"Ida", 4, (4/1.214 + 2) / 6, 0},     // 0.882
		{"Jon", 4, (4*1.5/1.214 + 2) / 6, 0}, // 1.157: the bad day moves nothing
	} {
		if l := got[c.person]; l.Days != c.days || math.Abs(l.Factor-c.factor) > 0.001 || math.Abs(l.Spread-c.spread) > 0.001 {
			t.Errorf("%q: %+v, want %d days, factor %.3f ± %.3f", c.person, l, c.days, c.factor, c.spread)
		}
	}
	if l, ok := got["Kim"]; ok || len(got) != 3 {
		t.Errorf("two days taught %+v; all %v", l, got)
	}
	if want := "grout by Jon of birch: takes 1.16 times what the crew's days let expect (4 days, median 1.24 ± 0.00)"; got["Jon"].String() != want {
		t.Errorf("said %q, want %q", got["Jon"], want)
	}
}

// What one person's reports say goes into the plan: where the slow one is away for the
// rest, it takes less work than where the quick one is.
func TestPersonRecordedChangesThePlan(t *testing.T) {
	in := oneAway(t, 2, 4)
	in.Firm.Crews[0].People = []Person{{Name: "Ida"}, {Name: "Jon"}}
	p := made(t, in)
	next, d := frozenAfter(in, p, 7)
	next.Placed = p.Orders
	clock := Clock{p.Epoch, in.Firm.Zone}
	frozen := clock.DayStart(d.AddDays(1))
	for _, a := range p.Activities {
		if a.Crew != "" && a.Start < frozen {
			r := Record{Kind: "activity done", Activity: a.ID, Crew: a.Crew, At: clock.At(a.Finish), Minutes: int(a.BaseMinutes * 2), DoneBy: []string{"Ida"}}
			if clock.Day(a.Start).Day%2 == 0 {
				r.Minutes, r.DoneBy = int(a.BaseMinutes*4), []string{"Jon"}
			}
			next.Records = append(next.Records, r)
		}
	}
	work := func(away string) (n int, learned []LearnedRate) {
		next.Firm.Crews = slices.Clone(next.Firm.Crews)
		next.Firm.Crews[0].Away = []Absence{{Who: away, From: d.AddDays(1), To: d.AddDays(120)}}
		q := replanned(t, next)
		for _, a := range q.Activities {
			if a.Start >= frozen && a.Crew != "" {
				n += a.Finish - a.Start
			}
		}
		return n, q.Learned
	}
	quick, learned := work("Jon")
	slow, _ := work("Ida")
	if !slices.ContainsFunc(learned, func(l LearnedRate) bool { return l.Person == "Jon" && l.Factor > 1.1 }) {
		t.Fatalf("nothing was learnt of Jon: %v", learned)
	}
	if slow <= quick {
		t.Errorf("by Jon %d min, by Ida %d: %v", slow, quick, learned)
	}
}

// What more or fewer people would do is asked of crews with names too.
func TestMoreAndFewerOfThoseNamed(t *testing.T) {
	crew := Crew{Key: "birch", Setters: 2, Helpers: 1, People: []Person{{Name: "Ida"}, {Name: "Jon", Pace: 2}},
		Away: []Absence{{Who: "Jon", From: day("2026-03-23"), To: day("2026-03-24")}}}
	for _, c := range []struct {
		change Change
		want   []float64 // the setters' paces
		away   []string
	}{
		{Change{Kind: MoreSetters, Count: 1}, []float64{1, 2, 1}, []string{"Jon"}},
		{Change{Kind: MoreSetters, Count: -1}, []float64{2 / 1.5}, []string{""}},
		{Change{Kind: MoreHelpers, Count: 1}, []float64{1, 2}, []string{"Jon"}},
		{Change{Kind: PersonAway, Text: "ida", From: day("2026-03-25"), To: day("2026-03-25")}, []float64{1, 2}, []string{"Jon", "Ida"}},
	} {
		c.change.Crew = "birch"
		in, err := c.change.apply(Input{Firm: Firm{Crews: []Crew{crew}}})
		if err != nil {
			t.Fatal(err)
		}
		k := in.Firm.Crews[0]
		var paces []float64
		for _, p := range k.People {
			paces = append(paces, p.pace())
		}
		var away []string
		for _, a := range k.Away {
			away = append(away, a.Who)
		}
		if !slices.EqualFunc(paces, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) || !slices.Equal(away, c.away) || k.Unnamed() != "" {
			t.Errorf("%+v: paces %v, away %q (%s); want %v, %q", c.change, paces, away, k.Unnamed(), c.want, c.away)
		}
	}
	if crew.Setters != 2 || crew.Away[0].Who != "Jon" {
		t.Errorf("what was given has changed: %+v", crew)
	}
}
