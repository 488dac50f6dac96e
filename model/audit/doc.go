// Package audit reads a plan document against its workshop and says what is off. It derives everything once more from the
// jobs and the sticks: that each side is cut once and is as long as its job says; that no stick is too full or used twice; the
// order of cuts and its counts; the list of what to buy; every share and sum; and what the certificates prove.
//
// It can be read alone and believed. It imports package model (geometry, machine, stick values) and package plan (the document's types), and nothing that
// planned. Sums that the document package also does are done here a second time on purpose: a mistake in a shared routine
// would be made twice and go unseen. What it needs from elsewhere is handed to it as a function: the wording of a warning, the checker of cuts documents, and
// the search for the order of cuts.
//
// An empty list of findings means that the plan is right and its certificates hold. An error means that there was no audit, and then nothing is known:
// it is never a pass.
//
// What was decided, and why:
//
//   - The least number of settings that a run claims is audited by counting lengths. Where it claims more, the
//     search for the order is run once more: a search has no certificate shorter than itself.
//   - Where nothing is to be chosen in a profile, its cuts document may hold no choices, rows, credits or kinds that hold some items only:
//     a problem with more in it than there is to choose can be made to cost what one likes.
//   - A certificate that proves the plan to be cheapest proves it for the problem in the document. So the problem is compared with the workshop, kind by kind and item
//     by item, before the certificate counts.
//
// # Profiles that suppliers' terms bind
//
// A group of the document's together has cases, each with a cuts document about one profile. The problem of a case is the profile's with the
// price lists of suppliers without terms and of those in the case's open, none of them with terms. Where its orders says so of a supplier, each price p of a
// bundle of b sticks is lowered by
//
//	⌈p · money_multiplier / 10⁶⌉ + b · stick_multiplier
//
// which may not take off more than p lies above the value of b spare sticks: beyond that a spare stick would be worth more than it
// costs, and the bound on how many are bought would not hold. Where orders names a least amount, that supplier's lists have terms:
// no delivery, that least, and a row by which the order is placed.
//
// The case's bound B then says: every plan for the profile that orders from no other suppliers with terms, and from these m of money and n
// sticks, no less than the least amounts, costs at least
//
//	B + Σ_{suppliers in orders} ( ⌈m · money_multiplier / 10⁶⌉ + n · stick_multiplier )
//
// A supplier who delivers free from a sum on can be ordered from in two ways: at the charge, and at no charge and a least order of that sum. Let T be
// the suppliers that are ordered from, each in one way, and x what is ordered from each of them. A case holds for (T, x) where its open has all of T
// that offer the profile, and x is no less than its least amounts (0 from suppliers that are not in T). Let g_p(T, x) be the greatest of these bounds
// over the profile's cases that hold. The group's bound is the least, over all T, of
//
//	deliveries of T + min Σ_p g_p(T, x_p)
//
// over all x_p that the price lists allow and whose sum is what each way of T asks. To count less than everything that is asked still gives a
// valid bound. So the audit counts four demands of suppliers, 32,768 amounts a profile and four million pairs of sums at most. Where there are more amounts, they are rounded up
// in favour of the orders, to fewer significant bits, and so are sums; its bound is weaker then, and not wrong.
package audit
