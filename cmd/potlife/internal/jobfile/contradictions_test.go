package jobfile

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// What contradicts itself is refused where it stands, in one message that says what to
// do, and what only looks like it is not.
func TestContradictions(t *testing.T) {
	text, err := os.ReadFile("demo/job.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const crew = "      hours: {monday-friday: [08:00-12:00, 12:45-17:00]}\n"
	const site = "        hours: {monday-friday: 07:00-18:00}\n"
	for _, c := range []struct{ name, old, now, want string }{
		{"as many helpers away as there are", crew, crew + "      away: [{who: Tom, helper: true, on: 2026-12-01..2026-12-05}]\n", ""},
		{"more helpers away", crew, crew + "      away: [{who: Tom, helper: true, on: 2026-12-01..2026-12-05}, {who: Tim, helper: true, on: 2026-12-03}]\n",
			"43:68: 2 helpers of crew slate are away on 2026-12-03, and it has 1; expected no more than 1 absent at once, or more helpers in the crew"},
		{"a helper away of a crew that has none", "      helpers: 1\n" + crew, "      helpers: 0\n" + crew + "      away: [{helper: true, on: 2026-12-03}]\n",
			"1 helper of crew slate is away on 2026-12-03, and it has 0"},
		{"more setters away for some hours", crew, crew + "      away: [{on: 2026-12-02, hours: 13:00-15:00}, {on: 2026-12-01..2026-12-05}]\n",
			"2 setters of crew slate are away on 2026-12-02, and it has 1"},
		{"one after the other", crew, crew + "      away: [{on: 2026-12-02, hours: 13:00-15:00}, {on: 2026-12-02, hours: 15:00-16:00}, {on: 2026-12-03}]\n", ""},
		{"one person twice", crew, crew + "      away: [{who: Tom, helper: true, on: 2026-12-01..2026-12-05}, {who: Tom, helper: true, on: 2026-12-05}]\n",
			"Tom of crew slate is away twice on 2026-12-05 (first in line 43); expected one entry for the same days"},
		{"people in any order", crew, crew + "      people: [{name: Tom, helper: yes}, {name: Mara, pace: 1.25}]\n      away: [{who: tom, on: 2026-12-01..2026-12-05}]\n", ""},
		{"the setter alone has a name", crew, crew + "      people: [{name: Mara}]\n      away: [{who: Tom, helper: true, on: 2026-12-01}]\n", ""},
		{"more names than setters", crew, crew + "      people: [{name: Mara}, {name: Ines}]\n", "43:15: crew slate has 1 setter and names 2; expected a name for each of the setters, or for none of them"},
		{"a name twice", crew, crew + "      people: [{name: Mara}, {name: mara, helper: yes}]\n", "43:30: crew slate names mara twice (first in line 43); expected each name once"},
		{"a pace of nothing", crew, crew + "      people: [{name: Mara, pace: 0}]\n", `43:35: "0" does not fit; expected a number of times from 0.2 to 5`},
		{"a stranger away", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes}]\n      away: [{who: Jon, on: 2026-12-01}]\n",
			`44:20: crew slate: it has no setter called "Jon"; it names Mara; expected one of Mara`},
		{"a helper away as a setter", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes}]\n      away: [{who: Tom, helper: no, on: 2026-12-01}]\n",
			"44:33: crew slate: Tom is a helper and is away as a setter; expected helper as the crew's people have it, or left out"},
		{"hours of one's own", crew, crew + "      people: [{name: Mara, hours: {monday-thursday: [06:00-09:00, 13:00-20:00]}, off: [2026-12-14], on: [2026-12-18], dates: {2026-12-15: 09:00-10:00}}, {name: Tom, helper: yes, hours: {monday: 08:00-12:00, wednesday: 08:00-12:00, friday: 08:00-12:00}}]\n", ""},
		{"hours of a helper on some days", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes, hours: {monday: 08:00-12:00, wednesday: 08:00-12:00, friday: 12:30-13:00}}]\n", ""},
		{"hours without any", crew, crew + "      people: [{name: Mara, hours: {}}]\n", "43:36: Mara of crew slate has no hours; expected hours such as {monday-wednesday: 07:00-12:00}, or left out for the crew's"},
		{"hours outside the crew's", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes, hours: {monday: 08:00-12:00, tuesday: [06:00-08:00, 17:00-20:00]}}]\n",
			"43:62: Tom is there on tuesday 06:00-08:00 and 17:00-20:00, when crew slate works 08:00-12:00 and 12:45-17:00; expected hours among those of the crew, or longer hours of the crew"},
		{"hours in the crew's break", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes, hours: {monday-friday: 12:00-12:45}}]\n", "Tom is there on monday 12:00-12:45, when crew slate works"},
		{"hours on a day on which the crew never works", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes, hours: {saturday: 08:00-12:00}}]\n", "on saturday"},
		{"hours on days on which the crew works at times", crew, crew + "      on: [2026-12-19]\n      people: [{name: Mara}, {name: Tom, helper: yes, hours: {monday: 08:00-12:00, saturday: 08:00-12:00}}]\n", ""},
		{"hours of a date outside the crew's", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes, dates: {2026-12-15: 18:00-20:00}}]\n",
			"Tom is there on 2026-12-15 18:00-20:00, when crew slate works 08:00-12:00 and 12:45-17:00; expected hours among those of the crew on that date, or hours of the crew for it (its dates, or on)"},
		{"hours of a date on which the crew does not work", crew, crew + "      people: [{name: Mara}, {name: Tom, helper: yes, dates: {2026-12-19: 08:00-12:00}}]\n", "on 2026-12-19 08:00-12:00, when crew slate does not work"},
		{"hours of a date with the crew's overtime", crew, crew + "      dates: {2026-12-19: 07:00-12:00}\n      people: [{name: Mara, dates: {2026-12-19: 11:00-15:00}}]\n", ""},
		{"no setter ever there", crew, crew + "      people: [{name: Mara, hours: {monday-friday: 17:00-20:00}}]\n", "43:15: crew slate has no setter who is ever there in its hours; expected a setter with hours among those of the crew"},
		{"one's own days off and on", crew, crew + "      people: [{name: Mara, off: [2026-12-14], on: [2026-12-14]}]\n", "2026-12-14 stands in off and in on of Mara; expected the date in one of the two"},
		{"off and on", "      off: [2026-12-11]", "      on: [2026-12-11]\n      off: [2026-12-11]", "43:11: 2026-12-11 stands in off and in on of crew slate; expected the date in one of the two"},
		{"off with hours of its own", "      off: [2026-12-11]", "      dates: {2026-12-11: 07:00-12:00}\n      off: [2026-12-11]", "2026-12-11 stands in off and in dates of crew slate"},
		{"a holiday that is worked", "  holidays: [2026", "  extra_days: [2026-12-29]\n  holidays: [2026", "2026-12-29 stands in holidays and in extra_days of the firm"},
		{"a supplier's", "      lead_days: 7 ", "      holidays: [2026-12-01]\n      extra_days: [2026-12-01]\n      lead_days: 7 ", "2026-12-01 stands in holidays and in extra_days of supplier costa"},
		{"a stop that ends before the job", "lasts: 2h}", "until: 2026-11-20}", "hold inspection of room flat3 ends on 2026-11-20, before the job's start (2026-11-30); expected a date on or after 2026-11-30, or no stop"},
		{"a stop that ends as it starts", "lasts: 2h}", "until: 2026-11-30}", ""},
		{"loud work outside the hours", site, site + "        noise: {monday-friday: 18:00-20:00}\n", "279:16: on site court loud work is allowed only when no work is; expected hours for loud work within hours"},
		{"loud work at the end of the hours", site, site + "        noise: {monday-friday: 17:00-20:00}\n", ""},
		{"hours in which no crew works", site, "        hours: {saturday: 07:00-18:00}\n", "278:16: no crew works in the hours of site court; expected hours of the site in which a crew works"},
		{"a site that is always closed", site, site + "        closed: [2026-11-01..2028-01-31]\n", "site court is open on no day in the year from 2026-11-30 on"},
		{"a box too heavy for its tiles", "size: 597 x 297", "size: 59.7 x 29.7", "80:19: by their size the 6 tiles of a box of mist weigh about 0.2 kg, not 22 kg"},
		{"a room of a hand's breadth", "length: 2410", "length: 27.5", "288:23: length 27.5 makes a room of 27.5 mm; expected a length in mm, or with its unit"},
		{"tile above the ceiling", "tile_to: 2100", "tile_to: 3100", "tile_to 3100 mm is above the ceiling (2480 mm)"},
		{"a way that leads nowhere", "to: quay/tower", "to: linden/court", "49:7: travel from linden/court to itself"},
		{"a way that stands twice", "  travel:\n", "  travel:\n    - {from: quay/tower, to: linden/court, time: 45min}\n", "50:7: the way between linden/court and quay/tower stands a second time (first in line 49)"},
		{"a package of nothing", "      holds: 20 kg", "      holds: 0 kg", `a package cannot hold "0 kg"`},
		{"temperatures the wrong way round", "minimum: 5 °C, source", "minimum: 35 °C, maximum: 20 °C, source", "the highest temperature is not above the lowest"},
	} {
		now := strings.Replace(string(text), c.old, c.now, 1)
		if now == string(text) {
			t.Fatalf("%s: %q is not in the demo", c.name, c.old)
		}
		_, problems := Parse("x.yaml", []byte(now))
		switch {
		case c.want == "" && len(problems) > 0:
			t.Errorf("%s is refused: %v", c.name, problems)
		case c.want != "" && (len(problems) != 1 || !strings.Contains(problems[0].String(), c.want) || problems[0].Line == 0):
			t.Errorf("%s: %v, want %s alone", c.name, problems, c.want)
		}
	}
}

// Each length of a firm that works in inches that lacks its unit is said once, and
// nothing that would follow from it.
func TestALengthWithoutUnitIsSaidOnce(t *testing.T) {
	text, err := os.ReadFile("demo/inches.yaml")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(length|width|height|tile_to|at|thickness|joint|sill): [0-9/' ]+"`).FindAllStringSubmatchIndex(string(text), -1)
	if len(found) < 15 {
		t.Fatalf("%d lengths in the demo", len(found))
	}
	for _, at := range found {
		now := string(text[:at[0]]) + string(text[at[2]:at[3]]) + ": 27.5" + string(text[at[1]:])
		if _, problems := Parse("x.yaml", []byte(now)); len(problems) != 1 || !strings.Contains(problems[0].What, "27.5 without a unit") {
			t.Errorf("%s: %v", text[at[0]:at[1]], problems)
		}
	}
}
