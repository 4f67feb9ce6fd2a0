package web

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"potlife/cmd/potlife/internal/plandoc"
)

type nothing struct{}

type apiJob struct {
	Key    string    `json:"key"`
	Name   string    `json:"name"`
	Client string    `json:"client"`
	Start  string    `json:"start"`
	Rooms  []apiRoom `json:"rooms" nullable:"false"`
}

type apiRoom struct {
	Key      string   `json:"key"`
	Name     string   `json:"name"`
	Site     string   `json:"site"`
	Due      string   `json:"due" doc:"YYYY-MM-DD, empty for none"`
	Finish   string   `json:"finish" doc:"when it is handed over"`
	Bound    string   `json:"bound" doc:"no plan hands it over earlier"`
	LateDays int      `json:"late_days"`
	Blocked  string   `json:"blocked" doc:"what it waits for"`
	Surfaces []string `json:"surfaces" nullable:"false"`
}

type jobsOut struct {
	Body struct {
		Revision int      `json:"revision" doc:"of the plan"`
		Finish   string   `json:"finish"`
		Bound    string   `json:"finish_bound"`
		Jobs     []apiJob `json:"jobs" nullable:"false"`
	}
}

type jobIn struct {
	Job string `path:"job"`
}

type jobOut struct{ Body apiJob }

type surfaceIn struct {
	Job     string `path:"job"`
	Room    string `path:"room"`
	Surface string `path:"surface"`
}

type takeoffOut struct {
	Body struct {
		Takeoff   []plandoc.Takeoff  `json:"takeoff" nullable:"false"`
		Materials []plandoc.Material `json:"materials" nullable:"false"`
		OnHand    []plandoc.OnHand   `json:"on_hand" nullable:"false"`
	}
}

type scheduleIn struct {
	Crew string `query:"crew" doc:"only this crew's"`
	Job  string `query:"job" doc:"only this job's"`
}

type scheduleOut struct {
	Body struct {
		Activities []plandoc.Activity `json:"activities" nullable:"false"`
	}
}

func (s *server) apiPlan(a huma.API) {
	operation(s, a, http.MethodGet, "/plan", "get-plan", "The whole plan document", desk, func(ctx context.Context, _ *nothing) (*rawJSON, error) {
		v, err := s.current(ctx)
		if err != nil {
			return nil, err
		}
		return rawOf(v.Document)
	})
	operation(s, a, http.MethodGet, "/jobs", "list-jobs", "Jobs with their rooms and dates", desk, s.apiJobs)
	operation(s, a, http.MethodGet, "/jobs/{job}", "get-job", "One job", nil, s.apiJob)
	operation(s, a, http.MethodGet, "/surfaces/{job}/{room}/{surface}", "get-surface", "One surface with its zones, pieces and cuts, as in the plan document", nil, s.apiSurface)
	operation(s, a, http.MethodGet, "/takeoff", "get-takeoff", "Tiles and materials", desk, s.apiTakeoff)
	operation(s, a, http.MethodGet, "/schedule", "get-schedule", "Activities in order of the plan", desk, s.apiSchedule)
}

func (v *view) apiJob(j *plandoc.Job) apiJob {
	out := apiJob{Key: j.Key, Name: v.jobName(j.Key), Client: j.Client, Start: j.Start, Rooms: []apiRoom{}}
	for i := range v.Document.Rooms {
		r := &v.Document.Rooms[i]
		if r.Job != j.Key {
			continue
		}
		room := apiRoom{Key: r.Key, Name: r.Name, Site: r.Site, Due: deref(r.Due), Finish: r.Finish, Bound: r.Bound, LateDays: r.LateDays, Blocked: r.Blocked, Surfaces: []string{}}
		for k := range v.Document.Surfaces {
			if v.Document.Surfaces[k].Room == r.Key {
				room.Surfaces = append(room.Surfaces, v.Document.Surfaces[k].Key)
			}
		}
		out.Rooms = append(out.Rooms, room)
	}
	return out
}

func (s *server) apiJobs(ctx context.Context, _ *nothing) (*jobsOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	out := &jobsOut{}
	out.Body.Revision, out.Body.Finish, out.Body.Bound, out.Body.Jobs = v.Revision, v.Document.Finish, v.Document.FinishBound, []apiJob{}
	for i := range v.Document.Jobs {
		out.Body.Jobs = append(out.Body.Jobs, v.apiJob(&v.Document.Jobs[i]))
	}
	return out, nil
}

func (s *server) apiJob(ctx context.Context, in *jobIn) (*jobOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	j := v.x.Jobs[in.Job]
	if j == nil || !v.worksOn(userOf(ctx), in.Job) {
		return nil, &Error{Kind: NotFound, Text: "There is no job " + in.Job + " in the plan."}
	}
	return &jobOut{Body: v.apiJob(j)}, nil
}

func (s *server) apiSurface(ctx context.Context, in *surfaceIn) (*rawJSON, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	key := in.Job + "/" + in.Room + "/" + in.Surface
	sf := v.x.Surfaces[key]
	if sf == nil || !v.worksOn(userOf(ctx), in.Job) {
		return nil, &Error{Kind: NotFound, Text: "There is no surface " + key + " in the plan."}
	}
	return rawOf(sf)
}

func (s *server) apiTakeoff(ctx context.Context, _ *nothing) (*takeoffOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	out := &takeoffOut{}
	out.Body.Takeoff, out.Body.Materials, out.Body.OnHand = v.Document.Takeoff, v.Document.Materials, v.Document.OnHand
	return out, nil
}

func (s *server) apiSchedule(ctx context.Context, in *scheduleIn) (*scheduleOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	out := &scheduleOut{}
	out.Body.Activities = []plandoc.Activity{}
	for _, act := range v.Document.Activities {
		r := v.x.Rooms[act.Room]
		if in.Crew != "" && (act.Crew == nil || *act.Crew != in.Crew) || in.Job != "" && (r == nil || r.Job != in.Job) {
			continue
		}
		out.Body.Activities = append(out.Body.Activities, act)
	}
	return out, nil
}
