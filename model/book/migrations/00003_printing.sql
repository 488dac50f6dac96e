-- How the shop prints, and what orders say of suppliers and their articles.
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
