package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// Unskilled is a room that no crew has the skills for.
type Unskilled struct {
	Job, Room string // keys
	Text      string
}

// wantedSkill is a skill with what asks for it.
type wantedSkill struct{ skill, by string }

// NoSkill lists the rooms that ask for skills which no crew has all of, or not the crew
// that they name, from what is written of them: nothing is laid out or dated. A crew
// does all of a room.
func NoSkill(f *Firm, jobs []rooms.Job) []Unskilled {
	var out []Unskilled
	names := called(f, jobs)
	for _, j := range withDefaults(jobs) {
		for _, s := range j.Sites {
			for i := range s.Rooms {
				r := &s.Rooms[i]
				if text := noSkill(f, names, r, skillsWanted(f, names, j.Key+"/"+r.Key, r)); text != "" {
					out = append(out, Unskilled{j.Key, r.Key, text})
				}
			}
		}
	}
	return out
}

// noSkill says which skills the crews lack that may do a room; "" where one lacks none.
func noSkill(f *Firm, names names, r *rooms.Room, wanted []wantedSkill) string {
	var has []string
	missing := map[string]bool{}
	for i := range f.Crews {
		k := &f.Crews[i]
		if r.Crew != "" && k.Key != r.Crew {
			continue
		}
		able := true
		for _, w := range wanted {
			if len(k.Skills) > 0 && !slices.Contains(k.Skills, w.skill) {
				able, missing[w.skill] = false, true
			}
		}
		if able {
			return ""
		}
		has = append(has, fmt.Sprintf("the skills of %s are %s", names.crew(k.Key), strings.Join(k.Skills, ", ")))
	}
	if len(has) == 0 { // that there is no crew is told elsewhere
		return ""
	}
	var asks []string
	for _, w := range wanted {
		if missing[w.skill] {
			asks = append(asks, fmt.Sprintf("%s asks for the skill %q", w.by, w.skill))
		}
	}
	who, then := "no crew may do all of this room", "add what is lacking to the skills of a crew that can do all of the room"
	if r.Crew != "" {
		who, then = names.crew(r.Crew)+", which this room names, may not do all of it", "add what is lacking to its skills, or name another crew"
	}
	return fmt.Sprintf("%s: %s; %s: %s", who, strings.Join(asks, ", "), strings.Join(has, ", "), then)
}

// skillsWanted are the skills that a room's tile, products and steps ask for, each with
// the first thing that does.
func skillsWanted(f *Firm, names names, key string, r *rooms.Room) (out []wantedSkill) {
	add := func(skill, by string) {
		if skill != "" && !slices.ContainsFunc(out, func(w wantedSkill) bool { return w.skill == skill }) {
			out = append(out, wantedSkill{skill, by})
		}
	}
	for i := range r.Surfaces {
		for _, z := range r.Surfaces[i].Zones {
			for _, k := range append([]string{z.Tile}, z.Tiles...) {
				for _, s := range f.tileSkills(k) {
					add(s, names.product(k))
				}
			}
			for _, k := range []string{z.Mortar, z.Grout} {
				if f.resin(k) {
					add(SkillEpoxy, names.product(k))
				}
			}
		}
	}
	steps, err := recipeFor(f, key, r)
	if err != nil {
		return out // told elsewhere
	}
	for _, s := range steps {
		if !slices.ContainsFunc(r.Surfaces, func(on rooms.Surface) bool {
			return s.on(&on) && (!slices.Contains(preparing, s.Kind) || s.Kind == kindPrepare || asks(&on, s.Kind))
		}) {
			continue
		}
		add(s.Skill, fmt.Sprintf("the step %q", s.Kind))
		if s.Kind == kindMembrane {
			add(SkillMembrane, "the membrane")
		}
	}
	return out
}

// tileSkills are the skills that a tile of the firm's asks for.
func (f *Firm) tileSkills(key string) []string {
	for i := range f.Catalogue.Tiles {
		if f.Catalogue.Tiles[i].Key == key {
			return tileSkills(&f.Catalogue.Tiles[i])
		}
	}
	return nil
}

// resin reports whether a product is a reaction resin.
func (f *Firm) resin(key string) bool {
	for i := range f.Catalogue.Products {
		if p := &f.Catalogue.Products[i]; p.Key == key {
			return p.Sheet.Resin
		}
	}
	return false
}
