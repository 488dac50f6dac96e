package folder

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
)

// spreadsheets has what testdata/spreadsheets/make.sh made with LibreOffice: twelve files for each of these countries.
const spreadsheets = "../../testdata/spreadsheets"

var countries = map[string]model.Habits{
	"de-DE": {Dates: "day.month.year", Decimal: ",", Thousands: "."},
	"fr-FR": {Dates: "day/month/year", Decimal: ",", Thousands: " "},
	"de-CH": {Dates: "day.month.year", Decimal: ".", Thousands: "'"},
	"en-GB": {Dates: "day/month/year", Decimal: ".", Thousands: ","},
	"en-US": {Dates: "month/day/year", Decimal: ".", Thousands: ","},
}

// sheetFiles are the files of each country, and what is said where one is refused; blank: it is read.
var sheetFiles = map[string]string{
	"jobs.csv": "", "jobs-1252.csv": "", "jobs.tsv": "", "jobs.xlsx": "", "kept.xlsx": "", "offers.csv": "", "offers.xlsx": "", "rack.csv": "", "rack.xlsx": "",
	"hidden.xlsx": "row 4: this row is hidden; show them, or take them out",
	"faulty.xlsx": "cell G4, column width: the cell shows the error #DIV/0!",
	"turned.xlsx": "the spreadsheet has made the day 2027-04-03 of what was typed here",
}

// inSheets is the workshop that the files are about, and what they say.
func inSheets(t *testing.T, h model.Habits) *model.Workshop {
	t.Helper()
	w := workshopOf(t, map[string]string{
		settingsFile: small[settingsFile], profilesFile: "profile,width,rebate,keep\noak-40,40,8,300\nblack-22,22,6,300\n",
		offersFile: "supplier,profile,stick_length,price,until\nNord & Süd,oak-40,3000,1017.40,2027-12-03\nNord & Süd,black-22,2400,9.60,\n",
		rackFile:   "stick,profile,length,value,lot\nR1,oak-40,2290,3.00,é 1\nR2,black-22,1005.5,1234.50,\n",
		jobsFile: "job,due,customer,frame,profile,quantity,width,height\nJ1,2027-03-12,\"Müller, Söhne & Co\",print,oak-40,2,300.5,1200\n" +
			"J1,,,two words,oak-40,1,130,180.5\nJ2,2027-04-03,Atelier «Nord»; Ost,print,black-22,1000,1017.5,2000\n",
	})
	w.Habits = h
	return w
}

// readSheet reads one of the files into a workshop that has nothing of what the file is about.
func readSheet(path string, want *model.Workshop) (got *model.Workshop, err error) {
	w := *want
	switch base := filepath.Base(path); {
	case strings.HasPrefix(base, "offers"):
		w.Jobs, w.Offers = nil, nil
	case strings.HasPrefix(base, "rack"):
		w.Rack = nil
	default:
		w.Jobs = nil
		w.Jobs, _, err = ReadJobs(path, &w, "")
		return &w, err
	}
	in, err := OpenIncoming(path)
	if err != nil {
		return nil, err
	}
	got, _, err = in.Read(&w, false)
	if err == nil {
		got.Jobs = want.Jobs
	}
	return got, err
}

// TestSpreadsheets reads the sixty files as the shop that made them: each is read right, or refused with where and what to do. Read by
// somebody who has said nothing of habits, each is read right too or refused, and none is misread.
func TestSpreadsheets(t *testing.T) {
	files, unsaid := 0, 0
	for country, habits := range countries {
		found, err := os.ReadDir(filepath.Join(spreadsheets, country))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			says, known := sheetFiles[f.Name()]
			if !known {
				t.Errorf("nobody knows of %s", f.Name())
			}
			files++
			path := filepath.Join(spreadsheets, country, f.Name())
			t.Run(country+"/"+f.Name(), func(t *testing.T) {
				for _, h := range []model.Habits{habits, {}} {
					want := inSheets(t, h)
					got, err := readSheet(path, want)
					if err != nil {
						e := err.Error()
						if !strings.Contains(e, path+":") && !strings.Contains(e, path+",") || !strings.Contains(e, "; ") {
							t.Errorf("it does not say where and what to do: %v", err)
						}
						if h == habits && (says == "" || !strings.Contains(e, says)) {
							t.Errorf("%v, want %q", err, says)
						}
						unsaid++
						continue
					}
					if says != "" {
						t.Errorf("it is read, want %q", says)
					}
					if diff := cmp.Diff(want, got, cmpopts.IgnoreTypes(model.Place{}), cmpopts.EquateEmpty(), cmpopts.IgnoreFields(model.Workshop{}, "Habits")); diff != "" {
						t.Errorf("habits %+v: want, got:\n%s", h, diff)
					}
				}
			})
		}
	}
	if want := len(countries) * len(sheetFiles); files != want || unsaid == 0 {
		t.Errorf("%d files, want %d; %d refused", files, want, unsaid)
	}
}

// TestSpreadsheetsOfOtherForms refuses what a spreadsheet program saves in forms that are not read, and what is called otherwise than it is.
func TestSpreadsheetsOfOtherForms(t *testing.T) {
	w := inSheets(t, model.Habits{})
	dir := t.TempDir()
	for file, says := range map[string]string{
		"jobs.ods": "this is an OpenDocument spreadsheet, which is not read; save the table as CSV, best as UTF-8, or as XLSX",
		"jobs.xls": "this is a workbook of an old kind, XLS, which is not read; save the table as CSV, best as UTF-8, or as XLSX",
	} {
		data, err := os.ReadFile(filepath.Join(spreadsheets, "other", file))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{file, "jobs.xlsx", "jobs.csv"} {
			path := filepath.Join(dir, name)
			write(t, path, string(data))
			if _, _, err := ReadJobs(path, w, ""); err == nil || err.Error() != path+": "+says {
				t.Errorf("%s called %s: %v, want %s", file, name, err, says)
			}
		}
	}
}
