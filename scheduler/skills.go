package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// Skills that some work asks for. A crew that lists skills may do only the
// special work it lists; a crew that lists none may do all.
const (
	SkillStone    = "stone"
	SkillLarge    = "large format"
	SkillMembrane = "membrane"
	SkillEpoxy    = "epoxy"
)

// Skills are those the program asks for by itself; a recipe's step may name
// others.
func Skills() []string { return []string{SkillStone, SkillLarge, SkillMembrane, SkillEpoxy} }

// largeSide is from where on a tile counts as large: any side of 15 in or more
// (TCNA, ANSI A137.3).
const largeSide = 15 * rooms.Inch

// Tools that work takes by itself where the firm counts them. A tool is with a
// task for as long as it lasts; its way between sites is not counted.
const (
	ToolSaw    = "wet saw"
	ToolMixer  = "mixer"
	ToolLifter = "suction lifter"
)

// Tools are those the program asks for by itself; a recipe's step may name
// others.
func Tools() []string { return []string{ToolSaw, ToolMixer, ToolLifter} }

// Tool is a tool that crews share, and how many of it the firm has.
type Tool struct {
	Key   string
	Count int
}

// equip notes the skills and shared tools that a task asks for and whether it is
// loud, closes the hours to it in which its site wants quiet, and refuses it to
// a crew that may not do it.
func (b *builder) equip(t *task) error {
	if t.fixed != nil || t.crew == "" {
		return nil
	}
	t.skills, t.tools = b.skillsOf(t), b.toolsOf(t)
	for _, s := range t.skills {
		if len(b.crew.Skills) > 0 && !slices.Contains(b.crew.Skills, s) {
			has := strings.Join(b.crew.Skills, ", ")
			return &unable{fmt.Sprintf("%s: %s may not %s, which asks for the skill %q; it has %s: add the skill or name another crew for the room",
				b.called.room(b.r.key), b.called.crew(b.crew.Key), t.title, s, has), fmt.Sprintf("they ask for the skill %q, it has %s", s, has)}
		}
	}
	for _, k := range t.tools {
		if b.toolCount(k) < 1 {
			return fmt.Errorf("%s: %s takes a %s and the firm has none: give its number under tools", b.called.room(b.r.key), t.title, k)
		}
	}
	noise := b.noise[b.r.site]
	t.noisy = len(noise.open) > 0 && (t.loud || b.loudKind(t.kind) || t.area != nil && b.loudItems(t.area.items))
	if t.noisy {
		b.close(t, noise)
	}
	return nil
}

func (b *builder) skillsOf(t *task) []string {
	var out []string
	add := func(s string) {
		if s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	add(t.skill)
	if t.kind == kindMembrane {
		add(SkillMembrane)
	}
	if t.area != nil {
		for _, it := range t.area.items {
			tile := b.tiles[it.piece.Tile]
			for _, s := range tileSkills(&tile) {
				add(s)
			}
		}
	}
	for _, u := range t.products {
		if p := b.products[u.Product]; p.Sheet.Resin && (p.Kind == takeoff.KindGrout || p.Kind == takeoff.KindMortar) {
			add(SkillEpoxy)
		}
	}
	slices.Sort(out)
	return out
}

// tileSkills are the skills that a tile asks for.
func tileSkills(t *takeoff.Tile) (out []string) {
	if t.Material == "stone" {
		out = append(out, SkillStone)
	}
	if lo, hi := bounds(t.Shape); max(hi.X-lo.X, hi.Y-lo.Y) >= largeSide {
		out = append(out, SkillLarge)
	}
	return out
}

func (b *builder) toolCount(key string) int {
	for _, k := range b.firm.Tools {
		if k.Key == key {
			return k.Count
		}
	}
	return -1
}

// toolsOf are the tools of a task that the firm counts.
func (b *builder) toolsOf(t *task) []string {
	var out []string
	add := func(key string, takes bool) {
		if takes && key != "" && b.toolCount(key) >= 0 && !slices.Contains(out, key) {
			out = append(out, key)
		}
	}
	add(t.tool, true)
	mixed := len(t.mixed) > 0
	if t.area != nil {
		mixed = t.area.bed.mortar != "" && !b.products[t.area.bed.mortar].Sheet.ReadyMixed
		add(ToolSaw, slices.ContainsFunc(t.area.items, func(it *item) bool {
			return slices.ContainsFunc(it.piece.Cuts, func(c takeoff.Cut) bool { return c.Tool == takeoff.WetSaw })
		}))
		add(ToolLifter, slices.ContainsFunc(t.area.items, func(it *item) bool { return b.heavy(it.piece.Tile) }))
	}
	add(ToolMixer, mixed)
	slices.Sort(out)
	return out
}

// loudKind reports whether a kind of work is loud by itself: cutting by itself,
// grinding the ground and drilling boards.
func (b *builder) loudKind(kind string) bool {
	return kind == kindCut || kind == kindPrepare || kind == kindBoard || kind == kindFlatten
}

// loudItems reports whether anything among the pieces is cut with a power tool while
// they are set: what is measured on site, and all of it where nobody cuts before.
func (b *builder) loudItems(items []*item) bool {
	return slices.ContainsFunc(items, func(it *item) bool {
		return (it.piece.OnSite || b.crew.Helpers == 0 && !b.cutsApart()) && slices.ContainsFunc(it.piece.Cuts, func(c takeoff.Cut) bool { return c.Tool != takeoff.Snap })
	})
}

// mannedKey is what the hours of a gang depend on.
type mannedKey struct {
	crew, site       string
	loud             bool
	setters, helpers int
}

// shiftFor is the usual interval of a gang for work that is loud or not: where people
// have hours of their own, that in which its people are there.
func (b *builder) shiftFor(loud bool, g gang) shift {
	roll := b.crews[b.crew.Key].roll
	if roll == nil {
		return b.shiftOfAll(loud)
	}
	k := mannedKey{b.crew.Key, b.r.site, loud, g.setters, g.helpers}
	b.guard.Lock()
	defer b.guard.Unlock()
	s, known := b.shifts[k]
	if !known {
		hours := b.works.common[[2]string{k.crew, k.site}]
		if noise := b.noise[k.site]; loud && len(noise.open) > 0 {
			hours = Common(hours, noise.open)
		}
		if s = shiftOf(roll.manned(from(hours, b.opens(k.crew)), g)); s.longest < 15 {
			s = b.shiftOfAll(loud) // they never are: the plan says so
		}
		b.shifts[k] = s
	}
	return s
}

func (b *builder) shiftOfAll(loud bool) shift {
	if noise := b.noise[b.r.site]; loud && len(noise.open) > 0 {
		return shiftOf(from(Common(b.works.common[[2]string{b.crew.Key, b.r.site}], noise.open), b.opens(b.crew.Key)))
	}
	return b.shift
}

// shiftOfWork is that of work with a title; loud work for which its site leaves the
// crew no time is refused.
func (b *builder) shiftOfWork(loud bool, title string, g gang) shift {
	s := b.shiftFor(loud, g)
	if s.longest < 15 {
		site := b.called.site(b.r.site)
		b.fail(&unable{fmt.Sprintf("%s: %q is loud, and %s allows loud work in none of the hours of %s: widen the site's hours for it, or have another crew do it",
			b.called.room(b.r.key), title, site, b.called.crew(b.crew.Key)), fmt.Sprintf("%s allows loud work in none of its hours", site)})
	}
	return s
}

// quiet are the sites' hours for loud work, where they have some.
func (m *maker) quiet(w *works) map[string]*window {
	out := map[string]*window{}
	for _, j := range m.jobs {
		for _, s := range j.Sites {
			win := &window{key: "noise " + j.Key + "/" + s.Key, daily: true}
			if len(s.Noise) > 0 {
				win.open = m.clock.SiteHours(rooms.Site{Hours: s.Noise}, 0, w.horizon)
				name := w.called.site(j.Key + "/" + s.Key)
				win.why = func(minute int) string { return loudHours(name, s.Noise, m.clock.Day(minute)) }
			}
			out[j.Key+"/"+s.Key] = win
		}
	}
	return out
}

// loudHours says when a site allows loud work on a day.
func loudHours(site string, hours []rooms.DayHours, day rooms.Date) string {
	var list []string
	for _, h := range hours {
		if h.Weekday == int(day.Weekday()) {
			list = append(list, timesOf(h.Start, h.End))
		}
	}
	if len(list) == 0 {
		return fmt.Sprintf("%s allows no loud work on %s", site, day.Words())
	}
	return fmt.Sprintf("%s allows loud work only from %s", site, strings.Join(list, " and "))
}
