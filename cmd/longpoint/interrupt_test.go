package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"longpoint/model/plan"
)

// writeHardWorkshop writes a workshop whose one profile has no two sides alike and forty different offcuts: more than is
// searched to the end in a few seconds.
func writeHardWorkshop(t *testing.T, dir string) {
	t.Helper()
	if err := os.CopyFS(dir, os.DirFS("testdata/workshop")); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewSource(5))
	jobs := []string{"job,due,frame,profile,given_by,width,height"}
	for i := range 60 {
		jobs = append(jobs, fmt.Sprintf("J%d,2027-01-11,print,plain-30,content,%d.%d,%d.%d", i,
			200+random.Intn(700), random.Intn(10), 200+random.Intn(700), random.Intn(10)))
	}
	rack := []string{"stick,profile,length"}
	for i := range 40 {
		rack = append(rack, fmt.Sprintf("P%d,plain-30,%d", i, 500+random.Intn(2400)))
	}
	for name, lines := range map[string][]string{"jobs.csv": jobs, "rack.csv": rack} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// TestInterrupt interrupts a search that would go on: the best plan so far is written, is called open, and holds.
func TestInterrupt(t *testing.T) {
	t.Parallel()
	const begun = 1500 * time.Millisecond // by then the program has long begun, even on a busy machine
	const limit = "20s"                   // so that a program that does not listen fails the test and does not hang it
	dir := t.TempDir()
	shop, out := filepath.Join(dir, "shop"), filepath.Join(dir, "plan.json")
	writeHardWorkshop(t, shop)
	var stdout, stderr bytes.Buffer
	cmd := exec.Command("longpoint", "plan", shop, "--time-limit", limit, "--out", out, "--summary")
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(begun)
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatalf("the search was over before it could be interrupted: %v", err)
	}
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v, and it said\n%s", err, stderr.String())
	}
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var d plan.Document
	if err := json.Unmarshal(data, &d); err != nil {
		t.Fatal(err)
	}
	if d.Total.Grade != plan.Open || !strings.Contains(stdout.String(), " open ") {
		t.Errorf("the grade is %q, and the page says\n%s", d.Total.Grade, stdout.String())
	}
	if !strings.Contains(stderr.String(), "longpoint: warning: plain-30 is open: the search was interrupted") {
		t.Errorf("the warning is %q", stderr.String())
	}
	goesWell(t, "check", shop, out)
}

// stuck is a program that hears the first interrupt and does not end.
func stuck() {
	ctx, stop := interruptible()
	defer stop()
	fmt.Println("begun")
	<-ctx.Done()
	fmt.Println("heard")
	time.Sleep(time.Minute)
}

// TestSecondInterrupt demands that the second interrupt ends even a program that is stuck.
func TestSecondInterrupt(t *testing.T) {
	t.Parallel()
	cmd := exec.Command("stuck")
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Process.Kill()
	said := bufio.NewScanner(pipe)
	for _, want := range []string{"begun", "heard"} {
		if !said.Scan() || said.Text() != want {
			t.Fatalf("it says %q, not %q: %v", said.Text(), want, said.Err())
		}
		if err := cmd.Process.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	for range 100 { // the second may come before the first has been wholly dealt with: then the next one counts
		select {
		case err := <-ended:
			if err == nil {
				t.Error("it ended by itself")
			}
			return
		case <-time.After(100 * time.Millisecond):
			cmd.Process.Signal(os.Interrupt)
		}
	}
	t.Error("it goes on")
}
