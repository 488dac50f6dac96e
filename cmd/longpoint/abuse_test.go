//go:build linux

package main

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// packed writes a workbook like another, with one part of it in another form: head, then a block so many times, then tail.
func packed(t *testing.T, from, to, part string, head, block, tail string, times int) {
	t.Helper()
	z, err := zip.OpenReader(from)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	if _, err := z.Open(part); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	w.RegisterCompressor(zip.Deflate, func(to io.Writer) (io.WriteCloser, error) { return flate.NewWriter(to, flate.BestSpeed) })
	for _, f := range z.File {
		if f.Name != part {
			if err := w.Copy(f); err != nil {
				t.Fatal(err)
			}
			continue
		}
		in, err := w.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprint(in, head)
		for range times {
			if _, err := io.WriteString(in, block); err != nil {
				t.Fatal(err)
			}
		}
		fmt.Fprint(in, tail)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestAbuse gives the program files that are made to take its time or its memory, or are no tables: one clear sentence each, in under 2
// seconds of the processor and 200 MB. What a process took at most is never less than what this one has as it starts it.
func TestAbuse(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	const good = "../../testdata/spreadsheets/saved/demo.xlsx"
	const sheet, head, tail = "xl/worksheets/sheet5.xml", `<worksheet><sheetData><row><c t="str"><v>stick</v></c><c t="str"><v>profile</v></c><c t="str"><v>length</v></c></row>`, `</sheetData></worksheet>`
	row := `<row><c t="str"><v>R</v></c><c t="str"><v>plain-30</v></c><c><v>3000</v></c></row>`
	mega := strings.Repeat(row, (1<<20)/len(row))
	packed(t, good, at("two-gb.xlsx"), sheet, head, mega, tail, 2<<10)
	packed(t, good, at("empty.xlsx"), sheet, head, strings.Repeat(`<row s="1" customFormat="1" ht="15"><c s="1"/><c s="1"/></row>`, 1000), tail, 1000)
	packed(t, good, at("bomb.xlsx"), "xl/sharedStrings.xml", "", strings.Repeat("\x00", 1<<20), "", 2<<10)
	packed(t, good, at("texts.xlsx"), "xl/sharedStrings.xml", "<sst>", strings.Repeat("<si><t>x</t></si>", 1000), "</sst>", 6000)
	noise := make([]byte, 3<<20)
	for i := range noise {
		noise[i] = byte(i * i >> 3)
	}
	cfb := append([]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), make([]byte, 1<<20)...)
	for name, data := range map[string][]byte{
		"image.xlsx": append([]byte("\x89PNG\r\n\x1a\n"), noise...), "old.xls": cfb,
		"locked.xlsx": append(bytes.Clone(cfb), []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")...),
	} {
		if err := os.WriteFile(at(name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	const large = "unpacks to more than a workshop's tables ever take"
	for file, says := range map[string]string{
		"two-gb.xlsx": large, "bomb.xlsx": large, "texts.xlsx": large, "empty.xlsx": "it has more than 500000 rows and cells with nothing in them",
		"image.xlsx": "this is a picture, not a workshop's folder or book", "old.xls": "this is a workbook of an old kind, XLS, which is not read", "locked.xlsx": "the workbook is locked with a pass word",
		"../../../testdata/spreadsheets/other/jobs.ods": "this is an OpenDocument spreadsheet, which is not read",
	} {
		t.Run(filepath.Base(file), func(t *testing.T) {
			path := at(file)
			if strings.HasPrefix(file, "..") {
				path = strings.TrimPrefix(file, "../")
			}
			end := spawned(t, exec.Command("longpoint", "plan", path))
			said := strings.TrimSpace(end.stderr)
			if end.status != 3 || !strings.Contains(said, says) || strings.Count(said, "\n") != 1 { // the sentence, and the command to type next
				t.Errorf("status %d: %.600s\nwant %s", end.status, said, says)
			}
			end.isCheap(t)
		})
	}
}

// isCheap demands that a command took little of the processor and of the memory.
func (e ended) isCheap(t *testing.T) {
	t.Helper()
	t.Logf("%s, %d MB", e.took.Round(10*time.Millisecond), e.used>>20)
	if e.took > 2*time.Second || e.used>>20 > 200 {
		t.Errorf("it took %s of the processor and %d MB", e.took, e.used>>20)
	}
}

// TestAbuseOfSettings does as TestAbuse with settings whose reading grows faster than they do: many keys, tables and levels.
func TestAbuseOfSettings(t *testing.T) {
	many := func(format string, most int) string {
		var b strings.Builder
		for n := 0; ; n++ {
			line := fmt.Sprintf(format+"\n", n)
			if b.Len()+len(line) > most {
				break
			}
			b.WriteString(line)
		}
		return b.String()
	}
	const most = 200_000 // bytes of settings
	for name, c := range map[string]struct{ text, says string }{
		"a key of many parts": {strings.Repeat("a.", 400_000) + "a = 1", "the file is larger than 0.2 MB"},
		"a long key":          {"units = \"mm\"\n" + strings.Repeat("a.", 6000) + "a = 1", "workshop.toml:2: this line has more than 10000 characters"},
		"keys of many parts":  {many(strings.Repeat("a.", 4000)+"a%d = 1", most), "there is no setting"},
		"many tables":         {many("[a.b%d]", most), "there is no table"},
		"many levels":         {"a = [\n" + strings.Repeat("[\n", most/2-100), "this is not TOML"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.CopyFS(dir, os.DirFS("testdata/workshop")); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, "workshop.toml"), []byte(c.text), 0o644); err != nil {
				t.Fatal(err)
			}
			end := spawned(t, exec.Command("longpoint", "examine", dir))
			if end.status != 3 || !strings.Contains(end.stderr, c.says) || len(end.stderr) > mostSaid {
				t.Errorf("status %d: %.600s\nwant %s", end.status, end.stderr, c.says)
			}
			end.isCheap(t)
		})
	}
}

// TestMemoryLimit gives the program files that are made to take its memory, with no more than 1 GB of it: they are refused by name, and it does not end for
// want of memory. With -mutated 1000 or more there are the largest.
func TestMemoryLimit(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "shop"), os.DirFS("testdata/workshop")); err != nil {
		t.Fatal(err)
	}
	size, rows := 4_000_000, 10_000
	if *mutated >= 1000 {
		size, rows = 63_000_000, 249_000
	}
	const jobs, a, cuts = "job,due,customer,frame,profile,quantity,sides,given_by,width,height\n", `{"format":"longpoint-plan/3","workshop":`, `{"format":"longpoint-cuts/2","items":[`
	for _, c := range []struct{ file, head, block, tail, typed, says string }{
		{"shop/jobs.csv", jobs, ",", "", "examine shop", "the row has more than 1000000 characters"},
		{"shop/jobs.csv", jobs + "\"", "x", "", "examine shop", "the row has more than 1000000 characters"},
		{"shop/jobs.csv", jobs + "\"", "x,y\n", "", "examine shop", "a cell starts here with a quotation mark"},
		{"shop/jobs.csv", jobs, "rows", "", "examine shop", "more errors are not shown"},
		{"plan.json", a + `"`, "x", `"}`, "check shop plan.json", "is missing"},
		{"plan.json", a + `[`, "[],", `[]]}`, "check shop plan.json", "longpoint-plan/3"},
		{"plan.json", `{"format":"longpoint-plan/3","profiles":[`, "{},", `{}]}`, "check shop plan.json", "longpoint-plan/3"},
		{"cuts.json", cuts, "{},", `{}]}`, "check --cuts cuts.json", "this is no cuts document"},
		{"cuts.json", cuts, "1,", `1]}`, "check --cuts cuts.json", "this is no cuts document"},
	} {
		text := c.head + strings.Repeat(c.block, size/len(c.block)) + c.tail
		if c.block == "rows" {
			text = c.head + strings.Repeat("J1,,,print,plain-30,2,4,content,300,400\n", rows)
		}
		path := filepath.Join(dir, c.file)
		before, err := os.ReadFile(path)
		if err != nil && c.file == "shop/jobs.csv" {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command("sh", "-c", "ulimit -d 1048576; exec longpoint "+c.typed)
		cmd.Dir = dir
		if end := spawned(t, cmd); end.status != 3 || !strings.Contains(end.stderr, c.says) || end.took > mostTime {
			t.Errorf("%s of %d bytes of %.10q takes %s, status %d: %.400s", c.file, len(text), c.block, end.took, end.status, end.stderr)
		}
		if err := os.WriteFile(path, before, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
