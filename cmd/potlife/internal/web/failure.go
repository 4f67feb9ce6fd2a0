package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
)

// handler serves a request or says why not; s.fail is the one place where that
// becomes an answer.
type handler func(http.ResponseWriter, *http.Request) error

var statuses = map[Kind]int{
	Invalid: http.StatusUnprocessableEntity, NotFound: http.StatusNotFound, Forbidden: http.StatusForbidden,
	Conflict: http.StatusConflict, Gone: http.StatusGone, WrongMethod: http.StatusMethodNotAllowed, Unavailable: http.StatusServiceUnavailable,
}

// answer is what a failure tells the user.
type answer struct {
	status   int
	text     string
	field    string
	incident string
}

// explain turns an error into an answer. What is no *Error is logged under an
// incident number, and its text stays in the log.
func (s *server) explain(ctx context.Context, where string, err error) answer {
	var known *Error
	if errors.As(err, &known) {
		status := statuses[known.Kind]
		if status == 0 {
			status = http.StatusUnprocessableEntity
		}
		return answer{status: status, text: known.Text, field: known.Field}
	}
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return answer{status: http.StatusRequestEntityTooLarge, text: fmt.Sprintf("That is more than a request may hold (%d MB).", tooLarge.Limit>>20)}
	}
	id := s.o.NewKey()
	id = id[:min(len(id), 8)]
	s.o.Log.ErrorContext(ctx, "request failed", "incident", id, "where", where, "error", err)
	return answer{status: http.StatusInternalServerError, text: "Something went wrong here. Nothing was changed unless the page says so.", incident: id}
}

// fail answers a failed request, as a page or as JSON by what was asked for.
func (s *server) fail(w http.ResponseWriter, r *http.Request, err error) {
	a := s.explain(r.Context(), r.Method+" "+r.URL.Path, err)
	if cw, ok := w.(*countingWriter); ok && cw.status != 0 {
		return // too late: the answer has begun
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		writeProblem(w, a)
		return
	}
	p := failurePage{frame: s.frame(r, "Not possible", ""), Text: a.text, Incident: a.incident, Status: a.status}
	if a.status == http.StatusNotFound {
		p.Title = "Not found"
	}
	s.render(w, r, a.status, "failure", p)
}

type failurePage struct {
	frame
	Text, Incident string
	Status         int
}
