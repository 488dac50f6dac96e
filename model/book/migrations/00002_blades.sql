-- Blade sets, their sharpenings, and which set a run was cut with.
CREATE TABLE blade (
  id           INTEGER PRIMARY KEY,
  name         TEXT NOT NULL UNIQUE CHECK (name <> ''),
  height_nm    INTEGER NOT NULL CHECK (height_nm >= 0),       -- when it came
  least_nm     INTEGER NOT NULL DEFAULT 0 CHECK (least_nm >= 0),        -- of the machine's manual; 0: not said
  came         TEXT NOT NULL DEFAULT '',
  remind_days  INTEGER CHECK (remind_days > 0),
  remind_chops INTEGER CHECK (remind_chops > 0),
  state        TEXT NOT NULL DEFAULT 'spare' CHECK (state IN ('mounted', 'spare', 'worn'))
) STRICT;
CREATE UNIQUE INDEX blade_mounted ON blade(state) WHERE state = 'mounted';

CREATE TABLE sharpening (
  id        INTEGER PRIMARY KEY,
  blade     TEXT NOT NULL REFERENCES blade(name) ON UPDATE CASCADE,
  day       TEXT NOT NULL,
  height_nm INTEGER NOT NULL CHECK (height_nm >= 0),          -- left afterwards
  after_run INTEGER NOT NULL DEFAULT 0                                  -- the last run before it; 0: none
) STRICT;
CREATE INDEX sharpening_blade ON sharpening(blade);

ALTER TABLE run ADD COLUMN blade TEXT REFERENCES blade(name) ON UPDATE CASCADE;
CREATE INDEX run_blade ON run(blade) WHERE blade IS NOT NULL;
