-- What was issued, what was reported, and what is to be sent.

-- +goose Up
CREATE TABLE work_days (
	crew         text NOT NULL REFERENCES crews DEFERRABLE INITIALLY DEFERRED,
	work_date    date NOT NULL,
	frozen_until timestamptz NOT NULL,
	PRIMARY KEY (crew, work_date)
);
COMMENT ON TABLE work_days IS 'Days that have been issued to a crew; planning may not change anything that starts before frozen_until';

CREATE TABLE issues (
	crew        text NOT NULL,
	work_date   date NOT NULL,
	revision    int NOT NULL CHECK (revision >= 1),
	previous    int GENERATED ALWAYS AS (nullif(revision - 1, 0)) STORED,
	issued_at   timestamptz NOT NULL,
	replaced_at timestamptz CHECK (replaced_at >= issued_at),
	plan        bigint REFERENCES plans,
	sheet       json NOT NULL,
	text        text NOT NULL,
	differences text[] NOT NULL,
	PRIMARY KEY (crew, work_date, revision),
	FOREIGN KEY (crew, work_date) REFERENCES work_days,
	FOREIGN KEY (crew, work_date, previous) REFERENCES issues (crew, work_date, revision)
);
COMMENT ON TABLE issues IS 'Day sheets as they went out; one row per crew, day and revision however many processes issue';
COMMENT ON COLUMN issues.previous IS 'Revisions count up without a gap';
COMMENT ON COLUMN issues.sheet IS 'json, not jsonb: kept letter by letter';
CREATE UNIQUE INDEX issues_current ON issues (crew, work_date) WHERE replaced_at IS NULL;
CREATE INDEX issues_date ON issues (work_date, crew);

CREATE TABLE pieces (
	id         text PRIMARY KEY CHECK (id <> ''),
	job        path_key NOT NULL,
	room       path_key NOT NULL,
	surface    path_key NOT NULL,
	zone       text NOT NULL,
	area       text NOT NULL,
	label      text NOT NULL,
	course     int NOT NULL,
	position   int NOT NULL,
	tile       text NOT NULL,
	is_full    boolean NOT NULL,
	stock_tile text NOT NULL,
	lot        text NOT NULL,
	crew       text NOT NULL,
	work_date  date NOT NULL,
	FOREIGN KEY (job, room, surface) REFERENCES surfaces DEFERRABLE INITIALLY DEFERRED,
	FOREIGN KEY (crew, work_date) REFERENCES work_days
);
COMMENT ON TABLE pieces IS
	'Pieces that stand on an issued sheet, each on one day only: their surface keeps its origin and cannot be taken out of the job';
CREATE INDEX pieces_surface ON pieces (job, room, surface);
CREATE INDEX pieces_day ON pieces (crew, work_date);

CREATE TABLE records (
	id          bigint PRIMARY KEY CHECK (id > 0),
	key         text NOT NULL UNIQUE CHECK (key <> ''),
	kind        text NOT NULL CHECK (kind <> ''),
	happened_at timestamptz NOT NULL,
	received_at timestamptz NOT NULL,
	who         text NOT NULL,
	crew        text REFERENCES crews DEFERRABLE INITIALLY DEFERRED,
	area        text NOT NULL,
	activity    text NOT NULL,
	pieces      text[],
	surface     text NOT NULL,
	reading     jsonb,
	minutes     int NOT NULL CHECK (minutes >= 0),
	note        text NOT NULL,
	corrects    text REFERENCES records (key),
	more        jsonb NOT NULL DEFAULT '{}'
);
COMMENT ON TABLE records IS 'Reports from site and office in the order they came in (id, without gaps); a correction is a record of its own';
COMMENT ON COLUMN records.key IS 'Chosen by who reports, so that sending again does nothing';
CREATE INDEX records_happened ON records (happened_at, id);
CREATE INDEX records_area ON records (area) WHERE area <> '';
CREATE INDEX records_activity ON records (activity) WHERE activity <> '';
CREATE INDEX records_surface ON records (surface) WHERE surface <> '';
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON records FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE attachments (
	record bigint NOT NULL REFERENCES records,
	pos    int NOT NULL,
	type   text NOT NULL,
	body   bytea NOT NULL,
	PRIMARY KEY (record, pos)
);
COMMENT ON TABLE attachments IS 'Photos sent with a record';

CREATE TABLE outbox (
	id           bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	key          text NOT NULL UNIQUE CHECK (key <> ''),
	channel      text NOT NULL CHECK (channel <> ''),
	recipient    text NOT NULL,
	body         json NOT NULL,
	created_at   timestamptz NOT NULL,
	attempts     int NOT NULL DEFAULT 0 CHECK (attempts >= 0),
	next_try     timestamptz NOT NULL,
	locked_until timestamptz,
	done_at      timestamptz,
	failed_at    timestamptz,
	last_error   text NOT NULL DEFAULT '',
	CHECK (done_at IS NULL OR failed_at IS NULL)
);
COMMENT ON TABLE outbox IS 'Messages written in the transaction that made them necessary, and sent afterwards';
COMMENT ON COLUMN outbox.key IS 'Message-ID or Idempotency-Key, so that a receiver can tell a repeat';
COMMENT ON COLUMN outbox.locked_until IS 'A sender has it until then; if it dies the message is free again';
COMMENT ON COLUMN outbox.failed_at IS 'Given up for good; a person has to look';
CREATE INDEX outbox_due ON outbox (next_try) WHERE done_at IS NULL AND failed_at IS NULL;

-- +goose Down
DROP TABLE outbox, attachments, records, pieces, issues, work_days;
