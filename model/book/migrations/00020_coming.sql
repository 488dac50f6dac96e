-- What the tables that an order came in with say of it: what it is called (empty: by its number), what its sticks are called (one a line; empty: by
-- the order's number), and their lot (NULL: sticks of one line are a lot of their own).
ALTER TABLE purchase      ADD COLUMN called TEXT NOT NULL DEFAULT '';
ALTER TABLE purchase_line ADD COLUMN names  TEXT NOT NULL DEFAULT '';
ALTER TABLE purchase_line ADD COLUMN lot    TEXT;
