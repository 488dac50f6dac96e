-- How the workshop's tables write days and numbers; an empty text: not said.
ALTER TABLE workshop ADD COLUMN dates     TEXT NOT NULL DEFAULT '';
ALTER TABLE workshop ADD COLUMN decimal   TEXT NOT NULL DEFAULT '' CHECK (decimal IN ('', '.', ','));
ALTER TABLE workshop ADD COLUMN thousands TEXT NOT NULL DEFAULT '' CHECK (thousands IN ('', '.', ',', '''', ' '));
