package scheduler

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"potlife/takeoff"
)

// byStart are the dated tasks in order of start.
func (m *maker) byStart() []*task {
	out := slices.Clone(m.choice.net.tasks)
	slices.SortStableFunc(out, func(a, b *task) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.room.key, b.room.key), cmp.Compare(a.id, b.id))
	})
	return out
}

// assemble writes the dated tasks down as a plan.
func (m *maker) assemble() {
	m.holdSpans()
	handed := m.tellHandOns()
	tasks := m.byStart()
	t, ready := m.taken, m.aside.finished()
	p := &Plan{Firm: m.in.Firm, Jobs: m.jobs, Today: m.in.Today, Epoch: m.clock.Epoch,
		Layouts: t.Layouts, Stock: t.Stock, Rows: t.Rows, Materials: t.Materials, Stops: t.Stops,
		Findings: slices.Concat(m.takeoffFindings(), m.keptSizes(), m.kept.findings, m.works.findings), OnHand: ready.onHand, Holds: map[string]int{}, Hours: map[string][]Interval{},
		Locks: m.kept.locks, Digests: m.digests, Learned: m.learned}
	m.plan = p
	m.activities(p, tasks)
	m.roomDates(p)
	p.Horizon = m.clock.DayStart(m.clock.Day(p.Finish).AddDays(8))
	for _, c := range m.in.Firm.Crews {
		p.Hours[c.Key] = m.crewHours(c, p.Horizon)
	}
	p.Office = m.clock.OfficeHours(m.in.Firm, 0, p.Horizon)
	var busy sync.WaitGroup
	var risk Risk
	set := ready.pieces.ofAreas(p.Areas)
	u := m.in.Firm.Uncertainty
	u.Seed = m.limits.Seed
	busy.Go(func() { risk = simulate(p, u, set) })
	p.Status = m.status(p)
	m.criticals(p, tasks)
	m.ledgerHolds(p)
	p.Counts, p.Offcuts = ready.counts, ready.offcuts
	p.ToYard, p.Spent = m.toYard, m.spentNow(t.Stock)
	p.Orders = t.Orders(m.in.Firm.Catalogue, m.orderDay, m.firstUses(tasks), m.placed)
	p.Placed = len(m.placed)
	saved := ""
	busy.Go(func() {
		m.buy(p)
		saved = m.savings()
	})
	p.Sheets = m.sheets(p, ready.pieces, set)
	busy.Wait()
	p.Risk = risk
	p.Findings = append(p.Findings, handed...)
	m.findings(p)
	p.Summary = append(m.summary(p), saved)
}

// activities writes down what each task is, and the areas of it.
func (m *maker) activities(p *Plan, tasks []*task) {
	m.ids = make(map[string]bool, len(tasks))
	for _, t := range tasks {
		m.ids[t.id] = true
	}
	m.used() // once, before all processors ask for it
	p.Activities = make([]Activity, len(tasks))
	areas := make([]Area, len(tasks)) // of those that are not carried over
	takeoff.Each(len(tasks), 1, func(i int) {
		p.Activities[i] = m.activity(tasks[i])
		if tasks[i].area != nil {
			areas[i] = m.area(tasks[i])
		}
	})
	for i, k := range tasks {
		p.Finish = max(p.Finish, k.start+k.minutes)
		for _, a := range k.areas {
			p.Areas = append(p.Areas, *a)
		}
		if k.area != nil {
			p.Areas = append(p.Areas, areas[i])
		}
	}
}

// buy says what is mixed and what orders placed should become, and costs it all.
func (m *maker) buy(p *Plan) {
	t, c := m.taken, m.in.Firm.Catalogue
	p.Mixes = m.portioned(p)
	p.Findings = append(p.Findings, takeoff.OrderFindings(c, m.orderDay, p.Orders[len(m.placed):])...)
	p.Findings = append(p.Findings, t.Shortages(c, m.placed, p.Orders)...)
	p.Changes = t.Changes(c, m.in.Today, m.placed, p.Orders)
	p.Costs = m.costs(p)
}

// holdSpans lets a hold with a date begin when what it follows is done, so that
// it shows as a span.
func (m *maker) holdSpans() {
	for _, t := range m.choice.net.tasks {
		if t.kind != kindHold || t.until == 0 {
			continue
		}
		begin := t.room.ready
		for _, l := range t.after {
			begin = max(begin, l.task.start+l.task.minutes+l.least)
		}
		if begin < t.start {
			t.minutes, t.start = t.start-begin, begin
		}
	}
}

func (m *maker) activity(t *task) Activity {
	if t.fixed != nil {
		a := *t.fixed
		a.After = slices.DeleteFunc(slices.Clone(a.After), func(b After) bool { return !m.planned(b.Activity) })
		return a
	}
	a := Activity{ID: t.id, Job: t.room.job, Site: t.room.site, Room: t.room.key, Surfaces: t.surfaces, Kind: t.kind, Title: t.title,
		Crew: t.crew, Setters: t.gang.setters, Helpers: t.gang.helpers, Start: t.start, Finish: t.start + t.minutes,
		Products: t.products, Skills: t.skills, Tools: t.tools, Noisy: t.noisy, Notes: t.notes, State: "planned", BaseMinutes: t.base, Class: t.class, Shares: t.shares}
	if t.crew != "" {
		a.Because = m.because(t)
		a.Work = []Interval{{a.Start, a.Finish}}
		if m.works.crews[t.crew].roll != nil {
			a.There = &There{t.by.setters, t.by.helpers, t.by.who.setters, t.by.who.helpers}
		}
	}
	for _, l := range t.after {
		least := l.wait(l.task.start + l.task.minutes)
		a.After = append(a.After, After{Activity: l.task.id, Least: least, Most: l.most, Why: l.why})
	}
	return a
}

func (m *maker) planned(id string) bool { return m.ids[id] }

func (m *maker) area(t *task) Area {
	a := t.area
	out := Area{ID: a.id, Activity: t.id, Surfaces: a.surfaces, Crew: t.crew, Start: t.start, Finish: t.start + a.field, OpenMinutes: a.open,
		LimitsFrom: a.limits, Mortar: a.bed.mortar, KgPerM2: a.bed.kgPerM2, GroutAfter: t.room.after(a.grout, t.start+a.field), M2: round3(a.m2), Kg: round3(a.kg), StopAt: a.stopAt}
	all := make([]string, 0, len(a.items)) // parted among the patches
	out.Patches = make([]Patch, 0, len(a.patches))
	for _, p := range a.patches {
		q := Patch{Start: t.start + p.start, SetBy: t.start + p.set, M2: round3(p.m2)}
		from := len(all)
		for _, it := range p.items {
			all = append(all, it.piece.ID)
		}
		q.Pieces = all[from:len(all):len(all)]
		out.Patches = append(out.Patches, q)
	}
	out.Pieces = slices.Clone(all)
	return out
}

// roomDates dates the hand-over of each room and what it waits for.
func (m *maker) roomDates(p *Plan) {
	single := len(m.works.teams) == len(m.in.Firm.Crews)
	seqs, ways := make([][]*task, len(m.rooms)), make([]map[int][]*task, len(m.rooms)) // ways: by crew that may do the room
	for i, r := range m.rooms {
		allowed, _ := m.choice.allowed(i)
		single = single && len(allowed) == 1 && len(r.air) == 0 // the solver's bound holds for the waits it was given
		ways[i] = make(map[int][]*task, len(allowed))
		for _, k := range allowed {
			ways[i][k] = m.choice.shape(i, k).seq
		}
		seqs[i], _ = m.choice.tasksOf(i)
	}
	dates := make([]RoomDate, len(m.rooms))
	takeoff.Each(len(m.rooms), 1, func(i int) { dates[i] = m.roomDate(m.rooms[i], seqs[i], ways[i]) })
	for _, d := range dates {
		p.Bound = max(p.Bound, d.Bound)
	}
	p.RoomDates = append(p.RoomDates, dates...)
	if single {
		p.Bound = max(p.Bound, m.choice.result.Bound)
	}
	p.Bound = min(max(p.Bound, m.workBound()), p.Finish)
}

// roomDate dates the hand-over of a room with the tasks that it has in the plan; the
// crews that may do it would do them their ways.
func (m *maker) roomDate(r *roomWork, seq []*task, ways map[int][]*task) RoomDate {
	d := RoomDate{Room: r.key, Bound: -1}
	for k, way := range ways {
		if v := m.works.earliestFinish(way, m.works.teams[k].Key); d.Bound < 0 || v < d.Bound {
			d.Bound = v
		}
	}
	for _, t := range seq {
		d.Finish = max(d.Finish, t.start+t.minutes)
	}
	d.Bound = min(d.Bound, d.Finish)
	if r.due >= 0 && d.Finish > r.due {
		d.LateDays = daysBetween(r.room.Due, m.clock.Day(d.Finish-1))
	}
	d.Blocked = m.blocked(seq)
	return d
}

// criticals marks the activities that hold the finish: each starts as soon as a
// wait or its crew lets it, back from the last one.
func (m *maker) criticals(p *Plan, tasks []*task) {
	mark := map[*task]bool{}
	ofCrew, at := map[string][]*task{}, map[*task]int{}
	for _, t := range tasks {
		at[t] = len(ofCrew[t.crew])
		ofCrew[t.crew] = append(ofCrew[t.crew], t)
	}
	var back func(t *task)
	back = func(t *task) {
		if mark[t] {
			return
		}
		mark[t] = true
		if t.fixed != nil {
			return
		}
		for _, l := range t.after {
			if m.tight(t, l.task.start+l.task.minutes+l.least) {
				back(l.task)
			}
		}
		list := ofCrew[t.crew]
		for i := at[t] - 1; i >= 0 && t.crew != "" && at[t]-i <= 40; i-- {
			u := list[i]
			if u.start < t.start && m.tight(t, u.start+u.minutes+m.works.way(u.room.site, t.room.site)) {
				back(u)
			}
		}
	}
	for _, t := range tasks {
		if t.start+t.minutes == p.Finish {
			back(t)
		}
	}
	for i, t := range tasks {
		p.Activities[i].Critical = mark[t]
	}
}

// tight reports whether t starts at the first time its crew and site allow from
// minute ready on.
func (m *maker) tight(t *task, ready int) bool {
	if t.crew == "" {
		return ready == t.start
	}
	s, ok := earliest(m.works.openFor(t, t.crew), ready, t.minutes)
	return ok && s == t.start && ready > m.works.opens(t.crew)
}

// way is the minutes between two sites.
func (w *works) way(a, b string) int {
	most := 0
	for _, t := range w.firm.Travel {
		if a != b && (t.From == a && t.To == b || t.From == b && t.To == a) {
			most = max(most, t.Minutes)
		}
	}
	return most
}

// ledgerHolds notes how long fields hold above their ledgers.
func (m *maker) ledgerHolds(p *Plan) {
	b := &builder{works: m.works}
	for _, r := range m.rooms {
		b.r = r
		for _, f := range r.surfaces {
			if f.src.Ledger {
				p.Holds[f.key] = b.heldFor(f, p)
			}
		}
	}
}

// heldFor is how long the field above a ledger holds in the plan; where the
// temperature changes, the shortest of its areas' times.
func (b *builder) heldFor(f *surfaceWork, p *Plan) int {
	d := b.holdOf(f)
	if len(b.r.air) == 0 {
		return b.r.after(d, 0)
	}
	least := -1
	if m, ok := b.r.held[f.key]; ok {
		least = m
	}
	for i := range p.Areas {
		if a := &p.Areas[i]; slices.Contains(a.Surfaces, f.key) {
			if m := b.r.after(d, a.Finish); least < 0 || m < least {
				least = m
			}
		}
	}
	return max(0, least)
}

// findings adds what the schedule itself has to say.
func (m *maker) findings(p *Plan) {
	p.Findings = append(p.Findings, m.in.supposed.findings...)
	for i := range m.jobs {
		p.Findings = append(p.Findings, takeoff.Thresholds(&m.jobs[i], m.tiles, m.in.Firm.Units == "imperial")...)
	}
	for _, d := range p.RoomDates {
		if d.LateDays > 0 {
			p.Findings = append(p.Findings, takeoff.Finding{Rule: "due date", Severity: takeoff.Warn, Where: d.Room,
				Message: strings.TrimSuffix(fmt.Sprintf("handed over %s after it is due; %s", dayCount(d.LateDays), d.Blocked), "; "), Value: float64(d.LateDays), Source: "the job's due date"})
		}
	}
	for _, x := range m.choice.net.missed {
		if gap := x.to.start - x.from.start - x.from.minutes; gap > x.most && m.planned(x.to.id) {
			p.Findings = append(p.Findings, takeoff.Finding{Rule: "latest time", Severity: takeoff.Stop, Where: x.to.room.key,
				Message: fmt.Sprintf("%s starts %s after %s, the data sheet allows %s: ask its maker what is to be done before going on", x.to.title, words(gap), x.from.title, words(x.most)),
				Value:   float64(gap), Limit: float64(x.most), Source: "data sheet"})
		}
	}
	p.Findings = append(p.Findings, m.onTheBrink()...)
	p.Findings = append(p.Findings, m.choice.unfit()...)
	m.lifting(p)
	p.Findings = append(p.Findings, m.unnamedWays(p)...)
	p.Findings = append(p.Findings, m.coldCures(p)...)
	for _, r := range m.rooms {
		p.Findings = append(p.Findings, m.works.airFindings(r)...)
		p.Findings = append(p.Findings, m.works.groundFindings(r)...)
		p.Findings = append(p.Findings, m.withoutLedger(p, r)...)
		if _, known := r.room.Air(); !known && len(r.air) == 0 {
			p.Findings = append(p.Findings, takeoff.Finding{Rule: "temperature", Severity: takeoff.Info, Where: r.key,
				Message: "no temperature is given; 20 °C is taken for cures", Value: defaultReference, Source: "common practice"})
		}
	}
}

// takeoffFindings leaves out that a piece is cut again where it was only meant
// to be cut.
func (m *maker) takeoffFindings() []takeoff.Finding {
	return slices.DeleteFunc(slices.Clone(m.taken.Findings), func(f takeoff.Finding) bool {
		return f.Rule == "cut again" && !m.kept.cut[f.Where]
	})
}

// summary is the plan in a few lines.
func (m *maker) summary(p *Plan) []string {
	pieces := 0
	for _, a := range p.Areas {
		pieces += len(a.Pieces)
	}
	kg := 0.0
	for _, x := range p.Mixes {
		kg += x.Kg
	}
	out := []string{
		fmt.Sprintf("%s, %s, %s of %s, %s (%.1f kg), %s", several(len(m.rooms), "room"), several(len(p.Activities), "activity"), several(len(p.Areas), "setting area"), several(pieces, "piece"), several(len(p.Mixes), "mix"), kg, several(len(p.Sheets), "day sheet")),
		fmt.Sprintf("finish %s, not before %s on any plan of these activities%s; schedule %s", m.clock.At(p.Finish).Format("Mon 2 Jan 2006 15:04"), m.clock.Words(p.Bound), m.onTheWay(), p.Status),
	}
	out = append(out, fmt.Sprintf("as work goes (%s), half of %s finish by %s, four in five by %s", m.usual(), p.Risk.runWords(),
		m.clock.DayWords(p.Risk.Half), m.clock.DayWords(p.Risk.Eighty)))
	var late []string
	for _, d := range p.RoomDates {
		if d.LateDays > 0 {
			late = append(late, m.works.called.room(d.Room)+" "+dayCount(d.LateDays))
		}
	}
	if len(late) > 0 {
		out = append(out, "late: "+strings.Join(late, ", "))
	}
	for _, l := range p.Learned {
		if l.Crew != "" {
			l.Crew = m.works.called.crew(l.Crew)
		}
		out = append(out, l.String())
	}
	return append(out, m.mixWords(p))
}

// usual says what the simulation lets go otherwise than planned.
func (m *maker) usual() string {
	u := m.in.Firm.Uncertainty.filled(0)
	text := fmt.Sprintf("it takes %g to %g times as long as planned", u.Least, u.Most)
	if u.Least == u.Most {
		text = fmt.Sprintf("it takes %g times as long as planned", u.Most)
	}
	if u.BreakChance > 0 {
		text += fmt.Sprintf(", %s %% of the cut pieces break", strconv.FormatFloat(math.Round(u.BreakChance*1000)/10, 'g', -1, 64))
	}
	return text
}

// onTheWay says which deliveries a plan counts on: those still to be ordered could
// come sooner than those that have a day.
func (m *maker) onTheWay() string {
	n := 0
	for _, o := range m.placed {
		if m.in.Today.Before(o.Delivery) {
			n++
		}
	}
	if n == 0 {
		return " with goods as soon as they can come"
	}
	return " with " + several(n, "order") + " coming on the day they were placed for"
}

// mixWords says how many mixes the plan takes and what of them is thrown away.
func (m *maker) mixWords(p *Plan) string {
	mortar, work := countMixes(p.Mixes)
	thrown := 0.0
	for _, x := range p.Mixes {
		thrown += x.Thrown
	}
	keptMortar, keptWork := countMixes(m.kept.mixes)
	text := fmt.Sprintf("%s of mortar to come for these areas, no plan of them takes fewer than %d", several(mortar-keptMortar, "mix"), m.fewest)
	if n := work - keptWork; n > 0 {
		text += fmt.Sprintf("; %s of grout and what else is mixed on the spot, no plan of that work takes fewer than %d", several(n, "mix"), m.fewestWork)
	}
	if thrown > 0 {
		text += fmt.Sprintf("; %.1f kg of all mixes are thrown away", thrown)
	}
	return text
}

// countMixes are the mixes for patches and the others.
func countMixes(mixes []Mix) (mortar, work int) {
	for _, x := range mixes {
		if len(x.Patches) > 0 {
			mortar++
		}
	}
	return mortar, len(mixes) - mortar
}

// savings says what cutting ahead saves against cutting each piece when its
// turn comes.
func (m *maker) savings() string {
	alone, ahead, cuts := 0.0, 0.0, 0
	for _, t := range m.choice.net.tasks {
		if t.area == nil {
			continue
		}
		for _, it := range t.area.items {
			if it.ahead > 0 {
				alone += it.ahead/aheadShare + measureMinutes
				ahead += it.ahead
				cuts += len(it.piece.Cuts)
			}
		}
	}
	return fmt.Sprintf("cut ahead: %s by settings, about %s instead of %s one by one", several(cuts, "cut"), words(ceilMinutes(ahead)), words(ceilMinutes(alone)))
}
