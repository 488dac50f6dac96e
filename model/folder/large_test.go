package folder

import (
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestLargeTables reads 100,000 sticks on the rack, 50,000 prices and 20,000 jobs in two seconds of the processor and 300 MB.
func TestLargeTables(t *testing.T) {
	const profiles, prices, sticks, jobs = 2000, 50_000, 100_000, 20_000
	dir := t.TempDir()
	table := func(file, heading string, n int, row func(i int) string) {
		var b strings.Builder
		fmt.Fprintln(&b, heading)
		for i := range n {
			fmt.Fprintln(&b, row(i))
		}
		write(t, filepath.Join(dir, file), b.String())
	}
	write(t, filepath.Join(dir, settingsFile), strings.Replace(small[settingsFile], "[defaults]", "[defaults]\nkeep = 300", 1))
	table(profilesFile, "profile,width,rebate", profiles, func(i int) string { return fmt.Sprintf("P%d,%d,6", i, 20+i%50) })
	table(offersFile, "supplier,profile,stick_length,price", prices, func(i int) string {
		return fmt.Sprintf("S%d,P%d,3000,%d.%02d", i/profiles, i%profiles, 8+i%20, i%100)
	})
	table(rackFile, "stick,profile,length,place,value,offcut,lot,damaged", sticks, func(i int) string {
		return fmt.Sprintf("R%d,P%d,%d.5,bay %d,,%s,lot %d,", i, i%profiles, 300+i%2700, i%40, []string{"yes", "no"}[i%2], i%300)
	})
	table(jobsFile, "job,due,customer,frame,profile,quantity,width,height", jobs, func(i int) string {
		return fmt.Sprintf("J%d,2027-%02d-%02d,somebody,a,P%d,%d,%d,%d", i, 3+i%9, 1+i%28, i%profiles, 1+i%3, 200+i%600, 200+i%700)
	})
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := processorTime(t)
	w, err := Read(dir)
	took := processorTime(t) - start
	runtime.ReadMemStats(&after)
	if err != nil {
		t.Fatal(err)
	}
	if len(w.Rack) != sticks || len(w.Offers) != prices || len(w.Jobs) != jobs {
		t.Errorf("%d sticks, %d offers, %d jobs", len(w.Rack), len(w.Offers), len(w.Jobs))
	}
	t.Logf("%s, %d MB", took, (after.Sys-before.Sys)>>20)
	if limit := 2 * time.Second; took > limit {
		t.Errorf("it takes %s", took)
	}
	if limit := uint64(300 << 20); after.Sys-before.Sys > limit {
		t.Errorf("it takes %d MB", (after.Sys-before.Sys)>>20)
	}
}

// processorTime is what the process has had of the processor, which other work beside it changes little.
func processorTime(t *testing.T) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
