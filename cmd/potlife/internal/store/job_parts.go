package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
)

// jobParts are the rows of one job or of several.
type jobParts struct {
	sites    []siteRow
	hours    []siteHoursRow
	rooms    []roomRow
	holds    []holdRow
	surfaces []surfaceRow
	edges    []edgeRow
	openings []openingRow
	zones    []zoneRow
	readings []readingRow
}

// spread makes a job's rows.
func spread(j *rooms.Job) (*jobParts, error) {
	var p jobParts
	var siteKeys, roomKeys []string
	for i, s := range j.Sites {
		row, err := newSiteRow(j.Key, i, s)
		if err != nil {
			return nil, err
		}
		p.sites = append(p.sites, row)
		siteKeys = append(siteKeys, s.Key)
		for k, h := range s.Hours {
			p.hours = append(p.hours, siteHoursRow{j.Key, s.Key, k, h.Weekday, h.Start, h.End})
		}
		for k, m := range s.Rooms {
			roomKeys = append(roomKeys, m.Key)
			if err := p.addRoom(j.Key, s.Key, k, m); err != nil {
				return nil, err
			}
		}
	}
	if err := unique("job "+j.Key+": site", siteKeys); err != nil {
		return nil, err
	}
	return &p, unique("job "+j.Key+": room", roomKeys)
}

func (p *jobParts) addRoom(job, site string, pos int, m rooms.Room) error {
	row, err := newRoomRow(job, site, pos, m)
	if err != nil {
		return err
	}
	p.rooms = append(p.rooms, row)
	for i, h := range m.Holds {
		row, err := newHoldRow(job, m.Key, i, h)
		if err != nil {
			return err
		}
		p.holds = append(p.holds, row)
	}
	var keys []string
	for i, s := range m.Surfaces {
		row, err := newSurfaceRow(job, m.Key, i, s)
		if err != nil {
			return err
		}
		p.surfaces = append(p.surfaces, row)
		keys = append(keys, s.Key)
		if err := p.addSurface(place{job, m.Key, s.Key}, s); err != nil {
			return err
		}
	}
	return unique("room "+job+"/"+m.Key+": surface", keys)
}

func (p *jobParts) addSurface(at place, s rooms.Surface) (err error) {
	if p.edges, err = extend(p.edges, at, s.Edges, newEdgeRow); err != nil {
		return err
	}
	if p.openings, err = extend(p.openings, at, s.Openings, newOpeningRow); err != nil {
		return err
	}
	if p.zones, err = extend(p.zones, at, s.Zones, newZoneRow); err != nil {
		return err
	}
	p.readings, err = extend(p.readings, at, s.Readings, newReadingRow)
	return err
}

func extend[T, R any](rows []R, at place, list []T, row func(place, int, T) (R, error)) ([]R, error) {
	for i, v := range list {
		r, err := row(at, i, v)
		if err != nil {
			return nil, err
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// save makes the rows of a job those of p. Nothing refers to edges, openings,
// zones, readings, holds and hours, so they are simply replaced.
func (p *jobParts) save(ctx context.Context, tx pgx.Tx, job string) error {
	steps := []func() error{
		func() error { return edgeTable.remove(ctx, tx, "job = $1", job) },
		func() error { return openingTable.remove(ctx, tx, "job = $1", job) },
		func() error { return zoneTable.remove(ctx, tx, "job = $1", job) },
		func() error { return readingTable.remove(ctx, tx, "job = $1", job) },
		func() error { return holdTable.remove(ctx, tx, "job = $1", job) },
		func() error { return siteHoursTable.remove(ctx, tx, "job = $1", job) },
		func() error { return siteTable.upsert(ctx, tx, p.sites) },
		func() error { return roomTable.upsert(ctx, tx, p.rooms) },
		func() error { return surfaceTable.upsert(ctx, tx, p.surfaces) },
		func() error { return p.removeMissing(ctx, tx, job) },
		func() error { return siteHoursTable.insert(ctx, tx, p.hours) },
		func() error { return holdTable.insert(ctx, tx, p.holds) },
		func() error { return edgeTable.insert(ctx, tx, p.edges) },
		func() error { return openingTable.insert(ctx, tx, p.openings) },
		func() error { return zoneTable.insert(ctx, tx, p.zones) },
		func() error { return readingTable.insert(ctx, tx, p.readings) },
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (p *jobParts) removeMissing(ctx context.Context, tx pgx.Tx, job string) error {
	surfaces, roomKeys, sites := []string{}, []string{}, []string{}
	for _, s := range p.surfaces {
		surfaces = append(surfaces, s.Room+"/"+s.Key)
	}
	for _, m := range p.rooms {
		roomKeys = append(roomKeys, m.Key)
	}
	for _, s := range p.sites {
		sites = append(sites, s.Key)
	}
	if err := surfaceTable.remove(ctx, tx, "job = $1 AND room || '/' || key <> ALL($2)", job, surfaces); err != nil {
		return err
	}
	if err := roomTable.remove(ctx, tx, "job = $1 AND key <> ALL($2)", job, roomKeys); err != nil {
		return err
	}
	return siteTable.remove(ctx, tx, "job = $1 AND key <> ALL($2)", job, sites)
}

// loadJobs reads the jobs for which where holds.
func loadJobs(ctx context.Context, tx pgx.Tx, where string, args ...any) ([]rooms.Job, error) {
	rows, err := jobTable.list(ctx, tx, where, "pos", args...)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	keys := []string{}
	for _, r := range rows {
		keys = append(keys, r.Key)
	}
	sites, err := loadSites(ctx, tx, keys)
	if err != nil {
		return nil, err
	}
	var jobs []rooms.Job
	for _, r := range rows {
		j, err := r.job()
		if err != nil {
			return nil, err
		}
		j.Sites = sites[j.Key]
		jobs = append(jobs, j)
	}
	return jobs, nil
}

// loadSites returns the sites of jobs, by job.
func loadSites(ctx context.Context, tx pgx.Tx, jobs []string) (map[string][]rooms.Site, error) {
	siteRooms, err := loadRooms(ctx, tx, jobs)
	if err != nil {
		return nil, err
	}
	hourRows, err := siteHoursTable.list(ctx, tx, "job = ANY($1)", "job, site, pos", jobs)
	if err != nil {
		return nil, err
	}
	hours := map[string][]rooms.DayHours{}
	for _, h := range hourRows {
		at := h.Job + "/" + h.Site
		hours[at] = append(hours[at], rooms.DayHours{Weekday: h.Weekday, Start: h.Starts, End: h.Ends})
	}
	rows, err := siteTable.list(ctx, tx, "job = ANY($1)", "job, pos", jobs)
	if err != nil {
		return nil, err
	}
	return group(rows, func(r siteRow) string { return r.Job }, func(r siteRow) (rooms.Site, error) {
		s, err := r.site()
		s.Hours, s.Rooms = hours[r.Job+"/"+r.Key], siteRooms[r.Job+"/"+r.Key]
		return s, err
	})
}

// loadRooms returns the rooms of jobs, by job/site.
func loadRooms(ctx context.Context, tx pgx.Tx, jobs []string) (map[string][]rooms.Room, error) {
	surfaces, err := loadSurfaces(ctx, tx, jobs)
	if err != nil {
		return nil, err
	}
	holdRows, err := holdTable.list(ctx, tx, "job = ANY($1)", "job, room, pos", jobs)
	if err != nil {
		return nil, err
	}
	holds, err := group(holdRows, func(r holdRow) string { return r.Job + "/" + r.Room }, holdRow.hold)
	if err != nil {
		return nil, err
	}
	rows, err := roomTable.list(ctx, tx, "job = ANY($1)", "job, site, pos", jobs)
	if err != nil {
		return nil, err
	}
	return group(rows, func(r roomRow) string { return r.Job + "/" + r.Site }, func(r roomRow) (rooms.Room, error) {
		m, err := r.room()
		m.Holds, m.Surfaces = holds[r.Job+"/"+r.Key], surfaces[r.Job+"/"+r.Key]
		return m, err
	})
}

// loadSurfaces returns the surfaces of jobs, by job/room.
func loadSurfaces(ctx context.Context, tx pgx.Tx, jobs []string) (map[string][]rooms.Surface, error) {
	edges, err := children(ctx, tx, edgeTable, jobs, func(r edgeRow) place { return place{r.Job, r.Room, r.Surface} }, edgeRow.edge)
	if err != nil {
		return nil, err
	}
	openings, err := children(ctx, tx, openingTable, jobs, func(r openingRow) place { return place{r.Job, r.Room, r.Surface} }, openingRow.opening)
	if err != nil {
		return nil, err
	}
	zones, err := children(ctx, tx, zoneTable, jobs, func(r zoneRow) place { return place{r.Job, r.Room, r.Surface} }, zoneRow.zone)
	if err != nil {
		return nil, err
	}
	readings, err := children(ctx, tx, readingTable, jobs, func(r readingRow) place { return place{r.Job, r.Room, r.Surface} }, readingRow.reading)
	if err != nil {
		return nil, err
	}
	rows, err := surfaceTable.list(ctx, tx, "job = ANY($1)", "job, room, pos", jobs)
	if err != nil {
		return nil, err
	}
	return group(rows, func(r surfaceRow) string { return r.Job + "/" + r.Room }, func(r surfaceRow) (rooms.Surface, error) {
		s, err := r.surface()
		at := place{r.Job, r.Room, r.Key}.String()
		s.Edges, s.Openings, s.Zones, s.Readings = edges[at], openings[at], zones[at], readings[at]
		return s, err
	})
}

// String is the surface's path, job/room/surface.
func (p place) String() string { return p.job + "/" + p.room + "/" + p.surface }

// children returns what belongs to surfaces, by job/room/surface.
func children[R, T any](ctx context.Context, tx pgx.Tx, table relation[R], jobs []string, at func(R) place, value func(R) (T, error)) (map[string][]T, error) {
	rows, err := table.list(ctx, tx, "job = ANY($1)", "job, room, surface, pos", jobs)
	if err != nil {
		return nil, err
	}
	return group(rows, func(r R) string { return at(r).String() }, value)
}
