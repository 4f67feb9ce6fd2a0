package jobfile

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// sameFile compares files; time zones by name, nil and empty lists alike.
var sameFile = cmp.Options{
	cmp.Comparer(func(a, b *time.Location) bool {
		return (a == nil) == (b == nil) && (a == nil || a.String() == b.String())
	}),
	cmpopts.EquateEmpty(),
}

// What is exported reads back as the same, and exporting that gives the same
// bytes.
func TestWriteReadsBack(t *testing.T) {
	for _, which := range DemoNames() {
		want, problems := Parse("demo", Demo(which))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		text, err := Write(want)
		if err != nil {
			t.Fatal(err)
		}
		got, problems := Parse("export", text)
		if len(problems) > 0 {
			t.Fatalf("demo %q does not read back: %v", which, problems[:min(5, len(problems))])
		}
		if diff := cmp.Diff(want, got, sameFile); diff != "" {
			t.Errorf("demo %q changes by export and import (-want +got):\n%s", which, diff)
		}
		again, err := Write(got)
		if err != nil || !bytes.Equal(text, again) {
			t.Errorf("demo %q: a second export differs: %v", which, err)
		}
	}
}

// Whether a client signs is said in the file, kept by an export, and no by
// default.
func TestClientSignsReadsBack(t *testing.T) {
	for _, which := range DemoNames() {
		file, problems := Parse("demo", Demo(which))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		plain, err := Write(file)
		if err != nil {
			t.Fatal(err)
		}
		for i := range file.Jobs {
			if file.Jobs[i].ClientSigns {
				t.Errorf("demo %q: %s asks for a signature and does not say so", which, file.Jobs[i].Key)
			}
			file.Jobs[i].ClientSigns = i == 0
		}
		text, err := Write(file)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(plain, []byte("client_signs")) || bytes.Count(text, []byte("client_signs")) != 1 {
			t.Errorf("demo %q: the exports name client_signs where it is not said, or not once where it is", which)
		}
		got, problems := Parse("export", text)
		if len(problems) > 0 {
			t.Fatalf("demo %q does not read back: %v", which, problems)
		}
		if diff := cmp.Diff(file, got, sameFile); diff != "" {
			t.Errorf("demo %q changes by export and import (-want +got):\n%s", which, diff)
		}
	}
}

// People and their absences read back as they are: whoever is away is a helper where the
// crew's people say so.
func TestPeopleReadBack(t *testing.T) {
	text := strings.Replace(string(Demo("")), "      helpers: 1\n", `      helpers: 1
      people: [{name: Ida}, {name: Jonas, pace: 1.25}, {name: Piet, helper: yes}]
      away: [{who: piet, on: 2026-12-07}, {who: Ida, on: 2026-12-08}]
`, 1)
	want, problems := Parse("demo", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	k := want.Firm.Crews[0]
	if p := k.People; len(p) != 3 || p[1].Pace != 1.25 || !p[2].Helper || k.Away[0].Who != "Piet" || !k.Away[0].Helper || k.Away[1].Helper {
		t.Errorf("read %+v, away %+v", k.People, k.Away)
	}
	out, err := Write(want)
	if err != nil {
		t.Fatal(err)
	}
	got, problems := Parse("export", out)
	if diff := cmp.Diff(want, got, sameFile); diff != "" || len(problems) > 0 {
		t.Errorf("changes by export and import: %v\n%s", problems, diff)
	}
}
