-- An order that was cancelled leaves its key to the next one; lists of prices
-- with their history.

-- +goose Up
ALTER TABLE orders DROP CONSTRAINT orders_key_key;
CREATE UNIQUE INDEX orders_key ON orders (key) WHERE state <> 'cancelled';

CREATE TABLE price_lists (
	id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	digest   text NOT NULL UNIQUE CHECK (digest <> ''),
	source   text NOT NULL,
	who      text NOT NULL,
	at       timestamptz NOT NULL,
	currency text NOT NULL
);
COMMENT ON COLUMN price_lists.digest IS 'Of what the list says, so that taking it over twice does nothing';
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON price_lists FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE prices (
	id       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	list     bigint NOT NULL REFERENCES price_lists,
	product  text NOT NULL CHECK (product <> ''),
	price    currency_amount NOT NULL CHECK (price >= 0),
	from_day date NOT NULL,
	UNIQUE (list, product, from_day)
);
COMMENT ON TABLE prices IS 'Price of a package of a tile or product from a day on; of the same day the last one counts. None is ever changed';
CREATE INDEX prices_product ON prices (product, from_day, id);
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON prices FOR EACH ROW EXECUTE FUNCTION refuse_change();

-- +goose Down
DROP TABLE prices, price_lists;
DROP INDEX orders_key;
ALTER TABLE orders ADD CONSTRAINT orders_key_key UNIQUE (key);
