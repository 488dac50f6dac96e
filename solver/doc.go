// Package solver finds and proves cheapest cutting plans: one-dimensional cutting stock with several stick kinds.
//
// # The problem
//
// Given are items i with length ℓ_i and demand d_i, and stick kinds k with length L_k, cost c_k and perhaps a limit m_k. A
// pattern p is a kind k(p) and whole quantities a_ip ≥ 0 with Σ_i ℓ_i a_ip ≤ L_k(p). How often is each pattern cut?
//
//	min  Σ_p c_k(p) x_p
//	     Σ_p a_ip x_p  = d_i     for every item
//	     Σ_{p of k} x_p ≤ m_k    for every kind with a limit
//	     x_p ≥ 0 whole
//
// A kind may hold some items only, and may have a [Credit] e_p for what a pattern leaves of its stick; x_p then costs c_k − e_p.
// Choices j can be made y_j times, 0 ≤ y_j ≤ M_j, at b_j each. They give sticks of kinds with a limit and ask for pieces besides
// the demands; rows bind them: Σ_j coefficient_rj y_j ≥ R_r. With g_jk sticks given and q_ji pieces asked for,
//
//	min  Σ_p (c_k(p) − e_p) x_p + Σ_j b_j y_j
//	     Σ_p a_ip x_p  = d_i + Σ_j q_ji y_j
//	     Σ_{p of k} x_p ≤ m_k + Σ_j g_jk y_j
//
// In the code ℓ is Item.Length, d Item.Demand, L Kind.Length, c Kind.Cost, m Kind.Limit, a Pattern.Take, x Pattern.Count, b
// Choice.Cost, M Choice.Most, g Choice.Gives, q Choice.Asks, R Row.Least, and y Result.Choices.
//
// The package knows nothing of frames, and units are the caller's. It does not order the cuts, and among plans of equal cost it
// prefers none, except that [FewerPatterns] reduces the number of patterns.
//
// # The method
//
// It is branch-and-price: branch and bound in which every node's linear relaxation is solved by column generation.
//
//	greedy.go       a first plan; sequential value correction: E. A. Mukhacheva, G. N. Belov, V. M. Kartak, A. S. Mukhacheva,
//	                Pesquisa Operacional 20, 2000
//	colgen.go       column generation: P. C. Gilmore, R. E. Gomory, Operations Research 9, 1961; 11, 1963; with smoothed dual
//	                values: P. Wentges, International Transactions in Operational Research 4, 1997
//	master.go       the restricted master problem, on GLPK
//	dualcut.go      dual cuts at the root: J. M. Valério de Carvalho, INFORMS Journal on Computing 17, 2005
//	pricing.go      exact pricing, a knapsack over nondominated states: G. L. Nemhauser, Z. Ullmann, Management Science 15, 1969
//	fillings.go     patterns that fill a stick, the best for every piece: prefixes and suffixes of the knapsack's table meet at the piece
//	decimation.go   plans of such patterns, cut one after another from the relaxed plan of greatest entropy
//	bound.go        a bound from any dual values, by scaling them down: A. A. Farley, Operations Research 38, 1990
//	payable.go      bounds rounded up to the next cost that a plan can have
//	dive.go         rounding and diving: R. Sadykov, F. Vanderbeck, A. Pessoa, I. Tahiri, E. Uchoa, INFORMS Journal on
//	                Computing 31, 2019
//	restricted.go   GLPK's branch and bound over the columns at hand
//	choices.go      choices made whole by GLPK's branch and bound
//	exchange.go     choices that ask for pieces, exchanged one by one and two by two
//	branch.go       branching on how many sticks hold at least so many: F. Vanderbeck, Mathematical Programming 86, 1999; on
//	                pairs: D. M. Ryan, B. A. Foster, in: Computer Scheduling of Public Transport, 1981
//	pseudocost.go   which choice or number of sticks to branch on, by what that did to bounds before: M. Bénichou, J. M. Gauthier,
//	                P. Girodet, G. Hentges, G. Ribière, O. Vincent, Mathematical Programming 1, 1971
//	benders.go      cutting planes in the numbers of sticks: J. F. Benders, Numerische Mathematik 4, 1962
//	mixes.go        an exact search over the numbers of sticks, by cuts that exclude whole numbers: G. Codato, M. Fischetti, Operations
//	                Research 54, 2006
//	enumerate.go    all numbers of sticks that satisfy all cuts
//	search.go       best bound first, then limited discrepancy: W. D. Harvey, M. L. Ginsberg, IJCAI 1995
//
// Volumes and years are from memory, and no code was taken from any of them.
//
// At the root there is at once a greedy plan and the bound by lengths, so that a search stopped in its first moment has both.
// Then come a few plans by value correction, column generation, and plans by rounding, diving and more value correction until
// one meets the bound. Most problems end there. Otherwise the tree follows, or, where sticks
// alone cost anything and their kinds are few, the search over mixes (how many sticks of each kind there are), with a tree for
// each mix that no cut excludes. Every node starts from its parent's basis. A closed node is a leaf of the certificate, with dual values that prove its bound. A node that is closed without such a proof (a whole
// solution whose bound the rounded dual values miss) is counted and makes the result [Searched]. A node whose linear program
// GLPK cannot finish leaves it [Stopped].
//
// A [Search] can be stopped after so many nodes and gone on with, so that several searches can take turns. It can learn the columns of the root of a
// search whose problem is nearly the same.
//
// # What is decided, and why
//
//   - GLPK works in floating point and only suggests. Dual values are rounded to whole numbers over a scale, a power of two
//     chosen so that no pattern's dual value overflows int64, and are priced exactly; sums over all demands are done in
//     math/big. So bounds are exact whatever the LP's rounding did, and package check verifies them without trusting this one.
//   - Lengths are divided by what the items have in common and never rounded. Pricing works on the sums that occur, so its work
//     does not depend on the unit of length.
//   - A branching condition counts sticks, of one kind or of any, that hold at least so many of some items, or that earn a credit. Pricing under such a
//     condition is still a knapsack, and so is checking a leaf.
//   - Whatever is bought or opened otherwise than stick by stick is a choice: bundles, price breaks, least orders, deliveries,
//     damaged sticks, lots. In the proof a choice is only a reduced cost.
//   - A choice that gives sticks and is made a fractional number of times is branched on before anything else. Then choices that ask for pieces and
//     the numbers of sticks of a kind come by their pseudo-costs. Where choices are whole and not allowed together, one that is still open is branched on.
//   - Column generation stops early at a node whose relaxation cannot round up to more than is proven already.
//   - A bound is rounded up to the next payable cost. With few kinds and odd prices that closes many gaps by itself.
//   - Equal items and equal kinds are not merged: indexes in results and documents are the caller's own.
//
// # What made it fast
//
// Found by trial on the published instances and on generated workshops:
//
//   - Tight tolerances. On instances built to have a gap (ANI) a node's relaxation can lie above the goal by 10⁻⁷ of a stick.
//     GLPK's tolerance on reduced costs is as large, so such a node never closes. Solved again to 10⁻¹⁰ and proved in integers it
//     does: ANI/402_10000_NR_10 was open at 134 nodes after a minute and then took 5.
//   - Completion bounds. When the list of states grows long, a table of what can still come, with lengths rounded down to 4,096
//     cells, drops most states and none that matters.
//   - Branching on the number nearest to a half, among equals of the longest items, with limited discrepancy: Hard28_BPP785 went
//     from open at 755 nodes after half a minute to 27 nodes in a second.
//   - Dives that start again without the column they rounded up first: eight at the root, three below it.
//   - Dual cuts. Of six instances that were timed with and without, three of Schwerin's took 0.2 to 0.6 of the time, three of
//     Scholl 2's 0.1 to 0.4. Patterns hold no more than is wanted, so the relaxation with dual cuts can lie lower; they must be
//     closed in the end.
//   - The LP is solved to within a fifth of the room between bound and goal. One that is stopped as soon as the bound is known
//     guides the heuristics badly.
//   - Of choices, first those that ask for nothing, the dearest first. What is bought is most of the cost, and while lots were branched on the fractions
//     of bundles stayed: of a profile with lots and bundles the gap after three seconds fell from 12 % to 0.2 %.
//   - Pseudo-costs. Which lot a frame is cut from often changes no bound at all; how many new sticks there are changes it much. Of 24 profiles of
//     generated weeks with everything on, two seconds of the processor each left 16 open by 74 % in all with choices always first, and 12 by 49 % with pseudo-costs.
//   - Exchanging choices. Which frame comes from which lot was found by the tree alone, often by its last nodes. Of 15 profiles of generated weeks four had their
//     best plan after 750 to 1,445 nodes before, and after 3 to 255 since.
//   - Branching on how many sticks earn a credit. The relaxation shares what is left out over parts of sticks that leave just enough, and with credits every
//     cent may be a cost. Of the 12 profiles that were open, 6 were left, and those of them that had gaps of a few cents had one or none.
//   - Declined credits. Under such a condition a pattern may do without its credit, and the linear program has it as a column of its own, at the stick's whole
//     cost. While any credit could be declined at the least that one is worth, nodes without credits shared out what large ones are worth beyond that. Of 13
//     profiles of generated weeks, open by up to 2.6 % after some 10,000 nodes, 12 were proven in 7 to 347 nodes since.
//   - The numbers of sticks of all kinds together, as one more number to branch on, made some of these profiles better and more of them worse.
//   - Plunges. With many choices best bound first comes to a whole set of them late; every eighth node is followed straight down until all are whole.
//   - The numbers of sticks first. A tiny linear program over the cutting planes bounds a node without pricing. Where its numbers
//     of sticks are fractional the node is branched on at once; only a mix that no cut excludes is priced. One cut, as it is
//     or 1,024 times over, closes most leaves, and the checker prices leaves of equal dual values once: m032 of the generated
//     workshop of 2,000 frames took 239 nodes with pricing before and 3 to 14 since, and its checker 14 pricings a kind in
//     place of 120.
//   - That program is solved in its dual form, which has a row a kind and not a row a cut, and stands from node to node: only its costs change, and cuts
//     come as columns. A cut is tried exactly only where an estimate says that it may close a node. Of 22 of the instances of Haouari and Serairi
//     the processor time fell from 32 s to 9 s.
//   - All numbers of sticks at once. Leaf by leaf, 53,000 leaves branched on by cuts alone proved hs_lin500-1-4 in 13 s of the processor, 185,000 hs_conc2000-2-4 in 44 s and
//     4 GB, and the checker took 35 s for the one and could not read the other. Going through all mixes that satisfy the cuts, which takes about a dozen of them, proves them in 0.2 and 0.6 s
//     and 20 MB, and is checked in 0.03 s. Mixes like the root's relaxation come first: with the least numbers first it took 1.6 and 1.9 s. Each look at a cut takes some nanoseconds; what left nothing for one number is looked at first for the next.
//   - Where conditions ask for sticks, a node's dual values can all be 0. Heuristics then take the root's.
//   - Where conditions say what sticks hold, the states of each set of open conditions are a list in order, merged and not sorted, and the items of
//     conditions have completion bounds too: 40 nodes of a profile with credits took 1.7 s of the processor before and 0.9 s since.
//   - Fillings. Where the pieces are just so many whole sticks, only patterns that leave nothing have a place, and the best one for every piece comes from
//     two passes over the knapsack's table. ANI/201 took 1.3 to 3.1 s before and 0.7 to 1.6 s since, AI/402 4.0 to 7.3 s before and 3.2 to 5.4 s.
//   - Decimation before there is a linear program, and again at nodes 2, 4, 8 and so on, where dives are made too. Of ten instances made after the
//     fashion of AI 600 nine had a plan after one decimation of some 5 s, where dives found none in 60 s; of AI/402 some have one after 2 s, and two
//     had none after five.
//   - Heuristic pricing first, over thinned lists. Exact pricing, which alone gives a bound, follows where that finds nothing.
package solver
