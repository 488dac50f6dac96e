package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"longpoint/cmd/longpoint/manual"
)

// TestManPages has mandoc read all manual pages: there is one for each command and topic, and nothing is wrong in any.
func TestManPages(t *testing.T) {
	t.Setenv("SOURCE_DATE_EPOCH", "1700000000")
	dir := t.TempDir()
	goesWell(t, "manual-pages", dir)
	pages, err := filepath.Glob(filepath.Join(dir, "man?", "*"))
	if err != nil || len(pages) < len(manual.Topics())+len(new(program).root().Commands()) {
		t.Fatalf("%d pages (%v)", len(pages), err)
	}
	out, err := exec.Command("mandoc", append([]string{"-T", "lint"}, pages...)...).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("mandoc, which make test installs, says %v\n%s", err, out)
	}
	for name, words := range map[string]string{
		"man1/longpoint-size.1":    `--sight "400 x 500"`,
		"man7/longpoint-lengths.7": `long point + mitre loss`,
	} {
		shown, err := exec.Command("mandoc", "-T", "utf8", filepath.Join(dir, name)).Output()
		if err != nil || !strings.Contains(string(shown), words) {
			t.Errorf("%s does not show %s (%v)", name, words, err)
		}
	}
	bad := filepath.Join(dir, "bad.7")
	if err := os.WriteFile(bad, []byte(".SH WRONG\n.XX\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, _ := exec.Command("mandoc", "-T", "lint", bad).CombinedOutput(); len(out) == 0 {
		t.Error("mandoc finds nothing in a page that is wrong")
	}
}
