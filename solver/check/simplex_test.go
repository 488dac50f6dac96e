package check

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// simplexTolerance is the reduced cost that the simplex may leave, where the dearest
// stick costs 1. The bound is then off by no more than this for each stick used; below
// it, the simplex would chase its own rounding (its pivots carry some 1e-13).
const simplexTolerance = 1e-10

// shortTolerance is the share of all demands that counts as nothing missing: rounding,
// and far less than one piece.
const shortTolerance = 1e-10

// nudges are the shares (of 1 at least) by which demands and limits are raised, each a little
// differently, until the simplex goes through. Without, many bases give one solution and
// gonum's simplex can go round among them for ever. The first is well above the
// simplex's rounding; what even the last does to a bound is of its own size.
var nudges = [...]float64{1e-9, 1e-8, 1e-7}

// stepsBase and stepsPerRow limit the steps of a simplex, which gonum does not. It usually
// needs two or three a row.
const stepsBase, stepsPerRow = 50, 20

// steadySimplex is simplex with the nudges tried in turn. The first rows, wanted of them, are demands,
// the others limits; these are raised more, so that what could be cut still can.
func steadySimplex(c []float64, a *mat.Dense, b []float64, wanted int, basis []int) (value float64, x []float64, err error) {
	for _, nudge := range nudges {
		nudged := make([]float64, len(b))
		for row := range b {
			_, share := math.Modf(float64(row+1) * math.Phi) // no two alike
			if row >= wanted {
				share++
			}
			nudged[row] = b[row] + nudge*share*math.Max(1, b[row])
		}
		if value, x, err = simplex(c, a, nudged, basis); err == nil {
			break
		}
	}
	return value, x, err
}

// simplex is gonum's, with a limit to its steps. Its panics, which it also uses for
// numbers it cannot go on with, become errors. basis is a feasible one and is not changed.
func simplex(c []float64, a *mat.Dense, b []float64, basis []int) (value float64, x []float64, err error) {
	defer func() {
		if reason := recover(); reason != nil {
			err = fmt.Errorf("the simplex gave up: %v", reason)
		}
	}()
	return lp.Simplex(c, watch(a), b, simplexTolerance, append([]int(nil), basis...))
}

// watched is a matrix that can be looked at only so many times before it panics. It is
// the one way to stop gonum's simplex.
type watched struct {
	mat.Matrix
	looks int
}

// watch allows for what gonum's simplex looks at before its first step (every row and every
// column up to the first entry that is not 0, then every entry once), and one column a step.
func watch(a *mat.Dense) *watched {
	rows, columns := a.Dims()
	w := &watched{a, rows * columns}
	for row := range rows {
		for column := 0; column < columns; column++ {
			w.looks++
			if a.At(row, column) != 0 {
				break
			}
		}
	}
	for column := range columns {
		for row := 0; row < rows; row++ {
			w.looks++
			if a.At(row, column) != 0 {
				break
			}
		}
	}
	w.looks += rows * (stepsBase + stepsPerRow*rows)
	return w
}

func (w *watched) At(i, j int) float64 {
	if w.looks--; w.looks < 0 {
		panic("too many steps")
	}
	return w.Matrix.At(i, j)
}
