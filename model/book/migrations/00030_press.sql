-- What was sent to the book under a key, so that the same sent twice is done once. It is about the sending and no part of the shop:
-- no step writes it, and no export has it.
CREATE TABLE press (
  key TEXT PRIMARY KEY CHECK (key <> ''),
  at  TEXT NOT NULL -- UTC
) STRICT, WITHOUT ROWID;
CREATE INDEX press_at ON press(at);
