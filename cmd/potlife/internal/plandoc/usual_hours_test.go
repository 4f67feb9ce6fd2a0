package plandoc_test

import (
	"slices"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

func TestRoster(t *testing.T) {
	d := plandoctest.Sample("metric")
	span := func(weekday int, start, end string) plandoc.WeekdayHours {
		return plandoc.WeekdayHours{Weekday: weekday, Start: start, End: end}
	}
	d.Crews[0].People = []plandoc.Person{
		{Name: "Mia", Helper: true, Hours: []plandoc.WeekdayHours{span(1, "07:00", "12:00"), span(3, "07:00", "12:00"), span(4, "07:00", "12:00")}},
		{Name: "Jon"},
		{Name: "Ida", Hours: []plandoc.WeekdayHours{span(1, "07:00", "12:00"), span(1, "12:30", "16:00"), span(2, "07:00", "12:00"), span(2, "12:30", "16:00"),
			span(3, "07:00", "12:00"), span(3, "12:30", "16:00"), span(7, "08:00", "10:00")}},
	}
	got := d.Index().Roster(d.Crews[0].Key)
	want := []string{"Jon", "Ida, Mon–Wed 07:00–12:00 and 12:30–16:00, Sun 08:00–10:00", "Mia (helper), Mon 07:00–12:00, Wed and Thu 07:00–12:00"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := d.Index().Roster(d.Crews[1].Key); got != nil {
		t.Errorf("a crew without names: %q", got)
	}
}
