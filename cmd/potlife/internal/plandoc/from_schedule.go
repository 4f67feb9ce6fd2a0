package plandoc

import (
	"fmt"
	"math"

	"potlife/scheduler"
)

func (w *writer) crews(d *Document) {
	d.Crews = []Crew{}
	for _, c := range w.plan.Firm.Crews {
		d.Crews = append(d.Crews, Crew{Key: c.Key, Name: c.Name, Setters: c.Setters, Helpers: c.Helpers,
			Hours: w.spans(w.plan.Hours[c.Key]), Skills: list(c.Skills), Away: []Absence{}, AwayHours: []HourlyAbsence{}})
		k := &d.Crews[len(d.Crews)-1]
		for _, p := range c.People {
			k.People = append(k.People, person(p))
		}
		for _, a := range c.Away {
			away := Absence{Who: a.Who, Helper: a.Helper, From: a.From.String(), To: a.To.String()}
			if a.End == 0 {
				k.Away = append(k.Away, away)
				continue
			}
			k.AwayHours = append(k.AwayHours, HourlyAbsence{away, timeOfDay(a.Start), timeOfDay(a.End)})
		}
	}
	d.Tools = []Tool{}
	for _, t := range w.plan.Firm.Tools {
		d.Tools = append(d.Tools, Tool{Key: t.Key, Count: t.Count})
	}
}

func person(p scheduler.Person) Person {
	out := Person{Name: p.Name, Helper: p.Helper}
	for _, h := range p.Hours {
		out.Hours = append(out.Hours, WeekdayHours{(h.Weekday+6)%7 + 1, timeOfDay(h.Start), timeOfDay(h.End)})
	}
	for _, d := range p.Off {
		out.Off = append(out.Off, d.String())
	}
	for _, d := range p.On {
		out.On = append(out.On, d.String())
	}
	for _, h := range p.Special {
		out.Dates = append(out.Dates, DateHours{h.On.String(), timeOfDay(h.Start), timeOfDay(h.End)})
	}
	return out
}

// timeOfDay prints minutes after midnight.
func timeOfDay(minute int) string { return fmt.Sprintf("%02d:%02d", minute/60, minute%60) }

func (w *writer) activities(d *Document) {
	often := map[string]float64{}
	for _, o := range w.plan.Risk.Critical {
		often[o.Activity] = math.Round(o.Share*1000) / 1000
	}
	d.Activities = []Activity{}
	for _, a := range w.plan.Activities {
		out := Activity{ID: a.ID, Room: a.Room, Surfaces: list(a.Surfaces), Kind: a.Kind, Crew: optional(a.Crew),
			Setters: a.Setters, Helpers: a.Helpers, Start: w.at(a.Start), Finish: w.at(a.Finish), Work: w.spans(a.Work),
			After: []After{}, Title: a.Title, Notes: list(a.Notes), Products: []Use{}, Critical: a.Critical, State: a.State,
			CriticalShare: often[a.ID], Skills: list(a.Skills), Tools: list(a.Tools), Noisy: a.Noisy}
		for _, b := range a.After {
			out.After = append(out.After, after(b))
		}
		for _, u := range a.Products {
			out.Products = append(out.Products, Use{Product: u.Product, Quantity: u.Quantity, Unit: u.Unit})
		}
		d.Activities = append(d.Activities, out)
	}
}

func after(b scheduler.After) After {
	out := After{Activity: b.Activity, LeastMinutes: float64(max(0, b.Least)), Clock: "elapsed", Why: b.Why}
	if b.Working {
		out.Clock = "working"
	}
	if b.Most >= 0 {
		most := float64(b.Most)
		out.MostMinutes = &most
	}
	return out
}

// areas writes setting areas and the mixes that feed them.
func (w *writer) areas(d *Document) {
	d.Areas, d.Mixes = []Area{}, []Mix{}
	for _, a := range w.plan.Areas {
		out := Area{ID: a.ID, Activity: a.Activity, Surfaces: list(a.Surfaces), Crew: a.Crew, Start: w.at(a.Start),
			Finish: w.at(a.Finish), OpenMinutes: float64(a.OpenMinutes), LimitsFrom: a.LimitsFrom, Mortar: optional(a.Mortar),
			KgPerM2: a.KgPerM2, GroutAfterMinutes: float64(max(0, a.GroutAfter+a.RestsFrom()-a.Finish)), Pieces: list(a.Pieces), Patches: []Patch{},
			M2: a.M2, Kg: a.Kg, StopAt: a.StopAt}
		for _, p := range a.Patches {
			out.Patches = append(out.Patches, Patch{Pieces: list(p.Pieces), Start: w.at(p.Start), SetBy: w.at(p.SetBy), M2: p.M2})
		}
		d.Areas = append(d.Areas, out)
	}
	for _, m := range w.plan.Mixes {
		out := Mix{ID: m.ID, Crew: m.Crew, Product: m.Product, Kg: m.Kg, WaterL: m.WaterL, Start: w.at(m.Start),
			Activity: m.Activity, Patches: []MixPatch{}, Also: []MixWork{}, Packages: m.Packages, ThrownKg: m.Thrown}
		if m.UseBy >= 0 {
			out.UseBy = optional(w.at(m.UseBy))
		}
		if m.PotMinutes > 0 {
			pot := float64(m.PotMinutes)
			out.PotMinutes = &pot
		}
		for _, q := range m.Patches {
			out.Patches = append(out.Patches, MixPatch{Area: q.Area, Index: q.Index})
		}
		for _, w := range m.Also {
			out.Also = append(out.Also, MixWork{Activity: w.Activity, Kg: w.Kg})
		}
		d.Mixes = append(d.Mixes, out)
	}
}

func (w *writer) sheets(d *Document) {
	d.Sheets = []Sheet{}
	for _, s := range w.plan.Sheets {
		d.Sheets = append(d.Sheets, w.sheet(s))
	}
}

func (w *writer) sheet(s scheduler.Sheet) Sheet {
	out := Sheet{Date: s.Date.String(), Crew: s.Crew, Revision: s.Revision, Activities: list(s.Activities),
		Areas: list(s.Areas), Cuts: []CutGroup{}, OnSite: list(s.OnSite), Carry: []Carry{}, Waits: []Wait{},
		Read: list(s.Read), Cautions: list(s.Cautions), Saving: s.Saving}
	for _, g := range s.Cuts {
		group := CutGroup{Tile: g.Tile, Tool: g.Tool, Pieces: list(g.Pieces), Shape: g.Shape, Ahead: g.Ahead, From: list(g.From)}
		if g.Sized {
			size := mm(g.Size)
			group.Size = &size
		}
		out.Cuts = append(out.Cuts, w.cutGroups(group)...)
	}
	for _, c := range s.Carry {
		out.Carry = append(out.Carry, Carry{Product: c.Product, Lot: optional(c.Lot), Quantity: c.Quantity, Unit: c.Unit, Kg: c.Kg})
	}
	for _, x := range s.Waits {
		out.Waits = append(out.Waits, Wait{Room: x.Room, Until: w.at(x.Until), Why: x.Why})
	}
	return out
}
