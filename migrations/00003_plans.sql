-- Plans as they were made, and the current one spread out in rows.

-- +goose Up
CREATE TABLE plans (
	id      bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	made_at timestamptz NOT NULL,
	today   date NOT NULL,
	epoch   timestamptz NOT NULL,
	finish  timestamptz NOT NULL,
	bound   timestamptz NOT NULL,
	status  text NOT NULL,
	reason  text NOT NULL,
	CHECK (bound <= finish)
);
COMMENT ON TABLE plans IS 'Every plan that was in force; the one with the highest id is the current one';
COMMENT ON COLUMN plans.bound IS 'Proven: no plan finishes earlier';
CREATE INDEX plans_made_at ON plans (made_at);

CREATE TABLE chunks (
	hash bytea PRIMARY KEY CHECK (octet_length(hash) = 32),
	body bytea NOT NULL
);
ALTER TABLE chunks ALTER body SET STORAGE EXTERNAL;
COMMENT ON TABLE chunks IS
	'Stretches of plans under the SHA-256 of their plain text, deflated: a new plan stores only what differs from those before it';

CREATE TABLE plan_parts (
	plan   bigint NOT NULL REFERENCES plans ON DELETE CASCADE,
	part   text NOT NULL CHECK (part IN ('firm', 'state', 'document')),
	size   bigint NOT NULL CHECK (size >= 0),
	chunks bytea[] NOT NULL,
	PRIMARY KEY (plan, part)
);
COMMENT ON COLUMN plan_parts.chunks IS 'Hashes of the chunks that make up the part, in order';

CREATE TABLE activities (
	id       text PRIMARY KEY CHECK (id <> ''),
	plan     bigint NOT NULL REFERENCES plans,
	job      path_key NOT NULL,
	room     path_key NOT NULL,
	surfaces text[] NOT NULL,
	kind     text NOT NULL,
	title    text NOT NULL,
	crew     text REFERENCES crews DEFERRABLE INITIALLY DEFERRED,
	setters  int NOT NULL CHECK (setters >= 0),
	helpers  int NOT NULL CHECK (helpers >= 0),
	starts   timestamptz NOT NULL,
	ends     timestamptz NOT NULL,
	critical boolean NOT NULL,
	state    text NOT NULL,
	hash     bytea NOT NULL,
	FOREIGN KEY (job, room) REFERENCES rooms ON DELETE CASCADE,
	CHECK (starts <= ends)
);
COMMENT ON TABLE activities IS 'The current plan''s activities; plan is the one that last changed the row';
CREATE INDEX activities_room ON activities (job, room);
CREATE INDEX activities_crew ON activities (crew, starts);

CREATE TABLE bookings (
	activity text NOT NULL REFERENCES activities ON DELETE CASCADE,
	crew     text NOT NULL REFERENCES crews DEFERRABLE INITIALLY DEFERRED,
	site     text NOT NULL,
	during   tstzrange NOT NULL CHECK (NOT isempty(during)),
	CONSTRAINT crew_at_one_site EXCLUDE USING gist (crew WITH =, site WITH <>, during WITH &&) DEFERRABLE INITIALLY DEFERRED
);
COMMENT ON TABLE bookings IS 'When the current plan has a crew at work; site is job/site';
COMMENT ON CONSTRAINT crew_at_one_site ON bookings IS
	'Jobs share crews: a crew is never booked at two sites at once, whatever made the plan. At one site its people may share out the work';
CREATE INDEX bookings_activity ON bookings (activity);

CREATE TABLE setting_areas (
	id       text PRIMARY KEY CHECK (id <> ''),
	plan     bigint NOT NULL REFERENCES plans,
	activity text NOT NULL REFERENCES activities ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED,
	crew     text REFERENCES crews DEFERRABLE INITIALLY DEFERRED,
	surfaces text[] NOT NULL,
	starts   timestamptz NOT NULL,
	ends     timestamptz NOT NULL,
	mortar   text NOT NULL,
	m2       double precision NOT NULL CHECK (m2 >= 0),
	kg       double precision NOT NULL CHECK (kg >= 0),
	pieces   int NOT NULL CHECK (pieces >= 0),
	hash     bytea NOT NULL,
	CHECK (starts <= ends)
);
COMMENT ON TABLE setting_areas IS 'What the current plan sets without a stop; plan is the one that last changed the row';
CREATE INDEX setting_areas_activity ON setting_areas (activity);

-- +goose Down
DROP TABLE setting_areas, bookings, activities, plan_parts, chunks, plans;
