// Package model is the framer's trade in exact numbers: lengths, profiles, frames, machines, sticks and jobs.
//
// All lengths are integer nanometres (Length), all money integer minor units (Money); what is irrational is rounded
// once, where it arises, against us, to 0.01 mm. Along the direction of the stick, with w the profile's width, r its
// rebate, a the allowance, n the number of sides and t = tan(180°/n):
//
//	rebate size  R = content + a = sight + 2 r t
//	long point   L = R + 2 (w − r) t = sight + 2 w t = outside
//
// The package reads and writes nothing: the stores (model/folder) do that, and model/plan turns jobs and sticks into
// cutting problems.
package model
