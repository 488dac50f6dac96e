// Package planner makes the plan: it states the cutting problems of a workshop, has package solver solve them, and writes
// the plan document (package plan). Make plans from nothing; Remake plans the rest of a plan after a mishap.
//
// # One profile as a cutting problem
//
// Profiles are independent unless a supplier's terms bind them (below). Take one profile. The due jobs ask for sides q with
// long point L_q and mitre angle θ_q (package model: geometry). The machine loses loss(θ) between two neighbours, keeps a shave s at
// each mitre, and gives up a head trim h and a tail trim t of every stick. The trims are one pair a profile, the greatest that
// any of its shapes asks for, so that a stick's usable length does not depend on what is cut from it. Then
//
//	item i            all sides of one long point and one need
//	  length ℓ_i      L + loss(θ) + 2 s
//	  demand d_i      how many there are
//	kind k            equal sticks of the rack, or what can be bought of one length
//	  length L_k      S − h − t
//	  cost c_k        the value of a stick on the rack (Workshop.StickValue), or the lowest price
//	  limit m_k       how many of them are on the rack; none for what is bought
//
// is the problem of package solver, which does not merge equal items or kinds: that is done here. Rack sticks of one length and one
// value are one kind; which of them is which is decided when sides are assigned to sticks.
//
// On its stick a side has a slot of ℓ_i: half of its own loss, a shave, the long point, a shave, and the other half of the loss. So slots follow
// each other in any order, and neighbours of different angles each use their own half of the loss.
// After sides 1 … j the next long point starts at
//
//	h + Σ_{1…j} ℓ + ½ loss + s
//
// from the stick's physical head. What is left after the last slot, S − h − Σ ℓ, includes the tail trim, because the piece
// still has that end when it is taken up again. It is kept when it is at least as long as the profile's keep length.
//
// # Buying, rack and matching
//
// Everything else is stated in the same problem with its choices, rows and credits (package solver):
//
//	bundle of b at P        kind with limit 0 at the value v of a spare stick; choice at P − b v, gives b sticks
//	break from f on at p    choice of the first f bundles, at most once; choice of further ones, with a row by which they need
//	                        the first
//	supplier's terms        choice of the order at its delivery, at most once; rows by which every purchase needs the order,
//	                        and by which money and sticks come to the least
//	free delivery from f    a second choice of the order, at no cost and a least of f; a purchase needs either
//	kept offcuts            credit of the kind: the profile's share of the price by length
//	damaged stick           kind for each sound part, limit 0, at what the part left whole is credited; choice of opening the
//	                        stick at the rest of its value, gives one of each
//	frame from one stick,   one item for all its sides, or for two neighbours
//	or in pairs
//	frame from one lot      its items once for each lot, only for that lot's kinds; choice of the lot for each of the equal
//	                        frames, asks for its items; rows by which each frame has one lot. All sticks that are alone in their
//	                        lot count as one lot, for which all sides of a frame are one item
//	pattern                 needs in whole repeats; one repeat is given up on every stick or sound part
//
// A profile that needs none of this is stated without it, so that its problem is as small and as fast as can be. Choices stand in
// this order: orders, by supplier; then for each profile what is bought, list by list in the order of the table; damaged
// sticks, in the order of the rack; lots, by groups of equal frames in the order of their days.
//
// What was decided, and why:
//
//   - v, the value of a spare stick of a bundle, is what the stick would be worth on the rack, and no more than its share of the
//     bundle's price. Else it would pay to buy for the rack.
//   - A kept offcut is worth no more by length than the uncut stick. Else it would pay to cut a stick only for its offcuts. With a
//     rack_share of 0 offcuts are worth nothing either.
//   - How many bundles a choice allows is a bound that no cheapest plan exceeds.
//   - Offers that differ only in their last day are one price list, in which each quantity has the lowest price it can be had
//     at on the day. So a line of the buy list is identified by supplier, profile, length and bundle.
//   - A list is bought at one price at a time. Where the supplier asks for a least order in money, rows forbid mixing two prices:
//     paying the dearer one to reach the least would be an order that no shop can place. The same holds where delivery is free from a
//     sum on. Elsewhere mixing never pays and needs no row.
//   - Where a supplier asks for a least order, spare bundles may fill it up, if that is cheapest.
//   - Equal frames to match by lot are one choice with a number, not one choice each: this gives fewer choices, and no two
//     that are alike for the search to tell apart.
//   - A stick whose lot is not known is a lot of its own. It can give a matched frame only if it gives all of it, as any stick can that is the
//     only one of its lot. So there a frame is one item, and equal sticks alone are one kind: no fractions of frames, and no symmetry. Of eight
//     generated weeks of 60 frames four were proven within 2 s of processor time since, and one in 20 s before. Sides that need not
//     match come from any stick.
//   - The ring is what matches, not the whole frame: an inner and an outer ring may be of different lots.
//   - A job without a day is always due. (The folder store demands a day; another store need not.)
//
// # Terms that bind profiles
//
// A supplier's delivery charge and least order are about the whole order, so profiles that can be ordered from such a supplier are
// planned together. One problem for ten profiles cannot be proven in any time worth waiting for, because the gaps of the
// profiles' relaxations add up. But profiles are bound only by what is ordered, so they are planned one by one for suppositions about
// the orders, and the certificate is a list of such cases (see package audit for what a case says and how a bound follows).
//
// First by sets. Let T be a set of the suppliers with terms, and c_p(T) the least cost of profile p when it may buy from T and from
// suppliers without terms, the terms themselves left out. Every plan that orders from exactly the suppliers of T costs at least
//
//	Σ_p c_p(T) + Σ_{s ∈ T} delivery of s
//
// so the least of these sums is a bound on every plan. It is met where the orders of the best T come to what its suppliers ask.
// With fewer suppliers a profile costs no less, so a few profiles rule out most sets. Of more than five suppliers the sets are not listed but divided
// as needed, by branch and bound (terms_many.go).
//
// Then by amounts, where those orders fall short. Let x be what a profile orders in money and in sticks from each supplier who asks for a
// least. A case may suppose that the profile orders at least so much, or it may take a share off the supplier's prices;
// of either follows a least cost g_p(x) for every x. The least of Σ_p g_p(x_p), over all x_p that the price lists allow and
// that together come to what is asked, is the bound. It is found profile by profile, as in a knapsack. The cases are chosen in two steps:
//
//  1. Prices are lowered by Lagrangian multipliers on what is asked: by as much as makes a spare bundle cost nothing, and then by those that bound
//     the combinations of the plans known so far best (Kelley's cutting-plane method).
//  2. At the x of the least sum, the profile whose g_p(x_p) is furthest below any plan known for it is gone on with: at lowered prices, where half of that may be
//     gained there, because it says something of all x; else planned for an order of at least x_p. That search ends as soon as its bound shows that x can be
//     part of no better plan (solver.Options.Cutoff).
//
// Each round raises the bound or finds a better plan, which is the best sum of plans known for the profiles, each also with more
// bundles of one list. Amounts are exact as long as a profile has at most 32,768 of them; beyond that, they are rounded up to so few significant bits that it has
// no more: of four price lists of three suppliers all amounts together were 83 million. (While the last supplier was left out instead, two of 60 weeks stayed open by
// 0.4 and 3.1 % that took 1.1 s of the processor since.) The least sum is looked for just above its own Lagrangian bound first, so that few sums are kept
// (terms_counting.go): of eight weeks that had stayed open by up to 8.7 % in 10 s counting had taken 36 to 88 % of the processor's time. Where profiles still come to more than two million pairs of sums, money is counted in units of two, four and
// more minor units, rounded in favour of the orders. All of this only weakens the bound.
//
//   - A profile that cannot be cut without a supplier gets a stand-in stick at a price that no plan pays. This only weakens bounds, and only
//     those of sets that cannot be.
//   - Only where none of this settles the matter in its time are the profiles searched as one problem, which may stay open.
//   - The bound of one profile among those planned together is its cost less the gap of them all: no other plan for it, the
//     others left as they are, is cheaper.
//   - Sticks of the rack that were bought for jobs still open (model.Stick.Paid) count in the plan by their value on the rack like all others, for what was
//     paid is paid whatever is cut from them: by their price a plan would rather buy again than cut a long one. But the jobs bear it: their shares add up
//     to the profile's cost and what was paid beyond the value. So a job costs the same before and after its wood has come, but for spare sticks of
//     its bundles, and for other sticks of the rack that a later plan cuts instead.
//   - Delivery is shared out by what is ordered for each profile, so that profiles' costs add up; jobs pay for it with their share of the profile.
//
// # Time
//
// Options.TimeLimit is for all of Make; of it as much is kept for the checker and the order of cuts as the certificates found so far will need at the pace of those
// that were checked. A certificate that grows is tried now and then while its search goes on, for one number takes ten times as long in one profile as in another; what
// was accepted then stands where the time is up before the last one is checked. What was not checked proves nothing. First-fit's plan stands before anything is searched.
// Then the searches take turns: each goes on for so many nodes (solver.Search), twice as many each time, and has time in proportion to its gap. So every profile has
// a plan early, the hard ones get what the easy ones leave, and as turns are counted in nodes and not by the clock, a plan that is proven is the same every time. Profiles
// bound by terms are one such search, whose turn is a step: the profiles of the set that bounds all plans, or what they must order, whichever is
// more of the gap.
//
//   - The searches stop where the costs of all profiles together are within Options.Within of their bounds: nothing worth having is left.
//   - Searches are kept by the problem that they solve (Known), so plans of one command share them wherever they come to the same problem, whatever
//     the reason: a job that has no part in a profile, a price list left out elsewhere, a day that is alone in its week.
//   - A new problem of the same profile starts with the columns of the last one's root (solver.Search.Learn): other suppliers, other prices or a
//     side more change few of them. Of 500 frames with terms the roots for further sets of suppliers took a third to two thirds of the processor time since.
//   - A profile is not planned again for fewer suppliers as long as its plan orders only from those.
//   - Where only costs are asked for (Options.CostsOnly: next-best choices, quotations), nothing is put in order to be cut, and no cuts are verified twice. The
//     next-best choices of the demo, 14 lines, took 3.1 s of the processor before and 0.6 s since.
//   - What is known of a profile alone, among several bound by terms, is verified at the end, and not at each turn.
//   - What is looked for beside a plan (next-best choices, a quotation's second plan, the sticks that can stay after a mishap) has nearly as long as the plan took, so
//     that both are over in the time of two plans.
//
// # From patterns to sticks
//
// Sides of an item may take any of its places. They are assigned first to sticks that hold a side of their frame already, then in the
// order of the jobs' days. Package sequence then puts sticks and sides in the order in which they are best cut. The order of everything
// follows from the workshop and the solver's patterns alone, never from which search ended first.
//
// Among plans of one cost the planner looks for few sticks, then for a long offcut, both without a proof and both bounded in
// steps, so that a plan is the same every time. A second search for fewer sticks is made only where a table of lengths and costs says that
// there may be one; the longest offcut is a local search with exact subset sums. Where offcuts are credited the
// credit decides, and neither is done. Then sides are exchanged between two sticks where that leaves fewer lengths on a stick, or fewer lengths
// of which it has an odd number, at the same cost, with no less kept and the longest rest as long. Up to 12 sticks the plan is put in order both with and
// without these exchanges and the better run wins; beyond that it would double the time. Fewer patterns are tried only where
// patterns repeat: in a week of single frames they do not, and a pattern cut twice with one side of each pair is worse at the
// stops than two patterns with a pair each.
//
// # What is known of a plan
//
// A plan's grade is the worse of what the solver claims and what the Verifier makes of its certificate. The Verifier is the independent
// checker, passed in by the program so that this package does not import it. Without one a plan is open, whatever the
// search says. A certificate that the Verifier rejects is a fault of ours, but no reason to leave the shop without a plan: the same plan is tried with the
// certificate of the root alone, then with none; then first-fit's takes its place. Such a plan is open, its bound is what the Verifier accepts, and
// its reason says what was refused (RefusedCertificate).
//
// First-fit stands beside every plan, and no plan is dearer: where a search was stopped with less, first-fit's plan is given. It takes the longest side
// first and cuts it from the first opened stick it fits; else from the shortest rack stick it fits (of equals, the one of
// least value); else from a new stick of the offer that costs least for its length (of equals, the longest). It pays by the same rules: whole bundles
// at the price of their number, delivery, and orders filled up to the least with what is ordered first. Frames of one lot it cuts from
// new sticks of the offer that its longest side would be bought from; damaged sticks it opens whole.
//
// The next-best choice for a line of the buy list plans its profile, and those planned together with it, as if that price list were
// not there. What things are worth stays as it is.
//
// # Remaking a plan
//
// Remake plans what package stock says is left after a mishap. The result costs what a plan from nothing costs, with that plan's bound and
// certificate. Only its patterns differ, and the checker looks at those again. Among plans of that cost it keeps sticks as
// they are marked out.
//
//   - We try to keep every stick as it is marked out. If that costs more, we try the first half of them and then the second, each divided again if need be. Keeping
//     one more can only make the rest dearer, so at the end no further stick can be held; another choice of sticks might hold more.
//   - Where terms bind profiles, one after another is held while the others' orders stay as they are: it may buy more or less from suppliers
//     that are ordered from, as if they had no terms, and the result is taken if every order still comes to what its supplier asks and the sum costs
//     what it did. So no joint problem is solved a second time.
//   - Sticks that hold sides of one frame that must match are held together or not at all, and not where some of those sides are
//     to be cut elsewhere, so that the remaining problem has whole frames, pairs and rings only. So a stick of a matched frame of which a side is
//     torn is laid out anew, with all that matches on it.
//   - Sticks that a plan orders only to reach a least order stay ordered, though the held sticks leave nothing to cut from them: the plan from
//     nothing would often have cut from them at the same cost, and moved every mark.
//   - The run of a remade plan is the old one, as far as it is still to be cut, then the rest's. A new search would move the marks on
//     sticks that could stay. A side of the rest whose equal lies on a kept stick is cut from that one's setting and comes first on its stick
//     (stop by stop: every side whose length the old run sets). That may cost pick-ups that a new search would avoid. Only where
//     such a run splits equal sides, which takes another machine than the plan was made for, are sides put in order anew.
//   - The order of cuts is the old plan's, so another cannot be asked for.
//   - What is left of a begun stick costs what it would bring as offcuts, and what is then left of it is credited at the same rate.
//
// # Where what is
//
//	make.go         Make, from the workshop to the document; options.go, how; grade.go, what is known of a plan; recover.go, unionfind.go, helpers
//	state_….go      states the problem: sides, units that match, price lists, sticks, and all of it for the solver (state_joint.go)
//	search_….go     a solution of the problem, and first-fit's
//	terms_….go      profiles that suppliers' terms bind: sets of suppliers, orders of so much
//	improve_….go    among plans of one cost: fewer sticks, a longer offcut, fewer settings
//	describe_….go   from a solution to the document: which stick, which side, figures, names of offcuts
//	remake.go       the rest after a mishap; nextbest.go, what it would take to do without a price list
package planner
