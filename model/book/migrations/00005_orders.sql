-- An order can be changed until it is sent; a line can come short, or bring more than was ordered.
ALTER TABLE purchase ADD COLUMN open INTEGER NOT NULL DEFAULT 0 CHECK (open IN (0, 1)); -- 1: not sent yet
ALTER TABLE purchase_line ADD COLUMN plan INTEGER REFERENCES plan(id);                    -- that it is for, where that is not the order's
ALTER TABLE purchase_line ADD COLUMN gone INTEGER NOT NULL DEFAULT 0 CHECK (gone >= 0);   -- sticks that will not come
ALTER TABLE purchase_line ADD COLUMN extra INTEGER NOT NULL DEFAULT 0 CHECK (extra >= 0); -- sticks that came on top of those ordered
ALTER TABLE purchase_line ADD COLUMN extra_cost_minor INTEGER NOT NULL DEFAULT 0 CHECK (extra_cost_minor >= 0);
