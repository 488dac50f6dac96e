-- A side may be cut and then not be wanted any more; and what its job pays for it is its share of the plan's cost, which is not the
-- money of the moulding in it. Before, that was what a job was said to cost.
CREATE TABLE cut_2 (
  id            INTEGER PRIMARY KEY,
  run           INTEGER NOT NULL,
  number        INTEGER NOT NULL,     -- of the stick in the run
  place         INTEGER NOT NULL CHECK (place >= 1), -- of the side on the stick, as planned
  job           TEXT NOT NULL,
  frame         TEXT NOT NULL,
  copy          INTEGER NOT NULL CHECK (copy >= 1),
  ring          INTEGER NOT NULL CHECK (ring >= 1),
  letter        TEXT NOT NULL,
  long_point_nm INTEGER NOT NULL CHECK (long_point_nm > 0),
  takes_nm      INTEGER NOT NULL CHECK (takes_nm >= long_point_nm),
  cost_minor    INTEGER NOT NULL CHECK (cost_minor >= 0), -- the money of the moulding in it
  spoilt        INTEGER NOT NULL CHECK (spoilt >= 0),
  became        TEXT NOT NULL CHECK (became IN ('done', 'short', 'torn', 'unwanted') AND (became = 'done') = (spoilt = 0)),
  share_minor   INTEGER NOT NULL DEFAULT 0,               -- of its plan's cost, where it is done
  UNIQUE (run, number, place),
  UNIQUE (job, frame, copy, ring, letter, spoilt),
  FOREIGN KEY (run, number) REFERENCES run_stick(run, number),
  FOREIGN KEY (job, frame) REFERENCES frame(job, name) ON UPDATE CASCADE
) STRICT;
INSERT INTO cut_2 SELECT id, run, number, place, job, frame, copy, ring, letter, long_point_nm, takes_nm, cost_minor, spoilt, became,
  iif(spoilt = 0, cost_minor, 0) FROM cut;
DROP TABLE cut;
ALTER TABLE cut_2 RENAME TO cut;
