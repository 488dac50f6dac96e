package check

// LPBound recomputes the bound of the linear relaxation with gonum's simplex:
//
//	min Σ_p c_p x_p + Σ_j c_j y_j   with
//	Σ_p a_i x_p − Σ_j asks_i y_j >= d_i,  Σ_{p of k} x_p − Σ_j gives_k y_j <= m_k,
//	Σ_j coefficient_q y_j >= L_q,  0 <= y_j <= M_j,  x >= 0
//
// over the patterns p = (k, a) with 0 <= a_i <= d_i + Σ_j asks_i M_j to which no piece can be
// added, and with a credit, which counts in c_p, over all others too. Those left out change
// nothing: any pattern is part of such a one, and >= allows a surplus.
// Without the surplus, over all patterns within those bounds, the bound is the same.
//
// A bound over patterns without a_i <= d_i, as some books give it, can be lower; it is the
// bound of the instance with all demands and limits multiplied by a number that no
// stick can hold of any item, divided by that number.
//
// The value is in floating point, to compare with; no verdict rests on it. It is good to
// a millionth of itself, or of all that choices can earn, where no stick costs more than a thousand times what another costs.
// ok is false when there are too many patterns, no solution within the limits, or the
// simplex failed. patterns counts those found, up to one past what is worked with.
func LPBound(instance Instance) (value float64, patterns int, ok bool) {
	v := verifier{instance: instance}
	if !v.checkInstance() {
		return 0, 0, false
	}
	columns, ok := usefulPatterns(instance, patternLimit)
	if !ok {
		return 0, len(columns), false
	}
	value, ok = newRelaxation(instance, columns).solve()
	return value, len(columns), ok
}
