-- The shop's book. Lengths are whole nanometres (_nm), money whole minor units of the workshop's currency (_minor), angles
-- millionths of a degree (_udeg), shares per cent (_pct), days year-month-day; an empty text is "not given".

-- Who changed what, when and why. Every row of every table but these three is written within a step: triggers see to it.
CREATE TABLE step (
  id     INTEGER PRIMARY KEY,
  at     TEXT NOT NULL,              -- UTC, as 2027-03-12T08:15:00Z
  who    TEXT NOT NULL,
  kind   TEXT NOT NULL CHECK (kind <> ''),
  why    TEXT NOT NULL DEFAULT '',
  undoes INTEGER REFERENCES step(id) -- a step that this one has taken back
) STRICT;
CREATE UNIQUE INDEX step_undoes ON step(undoes) WHERE undoes IS NOT NULL;

-- Each row that a step has written, with what it was before; nothing there: no row was. Only ever added to.
CREATE TABLE change (
  id     INTEGER PRIMARY KEY,
  step   INTEGER NOT NULL REFERENCES step(id),
  tab    TEXT NOT NULL,
  row    INTEGER NOT NULL,
  before TEXT                        -- JSON object of the row's columns
) STRICT;
CREATE INDEX change_step ON change(step);
CREATE INDEX change_row ON change(tab, row);

-- The step that is being written; empty between transactions.
CREATE TABLE open_step (
  id   INTEGER PRIMARY KEY CHECK (id = 1),
  step INTEGER NOT NULL REFERENCES step(id)
) STRICT;

CREATE TABLE workshop (
  id                  INTEGER PRIMARY KEY CHECK (id = 1),
  name                TEXT NOT NULL DEFAULT '',
  unit                TEXT NOT NULL CHECK (unit IN ('mm', 'cm', 'in')),
  currency            TEXT NOT NULL CHECK (length(currency) = 3),
  machine_name        TEXT NOT NULL DEFAULT '',
  machine_type        TEXT NOT NULL CHECK (machine_type IN ('guillotine', 'saw')),
  overrun_nm          INTEGER NOT NULL DEFAULT 0,
  kerf_nm             INTEGER NOT NULL DEFAULT 0,
  shave_nm            INTEGER NOT NULL,
  head_trim_nm        INTEGER NOT NULL DEFAULT 0,
  tail_trim_nm        INTEGER NOT NULL DEFAULT 0,
  bite_nm             INTEGER NOT NULL DEFAULT 0,
  finishing_bite_nm   INTEGER NOT NULL DEFAULT 0,
  greatest_width_nm   INTEGER,
  longest_side_nm     INTEGER,
  shortest_side_nm    INTEGER,
  least_angle_udeg    INTEGER,
  greatest_angle_udeg INTEGER,
  stops               INTEGER NOT NULL DEFAULT 0,
  stop_gap_nm         INTEGER,
  allowance_nm        INTEGER NOT NULL,
  rack_share_pct      INTEGER NOT NULL,
  offcut_share_pct    INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE profile (
  id               INTEGER PRIMARY KEY,
  name             TEXT NOT NULL UNIQUE CHECK (name <> ''),
  title            TEXT NOT NULL DEFAULT '',
  width_nm         INTEGER NOT NULL CHECK (width_nm > 0),
  rebate_nm        INTEGER NOT NULL CHECK (rebate_nm >= 0 AND rebate_nm < width_nm),
  finish           TEXT NOT NULL DEFAULT '',
  head_trim_nm     INTEGER NOT NULL DEFAULT 0 CHECK (head_trim_nm >= 0),
  tail_trim_nm     INTEGER NOT NULL DEFAULT 0 CHECK (tail_trim_nm >= 0),
  keep_nm          INTEGER NOT NULL CHECK (keep_nm >= 0),
  metre_minor      INTEGER,
  offcut_share_pct INTEGER,
  match            TEXT NOT NULL DEFAULT '' CHECK (match IN ('', 'free', 'lot', 'pair', 'stick')),
  repeat_nm        INTEGER NOT NULL DEFAULT 0 CHECK (repeat_nm >= 0),
  set_up           TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE supplier (
  id             INTEGER PRIMARY KEY,
  name           TEXT NOT NULL UNIQUE CHECK (name <> ''),
  least_minor    INTEGER,
  least_sticks   INTEGER NOT NULL DEFAULT 0 CHECK (least_sticks >= 0),
  delivery_minor INTEGER NOT NULL DEFAULT 0 CHECK (delivery_minor >= 0)
) STRICT;

CREATE TABLE offer (
  id          INTEGER PRIMARY KEY,
  supplier    TEXT NOT NULL,
  profile     TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  length_nm   INTEGER NOT NULL CHECK (length_nm > 0),
  longest_nm  INTEGER NOT NULL DEFAULT 0 CHECK (longest_nm >= 0),
  bundle      INTEGER NOT NULL DEFAULT 1 CHECK (bundle >= 1),
  from_number INTEGER NOT NULL DEFAULT 1 CHECK (from_number >= 1),
  price_minor INTEGER NOT NULL CHECK (price_minor >= 0),
  until       TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX offer_profile ON offer(profile);

CREATE TABLE job (
  id       INTEGER PRIMARY KEY,
  name     TEXT NOT NULL UNIQUE CHECK (name <> ''),
  customer TEXT NOT NULL DEFAULT '',
  due      TEXT NOT NULL DEFAULT '',
  note     TEXT NOT NULL DEFAULT '',
  match    TEXT NOT NULL DEFAULT '' CHECK (match IN ('', 'free', 'lot', 'pair', 'stick')),
  state    TEXT NOT NULL DEFAULT 'open' CHECK (state IN ('open', 'ready', 'collected', 'dropped'))
) STRICT;
CREATE INDEX job_state ON job(state);

CREATE TABLE frame (
  id       INTEGER PRIMARY KEY,
  job      TEXT NOT NULL REFERENCES job(name) ON UPDATE CASCADE,
  name     TEXT NOT NULL CHECK (name <> ''),
  quantity INTEGER NOT NULL DEFAULT 1 CHECK (quantity BETWEEN 1 AND 10000),
  UNIQUE (job, name)
) STRICT;

-- A ring of a frame, numbered from the inside. Shape and size are the innermost ring's; in the others they are 0. A size
-- that does not say what it is of is the content's.
CREATE TABLE ring (
  id           INTEGER PRIMARY KEY,
  job          TEXT NOT NULL,
  frame        TEXT NOT NULL,
  number       INTEGER NOT NULL DEFAULT 1 CHECK (number BETWEEN 1 AND 9),
  profile      TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  allowance_nm INTEGER NOT NULL DEFAULT 0,
  sides        INTEGER NOT NULL DEFAULT 4 CHECK (sides = 0 AND number > 1 OR sides BETWEEN 3 AND 24 AND number = 1),
  given_by     TEXT NOT NULL DEFAULT '' CHECK (given_by IN ('', 'content', 'rebate', 'sight', 'outside')),
  width_nm     INTEGER NOT NULL DEFAULT 0 CHECK (width_nm >= 0),
  height_nm    INTEGER NOT NULL DEFAULT 0 CHECK (height_nm >= 0),
  across       INTEGER NOT NULL DEFAULT 0 CHECK (across IN (0, 1)),
  UNIQUE (job, frame, number),
  FOREIGN KEY (job, frame) REFERENCES frame(job, name) ON UPDATE CASCADE
) STRICT;

-- A plan that was made, and its document, packed, in parts.
CREATE TABLE plan (
  id          INTEGER PRIMARY KEY,
  made        TEXT NOT NULL,          -- UTC
  format      TEXT NOT NULL,
  until       TEXT NOT NULL DEFAULT '',
  grade       TEXT NOT NULL,
  sides       INTEGER NOT NULL,
  cost_minor  INTEGER NOT NULL,
  bound_minor INTEGER NOT NULL,
  digest      TEXT NOT NULL           -- SHA-256 of the document, in hex
) STRICT;

CREATE TABLE plan_part (
  id     INTEGER PRIMARY KEY,
  plan   INTEGER NOT NULL REFERENCES plan(id),
  number INTEGER NOT NULL CHECK (number >= 1),
  data   BLOB NOT NULL,
  UNIQUE (plan, number)
) STRICT;

CREATE TABLE purchase (
  id             INTEGER PRIMARY KEY,
  supplier       TEXT NOT NULL,
  plan           INTEGER REFERENCES plan(id),
  placed         TEXT NOT NULL DEFAULT '',
  delivery_minor INTEGER NOT NULL DEFAULT 0 CHECK (delivery_minor >= 0),
  state          TEXT NOT NULL DEFAULT 'placed' CHECK (state IN ('placed', 'arrived', 'cancelled'))
) STRICT;
CREATE INDEX purchase_plan ON purchase(plan);
CREATE INDEX purchase_state ON purchase(state);

CREATE TABLE purchase_line (
  id         INTEGER PRIMARY KEY,
  purchase   INTEGER NOT NULL REFERENCES purchase(id),
  number     INTEGER NOT NULL CHECK (number >= 1),
  profile    TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  length_nm  INTEGER NOT NULL CHECK (length_nm > 0),
  sticks     INTEGER NOT NULL CHECK (sticks >= 1),
  cost_minor INTEGER NOT NULL CHECK (cost_minor >= 0), -- of all the sticks
  UNIQUE (purchase, number)
) STRICT;
CREATE INDEX purchase_line_profile ON purchase_line(profile);

CREATE TABLE delivery (
  id       INTEGER PRIMARY KEY,
  purchase INTEGER NOT NULL REFERENCES purchase(id),
  arrived  TEXT NOT NULL DEFAULT '',
  note     TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX delivery_purchase ON delivery(purchase);

-- A stick or offcut, for good: those that are used up stay as what they were.
CREATE TABLE stick (
  id          INTEGER PRIMARY KEY,
  name        TEXT NOT NULL UNIQUE CHECK (name <> ''),
  profile     TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  origin      TEXT NOT NULL DEFAULT 'found' CHECK (origin IN ('found', 'bought', 'offcut')),
  parent      TEXT REFERENCES stick(name) ON UPDATE CASCADE, -- what it is an offcut of
  delivery    INTEGER REFERENCES delivery(id),
  line        INTEGER,               -- of the purchase
  supplier    TEXT NOT NULL DEFAULT '',
  lot         TEXT NOT NULL DEFAULT '',
  place       TEXT NOT NULL DEFAULT '',
  length_nm   INTEGER NOT NULL CHECK (length_nm > 0),
  value_minor INTEGER,               -- what planning reckons it is worth, where that was said
  cost_minor  INTEGER NOT NULL DEFAULT 0 CHECK (cost_minor >= 0),      -- the money that is in it
  offcut      INTEGER NOT NULL DEFAULT 0 CHECK (offcut IN (0, 1)),
  damage_nm   TEXT NOT NULL DEFAULT '',         -- spans from-to from the head on, with commas between
  state       TEXT NOT NULL DEFAULT 'rack' CHECK (state IN ('rack', 'run', 'used', 'discarded')),
  CHECK ((origin = 'offcut') = (parent IS NOT NULL)),
  CHECK ((origin = 'bought') = (delivery IS NOT NULL))
) STRICT;
CREATE INDEX stick_state ON stick(state);
CREATE INDEX stick_profile ON stick(profile);
CREATE INDEX stick_parent ON stick(parent) WHERE parent IS NOT NULL;
CREATE INDEX stick_delivery ON stick(delivery) WHERE delivery IS NOT NULL;

-- One session at the machine with one profile.
CREATE TABLE run (
  id       INTEGER PRIMARY KEY,
  plan     INTEGER NOT NULL REFERENCES plan(id),
  profile  TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  started  TEXT NOT NULL,
  finished TEXT NOT NULL DEFAULT '',
  state    TEXT NOT NULL CHECK (state IN ('open', 'finished')),
  strokes  INTEGER NOT NULL CHECK (strokes >= 1), -- bites in a chop
  chops    INTEGER NOT NULL DEFAULT 0 CHECK (chops >= 0)
) STRICT;
CREATE INDEX run_plan ON run(plan);
CREATE UNIQUE INDEX run_open ON run(profile) WHERE state = 'open';
CREATE INDEX run_profile ON run(profile);

-- A stick of a run, in cutting order. length = long points done + kept + waste, and cost likewise.
CREATE TABLE run_stick (
  id          INTEGER PRIMARY KEY,
  run         INTEGER NOT NULL REFERENCES run(id),
  number      INTEGER NOT NULL CHECK (number >= 1),
  stick       TEXT NOT NULL REFERENCES stick(name) ON UPDATE CASCADE,
  head_nm     INTEGER NOT NULL CHECK (head_nm >= 0),
  flaw        TEXT NOT NULL DEFAULT '',          -- what was found wrong with it
  state       TEXT NOT NULL CHECK (state IN ('open', 'cut', 'returned')),
  kept_nm     INTEGER NOT NULL DEFAULT 0 CHECK (kept_nm >= 0),
  waste_nm    INTEGER NOT NULL DEFAULT 0 CHECK (waste_nm >= 0),
  waste_minor INTEGER NOT NULL DEFAULT 0 CHECK (waste_minor >= 0),
  UNIQUE (run, number)
) STRICT;
CREATE UNIQUE INDEX run_stick_once ON run_stick(stick) WHERE state <> 'returned';
CREATE INDEX run_stick_stick ON run_stick(stick);

-- A side that came off a stick. spoilt 0: it is done, and then it is so once; 1, 2, ...: the side's first, second ... failure.
CREATE TABLE cut (
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
  cost_minor    INTEGER NOT NULL CHECK (cost_minor >= 0),
  spoilt        INTEGER NOT NULL CHECK (spoilt >= 0),
  became        TEXT NOT NULL CHECK (became IN ('done', 'short', 'torn') AND (became = 'done') = (spoilt = 0)),
  UNIQUE (run, number, place),
  UNIQUE (job, frame, copy, ring, letter, spoilt),
  FOREIGN KEY (run, number) REFERENCES run_stick(run, number),
  FOREIGN KEY (job, frame) REFERENCES frame(job, name) ON UPDATE CASCADE
) STRICT;
