package instances

import (
	"bytes"
	"errors"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var (
	mutated     = flag.Int("mutated", 300, "how many mutated files TestMutated reads")
	mutatedSeed = flag.Uint64("mutated-seed", 1, "the seed of TestMutated")
)

// TestMutated reads files of instances that are changed at random. Each is taken and is a problem then, or refused by its name.
func TestMutated(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	files := [][]byte{[]byte("2\n100\n30\t2\n20\t1\n"), []byte("3 2 1 1\n50 60 100 90\n30 20\n30"), []byte(optimaHeader + "\na\t1\t2\t1\tOptimal\t0\n")}
	for _, name := range []string{"textbook.json", "instances/scholl1.txt", "instances/falkenauer-t.txt"} {
		data, err := os.ReadFile(filepath.Join(root, "testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, data)
	}
	taken, refused := 0, 0
	for n := range *mutated {
		r := rand.New(rand.NewPCG(*mutatedSeed, uint64(n)))
		text := changed(r, files[r.IntN(len(files))], files[r.IntN(len(files))])
		for _, err := range readAll(t, text) {
			var named *FormatError
			switch {
			case err == nil:
				taken++
			case errors.As(err, &named) && strings.Contains(err.Error(), "given.txt") && len(err.Error()) < 1000:
				refused++
			default:
				t.Errorf("%d of seed %d: %.300v", n, *mutatedSeed, err)
			}
		}
	}
	if *mutated >= 100 && (taken < *mutated/20 || refused < *mutated) {
		t.Errorf("%d taken and %d refused: the test says too little", taken, refused)
	}
}

// readAll gives what every reader says of a file.
func readAll(t *testing.T, text []byte) []error {
	p, err := ReadText(bytes.NewReader(text), "given.txt")
	if err == nil && (p.Validate() != nil || len(p.Items) == 0) {
		t.Errorf("taken, and no problem: %v", p.Validate())
	}
	ins, compact := ReadCompact(bytes.NewReader(text), "given.txt", "")
	for _, one := range ins {
		if err := one.Problem.Validate(); compact == nil && err != nil {
			t.Errorf("%s is taken, and no problem: %v", one.Name, err)
		}
	}
	_, textbook := ReadTextbook(bytes.NewReader(text), "given.txt")
	_, optima := ReadOptima(bytes.NewReader(text), "given.txt")
	return []error{err, compact, textbook, optima}
}

// changed is a file with up to three changes: a bit, a part gone, doubled or moved, a number in the place of another, or the rest of another file.
func changed(r *rand.Rand, text, other []byte) []byte {
	for range 1 + r.IntN(3) {
		if len(text) == 0 {
			break
		}
		from := r.IntN(len(text))
		to := min(len(text), from+1+r.IntN(1<<r.IntN(8)))
		switch r.IntN(6) {
		case 0:
			text = bytes.Clone(text)
			text[from] ^= 1 << r.IntN(8)
		case 1:
			text = slices.Concat(text[:from], text[to:])
		case 2:
			text = slices.Concat(text[:to], bytes.Repeat(text[from:to], 1<<r.IntN(8)), text[to:])
		case 3:
			text = slices.Concat(text[:from], other[r.IntN(len(other)):])
		case 4:
			text = text[:from]
		default:
			odd := []string{"0", "-1", "9223372036854775807", "99999999999999999999", "1e9", "x0", "x9999999", "\x00", "\xff", "\"", "{", "[", ",", "#", "½", "٣"}
			text = slices.Concat(text[:from], []byte(odd[r.IntN(len(odd))]), text[to:])
		}
	}
	return text
}
