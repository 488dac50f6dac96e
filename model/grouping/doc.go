// Package grouping plans the same jobs in batches: by day, calendar week, fortnight and month, each batch from the rack that
// the one before has left (package stock), beside first-fit with a rack of its own. It answers whether cutting together is worth waiting for.
//
// What was decided, and why:
//
//   - Groupings are compared by net cost: what is paid, delivery included, and what the rack has lost in value. The costs of batches do not add up, because an
//     offcut is paid for with its stick and valued again when it is used. A job's cost is still its share of its batch's.
//   - Weeks begin on Monday (ISO 8601). A fortnight begins with the week of the first job: counted from a fixed day, most short lists would be cut in two
//     for no reason that a framer could see.
//   - Each batch is the cheapest for itself, which is not the same as cheapest over all of them: unless kept offcuts are worth something to a plan, a
//     plan gives no credit for what it leaves to the next.
package grouping
