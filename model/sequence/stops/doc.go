// Package stops puts the cuts of one run in order, so that the measuring stops are placed as seldom as can be and no
// stick is laid aside without need.
//
// A machine has K stops. Placing one of them at a length is a setting; a side can be cut while a stop stands at its
// length. Two stops that are nearer to each other than the machine's gap cannot both stand. To move a stop out of the
// way of another one is no setting: it then stands nowhere.
//
// Some pieces belong together: the equal sides of a frame are cut from one setting, so that they are equal. Pieces of one
// class can stand in for one another, so only the sizes of the groups in a class are given, and a stop may leave its length
// only when what was cut since it came there makes up whole groups.
//
// Two orders are looked for:
//
//	ByStick   each stick is finished before the next one is taken; least settings. Sticks and pieces come in any order, and
//	          so this is paging with K pages and requests in an order of our own. With few stops the groups may forbid it: a
//	          stick with single pieces of three pairs cannot be finished with one stop. Then the fewest pick-ups, and
//	          after that the least settings; a pick-up is taking a stick in hand again after another one.
//	ByStop    each length is set once; least pick-ups.
//
// Both are found by best-first search over states (what is left of each stick, where the stops stand, which groups are open)
// with a bound that is never too high (P. E. Hart, N. J. Nilsson, B. Raphael, IEEE Transactions on Systems Science and
// Cybernetics 4, 1968; from memory), which is exact where it ends before its limit of states. Beyond that a beam search gives
// the order, and the search's own bound says how far it may be from the best.
//
// The bound never falls by more than a move costs. It counts the lengths still to be set and, stick by stick, d − s for a
// stick of d lengths of which at most s can be found set. The search takes up to 5,000 states for up to 12 sticks and 2,000
// beyond: four times as many raised the demo's bound from 96 to 97 settings and took a third longer over the whole plan. Where it does not
// end, its least open estimate is the bound. The beam search comes first, so that the exact one has only to find better.
//
// Pieces that must stay next to each other are a segment: one that is begun is finished before anything else is cut from its
// stick. A stick may have parts, of which one is finished before the next is begun; where no such order is found they may come in any order. Where a search finds no order at all, what belongs together is cut in turn (turn.go), which works for every
// problem that package sequence states; ByStick and ByStop panic on one for which it does not.
//
// The package works on whole numbers and knows neither frames nor machines.
package stops
