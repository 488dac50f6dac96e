-- What is a blade set's own: the widest profile it may cut, and edges that are used one after the other.
ALTER TABLE blade ADD COLUMN greatest_width_nm INTEGER CHECK (greatest_width_nm > 0);                     -- of its maker; NULL: not said
ALTER TABLE blade ADD COLUMN edges INTEGER NOT NULL DEFAULT 1 CHECK (edges IN (1, 2));
ALTER TABLE blade ADD COLUMN edge INTEGER NOT NULL DEFAULT 1 CHECK (edge BETWEEN 1 AND edges);           -- that cuts
ALTER TABLE run ADD COLUMN edge INTEGER CHECK (edge IN (1, 2));                                           -- of its blades; NULL: no blades
