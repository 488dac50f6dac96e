-- Each step is sealed, so that one that is lost, changed or swapped is seen, and so is any row that no step has written.
CREATE TABLE seal (
  step  INTEGER PRIMARY KEY REFERENCES step(id),
  link  TEXT NOT NULL, -- SHA-256, in hex, of the link before it, of the step and the rows it changed, and of state
  state TEXT NOT NULL  -- the sum of the SHA-256 of every row of the shop after the step, in hex; empty: a step from before there were seals
) STRICT;
