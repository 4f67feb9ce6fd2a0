package web

import (
	"net/http"
	"net/url"
	"strings"
)

type peoplePage struct {
	frame
	People []personEntry
	Link   string // just made, shown once
	For    string
}

type personEntry struct {
	ID, Name, Crew, Email string
	Role                  Role
}

func (s *server) people(w http.ResponseWriter, r *http.Request) error {
	list, err := s.o.Accounts.People(r.Context())
	if err != nil {
		return err
	}
	p := peoplePage{frame: s.frame(r, "People", "people")}
	p.For, p.Link, _ = strings.Cut(s.sessions.PopString(r.Context(), "link"), "\n")
	for _, u := range list {
		p.People = append(p.People, personEntry{ID: u.ID, Name: u.Name, Role: u.Role, Crew: u.Crew, Email: u.Email})
	}
	s.render(w, r, http.StatusOK, "people", p)
	return nil
}

// newLink makes a one-time sign-in link and shows it once on the next page.
func (s *server) newLink(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	u, err := s.o.Accounts.User(ctx, r.PathValue("person"))
	if err != nil {
		return err
	}
	token, err := s.o.Accounts.NewLink(ctx, *userOf(ctx), u.ID)
	if err != nil {
		return err
	}
	s.sessions.Put(ctx, "link", u.Name+"\n"+s.base(r)+"/sign-in/"+url.PathEscape(token))
	http.Redirect(w, r, "/people", http.StatusSeeOther)
	return nil
}
