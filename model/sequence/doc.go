// Package sequence puts the cuts of a run in order: which stick is taken when, which side comes off it next, and which stop stands at which
// length. Package stops, below, is the search, in whole numbers; this package turns sides and sticks into its problem, assigns the
// sides to the pieces it ordered, and writes the plan's Run.
//
// A setting is one placing of one stop at one length. A length is a long point together with what the side takes of the stick: at
// another mitre angle another loss goes with it, and the stop stands elsewhere. A machine whose limits do not say how many
// stops it has, has one.
//
// There are two orders. Stick by stick finishes each stick before the next, with the fewest settings. Stop by stop sets each length
// once, with the fewest pick-ups; a pick-up is taking a stick in hand again after another one.
//
// What was decided, and why:
//
//   - Equal sides of a frame are cut from one setting, so that they come out equal. This rule is never bent. Until sides are assigned,
//     pieces of one length are interchangeable. So the order is found first, with the rule that a stop leaves a length only when what was cut
//     there makes up whole groups (pairs, fours, sixes …), and the sides are assigned afterwards, frame by frame, to pieces of one setting.
//   - Sides are assigned twice. The planner assigns all of them to sticks, so that sides of one frame lie together and matched ones where they
//     must, and this package assigns equal ones anew, because only a run says which of them come from one setting.
//   - Stick by stick may then be impossible: with one stop, a stick with single sides of three pairs cannot be finished in one go. Then the
//     fewest pick-ups come first and the fewest settings second.
//   - The sound parts of a damaged stick are cut one after another from its head on, for so a stick goes through the machine: to begin behind the
//     damage it would have to be cut in two there first, and a side that is torn would leave two pieces of which only one has a name. Only where the
//     equal sides of frames could not be cut from one setting otherwise is a part passed over.
//   - Sides of a matched frame that lie next to each other on a stick are a segment. Once begun, a segment is finished before anything else is
//     cut from its part. Sides of matched frames are assigned to no other frame, those of frames from one lot only to others of that lot, all the
//     rest to any.
//   - One exception: a frame matched in pairs whose two pairs come from one part, on a machine that cannot have both lengths set at once. Long,
//     short, long, short would move the stop between equal sides, whatever the order. So its sides on that part lie
//     next to each other in any order, and equal sides go before the finish of one corner. The audit allows that there and nowhere else.
//   - Segments can make it impossible to set each length once. Then stop by stop sets lengths as seldom as is found.
//   - Among equally good orders the one nearest to longest-first is preferred: what is spoilt of a long side still gives a short one
//     (common practice, no source).
//   - After a mishap the stick in the machine is finished first, unless equal sides of a frame would then be cut from two settings. In random runs about one
//     rest of five was of that kind, and none of them could have begun with that stick (TestRunsWithMishaps in package book tries every order).
//   - First come, the comparison, is the longest sides first, stick after stick, pairs split, with the stop moved that is wanted
//     again last. That flatters first come, so what planning saves is not overstated.
//
// # What is given up
//
// Stops are taken to be lifted past each other. Machines whose stops slide on one rail and cannot pass are not modelled.
package sequence
