package arcflow

import (
	"bufio"
	"fmt"
	"io"
)

// WriteLP writes the model in the LP text format that GLPK, CBC and HiGHS read. Arc n is the column x{n}, kind k the
// column z{k}, choice j the column y{j}.
func (m Model) WriteLP(w io.Writer) error {
	b := &lines{w: bufio.NewWriter(w)}
	b.begin("Minimize", "cost")
	for k, kind := range m.Problem.Kinds {
		b.term(kind.Cost, "z", k)
	}
	for j, c := range m.Problem.Choices {
		b.term(c.Cost, "y", j)
	}
	fmt.Fprint(b.w, "\nSubject To")
	m.writeFlow(b)
	m.writeDemand(b)
	m.writeChoices(b)
	fmt.Fprint(b.w, "\nBounds\n")
	for n, a := range m.Arcs {
		if !a.Waste {
			fmt.Fprintf(b.w, "0 <= x%d <= %d\n", n, m.Problem.Items[a.Item].Demand)
		}
	}
	for k, kind := range m.Problem.Kinds {
		if kind.Limited && len(m.givers(k)) == 0 {
			fmt.Fprintf(b.w, "0 <= z%d <= %d\n", k, kind.Limit)
		}
	}
	for j, c := range m.Problem.Choices {
		fmt.Fprintf(b.w, "0 <= y%d <= %d\n", j, c.Most)
	}
	fmt.Fprint(b.w, "Generals\n")
	for n := range m.Arcs {
		fmt.Fprintf(b.w, "x%d\n", n)
	}
	for k := range m.Problem.Kinds {
		fmt.Fprintf(b.w, "z%d\n", k)
	}
	for j := range m.Problem.Choices {
		fmt.Fprintf(b.w, "y%d\n", j)
	}
	fmt.Fprint(b.w, "End\n")
	return b.w.Flush()
}

// writeFlow writes a row a position: what comes in less what goes out is what ends there.
func (m Model) writeFlow(b *lines) {
	in, out := make([][]int, len(m.Positions)), make([][]int, len(m.Positions))
	for n, a := range m.Arcs {
		out[a.From] = append(out[a.From], n)
		in[a.To] = append(in[a.To], n)
	}
	for n, at := range m.Positions {
		b.begin("", fmt.Sprintf("p%d", n))
		for _, a := range in[n] {
			b.term(1, "x", a)
		}
		for _, a := range out[n] {
			b.term(-1, "x", a)
		}
		for k, kind := range m.Problem.Kinds {
			if n == 0 {
				b.term(1, "z", k)
			} else if kind.Length == at {
				b.term(-1, "z", k)
			}
		}
		fmt.Fprint(b.w, " = 0")
	}
}

// writeDemand writes a row an item that is wanted.
func (m Model) writeDemand(b *lines) {
	arcs := make([][]int, len(m.Problem.Items))
	for n, a := range m.Arcs {
		if !a.Waste {
			arcs[a.Item] = append(arcs[a.Item], n)
		}
	}
	for i, it := range m.Problem.Items {
		if it.Demand == 0 {
			continue
		}
		b.begin("", fmt.Sprintf("d%d", i))
		for _, a := range arcs[i] {
			b.term(1, "x", a)
		}
		if len(arcs[i]) == 0 {
			b.term(0, "z", 0) // longer than every stick: a row that cannot be met
		}
		fmt.Fprintf(b.w, " >= %d", it.Demand)
	}
}

// givers says how many sticks of a kind each choice gives, by choice.
func (m Model) givers(kind int) map[int]int64 {
	gives := map[int]int64{}
	for j, c := range m.Problem.Choices {
		for _, g := range c.Gives {
			if g.Kind == kind {
				gives[j] += g.Quantity
			}
		}
	}
	return gives
}

// writeChoices writes a row for each kind whose limit choices raise, and the problem's own rows.
func (m Model) writeChoices(b *lines) {
	for k, kind := range m.Problem.Kinds {
		gives := m.givers(k)
		if !kind.Limited || len(gives) == 0 {
			continue
		}
		b.begin("", fmt.Sprintf("k%d", k))
		b.term(1, "z", k)
		for j := range m.Problem.Choices {
			if gives[j] != 0 {
				b.term(-gives[j], "y", j)
			}
		}
		fmt.Fprintf(b.w, " <= %d", kind.Limit)
	}
	for r, row := range m.Problem.Rows {
		b.begin("", fmt.Sprintf("r%d", r))
		b.term(0, "z", 0) // a row must have a term
		for j, c := range m.Problem.Choices {
			for _, in := range c.In {
				if in.Row == r {
					b.term(in.Value, "y", j)
				}
			}
		}
		fmt.Fprintf(b.w, " >= %d", row.Least)
	}
}

// lines writes sums of terms over short lines: some readers bound a line's length.
type lines struct {
	w     *bufio.Writer
	terms int // of the row so far
}

// begin starts a section, if it is named, and a row in it.
func (b *lines) begin(section, row string) {
	if section != "" {
		fmt.Fprint(b.w, section)
	}
	fmt.Fprintf(b.w, "\n %s:", row)
	b.terms = 0
}

// term adds one term to the row.
func (b *lines) term(factor int64, letter string, n int) {
	const perLine = 8
	if b.terms > 0 && b.terms%perLine == 0 {
		fmt.Fprint(b.w, "\n ")
	}
	b.terms++
	switch {
	case factor == 1:
		fmt.Fprintf(b.w, " + %s%d", letter, n)
	case factor == -1:
		fmt.Fprintf(b.w, " - %s%d", letter, n)
	case factor < 0:
		fmt.Fprintf(b.w, " - %d %s%d", -factor, letter, n)
	default:
		fmt.Fprintf(b.w, " + %d %s%d", factor, letter, n)
	}
}
