// Package check decides whether a cutting plan is what it says it is, without
// trusting the program that made it.
//
// # What is proved
//
// An instance has stick kinds k (length L_k, cost c_k, limit m_k or none) and
// items i (length l_i, demand d_i). A pattern p is a kind and a vector a of
// quantities, one an item; a plan says how many sticks x_p to cut to each
// pattern. A kind may hold some items only, and may pay back a credit e_p for what a
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
// A certificate is a tree of leaves. A branch entry h is a condition on how many
// sticks satisfy something, or on how often a choice is made ("at most n_h", "at least
// n_h"); siblings ask "at most b" and "at least b+1" of one measure, so every plan is in exactly one leaf. A
// leaf carries whole numbers: a scale S > 0, a worth u_i for every item, w_h for
// every entry (<= 0 for "at most", >= 0 for "at least"), v_k >= 0 for every limit and
// ρ_r >= 0 for every row. For every kind k an exact knapsack shows that no pattern is worth more
// than it may be, and every choice has a reduced cost:
//
//	max over a of  Σ_i u_i a_i + Σ_{h that a satisfies} w_h + S e_p  <=  S c_k + v_k
//	f_j = S b_j − Σ_k g_jk v_k + Σ_i q_ji u_i − Σ_r t_jr ρ_r − Σ_{h on j} w_h
//
// Summed over the sticks and choices of any plan of that leaf, this gives
//
//	S · cost  >=  Σ_i u_i d_i + Σ_h w_h n_h − Σ_k v_k m_k + Σ_r ρ_r R_r + Σ_j min(0, f_j M_j)
//
// and so, rounded up to a cost that can be paid at all (with credits, or choices that
// earn, to a whole number), a lower bound. The least of the leaves' bounds holds for every plan. When it
// meets the plan's cost, the plan is the cheapest there is.
//
// A surplus is refused in the plan because the bound is one for plans that cut
// every demand exactly; any plan can be trimmed to such a one at no greater cost.
//
// # Why it stands alone
//
// The checker shares neither types nor code with the solver. A mistake in a shared
// routine would be made twice and go unseen; here it has to be made twice by
// different hands. All sums are whole numbers that cannot overflow: either
// [math/big] or int64 whose size is shown to suffice beforehand. It fails
// closed: what cannot be read, is missing, is too large or was not finished is
// never accepted, and the zero [Report] is not OK.
//
// # What it does not do
//
// It does not look for plans or multipliers, does not judge whether a plan that is
// not proven could be better, cannot see whether a search really was complete (the
// grade "searched" is the solver's word, only its bound is checked), and knows
// nothing of frames. [LPBound] recomputes the bound of the linear relaxation of small
// instances in floating point, to compare with; no verdict rests on it.
package check
