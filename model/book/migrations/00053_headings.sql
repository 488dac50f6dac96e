-- What the workshop calls the columns of its tables: lines like jobs.due=heading; an empty text: nothing of its own.
ALTER TABLE workshop ADD COLUMN headings TEXT NOT NULL DEFAULT '';
