package onceprinted

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"
	"time"
)

type leaf struct {
	Name  string `json:"name"`
	At    time.Time
	Size  *float64
	Tags  []string
	Marks map[string]int
	own   any // cannot be compared, so it counts as different
}

type tree struct {
	Title  string `json:"title"`
	Hidden int    `json:"-"`
	own    int
	Leaves []leaf `json:"leaves"`
	Pairs  [][2]int8
	Keys   map[string]uint16
	Bytes  []byte
}

func size(v float64) *float64 { return &v }

// Each change of a tree is printed as json.Marshal prints it, after every other.
func TestPrintIsMarshal(t *testing.T) {
	noon := time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	base := func() *tree {
		return &tree{Title: "a <b>", Hidden: 3, own: 4, Pairs: [][2]int8{{1, 2}, {3, 4}}, Keys: map[string]uint16{"x": 1}, Bytes: []byte{1, 2},
			Leaves: []leaf{{Name: "one", At: noon, Size: size(0), Tags: []string{"p"}, Marks: map[string]int{"m": 1}}, {Name: "two", own: 3}}}
	}
	trees := []*tree{{}, base(), base()}
	for _, change := range []func(*tree){
		func(v *tree) { v.Title = "\u2028" },
		func(v *tree) { v.Leaves[0].Name = "uno" },
		func(v *tree) { v.Leaves[0].At = noon.In(time.FixedZone("east", 3600)) },
		func(v *tree) { v.Leaves[0].Size = size(math.Copysign(0, -1)) },
		func(v *tree) { v.Leaves[0].Size = nil },
		func(v *tree) { v.Leaves[0].Tags = []string{} },
		func(v *tree) { v.Leaves[0].Tags = nil },
		func(v *tree) { v.Leaves[0].Tags[0] = "q" },
		func(v *tree) { v.Leaves[0].Marks["m"] = 2 },
		func(v *tree) { v.Leaves[0].Marks = map[string]int{"n": 1} },
		func(v *tree) { v.Leaves = v.Leaves[1:] },
		func(v *tree) { v.Leaves = append(v.Leaves, leaf{Name: "three"}) },
		func(v *tree) { v.Leaves = []leaf{} },
		func(v *tree) { v.Leaves = nil },
		func(v *tree) { v.Pairs[1][0] = -3 },
		func(v *tree) { v.Keys["x"] = 2 },
	} {
		v := base()
		change(v)
		trees = append(trees, v)
	}
	for i, was := range trees {
		before, err := Print(was, nil)
		if err != nil {
			t.Fatal(err)
		}
		for k, v := range trees {
			want, err := json.Marshal(v)
			if err != nil {
				t.Fatal(err)
			}
			got, err := Print(v, before)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got.Bytes, want) {
				t.Errorf("%d after %d: %s\nwant %s", k, i, got.Bytes, want)
			}
		}
	}
}

func TestPrintRefuses(t *testing.T) {
	if _, err := Print(&struct {
		A int `json:"a,omitempty"`
	}{}, nil); err == nil {
		t.Error("a tag with an option is taken")
	}
	if _, err := Print(&struct{ leaf }{}, nil); err == nil {
		t.Error("an embedded field is taken")
	}
}

func TestKeep(t *testing.T) {
	v := &tree{Leaves: []leaf{{Name: "one"}}}
	text, err := Print(v, nil)
	if err != nil {
		t.Fatal(err)
	}
	text.Keep(&tree{Leaves: []leaf{{Name: "one"}}})
	v.Leaves[0].Name = "two"
	again, err := Print(v, text)
	if want, _ := json.Marshal(v); err != nil || !bytes.Equal(again.Bytes, want) {
		t.Errorf("%s, %v", again.Bytes, err)
	}
}
