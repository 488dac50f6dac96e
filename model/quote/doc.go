// Package quote works out what a job's moulding comes to, in five ways:
//
//	net       the sum of the long points, at the profile's price by length
//	rule      the trade's rule of thumb: perimeter of the content + 8 × the full width; in general + 2 n w t, with n sides,
//	          width w and t = tan(180°/n)
//	at yield  net, with its part of the week's waste
//	marginal  what the plan with the job costs, less what it costs without; what was ordered for the job as if it were not bought yet
//	dual      Σ u / scale over the job's sides, with the dual values u of the plan's certificate
//
// What was decided, and why:
//
//   - With the allowance counted and w − r in place of w, where r is the rebate, the rule is the net moulding; WOOD magazine's "Making the Perfect
//     Frame" has that formula.
//   - The marginal cost plans all profiles, with the job and without, and not only the job's own: what ties profiles together, such as an order's
//     least sum, would be left out otherwise. Unless both plans are proven it is a range.
//   - The dual values are those of the root, solved once more with a limit of one node. The leaves of a certificate that branches will not do: each
//     is about the plans on its side of the branches only, and the leaf that proves least once said of four sides in the demo that they were
//     worth nothing. Where a proof has no leaf of the root's, the leaf is taken whose dual values come nearest to the cost. A problem may have several
//     sets of dual values; this is one of them. A kind with a limit takes part of the value, so that all jobs together can come to
//     more than the cost.
//   - A profile that suppliers' terms bind has no such values: it is planned from a proof for each set of suppliers, and none of those is about
//     all plans. A profile with frames matched by lot has none either, because an item belongs to a lot there. The quotation says which of the two it is
//     (no_dual_value). Bundles, damage and credits do no harm.
//   - A length that the certificate does not list has the value of the next longer one that it does: whatever gives that one gives this one
//     too, so it is worth no more. Of a length beyond all of them nothing is said, and the quotation counts such sides.
package quote
