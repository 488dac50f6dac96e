-- Prices by length, as suppliers print them. price_minor is what a bundle then comes to; per_nm 0: there is no price by length.
ALTER TABLE offer ADD COLUMN rate_minor  INTEGER NOT NULL DEFAULT 0 CHECK (rate_minor >= 0); -- of per_nm
ALTER TABLE offer ADD COLUMN per_nm      INTEGER NOT NULL DEFAULT 0 CHECK (per_nm >= 0);
ALTER TABLE offer ADD COLUMN least_minor INTEGER NOT NULL DEFAULT 0 CHECK (least_minor >= 0); -- a stick costs at least this
ALTER TABLE offer ADD COLUMN cut_minor   INTEGER NOT NULL DEFAULT 0 CHECK (cut_minor >= 0);   -- on top, for a stick that is cut to its length

-- How a supplier's price list is laid out: the headings of its columns, or what holds for all of it.
CREATE TABLE price_list (
  id        INTEGER PRIMARY KEY,
  supplier  TEXT NOT NULL UNIQUE CHECK (supplier <> ''),
  sheet     TEXT NOT NULL DEFAULT '', -- of a workbook; empty: the one that has the columns
  article   TEXT NOT NULL,            -- a heading
  length    TEXT NOT NULL DEFAULT '', -- a heading, or lengths with semicolons between them; empty: as on offer
  unit      TEXT NOT NULL DEFAULT '', -- of bare lengths; empty: the workshop's
  price     TEXT NOT NULL,            -- a heading
  breaks    TEXT NOT NULL DEFAULT '', -- lines like 10=heading
  sold_by   TEXT NOT NULL DEFAULT '', -- stick, bundle, m, ft or a length; empty: stick
  bundle    TEXT NOT NULL DEFAULT '', -- a heading or a number; empty: as on offer, or 1
  least     TEXT NOT NULL DEFAULT '', -- a heading or an amount
  cut       TEXT NOT NULL DEFAULT '', -- likewise
  decimal   TEXT NOT NULL DEFAULT '', -- the list's own marks; empty: the workshop's
  thousands TEXT NOT NULL DEFAULT ''
) STRICT;

-- Which article of a supplier is which profile.
CREATE TABLE price_article (
  id       INTEGER PRIMARY KEY,
  supplier TEXT NOT NULL CHECK (supplier <> ''),
  article  TEXT NOT NULL CHECK (article <> ''),
  profile  TEXT NOT NULL REFERENCES profile(name) ON UPDATE CASCADE,
  UNIQUE (supplier, article)
) STRICT;
CREATE INDEX price_article_profile ON price_article(profile);
