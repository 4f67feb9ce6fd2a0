package web

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/alexedwards/scs/v2/memstore"
	"github.com/prometheus/client_golang/prometheus"
)

// server holds what handlers share.
type server struct {
	o        Options
	sessions *scs.SessionManager
	pages    pages
	views    views
	planned  plannedDays
	timings  *prometheus.HistogramVec
}

// New returns the handler of all pages, files and the API.
func New(o Options) (http.Handler, error) {
	o, err := o.validate()
	if err != nil {
		return nil, err
	}
	s := &server{o: o, sessions: newSessions(o)}
	if s.pages, err = loadPages(); err != nil {
		return nil, err
	}
	if err := s.register(); err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	s.open(mux)
	s.closed(mux)
	if err := s.api(mux); err != nil {
		return nil, err
	}
	guard := http.NewCrossOriginProtection()
	if o.PublicURL != "" {
		if err := guard.AddTrustedOrigin(o.PublicURL); err != nil {
			return nil, fmt.Errorf("web: public URL: %w", err)
		}
	}
	guard.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, &Error{Kind: Forbidden, Text: "The form came from another site. Open the page here and send it again."})
	}))
	return s.outer(guard.Handler(mux)), nil
}

func newSessions(o Options) *scs.SessionManager {
	m := scs.New()
	m.Lifetime = o.SessionLife
	if o.SessionIdle < o.SessionLife {
		m.IdleTimeout = o.SessionIdle
	}
	m.HashTokenInStore = true
	m.Store = o.Sessions
	if m.Store == nil {
		m.Store = memstore.New()
	}
	m.Cookie.Name = "potlife"
	m.Cookie.HttpOnly = true
	m.Cookie.SameSite = http.SameSiteLaxMode // a link in a mail must find the session
	m.Cookie.Secure = strings.HasPrefix(o.PublicURL, "https:")
	m.Cookie.Path = "/"
	m.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) {
		o.Log.ErrorContext(r.Context(), "session", "error", err)
		const text = "The database does not answer. Try again in a minute."
		if strings.HasPrefix(r.URL.Path, "/api/") {
			writeProblem(w, answer{status: http.StatusServiceUnavailable, text: text})
			return
		}
		http.Error(w, text, http.StatusServiceUnavailable)
	}
	return m
}

// open registers what needs no sign-in.
func (s *server) open(mux *http.ServeMux) {
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { plain(w, http.StatusOK, "ok\n") })
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), 2*time.Second)
		defer cancel()
		if err := s.o.Health.Ready(ctx); err != nil {
			s.o.Log.WarnContext(ctx, "not ready", "error", err)
			plain(w, http.StatusServiceUnavailable, "not ready\n")
			return
		}
		plain(w, http.StatusOK, "ready\n")
	})
	mux.Handle("GET /static/", staticFiles())
	mux.Handle("GET /worker.js", workerFile())
	mux.Handle("GET /metrics", s.metrics())
	mux.Handle("GET /sign-in", s.free(s.signInPage))
	mux.Handle("GET /sign-in/{token}", s.free(s.signInPage))
	mux.Handle("POST /sign-in", s.free(s.signIn))
	mux.Handle("POST /sign-out", s.free(s.signOut))
	mux.Handle("GET /feeds/{signature}/{kind}/{key}", s.free(s.feed))
	mux.Handle("/", s.free(func(w http.ResponseWriter, r *http.Request) error {
		if err := wrongMethod(mux, w, r); err != nil {
			return err
		}
		return &Error{Kind: NotFound, Text: "There is no such page."}
	}))
}

// wrongMethod is the refusal of a request whose address takes other methods, nil
// where it takes none.
func wrongMethod(mux *http.ServeMux, w http.ResponseWriter, r *http.Request) error {
	var allowed []string
	for _, m := range []string{http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete} {
		other := *r
		other.Method = m
		if _, pattern := mux.Handler(&other); pattern != "" && pattern != "/" {
			allowed = append(allowed, m)
		}
	}
	if len(allowed) == 0 {
		return nil
	}
	w.Header().Set("Allow", strings.Join(allowed, ", "))
	return &Error{Kind: WrongMethod, Text: fmt.Sprintf("%s does nothing here; this address takes %s.", r.Method, strings.Join(allowed, " and "))}
}

// closed registers the pages of those who are signed in, with the roles that
// may see each.
func (s *server) closed(mux *http.ServeMux) {
	all, desk := []Role{Contractor, Office, Crew}, []Role{Contractor, Office}
	for _, r := range []struct {
		pattern string
		roles   []Role
		serve   handler
	}{
		{"GET /{$}", all, s.home},
		{"GET /board", desk, s.board},
		{"GET /what-if", desk, s.whatIf},
		{"GET /jobs", desk, s.jobs},
		{"GET /jobs/{job}", all, s.job},
		{"GET /rooms/{job}/{room}", all, s.room},
		{"GET /rooms/{job}/{room}/layout", desk, s.signing},
		{"POST /rooms/{job}/{room}/layout", desk, s.sign},
		{"GET /surfaces/{job}/{room}/{surface}", all, s.surface},
		{"GET /surfaces/{job}/{room}/{surface}/drawing.svg", all, s.drawing},
		{"GET /takeoff", desk, s.takeoff},
		{"GET /orders", desk, s.orders},
		{"GET /orders/{order}", desk, s.order},
		{"GET /orders/{order}/{file}", desk, s.orderFile},
		{"POST /orders/{order}/place", desk, s.placeOrder},
		{"POST /orders/{order}/receive", desk, s.receiveOrder},
		{"POST /orders/{order}/step", desk, s.stepOrder},
		{"POST /orders/{order}/adjust", desk, s.adjustOrder},
		{"GET /orders/{order}/lot", desk, s.otherLot},
		{"POST /orders/{order}/lot", desk, s.takeLot},
		{"GET /takeoff/costs.csv", desk, s.costsFile},
		{"GET /stock", desk, s.stock},
		{"GET /stock/stock.csv", desk, s.stockFile},
		{"POST /stock/offcuts", desk, s.keepOffcut},
		{"POST /stock/offcuts/gone", desk, s.offcutGone},
		{"GET /prices", desk, s.prices},
		{"GET /prices/template.csv", desk, s.priceTemplate},
		{"POST /prices", desk, s.takePrices},
		{"GET /schedule", desk, s.schedule},
		{"GET /sheets", all, s.sheets},
		{"GET /sheets/{crew}/{date}", all, s.sheet},
		{"GET /sheets/{crew}/{date}/{file}", all, s.sheetFile},
		{"GET /deliveries", desk, s.deliveries},
		{"POST /deliveries/{message}/again", desk, s.sendAgain},
		{"POST /record", all, s.record},
		{"GET /records/{record}", all, s.oneRecord},
		{"GET /records/{record}/photos/{n}", all, s.photo},
		{"GET /days", desk, s.daysDone},
		{"GET /days/days.csv", desk, s.daysFile},
		{"GET /days/{date}", all, s.day},
		{"GET /days/{date}/plan.json", desk, s.dayPlan},
		{"GET /calendars/{kind}/{key}", all, s.calendar},
		{"GET /crews", all, s.crews},
		{"GET /people", []Role{Contractor}, s.people},
		{"POST /people/{person}/link", []Role{Contractor}, s.newLink},
	} {
		mux.Handle(r.pattern, s.gated(r.roles, r.serve))
	}
}

// mostBody is the largest request that is read, in bytes; mostReport that of a
// report, which may carry photos.
const (
	mostBody   = 1 << 20
	mostReport = 24 << 20
)

func mostOf(path string) int64 {
	if path == "/record" || path == "/api/v1/records" {
		return mostReport
	}
	return mostBody
}

// outer is what every answer goes through.
func (s *server) outer(next http.Handler) http.Handler {
	sessions := s.sessions.LoadAndSave(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		secure(w.Header())
		most := mostOf(r.URL.Path)
		if r.ContentLength > most {
			w.Header().Set("Connection", "close")
			s.fail(w, r, &http.MaxBytesError{Limit: most})
			return
		}
		if r.Body != nil {
			r.Body = http.MaxBytesReader(w, r.Body, most)
		}
		began := time.Now()
		cw := &countingWriter{ResponseWriter: w}
		defer func() {
			s.timings.WithLabelValues(r.Method, fmt.Sprint(cw.code())).Observe(time.Since(began).Seconds())
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				s.fail(cw, r, fmt.Errorf("panic: %v", p))
			}
		}()
		if bare(r.URL.Path) {
			next.ServeHTTP(cw, r)
			return
		}
		sessions.ServeHTTP(cw, r)
	})
}

// bare paths are served without looking at the session.
func bare(path string) bool {
	return path == "/healthz" || path == "/readyz" || path == "/worker.js" || strings.HasPrefix(path, "/static/") || strings.HasPrefix(path, "/feeds/")
}

// secure sets the headers that every answer carries. Scripts and styles come
// from this server's own files alone; nothing may frame a page.
func secure(h http.Header) {
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
	h.Set("Cache-Control", "no-store")
}

func plain(w http.ResponseWriter, code int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(code)
	fmt.Fprint(w, text)
}

// countingWriter remembers the status, for metrics and so that a failure after
// the first byte is not written as a second answer.
type countingWriter struct {
	http.ResponseWriter
	status int
}

func (w *countingWriter) WriteHeader(code int) {
	if w.status == 0 {
		w.status = code
	}
	w.ResponseWriter.WriteHeader(code)
}

func (w *countingWriter) Write(b []byte) (int, error) {
	if w.status == 0 {
		w.status = http.StatusOK
	}
	return w.ResponseWriter.Write(b)
}

func (w *countingWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

func (w *countingWriter) code() int {
	if w.status == 0 {
		return http.StatusOK
	}
	return w.status
}
