package sheet

import (
	"fmt"
	"os"
	"strings"
	"syscall"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// What a run of 500 sticks may take, from the moment the plan is there to the last byte of its cut sheet. The seconds are the
// processor's, of all its cores together: a machine that is busy with other things takes longer by the clock, an idle one less.
const (
	mostSeconds   = 2.0
	mostMegabytes = 200.0 // of the whole process
)

// fiveHundredSticks is a plan of 500 sticks with six or seven sides each.
func fiveHundredSticks() planned {
	p := handmade(32*mm, 3000*mm, 4, "101", "print", 500*mm, 400*mm, 500*mm, 400*mm, 310*mm, 310*mm)
	pp := &p.Document.Profiles[0]
	one := pp.Sticks[0]
	pp.Sticks = nil
	for i := range 500 {
		s := one
		s.ID = fmt.Sprintf("new %d", i+1)
		s.Sides = append([]plan.Side{}, one.Sides...)
		for j := range s.Sides {
			s.Sides[j].Job = fmt.Sprint(1000 + i)
			s.Sides[j].LongPoint -= model.Length(i%50) * mm / 10
		}
		pp.Sticks = append(pp.Sticks, s)
	}
	return p
}

// BenchmarkFiveHundredSticks makes the cut sheet of 500 sticks, and fails where that takes more than it may.
func BenchmarkFiveHundredSticks(b *testing.B) {
	p := fiveHundredSticks()
	dated, err := model.ParseDate("2027-03-15")
	if err != nil {
		b.Fatal(err)
	}
	pages, took := 0, 0.0
	for b.Loop() {
		began := processorSeconds(b)
		s, err := NewSource(p.Workshop, p.Document, dated, A4)
		if err != nil {
			b.Fatal(err)
		}
		all := s.Cuts(0).Pages()
		data, err := PDF("500 sticks", all)
		if err != nil || len(data) == 0 {
			b.Fatal(err)
		}
		if took = processorSeconds(b) - began; took > mostSeconds {
			b.Errorf("it took %.2f s of the processor, more than %.0f", took, mostSeconds)
		}
		pages = len(all)
	}
	megabytes := peakMegabytes(b)
	if megabytes > mostMegabytes {
		b.Errorf("the process took %.0f MB, more than %.0f", megabytes, mostMegabytes)
	}
	b.ReportMetric(float64(pages), "pages")
	b.ReportMetric(took, "processor-s")
	b.ReportMetric(megabytes, "MB-peak")
}

// processorSeconds is the time that the processor has spent on this process.
func processorSeconds(b *testing.B) float64 {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	seconds := func(t syscall.Timeval) float64 { return float64(t.Sec) + float64(t.Usec)/1e6 }
	return seconds(used.Utime) + seconds(used.Stime)
}

// BenchmarkLabels makes the labels of 500 sticks.
func BenchmarkLabels(b *testing.B) {
	p := fiveHundredSticks()
	began, n := processorSeconds(b), 0
	for b.Loop() {
		piece, err := sourceOf(b, p, A4).Labels(plainLabels)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := PDF("labels", piece.Pages()); err != nil {
			b.Fatal(err)
		}
		n++
	}
	b.ReportMetric((processorSeconds(b)-began)/float64(n), "processor-s")
	b.ReportMetric(peakMegabytes(b), "MB-peak")
}

// peakMegabytes is the most memory that this process ever held, as Linux counts it.
func peakMegabytes(b *testing.B) float64 {
	data, err := os.ReadFile("/proc/self/status")
	if err != nil {
		b.Skip("there is no /proc/self/status, so the memory cannot be measured")
	}
	for line := range strings.Lines(string(data)) {
		var kB float64
		if n, _ := fmt.Sscanf(line, "VmHWM: %f kB", &kB); n == 1 {
			return kB / 1000
		}
	}
	b.Fatal("/proc/self/status does not say how much memory was held")
	return 0
}
