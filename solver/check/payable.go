package check

import "math/big"

// payableLimit is the largest bound, in units of the costs' greatest common divisor,
// for which the next payable cost is found exactly; the cuts format names it. The
// sums up to twice as much are then held as one bit each: 4 MB.
const payableLimit = 1 << 24

// payable tells which costs can be paid: Σ c_k n_k with n_k whole, 0 <= n_k <= m_k.
type payable struct {
	unit  *big.Int   // greatest common divisor of the costs that can be paid; 0 when only 0 can
	costs []*big.Int // c_k / unit of the kinds that can be bought, all > 0
	most  *big.Int   // the greatest cost / unit; nil when there is none
	top   int64      // sums up to 2·top are in reach, top being the largest bound asked for
	reach *big.Int   // bit j is set when j · unit can be paid
}

// newPayable prepares to round up the bounds given, and no others.
func newPayable(kinds []Kind, bounds []*big.Int) *payable {
	p := &payable{unit: new(big.Int), most: new(big.Int)}
	var limits []*int64
	for _, kind := range kinds {
		if kind.Cost == 0 || kind.Limit != nil && *kind.Limit == 0 {
			continue
		}
		cost := big.NewInt(kind.Cost)
		p.unit.GCD(nil, nil, p.unit, cost)
		p.costs = append(p.costs, cost)
		limits = append(limits, kind.Limit)
	}
	for n, cost := range p.costs {
		cost.Quo(cost, p.unit)
		if limits[n] == nil {
			p.most = nil
		} else if p.most != nil {
			p.most.Add(p.most, new(big.Int).Mul(cost, big.NewInt(*limits[n])))
		}
	}
	for _, bound := range bounds {
		if units := p.units(bound); units.IsInt64() && units.Int64() <= payableLimit {
			p.top = max(p.top, units.Int64())
		}
	}
	p.fill(limits)
	return p
}

// units is the bound in units, rounded up, at least 0.
func (p *payable) units(bound *big.Int) *big.Int {
	if bound.Sign() <= 0 {
		return new(big.Int)
	}
	if p.unit.Sign() == 0 {
		return big.NewInt(1) // any number above 0 will do: only 0 can be paid
	}
	return ceilQuo(bound, p.unit)
}

// fill sets the bits of all sums up to 2·top. A kind's sticks are added in groups of 1, 2, 4, … and a rest, which
// together make every number up to its limit.
func (p *payable) fill(limits []*int64) {
	size := 2 * p.top
	mask := new(big.Int).Lsh(big.NewInt(1), uint(size+1))
	mask.Sub(mask, big.NewInt(1))
	p.reach = big.NewInt(1)
	for n, cost := range p.costs {
		if !cost.IsInt64() || cost.Int64() > size {
			continue
		}
		left := size / cost.Int64()
		if limits[n] != nil {
			left = min(left, *limits[n])
		}
		for group := int64(1); left > 0; group *= 2 {
			group = min(group, left)
			more := new(big.Int).Lsh(p.reach, uint(group*cost.Int64()))
			p.reach.Or(p.reach, more.And(more, mask))
			left -= group
		}
	}
}

// next is the least payable cost that is at least the bound; false when there is none.
func (p *payable) next(bound *big.Int) (*big.Int, bool) {
	units := p.units(bound)
	if p.most != nil && units.Cmp(p.most) > 0 {
		return nil, false
	}
	if !units.IsInt64() || units.Int64() > p.top {
		return units.Mul(units, p.unit), true // past payableLimit: only a multiple of the unit
	}
	for sum := units.Int64(); sum <= 2*p.top; sum++ {
		if p.reach.Bit(int(sum)) == 1 {
			return new(big.Int).Mul(big.NewInt(sum), p.unit), true
		}
	}
	// Nothing up to 2·top. Without any one of its sticks the least sum would be below
	// the bound, so each of them costs more than top: there is only one stick.
	var single *big.Int
	for _, cost := range p.costs {
		if cost.Cmp(units) >= 0 && (single == nil || cost.Cmp(single) < 0) {
			single = cost
		}
	}
	if single == nil {
		return nil, false
	}
	return new(big.Int).Mul(single, p.unit), true
}

// ceilQuo is a / b rounded up, for b > 0.
func ceilQuo(a, b *big.Int) *big.Int {
	quotient, rest := new(big.Int).QuoRem(a, b, new(big.Int))
	if rest.Sign() > 0 { // QuoRem rounds towards 0, which is up for a < 0
		quotient.Add(quotient, big.NewInt(1))
	}
	return quotient
}
