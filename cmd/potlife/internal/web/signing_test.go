package web

import (
	"context"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"

	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// pen keeps signatures in memory; the sample's room is to be signed.
type pen struct {
	mu     sync.Mutex
	digest string
	got    []SignIn
}

func (p *pen) Signings(_ context.Context, rooms []string) (map[string]RoomSigning, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	out := map[string]RoomSigning{}
	if !slices.Contains(rooms, plandoctest.Room) {
		return out, nil
	}
	r := RoomSigning{Digest: p.digest}
	for _, g := range p.got {
		present := g.Digest == p.digest
		r.Signed = r.Signed || present
		r.Signatures = append(r.Signatures, Signature{Signer: g.Signer, On: g.On, By: g.By.Name, At: testNow, Present: present})
	}
	out[plandoctest.Room] = r
	return out, nil
}

func (p *pen) Sign(_ context.Context, in SignIn) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if in.Digest != p.digest {
		return &Error{Kind: Conflict, Text: "The layout has changed since."}
	}
	if !slices.ContainsFunc(p.got, func(g SignIn) bool { return g.Key == in.Key }) {
		p.got = append(p.got, in)
	}
	return nil
}

func TestTheClientSignsALayout(t *testing.T) {
	p := &pen{digest: "d1"}
	s := newSite(t, func(o *Options) { o.Signings = p })
	s.signIn("2")
	const layout = "/rooms/orchard/bath/layout"
	shows := func(when, at string, want ...string) {
		t.Helper()
		body := s.get(at).body
		for _, w := range want {
			if !strings.Contains(body, w) {
				t.Errorf("%s: %s does not show %q", when, at, w)
			}
		}
	}
	shows("at first", "/orders/PO-kiln-1", `id="unsigned"`, layout)
	shows("at first", "/rooms/orchard/bath", "has not signed the layout yet", layout)
	shows("at first", layout, "<svg", `value="d1"`, "Signature ____", `id="unsigned"`)
	form := url.Values{"key": {"k-1"}, "digest": {"d1"}, "signer": {"M. Quill"}, "on": {"2026-03-03"}}
	for field, c := range map[string]struct {
		value string
		code  int
	}{"key": {"", 422}, "signer": {"  ", 422}, "on": {"3 March", 422}, "digest": {"d0", 409}} {
		bad := url.Values{}
		for k, v := range form {
			bad[k] = slices.Clone(v)
		}
		bad.Set(field, c.value)
		if r := s.post(layout, bad); r.code != c.code || !strings.Contains(r.body, `role="alert"`) {
			t.Errorf("%s %q answers %d", field, c.value, r.code)
		}
	}
	if len(p.got) != 0 {
		t.Fatalf("recorded what was refused: %+v", p.got)
	}
	for range 2 {
		if r := s.post(layout, form); r.code != 303 {
			t.Fatalf("signing answers %d %s", r.code, r.body)
		}
	}
	if len(p.got) != 1 || p.got[0].Signer != "M. Quill" || p.got[0].By.Name != "Olive" {
		t.Errorf("recorded %+v", p.got)
	}
	shows("signed", layout, `id="signed"`, "M. Quill", "this layout")
	if strings.Contains(s.get("/orders/PO-kiln-1").body, `id="unsigned"`) {
		t.Error("the order still waits for the signature")
	}
	p.digest = "d2"
	shows("changed", "/rooms/orchard/bath", "has changed since the client signed")
	shows("changed", "/orders/PO-kiln-1", "(changed since it was signed)")
	shows("changed", layout, "an earlier layout")
	if r := s.json("/api/v1/rooms/orchard/bath/signatures", `{"key":"key-number-2","digest":"d2","signer":"M. Quill","on":"2026-03-04"}`); r.code != 200 || !strings.Contains(r.body, `"signed":true`) {
		t.Errorf("the API answers %d %s", r.code, r.body)
	}
	s.fresh()
	s.signIn("3")
	if r := s.get(layout); r.code != 403 {
		t.Errorf("a crew gets %d", r.code)
	}
}

func TestNoSignatureIsAsked(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	if r := s.get("/rooms/orchard/bath/layout"); r.code != 404 || !strings.Contains(r.body, "client_signs") {
		t.Errorf("answers %d", r.code)
	}
	if r := s.get("/api/v1/rooms/orchard/bath/signatures"); r.code != 200 || !strings.Contains(r.body, `"asked":false`) {
		t.Errorf("the API answers %d %s", r.code, r.body)
	}
}
