package sheet

import (
	"context"
	"slices"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
	"potlife/scheduler"
)

// demoDocument is the plan of a demo.
func demoDocument(t *testing.T, which string) *plandoc.Document {
	t.Helper()
	f, problems := jobfile.Parse("demo", jobfile.Demo(which))
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	plan, err := scheduler.Make(context.Background(), scheduler.Input{Firm: *f.Firm, Jobs: f.Jobs, Today: rooms.Date{Year: 2026, Month: 11, Day: 26}})
	if err != nil {
		t.Fatal(err)
	}
	plan.Firm = *f.Firm
	return plandoc.FromPlan(plan)
}

// An ordinary day takes two pages at most, on A4 and on Letter; one in nine may
// take a third, such as a day filled with areas to its end, with many outlines cut by
// grinder, or before one for which much is sawn wet.
func TestAnOrdinaryDayTakesTwoPages(t *testing.T) {
	sheets, long := 0, 0
	for _, which := range jobfile.DemoNames() {
		doc := demoDocument(t, which)
		for i := range doc.Sheets {
			d, err := newDay(doc, i, plandoc.Mark{URL: "https://tiles.example/sheets/a/b", Revision: 1, Issued: "2026-11-26T16:00:00Z"})
			if err != nil {
				t.Fatal(err)
			}
			p, err := d.best()
			if err != nil {
				t.Fatal(err)
			}
			sheets++
			if n := p.f.PageCount(); n > 3 {
				t.Errorf("%s on %s takes %d pages", d.Crew, d.Date, n)
			} else if n == 3 {
				t.Logf("%s on %s takes %d pages", d.Crew, d.Date, n)
				long++
			}
		}
	}
	if long*9 > sheets {
		t.Errorf("%d of %d sheets take three pages", long, sheets)
	}
}

// Columns hold every block once and in order, none parted from what it stays
// with, and the left is no shorter than it must be.
func TestColumns(t *testing.T) {
	blocks := func(heights ...float64) (out []block) {
		for _, h := range heights {
			out = append(out, block{h: h})
		}
		return out
	}
	for _, tt := range []struct {
		heights     []float64
		keep        []int
		room        float64
		left, right int
	}{
		{[]float64{4, 4, 4, 4}, nil, 100, 2, 2},
		{[]float64{4, 4, 4, 4, 4}, nil, 100, 3, 2},
		{[]float64{4, 4, 4, 4}, []int{1}, 100, 3, 1}, // the second stays with the third
		{[]float64{4, 4, 4, 4, 4, 4}, nil, 8, 2, 2},  // the rest goes on
		{[]float64{9}, nil, 8, 0, 0},
		{[]float64{3, 9}, []int{0}, 8, 0, 0},
	} {
		list := blocks(tt.heights...)
		for _, k := range tt.keep {
			list[k].keep = true
		}
		if left, right, _ := split(list, tt.room); left != tt.left || right != tt.right {
			t.Errorf("%v in %g: %d and %d, want %d and %d", tt.heights, tt.room, left, right, tt.left, tt.right)
		}
	}
}

// A figure stays in one line with its thousands, and the font has the narrow
// space between them.
func TestFiguresAreNotBroken(t *testing.T) {
	p := newPaper(false, "title", "author", time.Unix(0, 0))
	set := Type{Size: body}
	p.c.font(set)
	mark, digit := p.f.GetStringWidth(rooms.GroupMark), p.f.GetStringWidth("0")
	if mark <= 0 || mark >= digit {
		t.Errorf("the space between thousands is %g mm wide, a digit %g", mark, digit)
	}
	got := p.wrap("takes 1"+rooms.GroupMark+"555 pieces", p.f.GetStringWidth("takes 1 5"), set)
	if want := []string{"takes", "1" + rooms.GroupMark + "555", "pieces"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
