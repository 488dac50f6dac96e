// Package model is the framer's trade in exact numbers: lengths, profiles, frames, machines, sticks and jobs.
//
// All lengths are integer nanometres (Length), all money integer minor units (Money). Along the direction of the stick, with
// w the profile's width, r its rebate, a the allowance, n the number of sides and t = tan(180°/n):
//
//	rebate size  R = content + a t = sight + 2 r t        (a t along the side is a across the frame)
//	long point   L = R + 2 (w − r) t = sight + 2 w t = outside
//
// The package reads and writes nothing: the stores (model/folder, model/book) do that. It searches nothing either: model/planner
// turns jobs and sticks into cutting problems.
//
// # Lengths and geometry
//
//   - A nanometre divides both 0.001 mm and 1/64 in (0.396875 mm), so no plan is too long by a rounding. Only what is
//     irrational is rounded: once, where it arises, against us (sides and losses up), to 0.01 mm. Which way it rounds is decided
//     by the signs of whole numbers and not in floating point.
//   - A length over 1 km is refused: nothing that a framer cuts comes near, and no sum can overflow.
//   - "1,200" is refused, because it can be read with a decimal comma or with a comma between thousands, and a guess would be
//     wrong by a thousand.
//   - A length that inches cannot say exactly is printed in millimetres, so that what is printed reads back as the same length.
//   - The outer ring of nested frames takes shape and size from the ring inside it and has none of its own, so that the two cannot
//     contradict each other.
//   - What is too wide or has an angle out of range cannot be cut and is an error. What is too short, or longer than the machine
//     measures, can be cut with care and is a warning that says how.
//   - Nothing of a machine is preset, and a limit that its user has not entered limits nothing.
//
// # Buying, rack and matching
//
//   - Offers that differ in From and Price only are one price list (PriceLists). A special price that ends is a list of its
//     own beside the lasting one, because it differs in Until.
//   - A larger quantity that costs more each is refused, and so is one quantity twice in a list: the first is a price of a
//     bundle beside one of a stick, the second a slip. A plain row of single sticks without breaks may stand twice; the
//     cheaper one counts.
//   - Terms of a supplier who offers nothing are an error where the name is almost that of one who offers something and has no terms: most
//     likely it is misspelt, and the order would be planned without its delivery charge and its least. Else they are odd only.
//   - What a stick on the rack is worth goes by the cheapest price by length that anyone always gets (see StickValue). A profile
//     that is sold only from several bundles on goes by its metre price.
//   - Damage does not lower a stick's value by itself; the framer gives such a stick a value of its own.
//   - Beside damage no trim is given up before it, for there the wood goes on. But the first chop behind it must find wood for both blades, and the wood
//     ends where the last chop before it went: so on a guillotine the two are at least 2 w t apart (Machine.Trims). Damage narrower than that is reckoned as wide
//     as that, from where it begins towards the tail, whether the part before it is cut or not: which parts are cut is known only when the plan is made, and a part that
//     could begin at two places would be two kinds of stick. It costs no more than 2 w t of a damaged stick.
//   - A kept offcut is worth nothing to a plan unless the workshop says so (OffcutShare).
//   - A patterned side takes its need rounded up to whole repeats and is cut from their middle. That is the middle of a repeat or a
//     joint, both of which are lines of symmetry of a mirrored ornament. So sides of any lengths lie repeat against repeat in any
//     order, and only the first joint has to be found.
package model
