package instances

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestReadOptima(t *testing.T) {
	text := optimaHeader + "\r\na/b.txt\t65\t66\t64.9\tOptimal\t0.5\r\nc.txt\t1\t2\t0.9\tTime limit\t600"
	got, err := ReadOptima(strings.NewReader(text), "optima.tsv")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]Known{"a/b.txt": {Given: true, Lower: 66, Upper: 66}, "c.txt": {Given: true, Lower: 1, Upper: 2}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestReadOptimaRefuses(t *testing.T) {
	for name, tc := range map[string]struct{ text, want string }{
		"columns":  {"file\tlower\n", "optima.tsv:1: not a table of published bounds"},
		"short":    {optimaHeader + "\na\t1\t2\n", "optima.tsv:2: 3 columns"},
		"fraction": {optimaHeader + "\na\t1.5\t2\t1\tOptimal\t0\n", "optima.tsv:2: the bounds are not whole numbers"},
		"crossed":  {optimaHeader + "\na\t3\t2\t1\tOptimal\t0\n", "optima.tsv:2: the bounds are not whole numbers"},
	} {
		_, err := ReadOptima(strings.NewReader(tc.text), "optima.tsv")
		t.Run(name, func(t *testing.T) { wantError(t, err, tc.want) })
	}
}

func FuzzReadOptima(f *testing.F) {
	f.Add(optimaHeader + "\na\t1\t2\t1\tOptimal\t0\n")
	f.Fuzz(func(t *testing.T, text string) {
		known, err := ReadOptima(strings.NewReader(text), "optima.tsv")
		if err != nil {
			wantError(t, err, "optima.tsv")
			return
		}
		for name, k := range known {
			if !k.Given || k.Lower > k.Upper {
				t.Errorf("%s: %+v", name, k)
			}
		}
	})
}
