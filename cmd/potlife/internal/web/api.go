package web

import (
	"context"
	"encoding/json"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"
)

// api registers the JSON API under /api/v1 and its description, OpenAPI 3.1,
// at /openapi.json and /openapi.yaml. It takes the same session as the pages.
func (s *server) api(mux *http.ServeMux) error {
	inner := http.NewServeMux()
	cfg := huma.DefaultConfig("potlife", s.o.Version)
	cfg.Info.Description = "Plans tile work: jobs, takeoff, orders, schedule, day sheets, and what the crews record. Lengths are mm, instants RFC 3339, dates YYYY-MM-DD in the firm's zone. A program signs in as a person does: it posts the last part of a sign-in link (potlife user NAME) as the form field token to /sign-in, and sends the cookie it gets with every request."
	cfg.DocsPath = "" // the built-in page loads scripts from elsewhere
	cfg.SchemasPath = ""
	cfg.CreateHooks = nil
	cfg.Components.SecuritySchemes = map[string]*huma.SecurityScheme{"session": {Type: "apiKey", In: "cookie", Name: s.sessions.Cookie.Name}}
	cfg.Security = []map[string][]string{{"session": {}}}
	a := humago.New(inner, cfg)
	s.apiPlan(a)
	s.apiOrders(a)
	s.apiPrices(a)
	s.apiOffcuts(a)
	s.apiSign(a)
	s.apiSheets(a)
	s.apiRecords(a)
	s.apiOutlook(a)
	mux.Handle("/api/", s.apiGate(inner))
	for _, p := range []string{"/openapi.json", "/openapi.yaml", "/openapi-3.0.json", "/openapi-3.0.yaml"} {
		mux.Handle("GET "+p, s.gated([]Role{Contractor, Office, Crew}, func(w http.ResponseWriter, r *http.Request) error {
			inner.ServeHTTP(w, r)
			return nil
		}))
	}
	return nil
}

// apiGate lets those in who are signed in; what each may do is decided where
// it is done.
func (s *server) apiGate(next *http.ServeMux) http.Handler {
	return s.free(func(w http.ResponseWriter, r *http.Request) error {
		if userOf(r.Context()) == nil {
			writeProblem(w, answer{status: http.StatusUnauthorized, text: "Sign in first."})
			return nil
		}
		if _, pattern := next.Handler(r); pattern == "" {
			if err := wrongMethod(next, w, r); err != nil {
				return err
			}
			return &Error{Kind: NotFound, Text: "The API has no such operation; /openapi.json lists them."}
		}
		next.ServeHTTP(w, r)
		return nil
	})
}

// operation registers one operation; errors become problems, of unknown ones
// only the incident.
func operation[I, O any](s *server, a huma.API, method, path, id, summary string, roles []Role, do func(context.Context, *I) (*O, error)) {
	op := huma.Operation{OperationID: id, Method: method, Path: "/api/v1" + path, Summary: summary, MaxBodyBytes: mostOf("/api/v1" + path),
		Errors: []int{http.StatusUnauthorized, http.StatusForbidden, http.StatusNotFound}}
	if method != http.MethodGet {
		op.Errors = append(op.Errors, http.StatusConflict, http.StatusUnprocessableEntity)
	}
	huma.Register(a, op, func(ctx context.Context, in *I) (*O, error) {
		u := userOf(ctx)
		if u == nil {
			return nil, huma.Error401Unauthorized("Sign in first.")
		}
		allowed := len(roles) == 0
		for _, r := range roles {
			allowed = allowed || r == u.Role
		}
		if !allowed {
			return nil, huma.Error403Forbidden("This is for " + roleList(roles) + ".")
		}
		out, err := do(ctx, in)
		if err != nil {
			return nil, s.problem(ctx, id, err)
		}
		return out, nil
	})
}

var desk = []Role{Contractor, Office}

func (s *server) problem(ctx context.Context, where string, err error) error {
	a := s.explain(ctx, "api "+where, err)
	if a.incident != "" {
		return huma.NewError(a.status, a.text+" Incident "+a.incident+".")
	}
	if a.field != "" {
		return huma.NewError(a.status, a.text, &huma.ErrorDetail{Location: "body." + a.field, Message: a.text})
	}
	return huma.NewError(a.status, a.text)
}

// writeProblem writes an answer as application/problem+json (RFC 9457).
func writeProblem(w http.ResponseWriter, a answer) {
	detail := a.text
	if a.incident != "" {
		detail += " Incident " + a.incident + "."
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(a.status)
	_ = json.NewEncoder(w).Encode(map[string]any{"title": http.StatusText(a.status), "status": a.status, "detail": detail})
}

// rawJSON is a body that is JSON already.
type rawJSON struct {
	ContentType string `header:"Content-Type"`
	Body        []byte
}

func rawOf(v any) (*rawJSON, error) {
	b, err := json.Marshal(v)
	return &rawJSON{ContentType: "application/json", Body: b}, err
}
