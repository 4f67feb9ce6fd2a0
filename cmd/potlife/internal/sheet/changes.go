package sheet

import (
	"fmt"
	"sort"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// Differences says in words how sheet j of after differs from sheet i of
// before: the revisions of one crew's day. It is empty when the crew would
// notice nothing.
func (p Printer) Differences(before *plandoc.Document, i int, after *plandoc.Document, j int) ([]string, error) {
	a, err := p.NewDay(before, i, plandoc.Mark{})
	if err != nil {
		return nil, fmt.Errorf("revision before: %w", err)
	}
	b, err := p.NewDay(after, j, plandoc.Mark{})
	if err != nil {
		return nil, fmt.Errorf("revision after: %w", err)
	}
	out := listChanges("away", a.Away, b.Away)
	out = append(out, listChanges("there", a.part, b.part)...)
	out = append(out, itemChanges(a, b)...)
	out = append(out, areaChanges(a, b)...)
	out = append(out, cutChanges(a, b)...)
	out = append(out, listChanges("measure on site", expectTexts(a), expectTexts(b))...)
	out = append(out, listChanges("carry", loadTexts(a), loadTexts(b))...)
	out = append(out, listChanges("wait", a.Waits, b.Waits)...)
	out = append(out, listChanges("reading", a.Read, b.Read)...)
	return out, nil
}

func itemChanges(a, b *Day) []string {
	was := map[string]Item{}
	for _, it := range a.Items {
		was[it.ID] = it
	}
	var out []string
	for _, it := range b.Items {
		old, ok := was[it.ID]
		delete(was, it.ID)
		switch {
		case !ok:
			out = append(out, fmt.Sprintf("new: %s, %s, %s", it.Title, it.Room, it.Time))
		case old.Time != it.Time:
			out = append(out, fmt.Sprintf("%s, %s: %s instead of %s", it.Title, it.Room, it.Time, old.Time))
		}
	}
	for _, it := range a.Items {
		if _, gone := was[it.ID]; gone {
			out = append(out, fmt.Sprintf("dropped: %s, %s", it.Title, it.Room))
		}
	}
	return out
}

func areaChanges(a, b *Day) []string {
	was := map[string]Lot{}
	for _, l := range a.Areas {
		was[l.ID] = l
	}
	var out []string
	for _, l := range b.Areas {
		old, ok := was[l.ID]
		if !ok {
			continue // its activity is new or said to have moved
		}
		if old.Pieces != l.Pieces {
			out = append(out, fmt.Sprintf("%s, %s: %d pieces instead of %d", l.Title, l.Room, l.Pieces, old.Pieces))
		}
		if old.Time != l.Time {
			out = append(out, fmt.Sprintf("%s, %s: %s instead of %s", l.Title, l.Room, l.Time, old.Time))
		}
	}
	return out
}

// cutChanges compares, piece by piece, the sizes to cut.
func cutChanges(a, b *Day) []string {
	was, is := cutSizes(a), cutSizes(b)
	type change struct{ from, to string }
	found := map[change][]string{}
	for id, to := range is {
		if from := was[id]; from != to {
			found[change{from, to}] = append(found[change{from, to}], id)
		}
	}
	for id, from := range was {
		if _, ok := is[id]; !ok {
			found[change{from, ""}] = append(found[change{from, ""}], id)
		}
	}
	var out []string
	for c, ids := range found {
		sort.Strings(ids)
		names := make([]string, len(ids))
		for i, id := range ids {
			if c.to == "" {
				names[i] = a.pieceName(id)
			} else {
				names[i] = b.pieceName(id)
			}
		}
		list := strings.Join(names, ", ")
		switch {
		case c.from == "":
			out = append(out, fmt.Sprintf("cut: %s to %s", list, c.to))
		case c.to == "":
			out = append(out, fmt.Sprintf("not to cut any more: %s (was %s)", list, c.from))
		default:
			out = append(out, fmt.Sprintf("cut %s to %s instead of %s", list, c.to, c.from))
		}
	}
	sort.Strings(out)
	return out
}

func cutSizes(d *Day) map[string]string {
	sizes := map[string][]string{}
	for _, bench := range d.Cuts {
		for _, s := range bench.Settings {
			for _, id := range s.Pieces {
				sizes[id] = append(sizes[id], joinNonEmpty(" ", s.Size, s.Shape))
			}
		}
	}
	out := map[string]string{}
	for id, list := range sizes {
		sort.Strings(list)
		out[id] = strings.Join(list, " and ")
	}
	return out
}

func expectTexts(d *Day) []string {
	var out []string
	for _, e := range d.OnSite {
		out = append(out, e.Name+" "+e.Size)
	}
	return out
}

func loadTexts(d *Day) []string {
	var out []string
	for _, l := range d.Carry {
		out = append(out, joinNonEmpty(" ", l.Amount, l.Name, l.Lot))
	}
	return out
}

func listChanges(what string, before, after []string) []string {
	var out []string
	for _, s := range after {
		if !contains(before, s) {
			out = append(out, what+", new: "+s)
		}
	}
	for _, s := range before {
		if !contains(after, s) {
			out = append(out, what+", dropped: "+s)
		}
	}
	return out
}
