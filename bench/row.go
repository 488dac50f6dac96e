package main

import (
	"fmt"
	"strconv"
)

// solveHeader is the columns of the table that "bench solve" writes.
var solveHeader = []string{"file", "items", "demand", "capacity", "root_bound", "lower", "upper", "status", "seconds", "columns", "nodes", "peak_mb"}

// The statuses of a row. Only the first three come with a plan that the checker accepted.
const (
	proven     = "proven"     // the checker accepted a certificate that meets the cost
	searched   = "searched"   // the search closed the gap, part of it without a certificate
	open       = "open"       // stopped early, with or without a plan
	impossible = "impossible" // there is no plan
	rejected   = "rejected"   // the checker found something off
	wrong      = "wrong"      // contradicts what is published
	crashed    = "crashed"    // the process failed
	killed     = "killed"     // the process did not end at its limit
)

// solveRow is what was measured of one instance.
type solveRow struct {
	File      string
	Items     int           // different items
	Demand    int64         // pieces in all
	Capacity  int64         // of the longest kind of stick
	RootBound float64       // value of the relaxation
	Lower     int64         // the bound that the checker recomputed from the certificate
	Upper     optionalCount // cost of the plan
	Status    string
	Seconds   float64 // of the search, on the clock
	Columns   int
	Nodes     int
	PeakMB    float64 // of the whole process, in units of 2^20 bytes
}

// optionalCount is a whole number that may not be there.
type optionalCount struct {
	Value int64
	Given bool
}

// bad says that the row tells of a fault of ours.
func (r solveRow) bad() bool {
	return r.Status == rejected || r.Status == wrong || r.Status == crashed || r.Status == killed
}

// fields gives the row in the order of solveHeader.
func (r solveRow) fields() []string {
	upper := ""
	if r.Upper.Given {
		upper = strconv.FormatInt(r.Upper.Value, 10)
	}
	return []string{
		r.File, strconv.Itoa(r.Items), strconv.FormatInt(r.Demand, 10), strconv.FormatInt(r.Capacity, 10),
		strconv.FormatFloat(r.RootBound, 'f', 6, 64), strconv.FormatInt(r.Lower, 10), upper, r.Status,
		strconv.FormatFloat(r.Seconds, 'f', 4, 64), strconv.Itoa(r.Columns), strconv.Itoa(r.Nodes), strconv.FormatFloat(r.PeakMB, 'f', 1, 64),
	}
}

// parseSolveRow is the inverse of fields, for fields of the right number.
func parseSolveRow(f []string) (solveRow, error) {
	p := parser{}
	r := solveRow{
		File: f[0], Items: int(p.integer(f[1])), Demand: p.integer(f[2]), Capacity: p.integer(f[3]),
		RootBound: p.number(f[4]), Lower: p.integer(f[5]), Upper: optionalCount{Given: f[6] != ""}, Status: f[7],
		Seconds: p.number(f[8]), Columns: int(p.integer(f[9])), Nodes: int(p.integer(f[10])), PeakMB: p.number(f[11]),
	}
	if r.Upper.Given {
		r.Upper.Value = p.integer(f[6])
	}
	if p.err != nil {
		return r, fmt.Errorf("row of %s: %w", r.File, p.err)
	}
	return r, nil
}

// parser keeps the first error of several fields.
type parser struct{ err error }

func (p *parser) integer(s string) int64 {
	v, err := strconv.ParseInt(s, 10, 64)
	p.keep(err)
	return v
}

func (p *parser) number(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	p.keep(err)
	return v
}

func (p *parser) keep(err error) {
	if p.err == nil {
		p.err = err
	}
}
