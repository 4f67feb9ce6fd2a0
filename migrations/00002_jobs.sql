-- What was measured: job, site, room, surface, edge, opening, zone, reading.

-- +goose Up
CREATE TABLE jobs (
	key        path_key PRIMARY KEY,
	pos        int NOT NULL,
	name       text NOT NULL,
	client     text NOT NULL,
	start      date,
	closed_at  timestamptz,
	more       jsonb NOT NULL DEFAULT '{}',
	changed_at timestamptz NOT NULL
);
COMMENT ON COLUMN jobs.pos IS 'Order of first import';
COMMENT ON COLUMN jobs.closed_at IS 'When the job was put away: it is no longer planned, and can still be read';

CREATE TABLE sites (
	job        path_key NOT NULL REFERENCES jobs ON DELETE CASCADE,
	key        path_key NOT NULL,
	pos        int NOT NULL,
	name       text NOT NULL,
	address    text NOT NULL,
	storage_kg double precision NOT NULL CHECK (storage_kg >= 0),
	more       jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, key)
);

CREATE TABLE site_hours (
	job     path_key NOT NULL,
	site    path_key NOT NULL,
	pos     int NOT NULL,
	weekday int NOT NULL CHECK (weekday BETWEEN 0 AND 6),
	starts  minute_of_day NOT NULL,
	ends    minute_of_day NOT NULL,
	PRIMARY KEY (job, site, pos),
	FOREIGN KEY (job, site) REFERENCES sites ON DELETE CASCADE,
	CHECK (starts < ends),
	EXCLUDE USING gist (job WITH =, site WITH =, weekday WITH =, int4range(starts, ends) WITH &&)
);

CREATE TABLE rooms (
	job        path_key NOT NULL,
	key        path_key NOT NULL,
	site       path_key NOT NULL,
	pos        int NOT NULL,
	name       text NOT NULL,
	due        date,
	ready      date,
	celsius    double precision NOT NULL CHECK (celsius BETWEEN -40 AND 60),
	people     int NOT NULL CHECK (people >= 0),
	crew       text REFERENCES crews DEFERRABLE INITIALLY DEFERRED,
	seen_group text NOT NULL,
	work_order text NOT NULL,
	recipe     text NOT NULL,
	more       jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, key),
	FOREIGN KEY (job, site) REFERENCES sites ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED,
	CHECK (due >= ready)
);
COMMENT ON COLUMN rooms.pos IS 'Order within the site';
COMMENT ON COLUMN rooms.seen_group IS 'Rooms of one group take tile of one lot and calibre';

CREATE TABLE holds (
	job     path_key NOT NULL,
	room    path_key NOT NULL,
	pos     int NOT NULL,
	key     text NOT NULL,
	why     text NOT NULL,
	after   text NOT NULL,
	before  text NOT NULL,
	until   date,
	minutes int NOT NULL CHECK (minutes >= 0),
	more    jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, room, pos),
	UNIQUE (job, room, key),
	FOREIGN KEY (job, room) REFERENCES rooms ON DELETE CASCADE
);

CREATE TABLE surfaces (
	job            path_key NOT NULL,
	room           path_key NOT NULL,
	key            path_key NOT NULL,
	pos            int NOT NULL,
	name           text NOT NULL,
	kind           text NOT NULL,
	outline        ring NOT NULL,
	layer          text NOT NULL,
	measured       boolean NOT NULL,
	wet            boolean NOT NULL,
	deduct         bigint[],
	ledger         boolean NOT NULL,
	prepare        text[],
	leveller_depth exact_length NOT NULL CHECK (leveller_depth >= 0),
	difficulty     double precision NOT NULL CHECK (difficulty >= 0),
	more           jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, room, key),
	FOREIGN KEY (job, room) REFERENCES rooms ON DELETE CASCADE
);
COMMENT ON COLUMN surfaces.outline IS 'As read on layer, counter-clockwise';
COMMENT ON COLUMN surfaces.deduct IS 'By edge: what neighbours set before take off';

CREATE TABLE edges (
	job        path_key NOT NULL,
	room       path_key NOT NULL,
	surface    path_key NOT NULL,
	pos        int NOT NULL CHECK (pos >= 0),
	meets      text NOT NULL,
	gap        exact_length NOT NULL CHECK (gap >= 0),
	gap_min    exact_length NOT NULL CHECK (gap_min >= 0),
	gap_max    exact_length NOT NULL CHECK (gap_max >= 0),
	fill       text NOT NULL,
	trim       text REFERENCES products DEFERRABLE INITIALLY DEFERRED,
	seen       boolean NOT NULL,
	shared     text NOT NULL,
	unmeasured boolean NOT NULL,
	more       jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, room, surface, pos),
	FOREIGN KEY (job, room, surface) REFERENCES surfaces ON DELETE CASCADE
);
COMMENT ON TABLE edges IS 'Edge pos runs from point pos of the outline to the next';

CREATE TABLE openings (
	job     path_key NOT NULL,
	room    path_key NOT NULL,
	surface path_key NOT NULL,
	key     path_key NOT NULL,
	pos     int NOT NULL,
	kind    text NOT NULL,
	outline ring NOT NULL,
	gap     exact_length NOT NULL CHECK (gap >= 0),
	gap_min exact_length NOT NULL CHECK (gap_min >= 0),
	gap_max exact_length NOT NULL CHECK (gap_max >= 0),
	fill    text NOT NULL,
	not_yet boolean NOT NULL,
	seen    boolean NOT NULL,
	more    jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, room, surface, key),
	FOREIGN KEY (job, room, surface) REFERENCES surfaces ON DELETE CASCADE
);

CREATE TABLE zones (
	job         path_key NOT NULL,
	room        path_key NOT NULL,
	surface     path_key NOT NULL,
	key         path_key NOT NULL,
	pos         int NOT NULL,
	region      ring,
	tile        text REFERENCES tiles DEFERRABLE INITIALLY DEFERRED,
	mortar      text REFERENCES products DEFERRABLE INITIALLY DEFERRED,
	grout       text REFERENCES products DEFERRABLE INITIALLY DEFERRED,
	sealant     text REFERENCES products DEFERRABLE INITIALLY DEFERRED,
	pattern     text NOT NULL,
	turn        int NOT NULL,
	joint       exact_length NOT NULL CHECK (joint >= 0),
	across      text NOT NULL,
	up          text NOT NULL,
	datum_x     exact_length NOT NULL,
	datum_y     exact_length NOT NULL,
	sideways    boolean NOT NULL,
	back_butter boolean NOT NULL,
	more        jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, room, surface, key),
	FOREIGN KEY (job, room, surface) REFERENCES surfaces ON DELETE CASCADE
);
COMMENT ON COLUMN zones.region IS 'The zone''s own part of the surface; none takes what the others leave';

CREATE TABLE readings (
	job       path_key NOT NULL,
	room      path_key NOT NULL,
	surface   path_key NOT NULL,
	pos       int NOT NULL,
	edge      int NOT NULL CHECK (edge >= -1),
	at        exact_length NOT NULL,
	deviation exact_length NOT NULL,
	layer     text NOT NULL,
	note      text NOT NULL,
	more      jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (job, room, surface, pos),
	FOREIGN KEY (job, room, surface) REFERENCES surfaces ON DELETE CASCADE
);
COMMENT ON TABLE readings IS 'Measurements of the job file; those taken later on site are records';

-- +goose Down
DROP TABLE readings, zones, openings, edges, surfaces, holds, rooms, site_hours, sites, jobs;
