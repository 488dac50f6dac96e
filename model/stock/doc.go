// Package stock works out the workshop as it will be after a plan (After) and as it is in the middle of one (Midway): which sticks lie on
// the rack, which are still on the way, and which sides are cut. What became of a side (done, short, torn) or a stick (shorter, flawed,
// missing) is defined here once; the folder's table of mishaps and the runs of a book both tell it as a list of Events.
//
// What is left after a plan, or in the middle of one, is a workshop again. So planning, the audit and the proof need to know
// nothing of what went before, and a plan of the rest is checked like any other. Only two things had to be added to a workshop for
// that: which sides of a frame are cut already (JobFrame.Cut), and that a stick's head trim is off already (Stick.Begun).
//
// What was decided, and why:
//
//   - After a mishap the new sticks of the plan are taken as bought and lie on the rack at the value of the rack: they are in the shop. So a
//     plan to which nothing has happened stays the cheapest.
//   - Sides come off a stick in the plan's order. A table that says something of the third side and nothing of the second
//     is refused: nobody can know then what lies where.
//   - A stick that is begun has its head trim still in its length, on paper, so that the next plan trims it once. What it really
//     measures stands beside its place. It gives up at its head what the plan gave up there: the trim, and of a patterned
//     profile the repeat, so that the pattern runs on from the last cut. Carried on unused, it is the offcut that it measures.
//   - What is left of a stick that is begun is worth to the next plan what the offcut is that it would become (Workshop.StickValue), as the plan by
//     which it was begun had it: often nothing. At the value of the rack the stick in the machine would be laid aside for a shorter one. The same
//     is true of a stick whose last side is spoilt.
//   - A flaw is damage like that of a stick that came with it, and the stick stays one: it goes on where it is marked out, if its sides
//     still fit.
//   - Of a damaged stick each sound part's kept offcut goes on the rack, and of a bundle each stick from which nothing is cut.
//   - Where frames are matched by lot, what was bought of one price list is one lot afterwards, and so are the parts of one stick.
//     Elsewhere no lots are named.
//   - An offcut has no value of its own: the workshop's share of the price by length holds for it, whatever its stick was worth.
//   - Of two sides that are a pair one may be cut already; the other then stands alone. What is cut of a frame matched by lot or from one stick
//     is not in the next problem, which matches only the rest with itself. The remade plan names those frames, for the framer to look at.
//
// Nothing here changes the workshop it is given; the new one shares with it what has stayed the same.
package stock
