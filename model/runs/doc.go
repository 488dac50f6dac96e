// Package runs is what a run is at the machine: a session with one profile, with the sticks that are in hand, what is marked out on them and what became of that. It
// reads and writes nothing. Package book fills a Run (run.go) from its tables, and writes down what this package works out:
//
//   - where each side lies on its stick as it was really cut, and what is left of the stick: Stick.Left, Stick.Keeps (lay.go, offcut.go),
//   - the run as a plan, which everything prints and shows that prints and shows a plan: Document (document.go, stops.go),
//   - the run's rest as a plan and a list of mishaps, which package planner plans anew: Rest (rest.go), and how the run goes over to the new plan: Over (over.go),
//   - what the sides of a run bear of what was spent on it: Run.Spent, Plan.ShareOf (settle.go).
//
// Sides lie one behind the other in each sound part of a stick, those that are cut first, in the order in which they were written down, whatever order the plan had. So
// a side that was cut out of its turn moves the others, and one that does not fit any more is put off.
package runs
