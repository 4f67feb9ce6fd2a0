package store

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"potlife/integration/pgtest"
	"potlife/rooms"
	"potlife/scheduler"
)

// The tests here kill a process with SIGKILL while it writes, over and over, and
// look at what it left: the old state or the new one, and all that it had been
// told was done. POTLIFE_KILL_ROUNDS says how often, 3 times each if unset.

// A writer does one kind of write over and over; n counts up through all
// processes.
type writer func(ctx context.Context, s *Store, n int) error

var writers = map[string]writer{
	"import": func(ctx context.Context, s *Store, n int) error {
		_, err := s.Import(ctx, killImport(n), noon)
		return err
	},
	"record": func(ctx context.Context, s *Store, n int) error {
		_, err := s.AddRecords(ctx, []Record{areaDone(fmt.Sprint("a", n), "ann", noon), areaDone(fmt.Sprint("b", n), "ann", noon)}, noon)
		return err
	},
	"plan": func(ctx context.Context, s *Store, n int) error {
		_, err := s.SavePlan(ctx, NewPlan{Plan: killPlan(n), Document: fmt.Appendf(nil, `{"n":%d}`, n), Messages: []Message{{Key: fmt.Sprint("plan ", n), Channel: "page"}}}, noon)
		return err
	},
	"issue": func(ctx context.Context, s *Store, n int) error {
		_, err := s.IssueSheet(ctx, killSheet(n), noon)
		return err
	},
	"order": func(ctx context.Context, s *Store, n int) error {
		o, err := s.PlaceOrder(ctx, order(fmt.Sprint("o", n)), "olga", nil, noon)
		if err != nil {
			return err
		}
		return s.Receive(ctx, o.Number, []Receipt{{Key: fmt.Sprint("r", n), Line: 0, Lot: "B", Packages: 3, On: workDay}}, "olga", noon)
	},
}

func killImport(n int) Import {
	firm, job := fullFirm(), fullJob("flat")
	firm.Name, job.Name = fmt.Sprint("firm ", n), fmt.Sprint("job ", n)
	if n%2 == 1 { // other rooms, other prices
		firm.Catalogue.Tiles[0].PricePerBox = 999
		job.Sites[0].Rooms[0].Key = "sauna"
		job.Sites[1].Rooms = job.Sites[1].Rooms[:1]
	}
	return Import{Firm: firm, Jobs: []rooms.Job{job}, Source: fmt.Sprint(n)}
}

func killPlan(n int) *scheduler.Plan {
	p := fullPlan()
	p.Status = fmt.Sprint(n)
	p.Activities[0].Title = fmt.Sprint(n)
	p.Areas[1].StopAt, p.Areas[1].M2 = fmt.Sprint(n), float64(n)
	return p
}

func killSheet(n int) NewIssue {
	i := sheet(1, fmt.Sprint("p", n), fmt.Sprint("q", n))
	i.Date = workDay.AddDays(n)
	i.Messages[0].Key = fmt.Sprint("sheet ", n)
	return i
}

// victim is the process to be killed: it says which write is done, and never
// stops by itself.
func victim(what string) {
	kind, rest, _ := strings.Cut(what, " ")
	var first int
	var url string
	if _, err := fmt.Sscan(rest, &first, &url); err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	ctx := context.Background()
	s, err := Open(ctx, url)
	if err == nil && kind == "replica" {
		err = replica(ctx, s)
	}
	for n := first; err == nil; n++ {
		if err = writers[kind](ctx, s, n); err == nil {
			fmt.Println(n)
		}
	}
	fmt.Println("error", err)
	os.Exit(1)
}

// killWhileWriting starts a victim from write number first, kills it some time
// after its first writes and returns the last write that it said was done.
func killWhileWriting(t *testing.T, kind, url string, first int, r *rand.Rand) (last int) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s %d %s", killHelper, kind, first, url))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	last = first - 1
	lines := bufio.NewScanner(out)
	killed := false
	for enough := first + r.IntN(4); lines.Scan(); {
		if _, err := fmt.Sscan(lines.Text(), &last); err != nil && !killed {
			t.Errorf("the victim failed by itself: %s", lines.Text())
		}
		if last >= enough && !killed {
			killed = true
			wait := time.Duration(r.IntN(15_000)) * time.Microsecond
			time.AfterFunc(wait, func() { _ = cmd.Process.Kill() })
		}
	}
	_ = cmd.Wait()
	return last
}

// afterKills runs rounds of killing and calls check after each with the last
// write that was said to be done; the one after it may be there or not. check
// returns which one is the last that is there.
func afterKills(t *testing.T, kind string, check func(t *testing.T, s *Store, done int) (there int)) {
	url := pgtest.URL(t)
	s := openURL(t, url)
	if _, err := s.Import(context.Background(), killImport(0), noon); err != nil {
		t.Fatal(err)
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	first, more := 2, 0
	for range killRounds() {
		done := killWhileWriting(t, kind, url, first, r)
		there := settled(t, s, done, check)
		if there != done && there != done+1 {
			t.Fatalf("write %d was said to be done, and %d is the last that is there", done, there)
		}
		more += there - done
		first = there + 2 // leaves the write in between out, so that numbers tell processes apart
		if kind == "import" || kind == "plan" {
			first = there + 1
		}
	}
	t.Logf("%d of %d kills came between commit and answer", more, killRounds())
}

func killRounds() int {
	if n, err := strconv.Atoi(os.Getenv("POTLIFE_KILL_ROUNDS")); err == nil {
		return n
	}
	return 3
}

// settled waits until the server has noticed that its client is gone, and
// checks.
func settled(t *testing.T, s *Store, done int, check func(t *testing.T, s *Store, done int) int) int {
	t.Helper()
	for {
		var busy int
		err := s.pool.QueryRow(context.Background(), `
			SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid() AND xact_start IS NOT NULL`).Scan(&busy)
		if err != nil {
			t.Fatal(err)
		}
		if busy == 0 {
			return check(t, s, done)
		}
		time.Sleep(time.Millisecond)
	}
}

func count1(t *testing.T, s *Store, query string, args ...any) (n int) {
	t.Helper()
	if err := s.pool.QueryRow(context.Background(), query, args...).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

func TestKilledWhileImporting(t *testing.T) {
	afterKills(t, "import", func(t *testing.T, s *Store, done int) int {
		f, j, err := s.FirmAndJobs(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		there := 0
		if _, err := fmt.Sscanf(f.Name, "firm %d", &there); err != nil {
			t.Fatal(err)
		}
		want := killImport(there)
		if d := same(want.Firm, f) + same(want.Jobs, j); d != "" {
			t.Errorf("neither the old nor the new state (-import %d +read):\n%s", there, d)
		}
		history, err := s.Imports(context.Background(), 1)
		if err != nil || history[0].Source != fmt.Sprint(there) && there != 0 {
			t.Errorf("the last import in the history is %+v, %v; want %d", history, err, there)
		}
		return there
	})
}

func TestKilledWhileRecording(t *testing.T) {
	afterKills(t, "record", func(t *testing.T, s *Store, done int) int {
		all, err := s.Records(context.Background(), 0)
		if err != nil {
			t.Fatal(err)
		}
		there := 0
		for i, r := range all {
			if r.ID != int64(i+1) {
				t.Fatalf("record %d has number %d", i+1, r.ID)
			}
			want := fmt.Sprint(string("ab"[i%2]), r.Key[1:])
			if r.Key != want {
				t.Fatalf("record %d is %s; half of a pair is missing", r.ID, r.Key)
			}
			if _, err := fmt.Sscan(r.Key[1:], &there); err != nil {
				t.Fatal(err)
			}
		}
		if n := count1(t, s, `SELECT last FROM counters WHERE name = 'record'`); n != len(all) || n%2 != 0 {
			t.Errorf("the counter says %d, there are %d records", n, len(all))
		}
		return there
	})
}

func TestKilledWhilePlanning(t *testing.T) {
	afterKills(t, "plan", func(t *testing.T, s *Store, done int) int {
		ctx := context.Background()
		got, err := s.CurrentPlan(ctx)
		if err != nil {
			t.Fatal(err)
		}
		there := 0
		if _, err := fmt.Sscan(got.Plan.Status, &there); err != nil {
			t.Fatal(err)
		}
		if d := same(killPlan(there), got.Plan); d != "" {
			t.Errorf("(-plan %d +read):\n%s", there, d)
		}
		if string(got.Document) != fmt.Sprintf(`{"n":%d}`, there) {
			t.Errorf("plan %d has document %s", there, got.Document)
		}
		if n := count1(t, s, `SELECT count(*) FROM activities WHERE title = $1`, fmt.Sprint(there)); n != 1 {
			t.Errorf("the rows are not those of plan %d", there)
		}
		if n := count1(t, s, `SELECT count(*) FROM setting_areas WHERE m2 = $1`, float64(there)); n != 1 {
			t.Errorf("the areas are not those of plan %d", there)
		}
		if n := count1(t, s, `SELECT count(*) FROM outbox WHERE key = $1`, fmt.Sprint("plan ", there)); n != 1 {
			t.Errorf("plan %d has %d messages", there, n)
		}
		if n := count1(t, s, `SELECT count(*) FROM plans WHERE id NOT IN (SELECT plan FROM plan_parts)`); n != 0 {
			t.Errorf("%d plans without parts", n)
		}
		return there
	})
}

func TestKilledWhileIssuing(t *testing.T) {
	afterKills(t, "issue", func(t *testing.T, s *Store, done int) int {
		there := count1(t, s, `SELECT coalesce(max(work_date) - $1::date, 0) FROM issues`, day(workDay))
		for what, query := range map[string]string{
			"messages": `SELECT count(*) FROM outbox`, "days": `SELECT count(*) FROM work_days`, "pairs of pieces": `SELECT count(*) / 2 FROM pieces`,
		} {
			if got, want := count1(t, s, query), count1(t, s, `SELECT count(*) FROM issues`); got != want {
				t.Errorf("%d %s for %d issues", got, what, want)
			}
		}
		return there
	})
}

func TestKilledWhileOrdering(t *testing.T) {
	afterKills(t, "order", func(t *testing.T, s *Store, done int) int {
		orders, err := s.Orders(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		there, boxes := 0, 0.0
		for i, o := range orders {
			if o.Number != int64(i+1) {
				t.Errorf("order %d has number %d", i+1, o.Number)
			}
			state := map[int]string{0: OrderPlaced, 1: OrderPartReceived}[len(o.Receipts)]
			if o.State != state || len(o.Events) != 1+len(o.Receipts) {
				t.Errorf("order %d is %s with %d receipts and %d events", o.Number, o.State, len(o.Receipts), len(o.Events))
			}
			boxes += 3 * float64(len(o.Receipts))
			var n int
			if _, err := fmt.Sscanf(o.Key, "o%d", &n); err != nil {
				t.Fatal(err)
			}
			if len(o.Receipts) == 1 || n != done+1 {
				there = n
			}
		}
		if got := count1(t, s, `SELECT coalesce(sum(quantity), 0)::int FROM stock_movements WHERE kind = 'receipt'`); float64(got) != boxes {
			t.Errorf("%d boxes in stock of %g received", got, boxes)
		}
		return there
	})
}
