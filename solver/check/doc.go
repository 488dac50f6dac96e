// Package check decides whether a cutting plan is what it says it is, without
// trusting the program that made it.
//
// # What is proved
//
// An instance has stick kinds k (length L_k, cost c_k, limit m_k or none) and
// items i (length l_i, demand d_i). A pattern p is a kind and a vector a of
// quantities, one an item; a plan says how many sticks x_p to cut to each
// pattern. A kind may hold some items only, and may have a credit e_p for what a
// pattern leaves of its stick. Besides, there may be choices j (cost b_j, made at most M_j
// times) that give sticks g_jk and ask for pieces q_ji, and rows r over them (coefficients
// t_jr, at least R_r); a plan says how often, y_j, to make each. Of the plan it is proved that
//
//	every stick holds what it is to give   Σ_i l_i a_i <= L_k, a_i = 0 where k may not hold i
//	every demand is cut, and no more       Σ_p a_i x_p  = d_i + Σ_j q_ji y_j
//	no kind is used past its limit         Σ_{p of k} x_p <= m_k + Σ_j g_jk y_j
//	no choice is made too often            0 <= y_j <= M_j
//	every row is met                       Σ_j t_jr y_j >= R_r
//	the cost is what is claimed            Σ_p (c_k − e_p) x_p + Σ_j b_j y_j = C
//
// A surplus is as wrong as a shortage. Nothing is lost by that: a plan that cuts too much can be
// trimmed to one that does not, at no greater cost. So a bound need only hold for trimmed
// plans, in whose patterns 0 <= a_i <= d_i + Σ_j q_ji M_j.
//
// A certificate is the leaves of a branch-and-bound tree. Each leaf has a Lagrangian bound: whole
// dual values over a scale S > 0, namely u_i of every item, w_h of every branch entry h, v_k >= 0
// of every limit and ρ_r >= 0 of every row. In each leaf
//
//   - the dual value of a pattern of kind k is at most its cost, which an exact knapsack shows:
//     Σ_i u_i a_i + Σ_{h that the pattern satisfies} w_h + S e_p  <=  S c_k + v_k, for all a of a trimmed plan, the empty one too;
//     where the entries on credits that the pattern satisfies would take away more than S e_p, both count as 0, which asks no less;
//   - the reduced cost of choice j is f_j = S b_j − Σ_k g_jk v_k + Σ_i q_ji u_i − Σ_r t_jr ρ_r − Σ_{h on j} w_h.
//
// Summed over the sticks and choices of any plan of that leaf, this gives
//
//	S · cost  >=  Σ_i u_i d_i + Σ_h w_h n_h − Σ_k v_k m_k + Σ_r ρ_r R_r + Σ_j min(0, f_j M_j)
//
// since demands are cut exactly and an entry's count is on the side of n_h that the sign of w_h makes
// safe. Divided by S and rounded up to a cost that a plan can have, that is the leaf's bound. The least of the
// leaves' bounds holds for every plan. When it meets the plan's cost, the plan is the cheapest there is.
//
// # The document
//
// A cuts document, format "longpoint-cuts/2", holds an instance, a plan and a certificate in one JSON
// object. Every number is whole, indexes count from 0. Lengths share one unit and costs another (in a workshop's plan
// nanometres and minor units of its currency).
//
//	format       "longpoint-cuts/2"
//	kinds        [{"length", "cost", "limit", "only", "credit"}, …]: length > 0; cost, limit >= 0; without limit, or with null, any number
//	items        [{"length", "demand"}, …]: length > 0, demand >= 0
//	choices      [{"cost", "most", "gives", "asks", "in"}, …]; may be left out
//	rows         [{"least"}, …]; may be left out
//	patterns     the plan: [{"kind", "count", "take": [[item, quantity], …]}, …]: count, quantity > 0, an item at most once in a take
//	chosen       how often the plan makes each choice, one number a choice
//	cost         the claimed cost of the plan
//	lower        the claimed bound: no plan costs less
//	grade        "proven", "searched" or "open"
//	certificate  {"scale": S, "leaves": […], "mixes": {…}}; "mixes" may be left out
//
// A kind's "only" lists the items that it may hold, rising; without it, all; empty, none. Its "credit",
// {"keep", "extra", "num", "den"}, is, with l = L_k − Σ_i l_i a_i + extra, ⌊num · l / den⌋, and 0 where l < keep. keep, extra >= 0;
// num, den > 0; the credit of an empty stick is at most c_k, so that no stick costs less than nothing.
//
// A choice's "cost" has either sign; most >= 0. "gives" is [[kind, sticks], …] of kinds with a limit, "asks" [[item, pieces], …],
// "in" [[row, coefficient], …]. Each may be left out; an index stands at most once in a list; sticks and pieces are > 0,
// coefficients not 0. A row's "least" has either sign.
//
// A leaf is {"branch", "dual_values", "limit_dual_values", "row_dual_values"}: its branch entries, the root's first, and u, v and ρ, with one
// number an item, a kind and a row. u has either sign; v, ρ >= 0, and v = 0 where there is no limit. "row_dual_values" may be
// left out where there are no rows.
//
// Leaves of one tree have much in common, and it need not be written twice. "same": t says that a leaf's first t branch entries are those of the
// leaf just before it, with dual values of 0 but for those in "same_dual_values": [[entry, w], …]; "branch" has the entries after them. "as": m, in
// place of "dual_values", "limit_dual_values" and "row_dual_values", says that they are those of leaf m, which stands before.
//
// "mixes" is {"bound": B, "order": [kind, …], "cuts": [{"dual_values": u, "most": q}, …]}: order names each kind once, u has one number an item, of either sign, q
// one a kind, >= 0. It says that no plan costs less than B but those that leaves exclude, see below. With it there may be no leaves at all.
//
// A branch entry is a condition on the plan. {"kind", "holds": [[item, at least], …], "most" or "least": n, "dual_value": w} counts
// the sticks of the kind (of any kind, without kind) that hold at least so many of every item in holds (all sticks of the kind,
// without holds). {"kind", "credited": true, …} counts those of the kind's sticks (of all kinds', without kind) that leave enough for
// their kind's credit: leftover + extra >= keep. {"choice": j, "most" or "least": n, "dual_value": w} counts how often choice j is made. There are at most n of
// them, or at least n. w <= 0 with most, w >= 0 with least.
//
// # How each claim is checked
//
// The leaves cover every plan exactly once when their branches form a full binary tree. Take leaves that agree on
// their first t entries (dual values apart). Either that is one leaf, whose branch ends there. Or all go on, with the same
// kind, holds, credited and choice in the next entry, some with "most": b and the others with "least": b + 1 for one b, neither side empty, and
// each side covers in its turn.
//
// With "mixes" the leaves need not cover all plans. A plan's mix is how many sticks n_k of each kind it uses. In a cut, an exact knapsack shows that no
// pattern of kind k has a dual value above q_k. Summed over the sticks of any plan, this gives Σ_k q_k n_k >= Σ_i u_i d_i. Leaves come in groups: those of a group
// begin with the same "most" sticks of kind 0, of kind 1, …, one entry a kind and without holds, and what follows is a full binary tree. All mixes with
// Σ_k c_k n_k < B that satisfy all cuts are gone through, kind after kind in the order given, n_k being at most the kind's limit and at most all pieces together. Each must have
// no more sticks of any kind than some group's entries say. Then every plan costs at least B or the least of its group's leaves, and B is one more bound, rounded up like theirs.
// There is nothing of the kind with credits, choices or rows. Where there are too many mixes to go through, the check is given up.
//
// A leaf's bound is rounded up to a cost that a plan can have: the least Σ c_k n_k with whole 0 <= n_k <= m_k that is not below it.
// Only kinds count of which there is any stick and on which a wanted item fits; a choice counts as a kind with limit
// M_j, and a kind's limit as m_k with all that choices can give. Costs are divided by their greatest
// common divisor g. Where the bound in units of g is at most 2^24 the next payable cost is exact; beyond, the bound is
// rounded up to a multiple of g. Where no cost can be paid, the leaf holds no plan. Where a kind has a credit or a choice a
// negative cost, the bound is only rounded up to a whole number, and is at least Σ_j min(0, b_j M_j), which holds without any certificate.
//
// "lower" must be at most the least of the leaves' bounds and at most "cost". A greater one is refused: it is too good. For
// "proven", lower and cost must besides be equal. "searched" and "open" claim nothing more; whether a search really was
// complete cannot be seen. A certificate without leaves proves nothing.
//
// A credit leaves the check one knapsack a kind. It falls with the length used, so of two partial patterns the one that is shorter and
// of greater value still dominates the other, and the credit is added when a pattern is looked at as finished. What is still
// to come is bounded twice: without a credit, and by a line that lies above the credit's steps.
//
// testdata/worked.json is a document made by hand. Its sticks are 10 long at a cost of 10, and one of length 6 for 5; three pieces of 5
// and two of 3 are wanted; the plan costs 25. Its first leaf is "no stick of the second kind", dual value −10, each piece's being
// 10, scale 2. On a stick of the first kind no two pieces have more than 20 = 2 · 10, and three fit nowhere; the short
// stick has 10 − 10 or 20 − 10, no more than 2 · 5. So every plan of that leaf costs at least (10 · 3 + 10 · 2 − 10 · 0) / 2 = 25.
// testdata/choices.json has a delivery with a least order, a damaged stick, a lot, a credit and a bundle, also worked out by hand.
//
// # Why it stands alone
//
// The checker shares neither types nor code with the solver. A mistake in a shared
// routine would be made twice and go unseen; here it has to be made twice by
// different hands. All sums are whole numbers that cannot overflow: either
// [math/big] or int64 whose size is shown to suffice beforehand. It fails
// closed: what cannot be read, is missing, is too large or was not finished is
// never accepted, and the zero [Report] is not OK. Every violation is named with its amount.
//
// It does not look for plans or dual values, does not judge whether a plan that is
// not proven could be better, and knows nothing of frames.
package check
