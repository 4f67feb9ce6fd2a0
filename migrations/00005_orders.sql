-- Purchase orders, what came in, and where the stock is.

-- +goose Up
CREATE TABLE orders (
	number     bigint PRIMARY KEY CHECK (number > 0),
	key        text NOT NULL UNIQUE CHECK (key <> ''),
	supplier   text NOT NULL REFERENCES suppliers DEFERRABLE INITIALLY DEFERRED,
	state      text NOT NULL CHECK (state IN ('placed', 'confirmed', 'part received', 'received', 'closed', 'cancelled')),
	need_by    date,
	order_by   date,
	delivery   date,
	ready      date,
	currency   text NOT NULL,
	total      currency_amount NOT NULL,
	late       boolean NOT NULL,
	rooms      text[],
	why_merged text NOT NULL,
	notes      text NOT NULL,
	more       jsonb NOT NULL DEFAULT '{}'
);
COMMENT ON COLUMN orders.number IS 'Printed on the order; counted without gaps';
COMMENT ON COLUMN orders.state IS 'A draft stands in the plan only; placing it makes the row';
COMMENT ON COLUMN orders.key IS 'The plan''s name for the order, so that placing it twice gives one';

CREATE TABLE order_lines (
	purchase_order bigint NOT NULL REFERENCES orders,
	pos            int NOT NULL,
	product        text,
	lot            text NOT NULL,
	text           text NOT NULL,
	quantity       double precision NOT NULL CHECK (quantity >= 0),
	unit           text NOT NULL,
	unit_price     currency_amount NOT NULL CHECK (unit_price >= 0),
	amount         currency_amount NOT NULL CHECK (amount >= 0),
	need_by        date,
	rooms          text[],
	more           jsonb NOT NULL DEFAULT '{}',
	PRIMARY KEY (purchase_order, pos)
);
COMMENT ON COLUMN order_lines.product IS 'Key of a tile or product as it was called when ordered; none for freight';

-- +goose StatementBegin
CREATE FUNCTION order_adds_up() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
	lines numeric;
	total numeric;
	asked bigint := CASE WHEN TG_TABLE_NAME = 'orders' THEN (to_jsonb(NEW) ->> 'number')::bigint
		ELSE (to_jsonb(NEW) ->> 'purchase_order')::bigint END;
BEGIN
	SELECT o.total, coalesce((SELECT sum(amount) FROM order_lines WHERE purchase_order = o.number), 0)
		INTO total, lines FROM orders o WHERE o.number = asked;
	IF total <> lines THEN
		RAISE EXCEPTION 'order %: its lines come to % and its total is %', asked, lines, total USING ERRCODE = 'check_violation';
	END IF;
	RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE CONSTRAINT TRIGGER adds_up AFTER INSERT OR UPDATE OF total ON orders
	DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION order_adds_up();
CREATE CONSTRAINT TRIGGER adds_up AFTER INSERT OR UPDATE ON order_lines
	DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION order_adds_up();

CREATE TABLE order_events (
	purchase_order bigint NOT NULL REFERENCES orders,
	seq            int NOT NULL CHECK (seq > 0),
	at             timestamptz NOT NULL,
	who            text NOT NULL,
	state          text NOT NULL,
	note           text NOT NULL,
	PRIMARY KEY (purchase_order, seq)
);
COMMENT ON TABLE order_events IS 'Each step of an order: who and when';
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON order_events FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE receipts (
	id             bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	key            text NOT NULL UNIQUE CHECK (key <> ''),
	purchase_order bigint NOT NULL,
	line           int NOT NULL,
	product        text NOT NULL,
	lot            text NOT NULL,
	calibre        text NOT NULL,
	packages       double precision NOT NULL CHECK (packages >= 0),
	damaged        double precision NOT NULL CHECK (damaged >= 0),
	wrong          double precision NOT NULL CHECK (wrong >= 0),
	mean_width     exact_length CHECK (mean_width > 0),
	mean_height    exact_length CHECK (mean_height > 0),
	received_on    date NOT NULL,
	at             timestamptz NOT NULL,
	who            text NOT NULL,
	note           text NOT NULL,
	FOREIGN KEY (purchase_order, line) REFERENCES order_lines,
	CHECK (packages + damaged + wrong > 0)
);
COMMENT ON TABLE receipts IS 'What came in for an order line; packages are the sound ones, damaged and wrong ones came besides and were not kept';
COMMENT ON COLUMN receipts.key IS 'Chosen by who books it in, so that sending again does nothing';
COMMENT ON COLUMN receipts.mean_width IS 'Measured mean size of the lot''s tiles, where somebody measured';
CREATE INDEX receipts_order ON receipts (purchase_order, line);
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON receipts FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE stock_movements (
	id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	at       timestamptz NOT NULL,
	kind     text NOT NULL CHECK (kind IN ('count', 'receipt', 'reserved', 'released', 'used', 'broken', 'returned', 'moved')),
	place    text NOT NULL,
	product  text NOT NULL CHECK (product <> ''),
	lot      text NOT NULL,
	unit     text NOT NULL CHECK (unit IN ('box', 'tile', 'package')),
	quantity double precision NOT NULL CHECK (quantity <> 0),
	why      text NOT NULL,
	key      text UNIQUE,
	receipt  bigint REFERENCES receipts
);
COMMENT ON TABLE stock_movements IS 'Stock is the sum of what came (+) and went (-); nothing is overwritten';
COMMENT ON COLUMN stock_movements.place IS 'Empty: the yard; else a site, job/site';
CREATE INDEX stock_movements_product ON stock_movements (product, lot, place);
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON stock_movements FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE VIEW stock_on_hand AS
	SELECT place, product, lot, unit, sum(quantity) AS quantity
	FROM stock_movements GROUP BY place, product, lot, unit;

-- +goose Down
DROP VIEW stock_on_hand;
DROP TABLE stock_movements, receipts, order_events, order_lines, orders;
DROP FUNCTION order_adds_up;
