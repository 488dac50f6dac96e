// Package plan turns a workshop's jobs and sticks into cutting problems, and the solver's plans back into sticks, sides,
// a buy list and what each job costs. Make does it; Audit derives everything in the result once more and says what is off.
//
// # The mapping
//
// Profiles are independent, unless suppliers' terms bind them (below). For one of them let the jobs that are due ask for sides q with long point L_q and mitre
// angle θ_q (package model: geometry), and let the machine lose loss(θ) between two neighbours, keep a shave s at each
// mitre, and give up head and tail trims h and t of every stick, the same for all sticks of the profile: the greatest that
// any of its shapes asks for. Then
//
//	item i            all sides of one long point and need
//	  length ℓ_i      L + loss(θ) + 2 s
//	  demand d_i      how many there are
//	kind k            equal sticks of the rack, or what can be bought of one length
//	  length L_k      S − h − t
//	  cost c_k        the value of a stick on the rack (Workshop.StickValue), or the lowest price
//	  limit m_k       how many of them are on the rack; none for what is bought
//
// is the problem of package solver. On the stick a side has its slot of ℓ_i: half of its own loss, a shave, the long
// point, a shave, and the other half. So slots may follow each other in any order, neighbours of different angles use
// each half of their own loss, and the long point of the side after sides 1 … j starts at
//
//	h + Σ_{1…j} ℓ + ½ loss + s
//
// from the stick's physical head. What is left of the stick after its last slot, S − h − Σ ℓ, includes the tail trim,
// for whoever takes that piece up again finds that end still on it. It is kept when it is as long as the profile's Keep.
//
// # Buying, rack and matching
//
// What suppliers, the rack and matching ask for is stated in the same problem, with its choices, rows and credits:
//
//	bundle of b at P        kind with limit 0 at the worth v of a spare stick; choice at P − b v, gives b sticks
//	break from f on at p    choice of the first f, at most once; choice of further ones, with a row by which they go
//	                        with it only
//	supplier's terms        choice of the order at its delivery, at most once; rows by which every purchase goes with it,
//	                        and by which money and sticks come to the least
//	kept offcuts            credit of the kind: the profile's share of the price by length, and no more by length than
//	                        the uncut stick
//	damaged stick           kind for each sound part, limit 0, at what the part left whole is credited; choice of opening
//	                        it at the rest of its value, gives one of each
//	frame from one stick,   one item for all its sides, or for each two neighbours
//	pair
//	frame from one lot      its items once for each lot, only for that lot's kinds; choice of the lot for each of the equal
//	                        frames, asks for its items; rows by which each frame has one lot
//	pattern                 needs in whole repeats, a repeat off every stick or sound part
//
// v is what the stick would be worth on the rack, and no more than its share of the bundle's price. What is sold stick
// by stick, at one price and without terms, stays a kind without limit. Choices stand in this order: orders by supplier;
// then for each profile what is bought, list by list in the order of the table; damaged sticks, in that of the rack;
// lots, by groups of equal frames in the order of their days.
//
// How many bundles a choice allows is a bound no cheapest plan goes beyond (task.enough).
//
// Profiles that can be ordered from one supplier with terms are planned together: sets.go says how, and how it is proven.
//
// # Order and choice
//
// Any of the sides of an item may take any of its places. They are dealt out to the sticks: first sides of a frame that is
// on the stick already, then in the order of the jobs' days. Then the sticks, and the sides on each, are put in the order in
// which they are best cut (Run, package order), and equal sides of a frame go to pieces that are cut from one setting. The
// order of everything follows from the workshop and the solver's patterns alone, never from which search ended first.
//
// # What is known of a plan
//
// A plan's grade is the worse of what the solver claims and what the Verifier, the independent checker that the program
// passes in, makes of its certificate. Without a Verifier it is Open. A plan that the Verifier rejects is not given out: it is a
// fault of ours. A plan is never dearer than first-fit's (firstfit.go): where a search was stopped with less, first-fit's
// is the plan.
//
// Among plans of one cost it looks for few sticks (fewer.go) and then for a long offcut (longest.go), without a proof. Units
// are then exchanged between the sticks where that makes them simpler to cut (exchange.go).
package plan
