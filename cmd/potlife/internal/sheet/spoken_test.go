package sheet

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/plandoc"
)

// sentenceFields of a document hold what people read; the others are for
// programs.
var sentenceFields = map[string]bool{"summary": true, "blocked": true, "why": true, "message": true, "text": true, "notes": true, "read": true, "cautions": true,
	"how": true, "stop_at": true, "limits_from": true, "saving": true, "title": true}

// sentences gathers the strings under fields that hold sentences.
func sentences(v any, field string, out map[string]string) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			sentences(x, k, out)
		}
	case []any:
		for _, x := range v {
			sentences(x, field, out)
		}
	case string:
		if sentenceFields[field] {
			out[v] = field
		}
	}
}

// Sentences of a plan speak as its firm does: no key where there is a name, no
// date or hour in another style, no noun that does not agree with its number.
func TestSentencesSpeakAsTheFirmDoes(t *testing.T) {
	isoDate, hour24 := regexp.MustCompile(`\b\d{4}-\d\d-\d\d\b`), regexp.MustCompile(`\b\d\d:\d\d\b( [ap]m)?`)
	one := regexp.MustCompile(`(?:^|[^.,\d])(?:[02-9]|\d+\d|\d{3}) (?:box|bag|piece|tile|mix|pail|area)\b`)
	for _, which := range jobfile.DemoNames() {
		doc := demoDocument(t, which)
		text, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		var tree any
		if err := json.Unmarshal(text, &tree); err != nil {
			t.Fatal(err)
		}
		said := map[string]string{}
		sentences(tree, "", said)
		if len(said) < 50 {
			t.Fatalf("%q: only %d sentences: the test shows nothing", which, len(said))
		}
		for s, field := range said {
			if m := isoDate.FindString(s); m != "" {
				t.Errorf("%q: %s: %q holds the date %s", which, field, s, m)
			}
			if m := hour24.FindString(s); m != "" && doc.Units == "imperial" && !strings.HasSuffix(m, "m") {
				t.Errorf("%q: %s: %q holds the hour %s", which, field, s, m)
			}
			if m := one.FindString(s); m != "" {
				t.Errorf("%q: %s: %q says %q", which, field, s, m)
			}
			for _, key := range keysOf(doc) {
				if strings.Contains(s, key) {
					t.Errorf("%q: %s: %q holds the key %s", which, field, s, key)
				}
			}
		}
	}
}

// tradeWords are keys of the demonstrations that are words of the trade as well.
var tradeWords = map[string]bool{"level": true, "rod": true, "edge": true, "cross": true, "seal": true, "caulk": true, "thinset": true}

// keysOf are the keys that no name holds as a word.
func keysOf(d *plandoc.Document) []string {
	var out []string
	for _, r := range d.Rooms {
		out = append(out, r.Key)
	}
	for _, c := range d.Crews {
		out = append(out, "crew "+c.Key)
	}
	names := ""
	for _, t := range d.Tiles {
		names += " " + strings.ToLower(t.Name) + " "
	}
	for _, p := range d.Products {
		names += " " + strings.ToLower(p.Name) + " "
	}
	add := func(key string) {
		if !strings.Contains(names, " "+key+" ") {
			out = append(out, " "+key+" ")
		}
	}
	for _, t := range d.Tiles {
		add(t.Key)
	}
	for _, p := range d.Products {
		if !tradeWords[p.Key] {
			add(p.Key)
		}
	}
	return out
}
