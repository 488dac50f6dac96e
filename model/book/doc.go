// Package book keeps a shop's workshop in one SQLite file that remembers: profiles, suppliers, offers, jobs and the rack as
// they stand, and purchases, deliveries, plans, runs, cuts and blades as they happened.
//
// # Steps
//
// Every change is a step: one transaction, with who made it, when and why (table step). Triggers write each row that a step
// changes into the table change, with what the row was before, and refuse a change outside a step. So the last step can be
// undone whatever it was (Undo), and what became of a row can be read back (History). A step that changes nothing is not
// kept, which is what makes commands safe to repeat.
//
// # Tables
//
// migrations/ holds the schema, with a line on what each table is. Lengths are whole nanometres in columns ending in _nm,
// money is whole minor units in columns ending in _minor. Tables refer to each other by the names and numbers that people
// see, so that a table makes sense on its own in a spreadsheet. What can be worked out from the tables is not stored
// beside them, with two exceptions that check.go compares: the state of a job, and what is left of a stick.
//
// # Material and money
//
// For a stick of length S and cost C that has been through a run, with the long points L of the sides done, the offcut K
// that was kept and the waste W,
//
//	S = Σ L + K + W        C = Σ c(L) + c(K) + c(W)
//
// where c shares C by length, rounded down, and the waste carries what rounding leaves. Trims, mitre losses, shaves and
// spoilt sides are waste. Check holds every stick to this.
//
// # The file
//
// WAL, foreign keys, a busy timeout and full synchronisation on every connection; writers begin with the write lock, so
// that two of them wait and never deadlock. The header says whose file it is (application_id) and of which version
// (user_version). An older one is copied and then migrated; a newer one is refused.
package book
