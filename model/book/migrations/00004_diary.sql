-- What a step did, in words; empty in steps from before.
ALTER TABLE step ADD COLUMN what TEXT NOT NULL DEFAULT '';
