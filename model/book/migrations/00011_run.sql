-- The rest of a run may be planned anew. Then each of its sticks says by which plan, and as which stick of that, it is cut from now on.
ALTER TABLE plan ADD COLUMN rest_of INTEGER;                                             -- the run of whose rest it is the plan; not given: of no run's
ALTER TABLE run_stick ADD COLUMN plan INTEGER REFERENCES plan(id);                       -- that it is cut by; not given: the run's
ALTER TABLE run_stick ADD COLUMN planned INTEGER CHECK (planned >= 0);                   -- which stick of that plan, from 1; 0: nothing more is cut from it; not given: that of its number
ALTER TABLE run_stick ADD COLUMN earlier INTEGER NOT NULL DEFAULT 0 CHECK (earlier >= 0); -- sides that were cut from it by earlier plans; the first places are theirs
ALTER TABLE run_stick ADD COLUMN gone_nm INTEGER NOT NULL DEFAULT 0 CHECK (gone_nm >= 0); -- by how much they made it shorter
ALTER TABLE run_stick ADD COLUMN marked INTEGER NOT NULL DEFAULT 0 CHECK (marked >= 0);  -- the step that last marked something out on it since the run began; 0: none has
ALTER TABLE run_stick ADD COLUMN offcuts TEXT NOT NULL DEFAULT '';                       -- what its offcuts will be called, with commas between
ALTER TABLE cut ADD COLUMN plan INTEGER REFERENCES plan(id);                             -- that it was cut by; not given: the run's
ALTER TABLE cut ADD COLUMN start_nm INTEGER;                                             -- where on the stick it was marked out
CREATE INDEX plan_rest ON plan(rest_of) WHERE rest_of IS NOT NULL;
CREATE INDEX run_stick_plan ON run_stick(plan) WHERE plan IS NOT NULL;
CREATE INDEX cut_plan ON cut(plan) WHERE plan IS NOT NULL;
