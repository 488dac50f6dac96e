// Package plan turns a workshop's jobs and sticks into cutting problems, and the solver's plans back into sticks, sides,
// a buy list and what each job costs. Make does it; Audit derives everything in the result once more and says what is off.
//
// # The mapping
//
// Profiles are independent. For one of them let the jobs that are due ask for sides q with long point L_q and mitre
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
// # Order and choice
//
// Any of the sides of an item may take any of its places. They are dealt out to the sticks in cutting order (layouts):
// first sides of a frame that is on the stick already, then in the order of the jobs' days. The order of everything
// follows from the workshop and the solver's patterns alone, never from which search ended first.
//
// # What is known of a plan
//
// A plan's grade is the worse of what the solver claims and what the Verifier, the independent checker that the program
// passes in, makes of its certificate. Without a Verifier it is Open. A plan that the Verifier rejects is not given out: it is a
// fault of ours. A plan is never dearer than first-fit's (firstfit.go): where a search was stopped with less, first-fit's
// is the plan.
//
// The package does not prefer one cheapest plan to another, does not put stops in order, and does not credit the offcuts
// that a plan leaves.
package plan
