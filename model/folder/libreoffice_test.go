package folder

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
)

var update = flag.Bool("update", false, "write anew what LibreOffice makes of our workbooks")

// exportedShops are the workshops that LibreOffice is given to read: something in every field, in millimetres and in inches, and the demo.
func exportedShops(t *testing.T) map[string]*model.Workshop {
	return map[string]*model.Workshop{"mm": everything(model.Millimetres), "inches": everything(model.Inches), "demo": readFiles(t, Demo())}
}

// sameAgain reads a workbook and demands the workshop that it was written of.
func sameAgain(t *testing.T, path string, want *model.Workshop) {
	t.Helper()
	got, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got, cmpopts.IgnoreTypes(model.Place{}), cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("want, got:\n%s", diff)
	}
}

// TestLibreOfficeRead reads our workbooks as LibreOffice has read and saved them, which is kept beside the other spreadsheets: every
// number, day and text is the same.
func TestLibreOfficeRead(t *testing.T) {
	for name, want := range exportedShops(t) {
		want.Habits.Headings = "" // this and what follows came later than what was saved
		for i := range want.Suppliers {
			want.Suppliers[i].FreeFrom = model.OptionalMoney{}
		}
		t.Run(name, func(t *testing.T) { sameAgain(t, filepath.Join(spreadsheets, "saved", name+".xlsx"), want) })
	}
}

// TestLibreOfficeReads has LibreOffice read and save what is written today, where there is one. TestLibreOfficeRead does so for what it
// once saved, everywhere; with -update this one writes that anew.
func TestLibreOfficeReads(t *testing.T) {
	if testing.Short() {
		t.Skip("it takes LibreOffice some seconds to start")
	}
	soffice, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("there is no LibreOffice here")
	}
	dir := t.TempDir()
	var files []string
	for name, w := range exportedShops(t) {
		files = append(files, filepath.Join(dir, name+".xlsx"))
		if err := Export(files[len(files)-1], w, nil); err != nil {
			t.Fatal(err)
		}
	}
	args := append([]string{"-env:UserInstallation=file://" + filepath.Join(dir, "user"), "--headless", "--convert-to", "xlsx", "--outdir", filepath.Join(dir, "saved")}, files...)
	if out, err := exec.Command(soffice, args...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for name, want := range exportedShops(t) {
		t.Run(name, func(t *testing.T) { sameAgain(t, filepath.Join(dir, "saved", name+".xlsx"), want) })
		if *update {
			if err := os.MkdirAll(filepath.Join(spreadsheets, "saved"), 0o755); err != nil {
				t.Fatal(err)
			}
			data, err := os.ReadFile(filepath.Join(dir, "saved", name+".xlsx"))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(spreadsheets, "saved", name+".xlsx"), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
