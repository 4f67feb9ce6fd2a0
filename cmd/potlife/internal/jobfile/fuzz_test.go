package jobfile

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Whatever a file holds, it is either refused with problems or read; what is
// read can be exported and reads back as the same.
func FuzzParse(f *testing.F) {
	files, _ := filepath.Glob("testdata/bad/*.yaml")
	for _, path := range append(files, "testdata/good.yaml") {
		text, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add(Demo("inches"))
	f.Add(bytes.Replace(Demo(""), []byte("      off: [2026-12-11]"), []byte("      people: [{name: Mara, hours: {monday-thursday: [06:00-09:00, 13:00-20:00]}, off: [2026-12-14], on: [2026-12-18]}, {name: Tom, helper: yes, dates: {2026-12-15: 09:00-10:00}}]\n      off: [2026-12-11]"), 1))
	f.Add([]byte("a: &a [*a, *a]\nb: {<<: *a}\n? x\n: - y\n--- !!map\n{1: {2: [}}"))
	f.Fuzz(func(t *testing.T, text []byte) {
		got, problems := Parse("fuzz.yaml", text)
		if (got == nil) == (len(problems) == 0) {
			t.Fatalf("file %v with problems %v", got, problems)
		}
		if got == nil {
			return
		}
		out, err := Write(got)
		if err != nil {
			t.Fatal(err)
		}
		again, problems := Parse("export.yaml", out)
		if len(problems) > 0 {
			t.Fatalf("the export is refused: %v\n%s", problems, out)
		}
		if diff := cmp.Diff(got, again, sameFile); diff != "" {
			t.Fatalf("changed by export and import:\n%s\n%s", diff, out)
		}
	})
}
