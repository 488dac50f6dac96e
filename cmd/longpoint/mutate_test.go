package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
)

// nasty are texts that stand where nobody expects them.
var nasty = []string{"", "0", "-1", "-0", "1", "9223372036854775807", "9223372036854775808", "-9223372036854775808", "99999999999999999999999999", "1e308", "1e999", "NaN", "Inf", "0x10",
	"0.0000000001", "1/0", "1/3", "1,000.000,00", "٣٫٥", "½", "0000-00-00", "99999-99-99", "2027-02-30", "31.12.2027", "\"", "\"\"\"", "'", ";", ",", "\t", "\r", "\n", "\r\n\r\n", "\x00", "\xff\xfe",
	"\ufeff", "\u202e", "\u2028", "\u0301\u0301\u0301", "\xed\xa0\x80", "=1+1", "{{.}}", "%s%n", "../../etc", "<script>", "'; drop table job; --", "true", "null", "[]", "{}", "[[", "]]", "# ", "-", "mm", "in", "\\u0000"}

var (
	anyNumber = regexp.MustCompile(`-?[0-9]+([.,][0-9]+)?`)
	anyWord   = regexp.MustCompile(`[\pL_][\pL\pN_-]*`)
)

// changes are what can happen to the text of a file. other is that of another one.
var changes = []func(r *rand.Rand, text, other []byte) []byte{
	func(r *rand.Rand, text, _ []byte) []byte { // a bit
		out := bytes.Clone(text)
		out[r.IntN(len(out))] ^= 1 << r.IntN(8)
		return out
	},
	func(r *rand.Rand, text, _ []byte) []byte { // a part is gone
		from, to := stretch(r, text)
		return slices.Concat(text[:from], text[to:])
	},
	func(r *rand.Rand, text, _ []byte) []byte { // a part many times
		from, to := stretch(r, text)
		return slices.Concat(text[:to], bytes.Repeat(text[from:to], 1<<r.IntN(12)), text[to:])
	},
	func(r *rand.Rand, text, _ []byte) []byte { return text[:r.IntN(len(text))] }, // cut off
	func(r *rand.Rand, text, other []byte) []byte { // goes on as another
		return slices.Concat(text[:r.IntN(len(text))], other[r.IntN(len(other)):])
	},
	func(r *rand.Rand, text, _ []byte) []byte { // noise
		noise := make([]byte, 1+r.IntN(40))
		for i := range noise {
			noise[i] = byte(r.Uint32())
		}
		return insert(text, r.IntN(len(text)), noise)
	},
	func(r *rand.Rand, text, _ []byte) []byte {
		return exchange(r, text, anyNumber, []byte(nasty[r.IntN(len(nasty))]))
	},
	func(r *rand.Rand, text, _ []byte) []byte {
		return exchange(r, text, anyWord, []byte(nasty[r.IntN(len(nasty))]))
	},
	func(r *rand.Rand, text, _ []byte) []byte {
		return insert(text, r.IntN(len(text)), []byte(nasty[r.IntN(len(nasty))]))
	},
	func(r *rand.Rand, text, other []byte) []byte {
		return exchange(r, text, anyWord, anyWord.Find(other[r.IntN(len(other)):]))
	},
	func(r *rand.Rand, text, _ []byte) []byte {
		return exchange(r, text, anyNumber, anyNumber.Find(text[r.IntN(len(text)):]))
	},
	func(r *rand.Rand, text, _ []byte) []byte { // a line twice, or elsewhere, or gone
		lines := bytes.SplitAfter(text, []byte("\n"))
		i, j := r.IntN(len(lines)), r.IntN(len(lines))
		switch r.IntN(3) {
		case 0:
			lines = slices.Insert(lines, j, lines[i])
		case 1:
			lines[i], lines[j] = lines[j], lines[i]
		default:
			lines = slices.Delete(lines, i, i+1)
		}
		return slices.Concat(lines...)
	},
	func(r *rand.Rand, text, _ []byte) []byte { // nested, or long
		part := []string{"[", "{", `{"a":`, "a.", "[a.", "x", "\"", "9", "9.", "(", "-", " ", "é", ",", "\n", "a = [\n", "[[a]]\n", "a={a="}[r.IntN(18)]
		at := r.IntN(len(text))
		if r.IntN(2) == 0 {
			at = 0
		}
		return insert(text, at, bytes.Repeat([]byte(part), 1<<r.IntN(18)))
	},
	func(r *rand.Rand, text, _ []byte) []byte { // other marks
		marks := []string{",", ";", "\t", "\n", "\r\n", "\"", "'", "=", ".", "-", ":"}
		return bytes.ReplaceAll(text, []byte(marks[r.IntN(len(marks))]), []byte(marks[r.IntN(len(marks))]))
	},
}

// mutation changes a file once or a few times, as what it is: a workbook part by part, a document value by value.
func mutation(r *rand.Rand, data, other []byte) []byte {
	for range 1 + r.IntN(3)*r.IntN(2) {
		if len(data) == 0 || len(other) == 0 {
			return data
		}
		switch {
		case bytes.HasPrefix(data, []byte("PK\x03\x04")) && r.IntN(5) > 0:
			data = repacked(r, data)
		case data[0] == '{' && r.IntN(2) == 0:
			data = revalued(r, data)
		default:
			data = changes[r.IntN(len(changes))](r, data, other)
		}
	}
	return data
}

// stretch draws a part of a text, mostly a short one.
func stretch(r *rand.Rand, text []byte) (from, to int) {
	from = r.IntN(len(text))
	return from, min(len(text), from+1+r.IntN(1<<(1+r.IntN(9))))
}

func insert(text []byte, at int, part []byte) []byte {
	return slices.Concat(text[:at], part, text[at:])
}

// exchange puts another text in the place of one of those that a form matches.
func exchange(r *rand.Rand, text []byte, form *regexp.Regexp, other []byte) []byte {
	all := form.FindAllIndex(text, 2000)
	if len(all) == 0 {
		return text
	}
	at := all[r.IntN(len(all))]
	return slices.Concat(text[:at[0]], other, text[at[1]:])
}

// repacked is a workbook with a part changed, gone or another's.
func repacked(r *rand.Rand, data []byte) []byte {
	from, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil || len(from.File) == 0 {
		return data
	}
	var out bytes.Buffer
	to := zip.NewWriter(&out)
	chosen, another := r.IntN(len(from.File)), r.IntN(len(from.File))
	for i, f := range from.File {
		part, ok := unpacked(f)
		if i == chosen && ok && len(part) > 0 {
			switch otherPart, _ := unpacked(from.File[another]); r.IntN(8) {
			case 0:
				continue
			case 1:
				part = otherPart
			default:
				part = changes[r.IntN(len(changes))](r, part, append(otherPart, ' '))
			}
		}
		if w, err := to.Create(f.Name); err == nil {
			w.Write(part)
		}
	}
	to.Close()
	return out.Bytes()
}

func unpacked(f *zip.File) ([]byte, bool) {
	in, err := f.Open()
	if err != nil {
		return nil, false
	}
	defer in.Close()
	part, err := io.ReadAll(io.LimitReader(in, 4<<20))
	return part, err == nil
}

// revalued is a JSON document with one of its values another one.
func revalued(r *rand.Rand, data []byte) []byte {
	var root any
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	if dec.Decode(&root) != nil {
		return data
	}
	if m, ok := root.(map[string]any); !ok || len(m) == 0 {
		return data
	}
	change(r, root)
	if out, err := json.Marshal(root); err == nil {
		return out
	}
	return data
}

// change changes one of the values below v, which has some.
func change(r *rand.Rand, v any) {
	goOn := func(value any) bool {
		switch value := value.(type) {
		case map[string]any:
			return len(value) > 0 && r.IntN(5) > 0
		case []any:
			return len(value) > 0 && r.IntN(5) > 0
		}
		return false
	}
	switch v := v.(type) {
	case map[string]any:
		keys := slices.Sorted(maps.Keys(v))
		switch key := keys[r.IntN(len(keys))]; {
		case goOn(v[key]):
			change(r, v[key])
		case r.IntN(8) == 0:
			delete(v, key)
		case r.IntN(12) == 0:
			v[nasty[r.IntN(len(nasty))]] = v[key]
		default:
			v[key] = otherThan(r, v[key])
		}
	case []any:
		if i := r.IntN(len(v)); goOn(v[i]) {
			change(r, v[i])
		} else {
			v[i] = otherThan(r, v[i])
		}
	}
}

// otherThan is a value in the place of another.
func otherThan(r *rand.Rand, v any) any {
	switch r.IntN(8) {
	case 0:
		return nil
	case 1:
		return []any{}
	case 2:
		return map[string]any{}
	case 3:
		return []any{v, v}
	case 4:
		return slices.Repeat([]any{v}, 1<<r.IntN(10))
	case 5:
		return nasty[r.IntN(len(nasty))]
	case 6:
		return strings.Repeat("x", 1<<r.IntN(17))
	}
	return json.Number([]string{"0", "-1", "1", "2", "9223372036854775807", "-9223372036854775808", "9223372036854775808", "1e400", "0.5", "4503599627370497", "1000000000"}[r.IntN(11)])
}
