-- How the shop prints, what orders say of suppliers and their articles, and what is a blade set's own.
ALTER TABLE workshop ADD COLUMN address TEXT NOT NULL DEFAULT '';                 -- lines parted by " / "
ALTER TABLE workshop ADD COLUMN clearance_nm INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN paper TEXT NOT NULL DEFAULT '' CHECK (paper IN ('', 'A4', 'Letter'));
ALTER TABLE workshop ADD COLUMN tickets INTEGER NOT NULL DEFAULT 0 CHECK (tickets IN (0, 1, 2, 4));
ALTER TABLE workshop ADD COLUMN fraction INTEGER NOT NULL DEFAULT 0 CHECK (fraction IN (0, 16, 32, 64));
ALTER TABLE workshop ADD COLUMN label_form TEXT NOT NULL DEFAULT 'sheet' CHECK (label_form IN ('sheet', 'roll'));
ALTER TABLE workshop ADD COLUMN label_columns INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN label_rows INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN label_width_nm INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN label_height_nm INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN label_left_nm INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN label_top_nm INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN label_across_nm INTEGER NOT NULL DEFAULT 0;
ALTER TABLE workshop ADD COLUMN label_down_nm INTEGER NOT NULL DEFAULT 0;

ALTER TABLE supplier ADD COLUMN address TEXT NOT NULL DEFAULT '';                 -- lines parted by " / "
ALTER TABLE supplier ADD COLUMN delivery_days INTEGER CHECK (delivery_days >= 0); -- after an order; NULL: nobody knows

ALTER TABLE offer ADD COLUMN article TEXT NOT NULL DEFAULT '';
-- What is a blade set's own: the widest profile it may cut, and edges that are used one after the other.
ALTER TABLE blade ADD COLUMN greatest_width_nm INTEGER CHECK (greatest_width_nm > 0);                     -- of its maker; NULL: not said
ALTER TABLE blade ADD COLUMN edges INTEGER NOT NULL DEFAULT 1 CHECK (edges IN (1, 2));
ALTER TABLE blade ADD COLUMN edge INTEGER NOT NULL DEFAULT 1 CHECK (edge BETWEEN 1 AND edges);           -- that cuts
ALTER TABLE run ADD COLUMN edge INTEGER CHECK (edge IN (1, 2));                                           -- of its blades; NULL: no blades
