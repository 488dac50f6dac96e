-- A frame may be dropped when some of it is cut; and the rack is counted.
ALTER TABLE frame ADD COLUMN dropped INTEGER NOT NULL DEFAULT 0 CHECK (dropped IN (0, 1)); -- 1: it will not be made

-- What the rack was found to hold of a profile, and what it should have held. What it is worth is what planning reckons.
CREATE TABLE stock_count (
  id              INTEGER PRIMARY KEY,
  profile         TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  day             TEXT NOT NULL,
  expected_sticks INTEGER NOT NULL CHECK (expected_sticks >= 0),
  expected_nm     INTEGER NOT NULL CHECK (expected_nm >= 0),
  expected_minor  INTEGER NOT NULL CHECK (expected_minor >= 0),
  sticks          INTEGER NOT NULL CHECK (sticks >= 0),
  length_nm       INTEGER NOT NULL CHECK (length_nm >= 0),
  worth_minor     INTEGER NOT NULL CHECK (worth_minor >= 0)
) STRICT;
CREATE INDEX stock_count_profile ON stock_count(profile);
