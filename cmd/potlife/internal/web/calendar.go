package web

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strings"

	"net/url"
)

// calendar serves crew/KEY.ics and job/KEY.ics to those signed in.
func (s *server) calendar(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	kind := r.PathValue("kind")
	key, ok := strings.CutSuffix(r.PathValue("key"), ".ics")
	u := userOf(r.Context())
	if !ok || kind == "crew" && !mayAct(u, key) || kind == "job" && !v.worksOn(u, key) {
		return errNoFeed
	}
	return s.writeCalendar(w, v, kind, key)
}

func (s *server) writeCalendar(w http.ResponseWriter, v *view, kind, key string) error {
	return s.file(w, contentTypes["ics"], kind+"-"+key+".ics", false, func(b *bytes.Buffer) error {
		switch {
		case kind == "crew" && v.x.Crews[key] != nil:
			return s.o.Print.CrewCalendar(b, v.Document, key, v.Revision, v.Made)
		case kind == "job" && v.x.Jobs[key] != nil:
			return s.o.Print.JobCalendar(b, v.Document, key, v.Revision, v.Made)
		}
		return errNoFeed
	})
}

// feed serves a calendar to a program that cannot sign in. Its address is
// secret: the signature in it is made with the firm's key.
func (s *server) feed(w http.ResponseWriter, r *http.Request) error {
	kind := r.PathValue("kind")
	key, ok := strings.CutSuffix(r.PathValue("key"), ".ics")
	if !ok || len(s.o.FeedKey) == 0 || !hmac.Equal([]byte(r.PathValue("signature")), []byte(s.feedSignature(kind, key))) {
		return errNoFeed
	}
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	return s.writeCalendar(w, v, kind, key)
}

func (s *server) feedSignature(kind, key string) string {
	m := hmac.New(sha256.New, s.o.FeedKey)
	m.Write([]byte("calendar\x00" + kind + "\x00" + key))
	return hex.EncodeToString(m.Sum(nil)[:20])
}

// feedURL is the secret address of a calendar, empty when there are no feeds.
func (s *server) feedURL(r *http.Request, kind, key string) string {
	if len(s.o.FeedKey) == 0 {
		return ""
	}
	return s.base(r) + "/feeds/" + s.feedSignature(kind, key) + "/" + url.PathEscape(kind) + "/" + url.PathEscape(key) + ".ics"
}
