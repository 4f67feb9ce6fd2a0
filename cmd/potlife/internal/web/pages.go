package web

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"net/url"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

//go:embed templates/*.html
var templateFiles embed.FS

// pages are the parsed templates by name.
type pages map[string]*template.Template

// pageData is an empty struct of every page: what its template may use. A
// template that is not listed, or a name without a template, stops the start.
var pageData = map[string]any{
	"board": boardPage{}, "crews": crewsPage{}, "day": dayPage{}, "days": daysPage{}, "record": recordPage{},
	"deliveries": deliveriesPage{}, "failure": failurePage{}, "job": jobPage{}, "jobs": jobsPage{}, "lot": &lotPage{}, "order": orderPage{}, "orders": ordersPage{}, "prices": pricesPage{}, "stock": stockPage{},
	"people": peoplePage{}, "room": roomPage{}, "schedule": schedulePage{}, "sheet": sheetPage{}, "sheets": sheetsPage{}, "sign_in": signInPage{},
	"signing": &signingPage{}, "surface": surfacePage{}, "takeoff": takeoffPage{}, "what_if": whatIfPage{},
}

// frame is what the layout around every page needs.
type frame struct {
	Title  string
	Here   string // which entry of the navigation is open
	User   *User
	Notice string // what the form before this page did
}

// May says whether the navigation shows an entry.
func (f frame) May(roles ...string) bool {
	for _, r := range roles {
		if f.User != nil && string(f.User.Role) == r {
			return true
		}
	}
	return false
}

var templateFuncs = template.FuncMap{
	"path":       path,
	"surfaceURL": surfaceURL,
	"roomURL":    func(key string) string { return path(append([]string{"rooms"}, strings.Split(key, "/")...)...) },
	"last":       last,
	"fig":        plandoc.Figure,
	"join":       strings.Join,
	"dash":       func(s *string) string { return deref(s) },
	"statusTag":  statusTag,
	"severity":   plandoc.SeverityWord,
}

// path joins segments to an address, each escaped whole.
func path(parts ...string) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteString("/" + url.PathEscape(p))
	}
	return b.String()
}

// surfaceURL is the address of a surface, whose key is job/room/surface.
func surfaceURL(key string) string {
	return path(append([]string{"surfaces"}, strings.Split(key, "/")...)...)
}

// last returns the last segment of a key.
func last(key string) string { return key[strings.LastIndexByte(key, '/')+1:] }

func deref(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func statusTag(state string) string { return strings.NewReplacer(" ", "-", ",", "").Replace(state) }

func loadPages() (pages, error) {
	files, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, fmt.Errorf("web: templates: %w", err)
	}
	layout, err := template.New("layout").Funcs(templateFuncs).ParseFS(templateFiles, "templates/layout.html")
	if err != nil {
		return nil, fmt.Errorf("web: layout: %w", err)
	}
	out := pages{}
	for _, file := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(file, "templates/"), ".html")
		if name == "layout" {
			continue
		}
		if _, ok := pageData[name]; !ok {
			return nil, fmt.Errorf("web: template %s belongs to no page", name)
		}
		t, err := layout.Clone()
		if err == nil {
			_, err = t.ParseFS(templateFiles, file)
		}
		if err != nil {
			return nil, fmt.Errorf("web: template %s: %w", name, err)
		}
		out[name] = t
	}
	for name := range pageData {
		if out[name] == nil {
			return nil, fmt.Errorf("web: page %s has no template", name)
		}
	}
	return out, nil
}

// frame builds the surroundings of a page and takes the notice out of the
// session.
func (s *server) frame(r *http.Request, title, here string) frame {
	f := frame{Title: title, Here: here, User: userOf(r.Context())}
	if f.User != nil {
		f.Notice = s.sessions.PopString(r.Context(), "notice")
	}
	return f
}

// notice is shown on the next page.
func (s *server) notice(r *http.Request, text string) { s.sessions.Put(r.Context(), "notice", text) }

// render writes a page, whole or not at all.
func (s *server) render(w http.ResponseWriter, r *http.Request, status int, name string, data any) {
	var b bytes.Buffer
	if err := s.pages[name].ExecuteTemplate(&b, "layout", data); err != nil {
		s.o.Log.ErrorContext(r.Context(), "render", "page", name, "error", err)
		plain(w, http.StatusInternalServerError, "The page could not be made.\n")
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = b.WriteTo(w)
	}
}

// file writes what make produces as a download or for display, whole or not at
// all.
func (s *server) file(w http.ResponseWriter, kind, name string, download bool, write func(*bytes.Buffer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	how := "inline"
	if download {
		how = "attachment"
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", fmt.Sprintf("%s; filename=%q", how, fileName(name)))
	w.Header().Set("Content-Length", fmt.Sprint(b.Len()))
	_, _ = b.WriteTo(w)
	return nil
}

// fileName keeps letters, digits and a few marks of a name.
func fileName(s string) string {
	return strings.Map(func(r rune) rune {
		if r < 0x80 && (r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_.", r)) {
			return r
		}
		return '-'
	}, s)
}

var contentTypes = map[string]string{
	"pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "json": "application/json", "ics": "text/calendar; charset=utf-8",
	"xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "svg": "image/svg+xml",
}
