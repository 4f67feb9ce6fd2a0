package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// Kinds of activity that the trade's order of work knows, in that order.
const (
	kindPrepare  = "prepare"
	kindFlatten  = "flatten"
	kindLevel    = "level"
	kindPrime    = "prime"
	kindBoard    = "board"
	kindMembrane = "membrane"
	kindFlood    = "flood test"
	kindLayOut   = "lay out"
	kindCut      = "cut"
	kindSet      = "set"
	kindProtect  = "protect"
	kindUncover  = "uncover"
	kindLedger   = "take off ledger"
	kindGrout    = "grout"
	kindFillTub  = "fill tub"
	kindSeal     = "seal"
	kindEmptyTub = "empty tub"
	kindClean    = "clean"
	kindHandOver = "hand over"
	kindHold     = "hold"
)

// Steps of a recipe beyond the kinds: which surfaces are set.
const (
	setWalls = "set walls"
	setFloor = "set floor"
	setLower = "set lower course"
)

// Orders of work of a room.
const (
	WallsThenFloor      = "walls then floor"
	FloorThenWalls      = "floor then walls"
	FloorBeforeLowWalls = "walls from the second course, floor, bottom course"
)

// preparing is the order in which a surface is made ready: a leveller wants a
// primer under it (TileLetter, October 2019); the data sheet decides.
var preparing = []string{kindPrepare, kindBoard, kindFlatten, kindPrime, kindLevel, kindMembrane, kindFlood}

// BuiltIn is the sequence of activities of a room by its order of work. Steps
// that no surface of the room asks for fall out.
func BuiltIn(order string) []Step {
	var set []string
	switch order {
	case FloorThenWalls:
		set = []string{setFloor, kindProtect, setWalls, setLower, kindUncover}
	case FloorBeforeLowWalls:
		set = []string{setWalls, setFloor, setLower}
	default:
		set = []string{setWalls, setLower, setFloor}
	}
	var out []Step
	for _, k := range slices.Concat(preparing, []string{kindLayOut}, set, []string{kindGrout, kindFillTub, kindSeal, kindClean, kindEmptyTub, kindHandOver}) {
		out = append(out, Step{Kind: k})
	}
	return out
}

// recipeFor returns the steps of a room: the firm's recipe of that name, else
// the built-in one. A "set" step stands for the room's own order of setting.
func recipeFor(f *Firm, key string, r *rooms.Room) ([]Step, error) {
	switch r.Order {
	case "", WallsThenFloor, FloorThenWalls, FloorBeforeLowWalls:
	default:
		return nil, fmt.Errorf("room %s: order of work %q is not known; expected %q, %q or %q", key, r.Order, WallsThenFloor, FloorThenWalls, FloorBeforeLowWalls)
	}
	builtIn := BuiltIn(r.Order)
	if r.Recipe == "" {
		return builtIn, nil
	}
	for _, c := range f.Recipes {
		if c.Key != r.Recipe {
			continue
		}
		var out []Step
		for _, s := range c.Steps {
			if s.Kind != kindSet {
				out = append(out, s)
				continue
			}
			for _, b := range builtIn {
				switch {
				case isSet(b.Kind):
					s.Kind = b.Kind
					out = append(out, s)
				case b.Kind == kindProtect || b.Kind == kindUncover:
					out = append(out, b)
				}
			}
		}
		if err := checkRecipe(key, r, Recipe{Key: c.Key, Steps: out}); err != nil {
			return nil, err
		}
		if lacks := c.Lacks(r, f.kindOf); len(lacks) > 0 {
			return nil, fmt.Errorf("room %s: recipe %q leaves out what the room asks for: %s; add the step, or name the work under by_others", key, c.Key, lacks[0])
		}
		return out, nil
	}
	return nil, fmt.Errorf("room %s: recipe %q does not exist", key, r.Recipe)
}

func isSet(kind string) bool {
	return kind == kindSet || kind == setWalls || kind == setFloor || kind == setLower
}

// phase ranks the kinds whose order the trade fixes; -1 for others.
func phase(kind string) int {
	switch {
	case slices.Contains(preparing, kind):
		return 0
	case kind == kindLayOut:
		return 1
	case isSet(kind), kind == kindLedger, kind == kindProtect, kind == kindUncover:
		return 2
	case kind == kindGrout:
		return 3
	case kind == kindSeal:
		return 4
	case kind == kindEmptyTub:
		return 5
	case kind == kindHandOver:
		return 6
	}
	return -1
}

// checkRecipe refuses a sequence that contradicts the trade's order: the two
// together would run in a circle.
func checkRecipe(room string, r *rooms.Room, c Recipe) error {
	for i := range r.Surfaces {
		if first, then := c.Circle(&r.Surfaces[i]); then != "" {
			return fmt.Errorf("room %s: recipe %q is circular: it puts %q before %q, and %q cannot start until %q is done", room, c.Key, first, then, first, then)
		}
	}
	if s := c.Twice(); s != "" {
		return fmt.Errorf("room %s: recipe %q has the step %q twice", room, c.Key, s)
	}
	if !slices.ContainsFunc(c.Steps, func(s Step) bool { return isSet(s.Kind) }) || !slices.ContainsFunc(c.Steps, func(s Step) bool { return s.Kind == kindGrout }) {
		return fmt.Errorf("room %s: recipe %q must have the steps \"set\" and \"grout\"", room, c.Key)
	}
	return nil
}

// builderOf is what builds the activities of a room for a crew.
func (w *works) builderOf(r *roomWork, crew *team) *builder {
	return &builder{works: w, r: r, crew: crew, whole: crew, shift: w.shift[[2]string{crew.Key, r.site}], gang: gangOf(crew.Crew, r.people, w.rates),
		numbers: map[string]int{}, done: map[string]bool{}, trimmed: map[string]bool{}, told: map[string]bool{}, beds: map[[2]string]float64{}}
}

// tasks builds seq, in the room's order of work, with the lags.
func (b *builder) tasks() error {
	if b.shift.usual < 15 {
		site := b.called.site(b.r.site)
		return &unable{fmt.Sprintf("%s: %s has no working interval on site %s within %d days: look at the hours of both", b.called.room(b.r.key), b.called.crew(b.crew.Key), site, b.horizon/1440),
			fmt.Sprintf("it never works in the hours of %s", site)}
	}
	for i, s := range b.r.recipe {
		b.at = i
		if err := b.step(s); err != nil {
			b.fail(err)
			return b.err
		}
	}
	b.strays()
	if b.err != nil {
		return b.err
	}
	b.chain()
	if err := b.holds(); err != nil {
		return err
	}
	for _, t := range b.seq {
		b.aired(t)
		b.dried(t)
		if t.fixed == nil && t.crew != "" {
			b.with(t.by)
		}
		if err := b.equip(t); err != nil {
			return err
		}
	}
	return circular(b.called.room(b.r.key), b.seq)
}

// builder makes the tasks of one room for one crew.
type builder struct {
	*works
	r        *roomWork
	crew     *team   // those of it who are there for the work at hand
	whole    *team   // all of it
	manned   manning // what fewer of it do
	shift    shift
	gang     gang
	seq      []*task
	sawUntil int // minute to which the saw is busy with the areas so far
	numbers  map[string]int
	walls    []block
	floors   []block
	laid     bool                  // walls and floors are filled
	done     map[string]bool       // set steps met
	trimmed  map[string]bool       // surfaces whose profiles are brought
	told     map[string]bool       // surfaces of which it is said what is left out
	leftOut  []block               // on purpose, still to be set
	missed   []missed              // latest times after work that is done
	held     bool                  // there are such times
	at       int                   // the step at hand
	err      error                 // why the crew cannot do the room
	beds     map[[2]string]float64 // kg/m² by surface and mortar
	rate     zoneRate              // the last that was looked up
	both     []*surfaceWork        // see joinShared
	walks    []keepOff             // of seq
}

// asking are the surfaces that ask for a preparation.
func (b *builder) asking(kind string) []*surfaceWork {
	var out []*surfaceWork
	for _, s := range b.r.surfaces {
		if kind == kindPrepare || asks(s.src, kind) {
			out = append(out, s)
		}
	}
	return out
}

func (b *builder) step(s Step) error {
	whole := func(minutes float64) Step { // its minutes where the recipe gives none
		if s.Minutes == 0 && s.MinutesPerM2 == 0 {
			s.Minutes = minutes
		}
		return s
	}
	switch s.Kind {
	case kindPrepare:
		b.plain(s, b.asking(kindPrepare), b.rates.PreparePerM2, "prepare the ground")
	case kindFlatten:
		b.flatten(s)
	case kindLevel:
		b.plain(s, b.asking(kindLevel), b.rates.LevelPerM2, "level", takeoff.KindLeveller)
	case kindPrime:
		b.plain(s, b.asking(kindPrime), b.rates.PrimePerM2, "prime", takeoff.KindPrimer)
	case kindBoard:
		b.plain(s, b.asking(kindBoard), b.rates.BoardPerM2, "fix board", takeoff.KindBoard)
	case kindMembrane:
		b.coats(s)
	case kindFlood:
		b.flood(s)
	case kindLayOut:
		b.plain(s, b.unset(s.Kind, pickSurfaces(b.r.surfaces, func(f *surfaceWork) bool { return f.pieces > 0 })), b.rates.LayOutPerM2, "lay out: level and plumb lines")
	case setWalls, setFloor, setLower:
		return b.set(s)
	case kindProtect:
		b.plain(s, b.underfoot(), protectPerM2, "protect the floor")
	case kindUncover:
		b.plain(s, b.underfoot(), uncoverPerM2, "take the floor's protection up")
	case kindGrout:
		if err := b.setLeftOut(s); err != nil {
			return err
		}
		b.grout(s)
	case kindFillTub:
		b.plain(whole(b.rates.FillTub), b.tubs(), 0, "fill the tub, so that its joint is sealed at its widest")
	case kindSeal:
		b.seal(s)
	case kindEmptyTub:
		b.plain(whole(b.rates.EmptyTub), b.tubs(), 0, "empty the tub")
	case kindClean:
		b.plain(s, b.r.surfaces, b.rates.CleanPerM2, "clean")
	case kindHandOver:
		b.plain(whole(b.rates.HandOver), b.r.surfaces, 0, "hand over")
	case kindHold:
		return fmt.Errorf("%s: recipe step %q is a hold by others: name it under the room's holds", b.called.room(b.r.key), s.Kind)
	default:
		b.plain(s, b.r.surfaces, 0, s.Kind)
	}
	return nil
}

// Minutes a m² to lay felt or board on a new floor and tape it, and to take it
// up and sweep; common practice.
const (
	protectPerM2 = 1.5
	uncoverPerM2 = 0.75
)

// underfoot are the tiled floors that people walk on while they set walls.
func (b *builder) underfoot() []*surfaceWork {
	if !slices.ContainsFunc(b.r.surfaces, func(f *surfaceWork) bool { return f.pieces > 0 && !flat(f.src.Kind) }) {
		return nil
	}
	var out []*surfaceWork
	for _, f := range b.r.surfaces {
		if f.pieces > 0 && flat(f.src.Kind) && f.src.Kind != rooms.Bench {
			out = append(out, f)
		}
	}
	return out
}

// plain adds the parts of an activity that is so many minutes a m².
func (b *builder) plain(s Step, on []*surfaceWork, perM2 float64, title string, kinds ...string) []*task {
	on = b.on(s, on)
	if len(on) == 0 {
		return nil
	}
	if s.MinutesPerM2 > 0 {
		perM2 = s.MinutesPerM2
	}
	return b.parts(s, b.slotOf(s, slug(s.Kind)), s.Kind, title, on, s.Minutes+perM2*m2Of(on), 1, kinds...)
}

// parts splits minutes of a setter with helper into chunks that fit a shift.
func (b *builder) parts(s Step, slot, kind, title string, on []*surfaceWork, minutes, share float64, kinds ...string) []*task {
	b.with(b.handsFor(s, slot))
	g := b.gangFor(s)
	minutes /= g.speed
	shift := b.shiftOfWork(s.Loud || b.loudKind(kind), title, g)
	n := max(1, ceilMinutes(minutes*b.pace(kind, b.classOn(kind, on))*b.crewPace(kind, g)/float64(shift.part(180))))
	var out []*task
	for i := range n {
		id, name := slot, title
		if n > 1 {
			id, name = fmt.Sprintf("%s.%d", slot, i+1), fmt.Sprintf("%s, part %d of %d", title, i+1, n)
		}
		t := b.newTask(b.r, id, kind, name, on, minutes/float64(n), g)
		if t.fixed == nil {
			t.crew, t.gang = b.crew.Key, g
			t.by, t.work, t.anyGang = b.crew.hands(), slot, s.Setters == 0 && s.Helpers == 0
			t.minutes = min(t.minutes, shift.longest)
			t.skill, t.tool, t.loud = s.Skill, s.Tool, s.Loud
			part := func(string) float64 { return share / float64(n) }
			b.usesShares(t, on, part, kinds...)
			b.usesOwn(t, s, on, part, kinds)
		}
		out = append(out, t)
		b.seq = append(b.seq, t)
	}
	return out
}

func slug(s string) string { return strings.ReplaceAll(strings.TrimSpace(s), " ", "-") }

// coats adds the coats of membrane.
func (b *builder) coats(s Step) {
	on := b.on(s, b.asking(kindMembrane))
	if len(on) == 0 {
		return
	}
	n := 0
	for _, need := range b.r.need(takeoff.KindMembrane, on) {
		n = max(n, b.products[need.Product].Sheet.Coats)
	}
	if n == 0 {
		n = 2 // common practice for liquid membranes
	}
	per := b.rates.MembranePerM2
	if s.MinutesPerM2 > 0 {
		per = s.MinutesPerM2
	}
	var blocks []block
	for _, f := range bySetRank(on) {
		m := per*f.m2 + s.Minutes/float64(len(on))
		blocks = append(blocks, block{surface: f.key, minutes: max(m, 0.01), first: true})
	}
	for coat := 1; coat <= n; coat++ {
		w := fieldWork{slot: b.slotOf(s, fmt.Sprintf("membrane-%d", coat)), kind: kindMembrane, title: fmt.Sprintf("membrane, coat %d of %d", coat, n), blocks: blocks, within: "a straight line"}
		w.take = func(t *task, share func(string) float64, on []*surfaceWork) {
			part := func(surface string) float64 { return share(surface) / float64(n) }
			b.usesShares(t, on, part, takeoff.KindMembrane)
			b.usesOwn(t, s, on, part, []string{takeoff.KindMembrane})
		}
		for _, t := range b.fields(s, w) {
			t.coat, t.coats = coat, n
		}
	}
}

// flood adds filling for the flood test and reading it a day later; local code
// says how long and who reads.
func (b *builder) flood(s Step) {
	on := b.on(s, b.asking(kindFlood))
	if len(on) == 0 {
		return
	}
	for i, title := range []string{"fill for the flood test and mark the level", "read the flood test and drain"} {
		t := b.newTask(b.r, b.slotOf(s, []string{"flood-fill", "flood-read"}[i]), kindFlood, title, on, 15, oneSetter)
		if t.fixed == nil {
			t.crew, t.gang, t.by = b.crew.Key, oneSetter, b.crew.hands()
			t.notes = []string{"Local code and the inspector decide how long the water stands and who reads it."}
		}
		b.seq = append(b.seq, t)
	}
}

// seal adds the soft joints: every edge filled with sealant, a shared line once.
func (b *builder) seal(s Step) {
	var on []*surfaceWork
	metres := 0.0
	for _, f := range b.on(s, b.r.surfaces) {
		sum := 0.0
		for i, e := range f.src.Edges {
			if e.Fill != rooms.FillSealant || i >= len(f.src.Outline) {
				continue
			}
			l := rooms.Distance(f.src.Outline[i], f.src.Outline[(i+1)%len(f.src.Outline)]).Metres()
			if e.Shared != "" {
				l /= 2
			}
			sum += l
		}
		if sum > 0 || len(b.r.need(takeoff.KindSealant, []*surfaceWork{f})) > 0 {
			on = append(on, f)
			metres += sum
		}
	}
	if len(on) == 0 {
		return
	}
	per := b.rates.SealPerM
	b.parts(s, b.slotOf(s, kindSeal), kindSeal, "seal the soft joints", on, s.Minutes+per*metres, 1, takeoff.KindSealant, takeoff.KindBacker)
}
