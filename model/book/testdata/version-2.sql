-- A book of version 2 in which something of everything has happened, written by the program of that version. Tests bring it forward.
CREATE TABLE version (
		id INTEGER PRIMARY KEY AUTOINCREMENT,
		version_id INTEGER NOT NULL,
		is_applied INTEGER NOT NULL,
		tstamp TIMESTAMP DEFAULT (datetime('now'))
	);
CREATE TABLE step (
  id     INTEGER PRIMARY KEY,
  at     TEXT NOT NULL,              -- UTC, as 2027-03-12T08:15:00Z
  who    TEXT NOT NULL,
  kind   TEXT NOT NULL CHECK (kind <> ''),
  why    TEXT NOT NULL DEFAULT '',
  undoes INTEGER REFERENCES step(id) -- a step that this one has taken back
) STRICT;
CREATE TABLE change (
  id     INTEGER PRIMARY KEY,
  step   INTEGER NOT NULL REFERENCES step(id),
  tab    TEXT NOT NULL,
  row    INTEGER NOT NULL,
  before TEXT                        -- JSON object of the row's columns
) STRICT;
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
CREATE TABLE job (
  id       INTEGER PRIMARY KEY,
  name     TEXT NOT NULL UNIQUE CHECK (name <> ''),
  customer TEXT NOT NULL DEFAULT '',
  due      TEXT NOT NULL DEFAULT '',
  note     TEXT NOT NULL DEFAULT '',
  match    TEXT NOT NULL DEFAULT '' CHECK (match IN ('', 'free', 'lot', 'pair', 'stick')),
  state    TEXT NOT NULL DEFAULT 'open' CHECK (state IN ('open', 'ready', 'collected', 'dropped'))
) STRICT;
CREATE TABLE frame (
  id       INTEGER PRIMARY KEY,
  job      TEXT NOT NULL REFERENCES job(name) ON UPDATE CASCADE,
  name     TEXT NOT NULL CHECK (name <> ''),
  quantity INTEGER NOT NULL DEFAULT 1 CHECK (quantity BETWEEN 1 AND 10000),
  UNIQUE (job, name)
) STRICT;
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
CREATE TABLE delivery (
  id       INTEGER PRIMARY KEY,
  purchase INTEGER NOT NULL REFERENCES purchase(id),
  arrived  TEXT NOT NULL DEFAULT '',
  note     TEXT NOT NULL DEFAULT ''
) STRICT;
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
CREATE TABLE run (
  id       INTEGER PRIMARY KEY,
  plan     INTEGER NOT NULL REFERENCES plan(id),
  profile  TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  started  TEXT NOT NULL,
  finished TEXT NOT NULL DEFAULT '',
  state    TEXT NOT NULL CHECK (state IN ('open', 'finished')),
  strokes  INTEGER NOT NULL CHECK (strokes >= 1), -- bites in a chop
  chops    INTEGER NOT NULL DEFAULT 0 CHECK (chops >= 0)
, blade TEXT REFERENCES blade(name) ON UPDATE CASCADE) STRICT;
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
CREATE TABLE sharpening (
  id        INTEGER PRIMARY KEY,
  blade     TEXT NOT NULL REFERENCES blade(name) ON UPDATE CASCADE,
  day       TEXT NOT NULL,
  height_nm INTEGER NOT NULL CHECK (height_nm >= 0),          -- left afterwards
  after_run INTEGER NOT NULL DEFAULT 0                                  -- the last run before it; 0: none
) STRICT;
INSERT INTO version VALUES (1, 0, 1, '2026-11-30 03:00:04');
INSERT INTO version VALUES (2, 1, 1, '2026-11-30 03:00:04');
INSERT INTO version VALUES (3, 2, 1, '2026-11-30 03:00:04');
INSERT INTO step VALUES (1, '2026-11-30T03:00:04Z', 'tester', 'fill', 'a test', NULL);
INSERT INTO step VALUES (2, '2026-11-30T03:00:04Z', 'tester', 'plan', 'a test', NULL);
INSERT INTO step VALUES (3, '2026-11-30T03:00:04Z', 'tester', 'order', 'a test', NULL);
INSERT INTO step VALUES (4, '2026-11-30T03:00:04Z', 'tester', 'receive', 'a test', NULL);
INSERT INTO step VALUES (5, '2026-11-30T03:00:04Z', 'tester', 'new blades', 'a test', NULL);
INSERT INTO step VALUES (6, '2026-11-30T03:00:04Z', 'tester', 'sharpen', 'a test', NULL);
INSERT INTO step VALUES (7, '2026-11-30T03:00:04Z', 'tester', 'mount blades', 'a test', NULL);
INSERT INTO step VALUES (8, '2026-11-30T03:00:04Z', 'tester', 'start run', 'a test', NULL);
INSERT INTO step VALUES (9, '2026-11-30T03:00:04Z', 'tester', 'cut', 'a test', NULL);
INSERT INTO step VALUES (10, '2026-11-30T03:00:04Z', 'tester', 'cut', 'a test', NULL);
INSERT INTO step VALUES (11, '2026-11-30T03:00:04Z', 'tester', 'cut', 'a test', NULL);
INSERT INTO step VALUES (12, '2026-11-30T03:00:04Z', 'tester', 'finish run', 'a test', NULL);
INSERT INTO step VALUES (13, '2026-11-30T03:00:04Z', 'tester', 'start run', 'a test', NULL);
INSERT INTO step VALUES (14, '2026-11-30T03:00:04Z', 'tester', 'cut', 'a test', NULL);
INSERT INTO step VALUES (15, '2026-11-30T03:00:04Z', 'tester', 'cut', 'a test', NULL);
INSERT INTO step VALUES (16, '2026-11-30T03:00:04Z', 'tester', 'cut', 'a test', NULL);
INSERT INTO step VALUES (17, '2026-11-30T03:00:04Z', 'tester', 'finish run', 'a test', NULL);
INSERT INTO step VALUES (18, '2026-11-30T03:00:04Z', 'tester', 'sharpen', 'a test', NULL);
INSERT INTO step VALUES (19, '2026-11-30T03:00:04Z', 'tester', 'undo', 'a test', 18);
INSERT INTO change VALUES (1, 1, 'workshop', 1, NULL);
INSERT INTO change VALUES (2, 1, 'profile', 1, NULL);
INSERT INTO change VALUES (3, 1, 'profile', 2, NULL);
INSERT INTO change VALUES (4, 1, 'supplier', 1, NULL);
INSERT INTO change VALUES (5, 1, 'offer', 1, NULL);
INSERT INTO change VALUES (6, 1, 'offer', 2, NULL);
INSERT INTO change VALUES (7, 1, 'offer', 3, NULL);
INSERT INTO change VALUES (8, 1, 'offer', 4, NULL);
INSERT INTO change VALUES (9, 1, 'stick', 1, NULL);
INSERT INTO change VALUES (10, 1, 'stick', 2, NULL);
INSERT INTO change VALUES (11, 1, 'stick', 3, NULL);
INSERT INTO change VALUES (12, 1, 'stick', 4, NULL);
INSERT INTO change VALUES (13, 1, 'job', 1, NULL);
INSERT INTO change VALUES (14, 1, 'frame', 1, NULL);
INSERT INTO change VALUES (15, 1, 'ring', 1, NULL);
INSERT INTO change VALUES (16, 1, 'job', 2, NULL);
INSERT INTO change VALUES (17, 1, 'frame', 2, NULL);
INSERT INTO change VALUES (18, 1, 'ring', 2, NULL);
INSERT INTO change VALUES (19, 1, 'frame', 3, NULL);
INSERT INTO change VALUES (20, 1, 'ring', 3, NULL);
INSERT INTO change VALUES (21, 1, 'ring', 4, NULL);
INSERT INTO change VALUES (22, 1, 'job', 3, NULL);
INSERT INTO change VALUES (23, 1, 'frame', 4, NULL);
INSERT INTO change VALUES (24, 1, 'ring', 5, NULL);
INSERT INTO change VALUES (25, 2, 'plan', 1, NULL);
INSERT INTO change VALUES (26, 2, 'plan_part', 1, NULL);
INSERT INTO change VALUES (27, 3, 'purchase', 1, NULL);
INSERT INTO change VALUES (28, 3, 'purchase_line', 1, NULL);
INSERT INTO change VALUES (29, 3, 'purchase_line', 2, NULL);
INSERT INTO change VALUES (30, 4, 'delivery', 1, NULL);
INSERT INTO change VALUES (31, 4, 'stick', 5, NULL);
INSERT INTO change VALUES (32, 4, 'stick', 6, NULL);
INSERT INTO change VALUES (33, 4, 'stick', 7, NULL);
INSERT INTO change VALUES (34, 4, 'purchase', 1, '{"id":1,"supplier":"Invented Timber","plan":1,"placed":"2026-11-30","delivery_minor":790,"state":"placed"}');
INSERT INTO change VALUES (35, 5, 'blade', 1, NULL);
INSERT INTO change VALUES (36, 6, 'sharpening', 1, NULL);
INSERT INTO change VALUES (37, 7, 'blade', 1, '{"id":1,"name":"set A","height_nm":30000000,"least_nm":0,"came":"2026-11-30","remind_days":null,"remind_chops":null,"state":"spare"}');
INSERT INTO change VALUES (38, 8, 'run', 1, NULL);
INSERT INTO change VALUES (39, 8, 'run', 1, '{"id":1,"plan":1,"profile":"oak-40","started":"2026-11-30","finished":"","state":"open","strokes":4,"chops":0,"blade":null}');
INSERT INTO change VALUES (40, 8, 'run_stick', 1, NULL);
INSERT INTO change VALUES (41, 8, 'stick', 5, '{"id":5,"name":"P1-1","profile":"oak-40","origin":"bought","parent":null,"delivery":1,"line":1,"supplier":"Invented Timber","lot":"","place":"new rack","length_nm":2400000000,"value_minor":null,"cost_minor":1750,"offcut":0,"damage_nm":"","state":"rack"}');
INSERT INTO change VALUES (42, 8, 'run_stick', 2, NULL);
INSERT INTO change VALUES (43, 8, 'stick', 1, '{"id":1,"name":"S1","profile":"oak-40","origin":"found","parent":null,"delivery":null,"line":null,"supplier":"","lot":"","place":"left","length_nm":2290000000,"value_minor":null,"cost_minor":802,"offcut":0,"damage_nm":"","state":"rack"}');
INSERT INTO change VALUES (44, 9, 'cut', 1, NULL);
INSERT INTO change VALUES (45, 9, 'cut', 2, NULL);
INSERT INTO change VALUES (46, 9, 'cut', 3, NULL);
INSERT INTO change VALUES (47, 9, 'cut', 4, NULL);
INSERT INTO change VALUES (48, 10, 'cut', 5, NULL);
INSERT INTO change VALUES (49, 10, 'cut', 6, NULL);
INSERT INTO change VALUES (50, 10, 'cut', 7, NULL);
INSERT INTO change VALUES (51, 10, 'cut', 8, NULL);
INSERT INTO change VALUES (52, 11, 'cut', 1, '{"id":1,"run":1,"number":1,"place":1,"job":"101","frame":"print","copy":1,"ring":1,"letter":"B","long_point_nm":487000000,"takes_nm":492000000,"cost_minor":355,"spoilt":0,"became":"done"}');
INSERT INTO change VALUES (53, 12, 'stick', 8, NULL);
INSERT INTO change VALUES (54, 12, 'run_stick', 1, '{"id":1,"run":1,"number":1,"stick":"P1-1","head_nm":40000000,"flaw":"","state":"open","kept_nm":0,"waste_nm":0,"waste_minor":0}');
INSERT INTO change VALUES (55, 12, 'stick', 5, '{"id":5,"name":"P1-1","profile":"oak-40","origin":"bought","parent":null,"delivery":1,"line":1,"supplier":"Invented Timber","lot":"","place":"new rack","length_nm":2400000000,"value_minor":null,"cost_minor":1750,"offcut":0,"damage_nm":"","state":"run"}');
INSERT INTO change VALUES (56, 12, 'stick', 9, NULL);
INSERT INTO change VALUES (57, 12, 'run_stick', 2, '{"id":2,"run":1,"number":2,"stick":"S1","head_nm":40000000,"flaw":"","state":"open","kept_nm":0,"waste_nm":0,"waste_minor":0}');
INSERT INTO change VALUES (58, 12, 'stick', 1, '{"id":1,"name":"S1","profile":"oak-40","origin":"found","parent":null,"delivery":null,"line":null,"supplier":"","lot":"","place":"left","length_nm":2290000000,"value_minor":null,"cost_minor":802,"offcut":0,"damage_nm":"","state":"run"}');
INSERT INTO change VALUES (59, 12, 'run', 1, '{"id":1,"plan":1,"profile":"oak-40","started":"2026-11-30","finished":"","state":"open","strokes":4,"chops":0,"blade":"set A"}');
INSERT INTO change VALUES (60, 13, 'run', 2, NULL);
INSERT INTO change VALUES (61, 13, 'run', 2, '{"id":2,"plan":1,"profile":"black-22","started":"2026-11-30","finished":"","state":"open","strokes":3,"chops":0,"blade":null}');
INSERT INTO change VALUES (62, 13, 'run_stick', 3, NULL);
INSERT INTO change VALUES (63, 13, 'stick', 6, '{"id":6,"name":"P1-2","profile":"black-22","origin":"bought","parent":null,"delivery":1,"line":2,"supplier":"Invented Timber","lot":"","place":"new rack","length_nm":3000000000,"value_minor":null,"cost_minor":960,"offcut":0,"damage_nm":"","state":"rack"}');
INSERT INTO change VALUES (64, 13, 'run_stick', 4, NULL);
INSERT INTO change VALUES (65, 13, 'stick', 7, '{"id":7,"name":"P1-3","profile":"black-22","origin":"bought","parent":null,"delivery":1,"line":2,"supplier":"Invented Timber","lot":"","place":"new rack","length_nm":3000000000,"value_minor":null,"cost_minor":960,"offcut":0,"damage_nm":"","state":"rack"}');
INSERT INTO change VALUES (66, 13, 'run_stick', 5, NULL);
INSERT INTO change VALUES (67, 13, 'stick', 3, '{"id":3,"name":"S3","profile":"black-22","origin":"found","parent":null,"delivery":null,"line":null,"supplier":"","lot":"","place":"","length_nm":3000000000,"value_minor":333,"cost_minor":333,"offcut":0,"damage_nm":"","state":"rack"}');
INSERT INTO change VALUES (68, 14, 'cut', 9, NULL);
INSERT INTO change VALUES (69, 14, 'cut', 10, NULL);
INSERT INTO change VALUES (70, 14, 'cut', 11, NULL);
INSERT INTO change VALUES (71, 14, 'cut', 12, NULL);
INSERT INTO change VALUES (72, 15, 'cut', 13, NULL);
INSERT INTO change VALUES (73, 15, 'cut', 14, NULL);
INSERT INTO change VALUES (74, 15, 'cut', 15, NULL);
INSERT INTO change VALUES (75, 15, 'cut', 16, NULL);
INSERT INTO change VALUES (76, 15, 'cut', 17, NULL);
INSERT INTO change VALUES (77, 16, 'cut', 18, NULL);
INSERT INTO change VALUES (78, 16, 'cut', 19, NULL);
INSERT INTO change VALUES (79, 16, 'cut', 20, NULL);
INSERT INTO change VALUES (80, 16, 'cut', 21, NULL);
INSERT INTO change VALUES (81, 16, 'cut', 22, NULL);
INSERT INTO change VALUES (82, 16, 'cut', 23, NULL);
INSERT INTO change VALUES (83, 16, 'cut', 24, NULL);
INSERT INTO change VALUES (84, 16, 'cut', 25, NULL);
INSERT INTO change VALUES (85, 16, 'cut', 26, NULL);
INSERT INTO change VALUES (86, 17, 'stick', 10, NULL);
INSERT INTO change VALUES (87, 17, 'run_stick', 3, '{"id":3,"run":2,"number":1,"stick":"P1-2","head_nm":25400000,"flaw":"","state":"open","kept_nm":0,"waste_nm":0,"waste_minor":0}');
INSERT INTO change VALUES (88, 17, 'stick', 6, '{"id":6,"name":"P1-2","profile":"black-22","origin":"bought","parent":null,"delivery":1,"line":2,"supplier":"Invented Timber","lot":"","place":"new rack","length_nm":3000000000,"value_minor":null,"cost_minor":960,"offcut":0,"damage_nm":"","state":"run"}');
INSERT INTO change VALUES (89, 17, 'run_stick', 4, '{"id":4,"run":2,"number":2,"stick":"P1-3","head_nm":25400000,"flaw":"","state":"open","kept_nm":0,"waste_nm":0,"waste_minor":0}');
INSERT INTO change VALUES (90, 17, 'stick', 7, '{"id":7,"name":"P1-3","profile":"black-22","origin":"bought","parent":null,"delivery":1,"line":2,"supplier":"Invented Timber","lot":"","place":"new rack","length_nm":3000000000,"value_minor":null,"cost_minor":960,"offcut":0,"damage_nm":"","state":"run"}');
INSERT INTO change VALUES (91, 17, 'stick', 11, NULL);
INSERT INTO change VALUES (92, 17, 'run_stick', 5, '{"id":5,"run":2,"number":3,"stick":"S3","head_nm":25400000,"flaw":"","state":"open","kept_nm":0,"waste_nm":0,"waste_minor":0}');
INSERT INTO change VALUES (93, 17, 'stick', 3, '{"id":3,"name":"S3","profile":"black-22","origin":"found","parent":null,"delivery":null,"line":null,"supplier":"","lot":"","place":"","length_nm":3000000000,"value_minor":333,"cost_minor":333,"offcut":0,"damage_nm":"","state":"run"}');
INSERT INTO change VALUES (94, 17, 'run', 2, '{"id":2,"plan":1,"profile":"black-22","started":"2026-11-30","finished":"","state":"open","strokes":3,"chops":0,"blade":"set A"}');
INSERT INTO change VALUES (95, 17, 'job', 2, '{"id":2,"name":"102","customer":"library","due":"2027-04-06","note":"","match":"lot","state":"open"}');
INSERT INTO change VALUES (96, 17, 'job', 3, '{"id":3,"name":"103","customer":"school","due":"","note":"","match":"","state":"open"}');
INSERT INTO change VALUES (97, 18, 'sharpening', 2, NULL);
INSERT INTO change VALUES (98, 19, 'sharpening', 2, '{"id":2,"blade":"set A","day":"2026-11-30","height_nm":29000000,"after_run":2}');
INSERT INTO workshop VALUES (1, 'Invented shop, "Corner"', 'mm', 'EUR', 'Invented guillotine', 'guillotine', 500000, 0, 2000000, 0, 0, 15000000, 2000000, NULL, NULL, 120000000, 22500000, NULL, 2, NULL, 3000000, 50, 10);
INSERT INTO profile VALUES (1, 'oak-40', 'Plain oak; "waxed"', 40000000, 8000000, '', 0, 0, 300000000, 712, 20, 'pair', 12000000, 'rest at 4
notch at 2');
INSERT INTO profile VALUES (2, 'black-22', 'Black, flat', 25400000, 6350000, 'matt', 5000000, 0, 400000000, NULL, NULL, '', 0, '');
INSERT INTO supplier VALUES (1, 'Invented Timber', 2500, 2, 790);
INSERT INTO offer VALUES (1, 'Invented Timber', 'oak-40', 3000000000, 0, 1, 1, 2100, '');
INSERT INTO offer VALUES (2, 'Invented Timber', 'oak-40', 2400000000, 0, 1, 1, 1750, '2027-04-06');
INSERT INTO offer VALUES (3, 'Invented Timber', 'black-22', 3000000000, 0, 1, 1, 960, '');
INSERT INTO offer VALUES (4, 'Invented Timber', 'black-22', 3000000000, 0, 1, 1, 961, '');
INSERT INTO job VALUES (1, '101', 'walk-in', '2027-04-06', 'glass: "museum"
ring first', '', 'open');
INSERT INTO job VALUES (2, '102', 'library', '2027-04-06', '', 'lot', 'ready');
INSERT INTO job VALUES (3, '103', 'school', '', '', '', 'ready');
INSERT INTO frame VALUES (1, '101', 'print', 1);
INSERT INTO frame VALUES (2, '102', 'poster', 2);
INSERT INTO frame VALUES (3, '102', 'nested', 1);
INSERT INTO frame VALUES (4, '103', 'mirror', 1);
INSERT INTO ring VALUES (1, '101', 'print', 1, 'oak-40', 3000000, 4, 'content', 250000000, 420000000, 0);
INSERT INTO ring VALUES (2, '102', 'poster', 1, 'black-22', 3000000, 4, 'content', 500000000, 700000000, 0);
INSERT INTO ring VALUES (3, '102', 'nested', 1, 'black-22', 3000000, 4, 'content', 200000000, 300000000, 0);
INSERT INTO ring VALUES (4, '102', 'nested', 2, 'oak-40', 1000000, 0, '', 0, 0, 0);
INSERT INTO ring VALUES (5, '103', 'mirror', 1, 'black-22', 3000000, 6, 'rebate', 400000000, 0, 1);
INSERT INTO plan VALUES (1, '2026-11-30T03:00:04Z', 'longpoint-plan/2', '', 'open', 26, 5356, 5356, '928f996d87d6c4491ce7624170c238d21fbb4431136c6b361eeacc7ffdf0b7f4');
INSERT INTO plan_part VALUES (1, 1, 1, x'1f8b08000000000002ffec7d5f73e248b2efbb3f8582a77b23ba632bff67f53edd9dd91b71de4e9c3f4f3b130e1ae4366b0c0ec0dddb67a3bffb0909012a810c08689b59cfc3b429952a4b59999559bffa49f5cf9bac77379d3df617bd4f596f3c9d7c799a8e268b8f4fe3fee44fd8fb7093f51efbc3fcf6db68715fd458e4f34559fa6d3a7b98df4f9f8ac27f9b7ccd278b7c9815051fb2df7abf4c67937cf65bafacf93c19958d3f3e963f07cfb3593e197cef7dcafe799365bdc174981797fffadfff515ccf7ac37c307aec8fe7bd4f19de643f8a7b9e66d3bbd1382f8afe769395f765bd49ffb1bc71da7ff8c8a1bc37eb2d468b7159faefe3fe68924dfb0f7fce7eeb7debff231f2ebb9365bd6fa3e1e2fe76f2d8fb947158feb7bc709ff787b78bd9e871d7c5457f346ebdf879b4287b57f62cebcd17b3e94359c01f962577a3c9687e3f9a7ce97dca16b3e7bc2aee0fbff627837cbe6cf36f656106526b7aeba727bf70f9abfcf17bf1ff1fcb0ecdf3c5ed733938b37cbec8fa8b8c7f9b4ca68bc17df137569a982f468387f95af2b2f7596f342c6e9ce4df32e855727a77b3e96355ba2e9b3f3f3d8d47f92cb181ff1a3d7ece67eb3ae37cf265a56d5c296dd5fbde603a2f6c034cd645f3d130df7469dda92cebfd7dfab9900461ddabb25f95193ccd469345edc260fa54d8186c4a664bf5d74ac6f962b1ecfe5f6a774eef360357fc7e1c2d66f9ede368309b0ef32fb37c39b0e9a8644be7b92dbda7b210b76695c7bc3f7f9ee5d575a4e6f562d4ca6b845b9716fd5975512ad99b8b8bfec3ca8638d64d62650f3f4d8fffeffc7a2478598f289df5682f289256d6fa3a8afcf58a0cd22dbc5d8bfce58a2c1248e918935cfefbfb66aebd5bac835063ee35d05470ef733e983e964fdc7bc89f360aaea6ffe9dddde079b1890065c82f930058756029bf1acf3478fce776e498f5070febc2a7717f500e6ed9e79dc102e3ee60e1018f8815b8cba226f97c910f0f3129fc59c12228bc6452c408dd26398fd2ee9ad59d87b8e62514f9eb152992ed2d6bf21271778f26b1ab263df20b9a24c057d5e42f57a449c0a0c7a8f2987861dc295ee0ae78e149bcb859f7a1377b9e6c564dd3d9703904e5b224fbfc3d2bffa81aeccd17d3a7f966d40a152d46932ff555d638ef972162b3ea9acd17b745b76b854fa3c1c3ed73d954f570bdc1f3a21646d6fa588a5f57ab024e5ab02897c06bdb5a06b661b2caab345d0d998bd6076565defb854253281e2e5408bb09c5039ef4ae3f9eef941a3874934a073c6a9bd475a2b347289c7550c1bb098553f44bb1a3543ce1518377d42f9df0a8ebd9a83e91d4f18ebbd197e75902c154a9a1572e5e649fb76bbca312dd9be4dfb60bcbaa5ffbe3e7bc9e6df69e9e6783fbfebc6c750358f486f978f4359f151186cc5613ca2c1f96a817865507aaec150d5772366162355f8755865fd5789ee7c3dbe7a73412acaf16b37035289ce6cabd6ffdf9a20a2ea0a6f54b85d47cbeb85dced73b27fbdef7513e1ede3e3d15d7229ba2d454bd987ec917f7e54c0d15fa357d9e0cebcfd6fbd27f5a7b54efcbacbf84f8a64ff9a4429e66797f3e9d9488e27d9e0df2d96274371af417f93cbbef7fcdb3c974917dcef34936b8cf070fab705e44fe6db86a7bf5b81efd55ecae4745d0464c5da3504cbc6b45b39d6ebcdc3e2bef6e1fddb622e03244dd8d3681b837983e3e8df3459e4285a5334cbf967a0febf8965afd96d9b7d8fd6ec36fb3fcd4f48b5465555eb77da2f5e3ae8d3f4243051879adb2bde6bfc7feeb0e80a1b9586cf780dd2e00ec8d51dbed04cbc1ab5ce15b7f36a95290a54996d6fcd42f72c949f6389acda6b379d6ff3c7d5e64c595c7d17038ceb3e95d96f707f75931587fceee46936179b53485ecef85468a2afd6c963fe5fd45369d9497abac28bf9bcef25afdc1f3e243d69f0cb371fffbb25e61025921b2aa5bb4389a7cf9545e1df78b7b4a7c3e7bec7f2f1ded31cf57e95c61ec1904f89095f97456622f9fb2d1625eb53b9c96b70c477777f9acc8d1bedd4fc779d5d579d1ef9a0a3e64dfee4783fb6cd09f14377d9966b362aa289b5bf6619e3d4fc6f97c5e49f89f3c1bcdb3c17d7ff2251f66ff07b2c7e201c6a3873c1b2dfe6fefa69af54bf5a7bb009fc7fdc1c347c4e63ec05f8af20fd9ddb8bfd886ff51b81dfe4f2f36e0fff4622bfc4fa7c3ffce07e1fd3f17c9a7d082e4470da782334fd3f96223f62d20f9c6f0e2facd423bde073148ebfa0d2db6a37dc6d5aab1eb42f84445fe7a458adc5aadfe1c4de21fcf244130c0795449bb54b90c8ae7db5fd23daaa4b04f9528d8c45052748642f3fa4695f0023a83a81263ab2a516cb94fd0019d6173b30ee80ced4067642f985fc40fbcfaf8817fbc69ef75e207beda56b0ec51a45c267ec82b6bf2972bd224d08bf1435e39a9b926a30457c5b7abca6bb24a64a8c80d87a9f29850ccd0ba4f528210bdfd9be5f4f266f94191b306c01c10392f919bfde59a7233d32332b39f9ce4fe724d8a74417cb39afcf58a34298c266f56937fbd224d7a08e86f5693ffff8a340941cce12caa3c91abf1b38015da938250f7c418445ee06a9c9acd9da8ca5faf4995aaa06f5795175863e01e5562e7c438047b29eabcb22a7fb92655a2901fa1ca23d61812309d3a0e84fb7807dca717e66249838b25bbb858f226b85888b81cb0d3b958c7d076d8ab6dee9f49c63252ba1817ab45bf6b94fa1254acb6073d78503b71b1da58517ae098c259097670e0a09e958b25316027a17c82d015cab24726eeb5a42398846860c1ba488553a4b2c425b9e058a9788a540c156e7bacd453b89a1099d9bb48e553a4aa57ace963a5ca09330471f04e42f504b789b17ac7ed58a1d6fd498d5d3bc9f45326a55586743441148e6088e22e86e81a784d19a21177304419a8c9102568104495a48d205aacc5632b41d403b8fa4e82687420dccd0fc560e67bf8a18dfc33a5c61907f7c3f8a1ab477b257ee8367f13700781536945976fb21701c38b0451da12a0bb08a2c202bea37d01f959fc50682188869d0451da49100d3be9a1eebbe8a12cb6450fddf461bd8501b1951ddab4fda6f11756e8bbd9a11201b0851c2ad1a2ef23876e35903800bad789bd3bb8a12567f1a61cd2ba7b6cbe65d0f8c041967ed5a0c66eac59c68a7351bba949bda8d55e991889a64eb929b994530e2ad348bdb27ae4e6171cb24a62a1b555c1aaab40401b7ac8a23f19de8e26a5170b6ecc6bb97e5c879b5d5fb728eafca9f666ebc36832ac6f986de08dd53abcf4fee80d6460c73ba9e52da3c7a581d7caa693f1f7ba842cab3553af99d1facfdfeb82565eb3e95a61e2f9537d4fb0d64a2fffc762d66f7ea8a2ba36797eacc7f8a5af4eca893e79616c8d52d4909f9dbad1650809b0ad1ab470bc6aae50051843ab79d40d74bf31d44c29e38d266e1afdf97d83f92cf2c7bde6ebcd17c0cb277eec2f23f361cfb87ecb75571be1e7b5b17eb1f1f26d6c297b703f1d0df2367557035e6ff4b1b2815a517ffe304fc7bff66732196c4626f185a43eb5d5dfe945e58cd922b96e8519ec979cf4f423ec14fde2689c435d78a4baf83ad4b56578b3e9b776275f62adb0c7f497b53692b785542f6eb4092a026563bc06d3e74973c08a64b783da0e349aaa1378994e7cf86956f6e21c33cf13c3db7417b66b571e53cb8e8a64e7db72099694aeb3baa7d9f4eb2aaf2bdbd82473f500db9b0ffa658e06c40866e8f55d9afed7741e4c02f3e7597f32b84f07a05e613d95a6f69498735abcdac22052d418a26834aad5f8b17b54d6f7d53be21cd4d0282227d3a71381a8b0b2e98736737176708f25d331a9d4d28132e9b9ddd50d428dc2e44211a4555e5bbbb3e9b79dadb6debcc9693e9c7bcc1eb766f2baea3f829253140f22948cd9875649db73cd91b6811d6d0384d4224697c489cd058c2c7862180ea6189c9935e9a9448a40cc9a4c1cb5a63bd84a348868412cd8d96c0554259a09bbc5f806ed06638c161115aa357647bbd923474c41a32b5ae86a3675d34bc61cd0183d0227fa3da1fad1a603a9159e6630c4124cc93122ef37989b46d18f17d8b0fb218155b8da0574d4f6d2d780236d5e37be7a5c80df71813f1a2e507b97fe385840ae5111f40240b2f900e87e45d413367d9b8a788768ae0ce6f917818af81d2a3a465df2afad2e3a525dfa8eac9d8aacd1f9402dec8cac9d06efc1eb22651bf19bc7086d98596d81b081cc92c2ce889990ba8508f8061033446117730ac1b4e3f2961923b804246a0020d103b8a384a49c5c852d888a27b848a5168898d6e648ca4cce7e402b488a481800e9e8c530065277478a31c4f665f1496b64612d54822afaf6301553620a4c6aa21784e2ce61740ac60184dd122104402e801ed3190f9c0c918953648201c505a338a41900790c2622160f69061924428440723c02132371008d12d12e63746ec4eed1c80fc1657eb6d1318618d42247f60be2781843740ec4a8d419c77344576349d17d96100d4435400ae906427211a2648a028d004c6428724a33044244468cc76f2f185ec6d43400466104e670310830fda2db4bbc2014527a3d5e505c9d70b08d6b6c5ecaef86ff2554903aec51fbdb8e8640f8250824f9b25d0281c036044280d2050b0230d636502c1c0f0cea797570d9877fc960f63385a005099316f3f0b33188d61f143a014a39471bf246daa037d2c6fa2dec5d6de8816d9ca31f87b57136980c0f0632c2914b52fc23e23ef84e40bb0c4cc647aacbcea62e3c525df416d42547aacbaf435d5d50453c0c553cacdacf8228f17ce8209d0553be3c59104e311c7e251c964f41eff92cd3583786e366ace00004b7b6f6ab41b849e91b653dd251705a380c35d98710630b6f0e41cbf30151a52b58072451a39a39c5140a569110dd553531ca189495053c529aa145e4603144a2760003215290481053de1ab062a028acdac05d08095122a7e5f5fa47032c1c19483d3087900ca78803830446d3d3d85626ca4a211878ab2e4c19d922b3a76cd64b417fc7592e0810428814941c4f33e3ed6ca3838f6cc784fd4d7f04653370518fd09976cc4251092d428414a246d2188306314f26560aa88ce00a68921202b1f09fc0c6a9e9d5d59dced18c0064ec316038e88ef60baa853f05240bd0818ea821288a119926ceab01358400668074da0eccaae71653f584549ea033191228bc82e7ec43b3c99985c44d8dcf33ff5f9237cda4e60aa40d65b2b8b09baa4b3a5587e01e0ccb0dc1d4e8456304b398ee29ba4814d3e8d0b453748ee21e050f295786a88e46da749d4dfda3adbaa4515ba40092ee2b8ab3083b04f2136d7ad53bf5f63d248c515c2032356692b761d284ca6002cc769648102e1009f6e44aa01a9162a0c8d8992c8e0c240e69e24314c04421e5f72391903b6bba16c20060c11adb45c60c12c9245db34008e242ea0794060f2c68a9116fea1eef18e5967ffada04a89de20aebe9ca28ddd22512501708a4e90b3564459216b1b9fdfa36e6f900a6c0620cae97748b8f444821aaa121f805b3a5d6273a6a3d11518247343b286a881b061449d7036a28e4108122379a51258c29b1a4edad0c3508ee4a69db18805025c2395fd5300810ac31335cca5fc287836abd897584611476e718ccdfec2a624fec0817f56e6066600cc159bdeb12850c540928a6eb9340a4a45131d15a04966891d3853d81a0209a21688359234e20dae0db0450072f52a4344b63640991317d4393831a85346689292a906b383e3e0147299675ea784697033600338c5b7c9c740142d18ac431be3d7f0bd7ea648535110b9bf3a9e1742fb4c12481dcc02ec9a43303891a1c6357a7560a02a0d06e8914dc42304bbded231cc6207aa1dec74e00c1193d311c4f827a3da753008a4e220ef82f1ae4babefe7f662aa19110a2688088dcd1efea69301f0489acdfae35f7432091700a0e12ce067e343cf65c90c76179eb2b70108f7d111911df8988ef44c4eb2122460d97a221be25e3786742be3321df9990ef4cc87726e43b13f29d09f9ce84bc162624bc33217f121352ae8609b95963d68890f5c2ce3c4804367652be0c11122fb0b3df95071951dd45252a84aefb965a72985405623265332b9285a066d4d85b575533d3c637f848347ad4200ced6faaa39a3162e0a069abe61cd94373275f8488c8dd1b9b99f5fa1df6f83d9488bb5bfa7900746336303096d3be53e86a122ca2423bf803a0109ddc22c94f79091a8f24bf441762778ccad74a8464737413f180b1eb2623206994200e000da28a30bb6188a1f199096425320c96be721c83856821a2bfb0b7011a3c90980873f3cb00545856200bbbcbd3ad4a16127661e5a0c77fc0d331901187280dfe2542340b0618e2493b1deb6e3348fb8451aba5e1159c640fbe5f1f93cb921e5b251d63c9a6e5e416991ad3ac224a4065e0c6606f4c3fdd802b422c95fbdd0dae2d47546306f6d457dc18d4840de890727303292cdad2b054af7ffc27065c5d4c088052c60061000be8910d4e9af8d7bd236eff44b27154b5001e533edcdb3069a1c0e8ac21c68bb21e3fa245b022e4225c727fddb03c35c71c3b33e14d91443572cacaf2e8a41423a68492f50727d2a0a081dd583458e3eb4086510b8f347b61bf3b948cfe906e2eaf3598665c182d14860ea85df825e7a472adfa6d105f7763fb381f28c3af063412bc2cc5515c9d58b4488c2f497164a318001411a93365dea3839a87c677c2dbf3a308450a899c1a555b7ab4a92fed0622518a08039812955a8ac32b3b407bfaf2da1eb0c7303d080525b508f4ce5fdccd5f0cccc21444c93aafbea30a60704817d90242518349e393fc9b38d0f2e1b9f8c2bb16e5cb2881cc28f5d240c54a15a4c1506627f06219d058ff472aa7454f165407332f56cf1bec9cf4450fe4aea84c2fc49918203201e1ebac24f67d73ac58f3b9b201ab5d2d99d1d98352b020ee972533b29bc748ce7c413223bb8788246c9dd103891822440c21d19930b0a12a36de3e8328a8a8b1f1fe641493206231ddb4638d1a14621ab350424067a1c6dacc0dc85c43faa535f018251401aa81b059242689d4c1cd1d048823c6b33ab931b332c30b2f5abf365c705138f88f4a92ec00a2742249ba8588468402b16b125c2c044354628e8d90dd06a1985a3044714bdda1154201f3c00e86dc780ded4808c59d84143052ba3e3d0942699ef47226e0e4b03cf948ef7e994779535d599d75fbf9f97b72ccedeac8dadea76de6e4879b178e80a9a835ab13f21366586343b0f7345b3accfa4c89ad4326d263a27b10a0b7eef9876e9d4d89a24977d7074e34ba8b69775784bb756f5707886ff576c5462d0f9c6eaa7c3a1b6e8e043ef4411a073daf49a35aa1e2f5939cadfae66e6f315df4c7c554b33af96a3927dd3e4e27f9f7928c1592f2cd29eab5eed69eed9f37c959dab03a3df879be983e2e7bffad3f7ef8385a1d473c2c4fa1ee6140fb18f863d0d5d354675c73aa4f264e07b8792e78226a3cfa3cebcfbe1f28aa7acd69ad380ed6228b76c89a0feea7d371a3c9b4c5e5d1e09b33a497aa2fda6e1ef2bd6e00ab16d203be2babdb71bc777ab837c0eaacf6fae9de2f5bc49acd891514bc7deaf4d6b1de109c896aee919cea0d80c999f6b543bdb1986b378772d7cff42613aaddb3eb446f33aefb64729eb7aa505c0ddfd639d9f563b2779c92bd7d60fbcef3da771cd7be755a7b73249b43594587742cb95e753598eb63a892c1e4b83aaa7dd768d68673bdb3b11a4fc5d556f3fe01dd1a514d0f6aaf0fa97a72ce7a7d4c4d45ea77ed1a5460af8f6a635889c31279fcb1f4a41f373f6efe370000ffffab7b0afcffbe0000');
INSERT INTO purchase VALUES (1, 'Invented Timber', 1, '2026-11-30', 790, 'arrived');
INSERT INTO purchase_line VALUES (1, 1, 1, 'oak-40', 2400000000, 1, 1750);
INSERT INTO purchase_line VALUES (2, 1, 2, 'black-22', 3000000000, 2, 1920);
INSERT INTO delivery VALUES (1, 1, '2026-11-30', '');
INSERT INTO stick VALUES (1, 'S1', 'oak-40', 'found', NULL, NULL, NULL, '', '', 'left', 2290000000, NULL, 802, 0, '', 'used');
INSERT INTO stick VALUES (2, 'S2', 'oak-40', 'found', NULL, NULL, NULL, '', 'L7', 'left', 770000001, NULL, 270, 1, '', 'rack');
INSERT INTO stick VALUES (3, 'S3', 'black-22', 'found', NULL, NULL, NULL, '', '', '', 3000000000, 333, 333, 0, '', 'used');
INSERT INTO stick VALUES (4, 'S4', 'black-22', 'found', NULL, NULL, NULL, '', '', '', 1250000000, NULL, 200, 0, '0-5000000,1200000000-1250000000', 'rack');
INSERT INTO stick VALUES (5, 'P1-1', 'oak-40', 'bought', NULL, 1, 1, 'Invented Timber', '', 'new rack', 2400000000, NULL, 1750, 0, '', 'used');
INSERT INTO stick VALUES (6, 'P1-2', 'black-22', 'bought', NULL, 1, 2, 'Invented Timber', '', 'new rack', 3000000000, NULL, 960, 0, '', 'used');
INSERT INTO stick VALUES (7, 'P1-3', 'black-22', 'bought', NULL, 1, 2, 'Invented Timber', '', 'new rack', 3000000000, NULL, 960, 0, '', 'used');
INSERT INTO stick VALUES (8, 'offcut 1', 'oak-40', 'offcut', 'P1-1', NULL, NULL, 'Invented Timber', '', 'new rack', 716000000, NULL, 522, 1, '', 'rack');
INSERT INTO stick VALUES (9, 'offcut 2', 'oak-40', 'offcut', 'S1', NULL, NULL, '', '', 'left', 774000000, NULL, 271, 1, '', 'rack');
INSERT INTO stick VALUES (10, 'offcut 3', 'black-22', 'offcut', 'P1-2', NULL, NULL, 'Invented Timber', '', 'new rack', 478770000, NULL, 153, 1, '', 'rack');
INSERT INTO stick VALUES (11, 'offcut 4', 'black-22', 'offcut', 'S3', NULL, NULL, '', '', '', 502550000, NULL, 55, 1, '', 'rack');
INSERT INTO run VALUES (1, 1, 'oak-40', '2026-11-30', '2026-11-30', 'finished', 4, 10, 'set A');
INSERT INTO run VALUES (2, 1, 'black-22', '2026-11-30', '2026-11-30', 'finished', 3, 21, 'set A');
INSERT INTO run_stick VALUES (1, 1, 1, 'P1-1', 40000000, '', 'cut', 716000000, 563000000, 411);
INSERT INTO run_stick VALUES (2, 1, 2, 'S1', 40000000, '', 'cut', 774000000, 91600000, 33);
INSERT INTO run_stick VALUES (3, 2, 1, 'P1-2', 25400000, '', 'cut', 478770000, 44980000, 16);
INSERT INTO run_stick VALUES (4, 2, 2, 'P1-3', 25400000, '', 'cut', 0, 94500000, 31);
INSERT INTO run_stick VALUES (5, 2, 3, 'S3', 25400000, '', 'cut', 502550000, 68300000, 12);
INSERT INTO cut VALUES (1, 1, 1, 1, '101', 'print', 1, 1, 'B', 487000000, 492000000, 0, 1, 'torn');
INSERT INTO cut VALUES (2, 1, 1, 2, '101', 'print', 1, 1, 'A', 317000000, 324000000, 231, 0, 'done');
INSERT INTO cut VALUES (3, 1, 1, 3, '101', 'print', 1, 1, 'D', 487000000, 492000000, 355, 0, 'done');
INSERT INTO cut VALUES (4, 1, 1, 4, '101', 'print', 1, 1, 'C', 317000000, 324000000, 231, 0, 'done');
INSERT INTO cut VALUES (5, 1, 2, 1, '102', 'nested', 1, 2, 'B', 406100000, 420000000, 142, 0, 'done');
INSERT INTO cut VALUES (6, 1, 2, 2, '102', 'nested', 1, 2, 'D', 406100000, 420000000, 142, 0, 'done');
INSERT INTO cut VALUES (7, 1, 2, 3, '102', 'nested', 1, 2, 'A', 306100000, 312000000, 107, 0, 'done');
INSERT INTO cut VALUES (8, 1, 2, 4, '102', 'nested', 1, 2, 'C', 306100000, 312000000, 107, 0, 'done');
INSERT INTO cut VALUES (9, 2, 1, 1, '102', 'poster', 1, 1, 'B', 741100000, 746100000, 237, 0, 'done');
INSERT INTO cut VALUES (10, 2, 1, 2, '102', 'poster', 1, 1, 'D', 741100000, 746100000, 237, 0, 'done');
INSERT INTO cut VALUES (11, 2, 1, 3, '102', 'poster', 2, 1, 'B', 741100000, 746100000, 237, 0, 'done');
INSERT INTO cut VALUES (12, 2, 1, 4, '103', 'mirror', 1, 1, 'A', 252950000, 257530000, 80, 0, 'done');
INSERT INTO cut VALUES (13, 2, 2, 1, '102', 'poster', 2, 1, 'D', 741100000, 746100000, 237, 0, 'done');
INSERT INTO cut VALUES (14, 2, 2, 2, '102', 'poster', 2, 1, 'A', 541100000, 546100000, 173, 0, 'done');
INSERT INTO cut VALUES (15, 2, 2, 3, '102', 'poster', 2, 1, 'C', 541100000, 546100000, 173, 0, 'done');
INSERT INTO cut VALUES (16, 2, 2, 4, '102', 'poster', 1, 1, 'A', 541100000, 546100000, 173, 0, 'done');
INSERT INTO cut VALUES (17, 2, 2, 5, '102', 'poster', 1, 1, 'C', 541100000, 546100000, 173, 0, 'done');
INSERT INTO cut VALUES (18, 2, 3, 1, '103', 'mirror', 1, 1, 'B', 252950000, 257530000, 28, 0, 'done');
INSERT INTO cut VALUES (19, 2, 3, 2, '103', 'mirror', 1, 1, 'C', 252950000, 257530000, 28, 0, 'done');
INSERT INTO cut VALUES (20, 2, 3, 3, '103', 'mirror', 1, 1, 'D', 252950000, 257530000, 28, 0, 'done');
INSERT INTO cut VALUES (21, 2, 3, 4, '103', 'mirror', 1, 1, 'E', 252950000, 257530000, 28, 0, 'done');
INSERT INTO cut VALUES (22, 2, 3, 5, '103', 'mirror', 1, 1, 'F', 252950000, 257530000, 28, 0, 'done');
INSERT INTO cut VALUES (23, 2, 3, 6, '102', 'nested', 1, 1, 'B', 341100000, 346100000, 37, 0, 'done');
INSERT INTO cut VALUES (24, 2, 3, 7, '102', 'nested', 1, 1, 'D', 341100000, 346100000, 37, 0, 'done');
INSERT INTO cut VALUES (25, 2, 3, 8, '102', 'nested', 1, 1, 'A', 241100000, 246100000, 26, 0, 'done');
INSERT INTO cut VALUES (26, 2, 3, 9, '102', 'nested', 1, 1, 'C', 241100000, 246100000, 26, 0, 'done');
INSERT INTO blade VALUES (1, 'set A', 30000000, 0, '2026-11-30', NULL, NULL, 'mounted');
INSERT INTO sharpening VALUES (1, 'set A', '2026-11-30', 29500000, 0);
CREATE UNIQUE INDEX step_undoes ON step(undoes) WHERE undoes IS NOT NULL;
CREATE INDEX change_step ON change(step);
CREATE INDEX change_row ON change(tab, row);
CREATE INDEX offer_profile ON offer(profile);
CREATE INDEX job_state ON job(state);
CREATE INDEX purchase_plan ON purchase(plan);
CREATE INDEX purchase_state ON purchase(state);
CREATE INDEX purchase_line_profile ON purchase_line(profile);
CREATE INDEX delivery_purchase ON delivery(purchase);
CREATE INDEX stick_state ON stick(state);
CREATE INDEX stick_profile ON stick(profile);
CREATE INDEX stick_parent ON stick(parent) WHERE parent IS NOT NULL;
CREATE INDEX stick_delivery ON stick(delivery) WHERE delivery IS NOT NULL;
CREATE INDEX run_plan ON run(plan);
CREATE UNIQUE INDEX run_open ON run(profile) WHERE state = 'open';
CREATE INDEX run_profile ON run(profile);
CREATE UNIQUE INDEX run_stick_once ON run_stick(stick) WHERE state <> 'returned';
CREATE INDEX run_stick_stick ON run_stick(stick);
CREATE UNIQUE INDEX blade_mounted ON blade(state) WHERE state = 'mounted';
CREATE INDEX sharpening_blade ON sharpening(blade);
CREATE INDEX run_blade ON run(blade) WHERE blade IS NOT NULL;
CREATE TRIGGER log_workshop_insert AFTER INSERT ON workshop BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'workshop', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_workshop_update AFTER UPDATE ON workshop BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'workshop', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'unit', OLD.unit, 'currency', OLD.currency, 'machine_name', OLD.machine_name, 'machine_type', OLD.machine_type, 'overrun_nm', OLD.overrun_nm, 'kerf_nm', OLD.kerf_nm, 'shave_nm', OLD.shave_nm, 'head_trim_nm', OLD.head_trim_nm, 'tail_trim_nm', OLD.tail_trim_nm, 'bite_nm', OLD.bite_nm, 'finishing_bite_nm', OLD.finishing_bite_nm, 'greatest_width_nm', OLD.greatest_width_nm, 'longest_side_nm', OLD.longest_side_nm, 'shortest_side_nm', OLD.shortest_side_nm, 'least_angle_udeg', OLD.least_angle_udeg, 'greatest_angle_udeg', OLD.greatest_angle_udeg, 'stops', OLD.stops, 'stop_gap_nm', OLD.stop_gap_nm, 'allowance_nm', OLD.allowance_nm, 'rack_share_pct', OLD.rack_share_pct, 'offcut_share_pct', OLD.offcut_share_pct) FROM open_step;
END;
CREATE TRIGGER log_workshop_delete AFTER DELETE ON workshop BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'workshop', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'unit', OLD.unit, 'currency', OLD.currency, 'machine_name', OLD.machine_name, 'machine_type', OLD.machine_type, 'overrun_nm', OLD.overrun_nm, 'kerf_nm', OLD.kerf_nm, 'shave_nm', OLD.shave_nm, 'head_trim_nm', OLD.head_trim_nm, 'tail_trim_nm', OLD.tail_trim_nm, 'bite_nm', OLD.bite_nm, 'finishing_bite_nm', OLD.finishing_bite_nm, 'greatest_width_nm', OLD.greatest_width_nm, 'longest_side_nm', OLD.longest_side_nm, 'shortest_side_nm', OLD.shortest_side_nm, 'least_angle_udeg', OLD.least_angle_udeg, 'greatest_angle_udeg', OLD.greatest_angle_udeg, 'stops', OLD.stops, 'stop_gap_nm', OLD.stop_gap_nm, 'allowance_nm', OLD.allowance_nm, 'rack_share_pct', OLD.rack_share_pct, 'offcut_share_pct', OLD.offcut_share_pct) FROM open_step;
END;
CREATE TRIGGER log_profile_insert AFTER INSERT ON profile BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'profile', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_profile_update AFTER UPDATE ON profile BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'profile', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'title', OLD.title, 'width_nm', OLD.width_nm, 'rebate_nm', OLD.rebate_nm, 'finish', OLD.finish, 'head_trim_nm', OLD.head_trim_nm, 'tail_trim_nm', OLD.tail_trim_nm, 'keep_nm', OLD.keep_nm, 'metre_minor', OLD.metre_minor, 'offcut_share_pct', OLD.offcut_share_pct, 'match', OLD.match, 'repeat_nm', OLD.repeat_nm, 'set_up', OLD.set_up) FROM open_step;
END;
CREATE TRIGGER log_profile_delete AFTER DELETE ON profile BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'profile', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'title', OLD.title, 'width_nm', OLD.width_nm, 'rebate_nm', OLD.rebate_nm, 'finish', OLD.finish, 'head_trim_nm', OLD.head_trim_nm, 'tail_trim_nm', OLD.tail_trim_nm, 'keep_nm', OLD.keep_nm, 'metre_minor', OLD.metre_minor, 'offcut_share_pct', OLD.offcut_share_pct, 'match', OLD.match, 'repeat_nm', OLD.repeat_nm, 'set_up', OLD.set_up) FROM open_step;
END;
CREATE TRIGGER log_supplier_insert AFTER INSERT ON supplier BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'supplier', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_supplier_update AFTER UPDATE ON supplier BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'supplier', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'least_minor', OLD.least_minor, 'least_sticks', OLD.least_sticks, 'delivery_minor', OLD.delivery_minor) FROM open_step;
END;
CREATE TRIGGER log_supplier_delete AFTER DELETE ON supplier BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'supplier', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'least_minor', OLD.least_minor, 'least_sticks', OLD.least_sticks, 'delivery_minor', OLD.delivery_minor) FROM open_step;
END;
CREATE TRIGGER log_offer_insert AFTER INSERT ON offer BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'offer', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_offer_update AFTER UPDATE ON offer BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'offer', NEW.id, json_object('id', OLD.id, 'supplier', OLD.supplier, 'profile', OLD.profile, 'length_nm', OLD.length_nm, 'longest_nm', OLD.longest_nm, 'bundle', OLD.bundle, 'from_number', OLD.from_number, 'price_minor', OLD.price_minor, 'until', OLD.until) FROM open_step;
END;
CREATE TRIGGER log_offer_delete AFTER DELETE ON offer BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'offer', OLD.id, json_object('id', OLD.id, 'supplier', OLD.supplier, 'profile', OLD.profile, 'length_nm', OLD.length_nm, 'longest_nm', OLD.longest_nm, 'bundle', OLD.bundle, 'from_number', OLD.from_number, 'price_minor', OLD.price_minor, 'until', OLD.until) FROM open_step;
END;
CREATE TRIGGER log_job_insert AFTER INSERT ON job BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'job', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_job_update AFTER UPDATE ON job BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'job', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'customer', OLD.customer, 'due', OLD.due, 'note', OLD.note, 'match', OLD.match, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_job_delete AFTER DELETE ON job BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'job', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'customer', OLD.customer, 'due', OLD.due, 'note', OLD.note, 'match', OLD.match, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_frame_insert AFTER INSERT ON frame BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'frame', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_frame_update AFTER UPDATE ON frame BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'frame', NEW.id, json_object('id', OLD.id, 'job', OLD.job, 'name', OLD.name, 'quantity', OLD.quantity) FROM open_step;
END;
CREATE TRIGGER log_frame_delete AFTER DELETE ON frame BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'frame', OLD.id, json_object('id', OLD.id, 'job', OLD.job, 'name', OLD.name, 'quantity', OLD.quantity) FROM open_step;
END;
CREATE TRIGGER log_ring_insert AFTER INSERT ON ring BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'ring', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_ring_update AFTER UPDATE ON ring BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'ring', NEW.id, json_object('id', OLD.id, 'job', OLD.job, 'frame', OLD.frame, 'number', OLD.number, 'profile', OLD.profile, 'allowance_nm', OLD.allowance_nm, 'sides', OLD.sides, 'given_by', OLD.given_by, 'width_nm', OLD.width_nm, 'height_nm', OLD.height_nm, 'across', OLD.across) FROM open_step;
END;
CREATE TRIGGER log_ring_delete AFTER DELETE ON ring BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'ring', OLD.id, json_object('id', OLD.id, 'job', OLD.job, 'frame', OLD.frame, 'number', OLD.number, 'profile', OLD.profile, 'allowance_nm', OLD.allowance_nm, 'sides', OLD.sides, 'given_by', OLD.given_by, 'width_nm', OLD.width_nm, 'height_nm', OLD.height_nm, 'across', OLD.across) FROM open_step;
END;
CREATE TRIGGER log_plan_insert AFTER INSERT ON plan BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'plan', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_plan_update AFTER UPDATE ON plan BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'plan', NEW.id, json_object('id', OLD.id, 'made', OLD.made, 'format', OLD.format, 'until', OLD.until, 'grade', OLD.grade, 'sides', OLD.sides, 'cost_minor', OLD.cost_minor, 'bound_minor', OLD.bound_minor, 'digest', OLD.digest) FROM open_step;
END;
CREATE TRIGGER log_plan_delete AFTER DELETE ON plan BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'plan', OLD.id, json_object('id', OLD.id, 'made', OLD.made, 'format', OLD.format, 'until', OLD.until, 'grade', OLD.grade, 'sides', OLD.sides, 'cost_minor', OLD.cost_minor, 'bound_minor', OLD.bound_minor, 'digest', OLD.digest) FROM open_step;
END;
CREATE TRIGGER log_plan_part_insert AFTER INSERT ON plan_part BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'plan_part', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_plan_part_update AFTER UPDATE ON plan_part BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'plan_part', NEW.id, json_object('id', OLD.id, 'plan', OLD.plan, 'number', OLD.number, 'data', hex(OLD.data)) FROM open_step;
END;
CREATE TRIGGER log_plan_part_delete AFTER DELETE ON plan_part BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'plan_part', OLD.id, json_object('id', OLD.id, 'plan', OLD.plan, 'number', OLD.number, 'data', hex(OLD.data)) FROM open_step;
END;
CREATE TRIGGER log_purchase_insert AFTER INSERT ON purchase BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'purchase', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_purchase_update AFTER UPDATE ON purchase BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'purchase', NEW.id, json_object('id', OLD.id, 'supplier', OLD.supplier, 'plan', OLD.plan, 'placed', OLD.placed, 'delivery_minor', OLD.delivery_minor, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_purchase_delete AFTER DELETE ON purchase BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'purchase', OLD.id, json_object('id', OLD.id, 'supplier', OLD.supplier, 'plan', OLD.plan, 'placed', OLD.placed, 'delivery_minor', OLD.delivery_minor, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_purchase_line_insert AFTER INSERT ON purchase_line BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'purchase_line', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_purchase_line_update AFTER UPDATE ON purchase_line BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'purchase_line', NEW.id, json_object('id', OLD.id, 'purchase', OLD.purchase, 'number', OLD.number, 'profile', OLD.profile, 'length_nm', OLD.length_nm, 'sticks', OLD.sticks, 'cost_minor', OLD.cost_minor) FROM open_step;
END;
CREATE TRIGGER log_purchase_line_delete AFTER DELETE ON purchase_line BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'purchase_line', OLD.id, json_object('id', OLD.id, 'purchase', OLD.purchase, 'number', OLD.number, 'profile', OLD.profile, 'length_nm', OLD.length_nm, 'sticks', OLD.sticks, 'cost_minor', OLD.cost_minor) FROM open_step;
END;
CREATE TRIGGER log_delivery_insert AFTER INSERT ON delivery BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'delivery', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_delivery_update AFTER UPDATE ON delivery BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'delivery', NEW.id, json_object('id', OLD.id, 'purchase', OLD.purchase, 'arrived', OLD.arrived, 'note', OLD.note) FROM open_step;
END;
CREATE TRIGGER log_delivery_delete AFTER DELETE ON delivery BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'delivery', OLD.id, json_object('id', OLD.id, 'purchase', OLD.purchase, 'arrived', OLD.arrived, 'note', OLD.note) FROM open_step;
END;
CREATE TRIGGER log_stick_insert AFTER INSERT ON stick BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'stick', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_stick_update AFTER UPDATE ON stick BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'stick', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'profile', OLD.profile, 'origin', OLD.origin, 'parent', OLD.parent, 'delivery', OLD.delivery, 'line', OLD.line, 'supplier', OLD.supplier, 'lot', OLD.lot, 'place', OLD.place, 'length_nm', OLD.length_nm, 'value_minor', OLD.value_minor, 'cost_minor', OLD.cost_minor, 'offcut', OLD.offcut, 'damage_nm', OLD.damage_nm, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_stick_delete AFTER DELETE ON stick BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'stick', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'profile', OLD.profile, 'origin', OLD.origin, 'parent', OLD.parent, 'delivery', OLD.delivery, 'line', OLD.line, 'supplier', OLD.supplier, 'lot', OLD.lot, 'place', OLD.place, 'length_nm', OLD.length_nm, 'value_minor', OLD.value_minor, 'cost_minor', OLD.cost_minor, 'offcut', OLD.offcut, 'damage_nm', OLD.damage_nm, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_blade_insert AFTER INSERT ON blade BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'blade', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_blade_update AFTER UPDATE ON blade BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'blade', NEW.id, json_object('id', OLD.id, 'name', OLD.name, 'height_nm', OLD.height_nm, 'least_nm', OLD.least_nm, 'came', OLD.came, 'remind_days', OLD.remind_days, 'remind_chops', OLD.remind_chops, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_blade_delete AFTER DELETE ON blade BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'blade', OLD.id, json_object('id', OLD.id, 'name', OLD.name, 'height_nm', OLD.height_nm, 'least_nm', OLD.least_nm, 'came', OLD.came, 'remind_days', OLD.remind_days, 'remind_chops', OLD.remind_chops, 'state', OLD.state) FROM open_step;
END;
CREATE TRIGGER log_sharpening_insert AFTER INSERT ON sharpening BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'sharpening', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_sharpening_update AFTER UPDATE ON sharpening BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'sharpening', NEW.id, json_object('id', OLD.id, 'blade', OLD.blade, 'day', OLD.day, 'height_nm', OLD.height_nm, 'after_run', OLD.after_run) FROM open_step;
END;
CREATE TRIGGER log_sharpening_delete AFTER DELETE ON sharpening BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'sharpening', OLD.id, json_object('id', OLD.id, 'blade', OLD.blade, 'day', OLD.day, 'height_nm', OLD.height_nm, 'after_run', OLD.after_run) FROM open_step;
END;
CREATE TRIGGER log_run_insert AFTER INSERT ON run BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'run', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_run_update AFTER UPDATE ON run BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'run', NEW.id, json_object('id', OLD.id, 'plan', OLD.plan, 'profile', OLD.profile, 'started', OLD.started, 'finished', OLD.finished, 'state', OLD.state, 'strokes', OLD.strokes, 'chops', OLD.chops, 'blade', OLD.blade) FROM open_step;
END;
CREATE TRIGGER log_run_delete AFTER DELETE ON run BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'run', OLD.id, json_object('id', OLD.id, 'plan', OLD.plan, 'profile', OLD.profile, 'started', OLD.started, 'finished', OLD.finished, 'state', OLD.state, 'strokes', OLD.strokes, 'chops', OLD.chops, 'blade', OLD.blade) FROM open_step;
END;
CREATE TRIGGER log_run_stick_insert AFTER INSERT ON run_stick BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'run_stick', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_run_stick_update AFTER UPDATE ON run_stick BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'run_stick', NEW.id, json_object('id', OLD.id, 'run', OLD.run, 'number', OLD.number, 'stick', OLD.stick, 'head_nm', OLD.head_nm, 'flaw', OLD.flaw, 'state', OLD.state, 'kept_nm', OLD.kept_nm, 'waste_nm', OLD.waste_nm, 'waste_minor', OLD.waste_minor) FROM open_step;
END;
CREATE TRIGGER log_run_stick_delete AFTER DELETE ON run_stick BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'run_stick', OLD.id, json_object('id', OLD.id, 'run', OLD.run, 'number', OLD.number, 'stick', OLD.stick, 'head_nm', OLD.head_nm, 'flaw', OLD.flaw, 'state', OLD.state, 'kept_nm', OLD.kept_nm, 'waste_nm', OLD.waste_nm, 'waste_minor', OLD.waste_minor) FROM open_step;
END;
CREATE TRIGGER log_cut_insert AFTER INSERT ON cut BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'cut', NEW.id, NULL FROM open_step;
END;
CREATE TRIGGER log_cut_update AFTER UPDATE ON cut BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'cut', NEW.id, json_object('id', OLD.id, 'run', OLD.run, 'number', OLD.number, 'place', OLD.place, 'job', OLD.job, 'frame', OLD.frame, 'copy', OLD.copy, 'ring', OLD.ring, 'letter', OLD.letter, 'long_point_nm', OLD.long_point_nm, 'takes_nm', OLD.takes_nm, 'cost_minor', OLD.cost_minor, 'spoilt', OLD.spoilt, 'became', OLD.became) FROM open_step;
END;
CREATE TRIGGER log_cut_delete AFTER DELETE ON cut BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, 'cut', OLD.id, json_object('id', OLD.id, 'run', OLD.run, 'number', OLD.number, 'place', OLD.place, 'job', OLD.job, 'frame', OLD.frame, 'copy', OLD.copy, 'ring', OLD.ring, 'letter', OLD.letter, 'long_point_nm', OLD.long_point_nm, 'takes_nm', OLD.takes_nm, 'cost_minor', OLD.cost_minor, 'spoilt', OLD.spoilt, 'became', OLD.became) FROM open_step;
END;
PRAGMA application_id = 1280336491;
PRAGMA user_version = 2;
