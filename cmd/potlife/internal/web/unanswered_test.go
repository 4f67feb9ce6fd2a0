package web

import (
	"errors"
	"io"
	"log/slog"
	"net/http/httptest"
	"strings"
	"testing"
)

// While the database does not answer, the API says so as a problem and a page in
// words; what PostgreSQL said stays in the log.
func TestSessionsUnanswered(t *testing.T) {
	m := newSessions(Options{Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	for path, kind := range map[string]string{"/api/v1/jobs": "application/problem+json", "/board": "text/plain"} {
		w := httptest.NewRecorder()
		m.ErrorFunc(w, httptest.NewRequest("GET", path, nil), errors.New("dial error: /run/hidden"))
		body := w.Body.String()
		if w.Code != 503 || !strings.HasPrefix(w.Header().Get("Content-Type"), kind) || !strings.Contains(body, "The database does not answer.") || strings.Contains(body, "hidden") {
			t.Errorf("%s: %d %s %s", path, w.Code, w.Header().Get("Content-Type"), body)
		}
	}
}
