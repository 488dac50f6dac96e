// Package solver finds and proves cheapest cutting plans: one-dimensional cutting stock with several stick kinds.
//
// Given items i with length ℓ_i and demand d_i, and stick kinds k with length L_k, cost c_k and perhaps a limit m_k,
// choose patterns p (a kind k(p) and whole quantities a_ip ≥ 0 with Σ_i ℓ_i a_ip ≤ L_k(p)) and how often to cut each:
//
//	min  Σ_p c_k(p) x_p
//	     Σ_p a_ip x_p  = d_i     for every item
//	     Σ_{p of k} x_p ≤ m_k    for every kind with a limit
//	     x_p ≥ 0 whole
//
// The relaxation is solved by column generation (Gilmore and Gomory, Operations Research 9, 1961; 11, 1963) on GLPK;
// what is left of the gap is closed by branching on how many sticks have a property that a knapsack can still price
// (Vanderbeck, Mathematical Programming 86, 1999). Every bound rests on integer multipliers that are priced exactly in
// integers, so that the certificate that comes with a plan can be checked by package check without trusting this one.
//
// The package knows nothing of frames, and units are the caller's. It does not order the cuts and does not prefer one
// cheapest plan to another.
package solver
