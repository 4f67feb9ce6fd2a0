-- Who may sign in.

-- +goose Up
CREATE TABLE users (
	id            bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	name          text NOT NULL CHECK (name <> ''),
	email         text NOT NULL,
	role          text NOT NULL CHECK (role IN ('contractor', 'office', 'crew')),
	crew          text REFERENCES crews DEFERRABLE INITIALLY DEFERRED,
	password_hash text NOT NULL DEFAULT '',
	session_epoch int NOT NULL DEFAULT 0,
	created_at    timestamptz NOT NULL,
	disabled_at   timestamptz,
	CHECK (role <> 'crew' OR crew IS NOT NULL)
);
COMMENT ON COLUMN users.session_epoch IS 'A session of an earlier epoch is void: raising it signs the user out everywhere';
COMMENT ON COLUMN users.password_hash IS 'Empty: the user signs in by link only';
CREATE UNIQUE INDEX users_name ON users (lower(name));
CREATE UNIQUE INDEX users_email ON users (lower(email)) WHERE email <> '';

CREATE TABLE sign_in_links (
	hash       bytea PRIMARY KEY CHECK (octet_length(hash) = 32),
	user_id    bigint NOT NULL REFERENCES users ON DELETE CASCADE,
	created_at timestamptz NOT NULL,
	expires_at timestamptz NOT NULL,
	used_at    timestamptz
);
COMMENT ON TABLE sign_in_links IS 'Links that sign a user in once; only the SHA-256 of the secret is kept';
CREATE INDEX sign_in_links_user ON sign_in_links (user_id);

CREATE TABLE sessions (
	token  text PRIMARY KEY,
	data   bytea NOT NULL,
	expiry timestamptz NOT NULL
);
COMMENT ON COLUMN sessions.token IS 'Hash of the cookie''s token';
CREATE INDEX sessions_expiry ON sessions (expiry);

-- +goose Down
DROP TABLE sessions, sign_in_links, users;
