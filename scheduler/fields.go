package scheduler

import (
	"fmt"
	"slices"
	"strings"
)

// SurfaceShare is how much of a surface something is done to.
type SurfaceShare struct {
	Surface string
	Share   float64
}

// workField is what is grouted or coated without a stop: whole surfaces as far as
// they fit, else rows of one.
type workField struct {
	on      []*surfaceWork
	share   map[string]float64 // of each surface
	minutes float64            // of a setter with a helper
	by      hands              // of the crew, who are there
	stop    string             // where it ends within a surface, "" at a corner
}

// fieldWork is work that is divided into such fields.
type fieldWork struct {
	slot, kind, title string
	blocks            []block // surface by surface, in order
	within            string  // where to stop in a block that is too large alone
	each              float64 // minutes a field takes besides its own: cleaning up
	take              func(t *task, share func(surface string) float64, on []*surfaceWork)
}

// fields adds the tasks of work that is done in fields. What is carried over of it
// stays, and the rest of the surfaces is divided anew.
func (b *builder) fields(s Step, w fieldWork) (out []*task) {
	shiftOf := func(g gang) shift { return b.shiftOfWork(s.Loud || b.loudKind(w.kind), w.title, g) }
	shiftOf(b.gang) // refuses loud work where nothing of it is left to divide as well
	kept := b.keptFields(w.slot)
	for _, f := range kept {
		t := &task{room: b.r, step: b.at}
		b.carry(t, f)
		out = append(out, t)
	}
	pace := b.pace(w.kind, b.classOn(w.kind, b.surfacesOf(w.blocks)))
	list := b.fieldsBy(s, w, doneShares(kept), func(g gang) float64 {
		return max(1, float64(shiftOf(g).part(180))*g.speed/(pace*b.crewPace(w.kind, g))-w.each)
	})
	used := map[string]bool{}
	for _, f := range kept {
		used[f.ID] = true
	}
	for _, f := range list {
		slot, title := w.slot, w.title
		if len(list)+len(kept) > 1 {
			slot, title = freePart(b.r.key, w.slot, used), w.title+": "+f.words()
		}
		b.with(f.by)
		g := b.gangFor(s)
		t := b.newTask(b.r, slot, w.kind, title, f.on, (f.minutes+w.each)/g.speed, g)
		used[t.id] = true
		t.crew, t.gang = b.crew.Key, g
		t.by, t.work, t.anyGang = f.by, w.slot, s.Setters == 0 && s.Helpers == 0
		t.minutes = min(t.minutes, shiftOf(g).longest)
		t.washing = ceilMinutes(w.each / g.speed)
		t.skill, t.tool, t.loud = s.Skill, s.Tool, s.Loud
		t.shares = f.parts()
		if f.stop != "" {
			t.notes = append(t.notes, fmt.Sprintf("Stop on %s at %s.", nameOf(f.on[len(f.on)-1].src), f.stop))
		}
		w.take(t, func(surface string) float64 { return f.share[surface] }, f.on)
		out = append(out, t)
	}
	b.seq = append(b.seq, out...)
	return out
}

// fieldsBy divides work, the surfaces that the same people do together; limit is the
// most minutes of a field of a gang.
func (b *builder) fieldsBy(s Step, w fieldWork, done map[string]float64, limit func(gang) float64) (out []workField) {
	for i := 0; i < len(w.blocks); {
		by, j := b.handsFor(s, w.slot+"/"+w.blocks[i].surface), i+1
		for j < len(w.blocks) && b.handsFor(s, w.slot+"/"+w.blocks[j].surface) == by {
			j++
		}
		b.with(by)
		list := b.divide(w.blocks[i:j], done, limit(b.gangFor(s)), w.within)
		for k := range list {
			list[k].by = by
		}
		out = append(out, list...)
		i = j
	}
	return out
}

// keptFields are the carried activities of a slot.
func (b *builder) keptFields(slot string) (out []*Activity) {
	id := b.r.key + "/" + slot
	for _, f := range b.r.fixed {
		if f.ID == id || strings.HasPrefix(f.ID, id+".") {
			out = append(out, f)
		}
	}
	return out
}

// freePart names the next part of a slot that is not carried over.
func freePart(room, slot string, used map[string]bool) string {
	for n := 1; ; n++ {
		if part := fmt.Sprintf("%s.%d", slot, n); !used[room+"/"+part] {
			return part
		}
	}
}

// doneShares is how much of each surface carried activities do. Those of plans in
// which a part was of all surfaces alike say so in their title alone.
func doneShares(kept []*Activity) map[string]float64 {
	out := map[string]float64{}
	for _, a := range kept {
		each, n, i := 1.0, 0, 0
		if _, tail, ok := strings.Cut(a.Title, ", part "); ok && len(a.Shares) == 0 {
			if k, _ := fmt.Sscanf(tail, "%d of %d", &i, &n); k == 2 && n > 0 {
				each = 1 / float64(n)
			}
		}
		for _, k := range a.Surfaces {
			share := each
			if at := slices.IndexFunc(a.Shares, func(s SurfaceShare) bool { return s.Surface == k }); at >= 0 {
				share = a.Shares[at].Share
			}
			out[k] += share
		}
	}
	return out
}

// doneEnough is the share from which on a surface counts as done: less is
// rounding.
const doneEnough = 0.995

// divide makes fields of at most limit minutes of the blocks that are not done. A
// surface is divided only where it does not fit alone; a stop is then where it does
// least harm, as with setting areas; within says where in a block that alone is
// too large.
func (b *builder) divide(blocks []block, done map[string]float64, limit float64, within string) (out []workField) {
	total := map[string]float64{}
	for _, k := range blocks {
		total[k.surface] += k.minutes
	}
	open := openBlocks(blocks, done, total, limit)
	for _, g := range splitBlocks(open, caps{limit, limit}) {
		f := workField{share: map[string]float64{}}
		for _, k := range open[g.from:g.to] {
			f.minutes += k.minutes
			if f.share[k.surface] == 0 {
				f.on = append(f.on, b.surface(k.surface))
			}
			f.share[k.surface] += k.minutes / total[k.surface]
		}
		if g.to < len(open) && !open[g.to].first {
			f.stop = stopWords(open, g.to)
		}
		n := pieces(f.minutes, limit)
		f.minutes /= float64(n)
		for k := range f.share {
			f.share[k] /= float64(n)
		}
		for i := range n {
			part := f
			if i < n-1 {
				part.stop = within
			}
			out = append(out, part)
		}
	}
	return out
}

// openBlocks are the blocks of what is not done: one for a surface that fits a
// field, else its rows.
func openBlocks(blocks []block, done, total map[string]float64, limit float64) (out []block) {
	for i := 0; i < len(blocks); {
		j := i
		for j < len(blocks) && blocks[j].surface == blocks[i].surface {
			j++
		}
		k := blocks[i].surface
		left := total[k] * (1 - done[k])
		switch {
		case done[k] >= doneEnough || total[k] <= 0:
		case left <= limit:
			out = append(out, block{surface: k, minutes: left, first: true})
		default:
			out = append(out, rest(blocks[i:j], total[k]-left)...)
		}
		i = j
	}
	return out
}

// rest are the rows of a surface past those that took so many minutes.
func rest(rows []block, done float64) (out []block) {
	for _, r := range rows {
		gone := min(done, r.minutes)
		done -= gone
		if r.minutes -= gone; r.minutes > 1e-6 {
			r.items, r.bed, r.late, r.lower = nil, bed{}, false, false
			r.first = len(out) == 0
			out = append(out, r)
		}
	}
	return out
}

// parts are the shares of those surfaces of which the field is not all.
func (f *workField) parts() (out []SurfaceShare) {
	for _, s := range f.on {
		if v := f.share[s.key]; v < doneEnough {
			out = append(out, SurfaceShare{s.key, round3(v)})
		}
	}
	return out
}

// words names the surfaces of a field.
func (f *workField) words() string {
	var out []string
	for _, s := range f.on {
		name := nameOf(s.src)
		if f.share[s.key] < doneEnough {
			name += " (in part)"
		}
		out = append(out, name)
	}
	return strings.Join(out, ", ")
}

func (b *builder) surface(key string) *surfaceWork {
	return b.r.surfaces[slices.IndexFunc(b.r.surfaces, func(f *surfaceWork) bool { return f.key == key })]
}

func (b *builder) surfacesOf(blocks []block) []*surfaceWork {
	return pickSurfaces(b.r.surfaces, func(f *surfaceWork) bool {
		return slices.ContainsFunc(blocks, func(k block) bool { return k.surface == f.key })
	})
}
