-- What the firm owns and every job shares.
--
-- Conventions of the whole schema: lengths are bigint in eighths of a micrometre
-- (rooms.Length), money is numeric with four decimals, instants are timestamptz,
-- civil days are date, times of day are minutes after midnight, rings are
-- bigint[] of x0, y0, x1, y1, …; "pos" keeps the order of the user's file; and
-- "more" holds the attributes that have no column of their own.
--
-- References between what a file brings are checked at commit, so that one
-- import may change both ends.

-- +goose Up
CREATE EXTENSION IF NOT EXISTS btree_gist;

CREATE DOMAIN path_key AS text CHECK (VALUE <> '' AND strpos(VALUE, '/') = 0);
COMMENT ON DOMAIN path_key IS 'Part of a path such as job/room/surface, so without a slash';
CREATE DOMAIN ring AS bigint[] CHECK (array_ndims(VALUE) = 1 AND cardinality(VALUE) >= 6 AND cardinality(VALUE) % 2 = 0);
CREATE DOMAIN currency_amount AS numeric(18, 4);
CREATE DOMAIN exact_length AS bigint;
CREATE DOMAIN minute_of_day AS int CHECK (VALUE BETWEEN 0 AND 1440);

-- +goose StatementBegin
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
	RAISE EXCEPTION '% keeps history: a correction is a new row', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;
-- +goose StatementEnd

CREATE TABLE counters (
	name text PRIMARY KEY,
	last bigint NOT NULL CHECK (last >= 0)
);
COMMENT ON TABLE counters IS
	'Numbers without gaps or doubles: a row is raised in the transaction that uses the number, unlike a sequence';

CREATE TABLE firm (
	only_one      boolean PRIMARY KEY DEFAULT true CHECK (only_one),
	key           text NOT NULL CHECK (key <> ''),
	name          text NOT NULL,
	zone          text NOT NULL CHECK (zone <> ''),
	units         text NOT NULL CHECK (units IN ('metric', 'imperial')),
	issue_at      text NOT NULL,
	currency      text NOT NULL,
	service_level double precision NOT NULL CHECK (service_level >= 0 AND service_level < 1),
	week          boolean[] NOT NULL CHECK (cardinality(week) = 7),
	days_off      date[] NOT NULL,
	days_on       date[] NOT NULL,
	rates         jsonb NOT NULL,
	limits        jsonb NOT NULL,
	flat_share    jsonb,
	more          jsonb NOT NULL DEFAULT '{}',
	changed_at    timestamptz NOT NULL
);
COMMENT ON TABLE firm IS 'One row: a database serves one firm';
COMMENT ON COLUMN firm.week IS 'Working days, Sunday first; days_off wins over days_on, both over the week';

CREATE TABLE office_hours (
	pos     int PRIMARY KEY,
	weekday int NOT NULL CHECK (weekday BETWEEN 0 AND 6),
	starts  minute_of_day NOT NULL,
	ends    minute_of_day NOT NULL,
	CHECK (starts < ends),
	EXCLUDE USING gist (weekday WITH =, int4range(starts, ends) WITH &&)
);

CREATE TABLE crews (
	key        text PRIMARY KEY CHECK (key <> ''),
	pos        int NOT NULL,
	name       text NOT NULL,
	setters    int NOT NULL CHECK (setters >= 0),
	helpers    int NOT NULL CHECK (helpers >= 0),
	email      text NOT NULL,
	days_off   date[] NOT NULL,
	days_on    date[] NOT NULL,
	more       jsonb NOT NULL DEFAULT '{}',
	retired_at timestamptz
);
COMMENT ON COLUMN crews.retired_at IS 'No longer in the firm''s file; the row stays because history names it';

CREATE TABLE crew_hours (
	crew    text NOT NULL REFERENCES crews ON DELETE CASCADE,
	pos     int NOT NULL,
	weekday int NOT NULL CHECK (weekday BETWEEN 0 AND 6),
	starts  minute_of_day NOT NULL,
	ends    minute_of_day NOT NULL,
	PRIMARY KEY (crew, pos),
	CHECK (starts < ends),
	EXCLUDE USING gist (crew WITH =, weekday WITH =, int4range(starts, ends) WITH &&)
);

CREATE TABLE travel (
	pos       int PRIMARY KEY,
	from_site text NOT NULL CHECK (from_site <> ''),
	to_site   text NOT NULL CHECK (to_site <> '' AND to_site <> from_site),
	minutes   int NOT NULL CHECK (minutes >= 0)
);
COMMENT ON TABLE travel IS 'Minutes between two sites (job/site), either way; a site''s job may be imported later';
CREATE UNIQUE INDEX travel_pair ON travel (least(from_site, to_site), greatest(from_site, to_site));

CREATE TABLE recipes (
	key  text PRIMARY KEY CHECK (key <> ''),
	pos  int NOT NULL,
	more jsonb NOT NULL DEFAULT '{}'
);

CREATE TABLE recipe_steps (
	recipe         text NOT NULL REFERENCES recipes ON DELETE CASCADE,
	pos            int NOT NULL,
	kind           text NOT NULL CHECK (kind <> ''),
	minutes_per_m2 double precision NOT NULL CHECK (minutes_per_m2 >= 0),
	minutes        double precision NOT NULL CHECK (minutes >= 0),
	setters        int NOT NULL CHECK (setters >= 0),
	helpers        int NOT NULL CHECK (helpers >= 0),
	after_minutes  int NOT NULL CHECK (after_minutes >= 0),
	within_minutes int NOT NULL CHECK (within_minutes >= 0),
	product        text NOT NULL,
	more           jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (recipe, pos)
);

CREATE TABLE suppliers (
	key         text PRIMARY KEY CHECK (key <> ''),
	pos         int NOT NULL,
	name        text NOT NULL,
	email       text NOT NULL,
	lead_days   int NOT NULL CHECK (lead_days >= 0),
	buffer_days int NOT NULL CHECK (buffer_days >= 0),
	week        boolean[] NOT NULL CHECK (cardinality(week) = 7),
	days_off    date[] NOT NULL,
	days_on     date[] NOT NULL,
	min_order   currency_amount NOT NULL CHECK (min_order >= 0),
	free_from   currency_amount NOT NULL CHECK (free_from >= 0),
	freight     currency_amount NOT NULL CHECK (freight >= 0),
	more        jsonb NOT NULL DEFAULT '{}',
	retired_at  timestamptz
);
COMMENT ON COLUMN suppliers.retired_at IS 'No longer in the firm''s file; the row stays because orders name it';

CREATE TABLE tiles (
	key           text PRIMARY KEY CHECK (key <> ''),
	pos           int NOT NULL,
	name          text NOT NULL,
	supplier      text REFERENCES suppliers DEFERRABLE INITIALLY DEFERRED,
	shape         ring NOT NULL,
	thickness     exact_length NOT NULL CHECK (thickness >= 0),
	per_box       int NOT NULL CHECK (per_box > 0),
	box_kg        double precision NOT NULL CHECK (box_kg >= 0),
	material      text NOT NULL,
	directional   boolean NOT NULL,
	rectified     boolean NOT NULL,
	variation     exact_length NOT NULL CHECK (variation >= 0),
	min_strip     exact_length NOT NULL CHECK (min_strip >= 0),
	break_chance  double precision NOT NULL CHECK (break_chance BETWEEN 0 AND 1),
	attic         double precision NOT NULL CHECK (attic >= 0),
	price_per_box currency_amount NOT NULL CHECK (price_per_box >= 0),
	more          jsonb NOT NULL DEFAULT '{}'
);

CREATE TABLE products (
	key          text PRIMARY KEY CHECK (key <> ''),
	pos          int NOT NULL,
	name         text NOT NULL,
	supplier     text REFERENCES suppliers DEFERRABLE INITIALLY DEFERRED,
	kind         text NOT NULL CHECK (kind <> ''),
	unit         text NOT NULL,
	package      text NOT NULL,
	package_size double precision NOT NULL CHECK (package_size > 0),
	price        currency_amount NOT NULL CHECK (price >= 0),
	sheet        jsonb NOT NULL CHECK (jsonb_typeof(sheet) = 'object'),
	more         jsonb NOT NULL DEFAULT '{}'
);
COMMENT ON TABLE products IS 'Mortars, grouts, membranes, sealants, trims and all that is bought by the package and is not tile, by kind';
COMMENT ON COLUMN products.sheet IS 'Figures of the data sheet (takeoff.DataSheet); which there are depends on the kind';

CREATE TABLE lots (
	pos     int NOT NULL,
	tile    text NOT NULL REFERENCES tiles DEFERRABLE INITIALLY DEFERRED,
	lot     text NOT NULL CHECK (lot <> ''),
	calibre text NOT NULL,
	boxes   int NOT NULL CHECK (boxes >= 0),
	tiles   int NOT NULL CHECK (tiles >= 0),
	offered boolean NOT NULL,
	more    jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (tile, lot, offered)
);
COMMENT ON TABLE lots IS 'Lots of tile as counted in the firm''s file, in the yard or on offer; what has come and gone since stands in stock_movements';

CREATE TABLE stock (
	pos      int NOT NULL,
	product  text PRIMARY KEY REFERENCES products DEFERRABLE INITIALLY DEFERRED,
	packages double precision NOT NULL CHECK (packages >= 0),
	more     jsonb NOT NULL DEFAULT '{}'
);

CREATE TABLE imports (
	id      bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	at      timestamptz NOT NULL,
	who     text NOT NULL,
	source  text NOT NULL,
	changes text[] NOT NULL
);
COMMENT ON TABLE imports IS 'What each import changed, in words';
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON imports FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE settings (
	name       text PRIMARY KEY CHECK (name <> ''),
	value      text NOT NULL,
	changed_at timestamptz NOT NULL
);

-- +goose Down
DROP TABLE settings, imports, stock, lots, products, tiles, suppliers, recipe_steps, recipes, travel,
	crew_hours, crews, office_hours, firm, counters;
DROP FUNCTION refuse_change;
DROP DOMAIN minute_of_day, exact_length, currency_amount, ring, path_key;
