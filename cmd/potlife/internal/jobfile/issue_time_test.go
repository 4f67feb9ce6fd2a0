package jobfile

import (
	"os"
	"strings"
	"testing"
)

// A cron line that no clock can follow is found in the file, not at the hour
// at which the day should have been issued.
func TestIssueTime(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ line, want string }{
		{"0 17 * * *", ""}, {"30 16 * * 1-5", ""}, {"0 0 29 2 *", ""}, {"TZ=Europe/Madrid 0 17 * * *", ""}, {"@daily", ""},
		{"61 17 * * *", "above maximum"}, {"0 0 31 2 *", "never comes"}, {"TZ=", "cannot be read"}, {"CRON_TZ=Mars 0 17 * * *", "Mars"},
		{"0 17 * *", "expected exactly 5 fields"}, {"five o'clock", "expected"}, {"", "empty"},
	} {
		text := strings.Replace(string(good), "\n  currency:", "\n  issue_at: \""+c.line+"\"\n  currency:", 1)
		at := strings.Count(text[:strings.Index(text, "issue_at")], "\n") + 1
		_, problems := Parse("x.yaml", []byte(text))
		switch {
		case c.want == "" && len(problems) > 0:
			t.Errorf("%q is refused: %v", c.line, problems)
		case c.want != "" && (len(problems) != 1 || problems[0].Line != at || !strings.Contains(problems[0].String(), c.want) || !strings.Contains(problems[0].Expected, "0 17 * * *")):
			t.Errorf("%q: got %v, want %q in line %d", c.line, problems, c.want, at)
		}
	}
}

// Some editors put a byte order mark before the first letter.
func TestByteOrderMark(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f, problems := Parse("x.yaml", append([]byte("\xef\xbb\xbf"), good...))
	if len(problems) > 0 || f.Firm == nil || len(f.Jobs) == 0 {
		t.Fatalf("got %v", problems)
	}
	if _, problems = Parse("x.yaml", []byte("\xef\xbb\xbfferm: 1\n")); len(problems) == 0 || problems[0].Line != 1 || problems[0].Col != 1 {
		t.Errorf("a mistake behind the mark: %v", problems)
	}
}
