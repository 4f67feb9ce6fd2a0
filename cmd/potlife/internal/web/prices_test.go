package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
)

func (s *site) upload(path, field, name, text string, fields ...string) reply {
	s.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	if name != "" {
		f, err := m.CreateFormFile(field, name)
		if err != nil {
			s.t.Fatal(err)
		}
		f.Write([]byte(text))
	}
	for i := 0; i < len(fields); i += 2 {
		m.WriteField(fields[i], fields[i+1])
	}
	m.Close()
	return s.do(s.request("POST", path, m.FormDataContentType(), b.String()))
}

func TestPriceListPage(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	if r := s.get("/prices"); r.code != http.StatusForbidden {
		t.Errorf("a crew gets %d", r.code)
	}
	s.signIn("2")
	for _, c := range []struct {
		name, file, text string
		fields           []string
		code             int
		holds            string
	}{
		{"no file", "", "", []string{"from", "2026-03-04"}, 422, "No file was sent"},
		{"no day", "k.csv", "product,price\nslate-30,5\n", nil, 422, "not of the form"},
		{"a row is wrong", "k.csv", "product,price\nslate-30,-5\n", []string{"from", "2026-03-04"}, 422, "is negative"},
		{"no list at all", "k.csv", "<b>", []string{"from", "2026-03-04"}, 422, "no rows"},
		{"skipped", "k.csv", "product,price\nslate-30,5\npink,7\n", []string{"from", "2026-03-04", "skip", "yes"}, 200, "there is no tile or product &#34;pink&#34;"},
		{"own names", "k.csv", "Art;Net\nslate-30;5,50\n", []string{"from", "2026-03-04", "columns", "product=Art, price=Net"}, 303, ""},
	} {
		before := len(s.desks.again)
		r := s.upload("/prices", "list", c.file, c.text, c.fields...)
		if r.code != c.code || !strings.Contains(r.body, c.holds) {
			t.Errorf("%s: %d, want %d and %q", c.name, r.code, c.code, c.holds)
		}
		if took := len(s.desks.again) > before; took != (c.code < 400) {
			t.Errorf("%s: taken over: %v", c.name, took)
		}
	}
	if r := s.get("/prices"); !strings.Contains(r.body, "taken over") || !strings.Contains(r.body, "52.10") {
		t.Error("the page lacks the notice or the history")
	}
	if r := s.get("/prices/template.csv"); r.code != 200 || !strings.Contains(r.body, "product,price") {
		t.Errorf("template: %d", r.code)
	}
}
