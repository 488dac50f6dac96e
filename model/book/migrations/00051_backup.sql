-- How the book is backed up by itself, and when it last was. It is about this computer and no part of the shop: no step writes it, and no export has it.
CREATE TABLE backup (
  id     INTEGER PRIMARY KEY CHECK (id = 1),
  folder TEXT NOT NULL CHECK (folder <> ''),
  every  INTEGER NOT NULL CHECK (every >= 1),  -- so many steps
  keep   INTEGER NOT NULL CHECK (keep >= 1),   -- so many backups
  step   INTEGER NOT NULL DEFAULT 0,           -- that the last one has; 0: there is none yet
  at     TEXT NOT NULL DEFAULT '',             -- UTC
  file   TEXT NOT NULL DEFAULT ''
) STRICT;
