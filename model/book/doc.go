// Package book keeps a shop's workshop in one SQLite file that remembers: profiles, suppliers, offers, jobs and the rack as
// they stand, and purchases, deliveries, plans, runs, cuts and blades as they happened.
//
// # Steps
//
// Every change is a step: one transaction, with who made it, when and why (table step). Triggers write each row that a step
// changes into the table change, with what the row was before, and refuse a change outside a step. So the last step can be
// undone whatever it was (Undo), and what became of a row can be read back (History). A step that changes nothing is not
// kept, which is what makes commands safe to repeat. What a step did it says in words itself (tell), with amounts, in the
// units that the workshop had then: the history is a diary, and is not worked out again from rows that have changed since.
// Several changes that belong together are one step, all of them or none (Do).
//
// A writer begins with the write lock (BEGIN IMMEDIATE), writes a row in step and names it in open_step. The triggers refuse a
// change while open_step is empty, so that nothing is written past the history, not even by hand. Triggers do this and not
// the store's own code, because no writer can forget them; every migration makes them anew from the tables as they then are.
//
// Undo takes the last step that still stands and puts its rows back, the last first, with foreign keys looked at in the end.
// It is a step itself and cannot be undone. Only what a row was before is kept: what came after is the next entry's before,
// or the row itself.
//
// Every step is sealed (table seal). Its link is a digest of the step, of the rows it changed as they were before, of the sum of the digests of all rows
// of the shop behind it, and of the link before it. So a step that is lost, changed or swapped is seen, and so is a row of the shop that no step has
// written, whatever did it: a slip by hand, a page of another state of the file, a disk. The sum is one of numbers, so that a step adds and takes
// off what it changed. It guards against accidents, not against who forges it. Check works all of it out anew; opening a book looks at the
// last step alone, and at whether tables and triggers are those of this program. A migration seals anew what it changes, unless it was not right before.
//
// # Tables
//
// migrations/ holds the schema, with a line on what each table is. Tables are STRICT. Lengths are whole nanometres in columns
// ending in _nm, money is whole minor units in columns ending in _minor, angles end in _udeg, shares in _pct; days are text.
//
//	workshop, profile, supplier, offer  what a plan is made from, as it is now
//	job, frame, ring                    orders; a job is open, ready, collected or dropped
//	plan, plan_part                     plans that were made, and their documents, packed and in parts that fit a cell
//	purchase, purchase_line, delivery   what was ordered, what came and what will not; open until it is sent
//	stick                               every stick and offcut there ever was: on the rack, in a run, used or discarded
//	stock_count                         what the rack was found to hold, and should have held
//	run, run_stick, cut                 what happened at the machine
//	blade, sharpening                   blade sets
//	step, change, open_step             who did what, when and why; what each row was before; the step being written
//	seal                                by what each step is known to be as it was written
//	backup                              how the book is backed up by itself; no part of the shop either
//	press                               what was sent under a key (By.Key); no part of the shop, of its history or of an export
//
// Tables refer to each other by the names and numbers that people see, with foreign keys that follow a change of name, so that
// a table makes sense on its own in a spreadsheet and an import needs no mapping of row numbers. What can be worked out from the tables is not stored
// beside them, with two exceptions that check.go compares: the state of a job, and what is left of a stick.
//
// # Material and money
//
// For a stick of length S and cost C that has been through a run, with the long points L of the sides done, the offcut K
// that was kept and the waste W,
//
//	S = Σ L + K + W        C = Σ c(L) + c(K) + c(W)
//
// where c shares C by length, rounded down, and the waste carries what rounding leaves. Trims, mitre losses, shaves,
// spoilt sides and those that are not wanted any more are waste. Check holds every stick to this.
//
// What a job costs is another sum: its shares of the plans by which its sides were cut, which carry the waste of the plan. Each
// side that is done has its part of its job's share (cut.share_minor), by what it takes of the stick. A mishap that the run goes on after changes nothing
// about that: it is the shop's.
//
// A run that is finished before its sides are all done is settled then (run_settle.go), for its plan's shares are of sticks that nothing came off, too. The sides
// that came off sticks bear what was spent on these, by what they take; the part of a side that tore is the shop's. Spent on a stick is what the plan counts it at
// (its value on the rack, or what was paid for it with its part of the delivery, whichever is more), less what is left of it. What goes back to the rack, or is still to come, takes
// along what the next plan counts it at: a stick whole, an offcut of a stick that more was to come off its value on the rack, the offcut that
// the plan meant to keep what the plan took off for it. So what jobs bear, what tore and what is left add up to what was spent, whenever a run is ended.
// (By the plans' shares jobs had borne 74.66 of 69.33.) What a bundle's spare sticks are worth less than they cost falls on the first run by their plan.
//
// What was decided, and why:
//
//   - A side of a run has a row in cut only when something became of it: what is planned stands in the plan's document, and a
//     row for each planned side would have doubled the file. Its spoilt is 0 for a side that is done and counts failures
//     otherwise, so that one unique index says "done once" and finds every attempt.
//   - There is one open run a profile. A side belongs to one profile, so no side is ever in two open runs.
//   - A stick that came in with the workshop costs what it was worth then (Workshop.StickValue). What a supplier charges for
//     delivery is kept with the purchase and is in no stick.
//   - A stick that a plan buys is cut from one that came of that plan's own order, one that was on the way from one of its order:
//     of the same supplier, at least as long, and sound wherever a side lies. Of those that came as many as can be are assigned
//     (a bipartite matching); else the answer is "plan again". So it is where a job was changed since.
//   - An order is open until it is sent, and the next plan's list goes into it. What came of a line beyond what was ordered counts
//     apart (extra), and so does what will not come (gone): what was ordered stays known.
//   - A job that is changed is compared with what is cut of it: a side that is as long as it is to be stays done, whatever it was cut
//     for. Of fewer copies those that are cut the most stay, under new numbers. A frame of which something is cut is never
//     deleted, only marked as dropped.
//   - A stick that is measured again keeps its money. An offcut's difference in length goes to the waste of the stick it is of.
//   - When every side came off a stick, what is kept of it is what the plan says, and what the stick was longer than ordered. When
//     some did not, it is the tail alone, behind the sides that were cut; damage and flaws in the tail move with it, and it is kept where a
//     sound part of it is long enough. A flaw of which nobody said where it is takes all behind the last cut.
//   - What goes wrong in a run is written down and the rest of the run planned anew in one step. For that the sticks in hand lie on the
//     rack of the shop, as much of each as is left, what is marked out on them is the plan before, and what was told are events of
//     package stock: so package planner remakes a run as it remakes the plan of a folder. Where the rest cannot be planned, what
//     happened is written down all the same, and its sides wait for the next plan.
//   - The plan of a run's rest is kept as such and is never the last plan of the book. A cut that stays on its stick keeps its number;
//     others get numbers that no cut of the run ever had, so that an old label is never mistaken.
//   - A run begins with the sticks that are here. What it waits for is its own: no other plan counts on it.
//   - What was bought is called by its order (P3-1 is the first stick of the first line of order 3), an offcut as its plan calls it, or, where
//     that name was used before, by the next number.
//   - Chops are counted as one at a stick's head and one behind each side that came off it; bites are chops times the strokes
//     of the profile's plan. A run counts for the blades that were mounted when it started.
//   - Lots are what the framer says on receiving. Where nothing was said and frames are matched by lot, what came of one line of an
//     order is one lot: it was planned as one, and planned again would else be bought again.
//   - Sticks that share a frame which is matched by lot go into a run all together and of one lot, or not at all (sticksFor): nobody knows before it is
//     here of which lot the rest of an order is, and half a frame cut is a frame lost.
//   - A plan is right for what it was made of (Since): after a change of the machine, of one of its profiles or of how its frames match no run
//     begins by it, and after one of its jobs too nothing is ordered by it. What was ordered before stays. Prices, days and jobs that came in are only told.
//   - A plan of a book is a plan of what is left: frames that are wholly cut are left out, and of the others the sides that are done,
//     or in an open run, are marked (JobFrame.Cut). What is cut of a frame that must match is not in the problem, and the commands warn of it.
//   - A book keeps every field of model.Workshop but three: Where is the book's own place, and Stick.Begun and JobFrame.Cut
//     follow from runs and cuts. A workshop that has the last two is refused rather than that they are lost.
//
// # Import
//
// An import matches rows by what people tell them apart by, never by row number, which means nothing in another book. Only a
// book in which nothing was ever done takes row numbers and history in: that is how a whole export makes the same book. Every
// import ends with the rules of Check within its transaction. That costs seconds in a book of ten years, and has the last word.
//
// # The file
//
// WAL, foreign keys, a busy timeout and full synchronisation on every connection; writers begin with the write lock, so
// that two of them wait and never deadlock. The header says whose file it is (application_id) and of which version
// (user_version). An older one is copied to FILE.version-N, checked and then migrated; a newer one is refused. Readers do
// not migrate.
//
// Full synchronisation means that a step which was reported is there after a power cut. A book is meant for a local disk. Where it
// lies where nobody can write and nothing is in its log, it is read as unchanging. A new book, a copy and an export are made
// beside their name and get it when they are whole, and never replace a file.
//
// The rules of Check are one query each that must give no row. They work on a book of any version, because a copy is
// checked before it is migrated: one that needs a column is not asked of a book from before it.
//
// Several processes may bring an old book forward at once. Each version looks within its write lock whether another process was
// quicker, for some versions could be written twice without an error.
//
// # Files
//
//	book.go          opening and closing; file_* the file and its copies: made, identified, brought forward, backed up, restored, repaired
//	step.go          changes; step_* the diary, undoing, history, seals, and what was sent before
//	table.go         tables as they are in files; table_* import, export, filling a new book
//	workshop.go      reading the shop; workshop_* its headings and the forms of price lists
//	job.go, rack.go  what stands there; job_* what it comes to and would lose, rack_* what was paid, how old it is, what became of it
//	order.go         orders; order_* what comes, receiving it, quoting from it
//	plan.go          plans; plan_* which sticks they are cut from, what is left to plan, what has changed since
//	run.go           runs, beginning and cutting; run_* reading them, mishaps, the plan of the rest, finishing and settling (the rest is package runs)
//	blade.go         blade sets
//	check.go         what must be true of a book; errors.go errors of SQLite and of the disk in words
package book
