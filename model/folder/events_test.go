package folder

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/stock"
	"longpoint/model/table"
)

// eventsOf reads a table with this text.
func eventsOf(t *testing.T, text string) ([]stock.Event, error) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "cut.csv")
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	events, err := ReadEvents(file, &model.Workshop{Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2}})
	for n := range events {
		events[n].Where.File = filepath.Base(events[n].Where.File)
	}
	return events, err
}

// TestReadEvents: every word, in the dialect of a spreadsheet of another country.
func TestReadEvents(t *testing.T) {
	got, err := eventsOf(t, "\ufeffstick;profile;became;side;length;from;to;note\r\n"+
		"# what came of it\r\n"+
		"R1;oak-32;done;1;;;;\r\n"+
		"new 2;oak-32;Torn;all;;;;by hand\r\n"+
		"R1;oak-32;short;2;;;;\r\n"+
		"R2;oak-32;shorter;;2987,5;;;\r\n"+
		"R3;oak-32;flawed;;;0;4 in;\r\n"+
		"R4;oak-32;missing;;;;;\r\n")
	if err != nil {
		t.Fatal(err)
	}
	const mm = model.Millimetre
	at := func(line int) model.Place { return model.Place{File: "cut.csv", Line: line} }
	want := []stock.Event{
		{Profile: "oak-32", Stick: "R1", Side: 1, Became: stock.Done, Where: at(3)},
		{Profile: "oak-32", Stick: "new 2", Became: stock.Torn, Where: at(4)},
		{Profile: "oak-32", Stick: "R1", Side: 2, Became: stock.Short, Where: at(5)},
		{Profile: "oak-32", Stick: "R2", Became: stock.Shorter, Length: 2987*mm + mm/2, Where: at(6)},
		{Profile: "oak-32", Stick: "R3", Became: stock.Flawed, Flaw: model.Span{To: 4 * model.Inch}, Where: at(7)},
		{Profile: "oak-32", Stick: "R4", Became: stock.Missing, Where: at(8)},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// TestReadEventsRefuses: one sentence each, with line and column.
func TestReadEventsRefuses(t *testing.T) {
	const head = "profile,stick,side,became,length,from,to\n"
	for _, c := range []struct{ name, text, says string }{
		{"no table", "", "the table has no heading"},
		{"a column is missing", "profile,stick,side\n", "column became: the column is missing"},
		{"an unknown column", "profile,stick,side,became,tim\n", `there is no column “tim”`},
		{"an unknown word", head + "oak,R1,1,lost\n", "cut.csv:2, column became: “lost” is not known here; write done, short, torn, shorter, flawed or missing"},
		{"no word", head + "oak,R1,1,\n", "cut.csv:2, column became: nothing is given here"},
		{"no stick", head + "oak,,1,done\n", "cut.csv:2, column stick: nothing is given here"},
		{"no side", head + "oak,R1,,done\n", "cut.csv:2, column side: nothing is given here"},
		{"a side of another kind", head + "oak,R1,B,done\n", "cut.csv:2, column side: “B” is not the number of a side"},
		{"side nought", head + "oak,R1,0,torn\n", "is not the number of a side"},
		{"no length", head + "oak,R1,,shorter\n", "cut.csv:2, column length: nothing is given here"},
		{"a length of nothing", head + "oak,R1,,shorter,0\n", "“0” is not more than zero"},
		{"no end", head + "oak,R1,,flawed,,10\n", "cut.csv:2, column to: nothing is given here"},
		{"a beginning before the head", head + "oak,R1,,flawed,,-10,20\n", "column from: "},
		{"a side of a missing stick", head + "oak,R1,2,missing\n", "cut.csv:2, column side: this is not said of what is missing"},
		{"a length of a side", head + "oak,R1,2,short,300\n", "column length: this is not said of what is short"},
		{"not text", head + "\x00", "cut.csv"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := eventsOf(t, c.text)
			var all model.Errors
			if !errors.As(err, &all) || all[0].Kind != model.BadInput || got != nil || len(all) != 1 {
				t.Fatalf("it gives %v, %v", got, err)
			}
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("it says %q, want %q", err, c.says)
			}
		})
	}
	if _, err := ReadEvents(filepath.Join(t.TempDir(), "absent.csv"), &model.Workshop{}); err == nil {
		t.Error("a file that is not there was read")
	}
}

// FuzzEvents reads any bytes as a table of events. Nothing may panic, and what is read without an error says all that it must.
func FuzzEvents(f *testing.F) {
	f.Add([]byte("profile,stick,side,became,length,from,to,note\noak,R1,all,done,,,,\noak,R1,,flawed,,0,4 in,"))
	f.Add([]byte("stick;profile;became;length\r\nR2;oak;shorter;2987,5\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		file, bad := table.FromBytes("file", data, table.Ordinary())
		if bad != nil {
			return
		}
		var p table.Problems
		found, ok := file.Table(eventSet, &p)
		c := &table.Converter{Unit: model.Inches, Currency: model.Currency{Code: "EUR", Decimals: 2}, Problems: &p}
		for r := range found.Rows() {
			e := event(r, c)
			if !p.None() || !ok {
				continue
			}
			side, stick := e.Became.OfSide() && e.Length == 0 && e.Flaw == model.Span{}, e.Side == 0 && e.Became != ""
			if e.Profile == "" || e.Stick == "" || e.Side < 0 || !side && !stick || e.Became == stock.Shorter && e.Length <= 0 {
				t.Fatalf("read without an error: %+v", e)
			}
		}
	})
}
