-- The day on which what was ordered should be here, year-month-day; empty: nobody knows.
ALTER TABLE purchase ADD COLUMN expected TEXT NOT NULL DEFAULT '';
