package sheet

import (
	"strings"
	"testing"
	"unicode"
)

// TestLetters demands every letter of the alphabets in use today that are written in Latin or Cyrillic letters: a pangram or
// the alphabet of each (from memory), and whole blocks of Unicode.
func TestLetters(t *testing.T) {
	for language, text := range map[string]string{
		"Czech": "Příliš žluťoučký kůň úpěl ďábelské ódy ň", "Polish": "Zażółć gęślą jaźń", "Romanian": "țșăâî ȚȘĂÂÎ", "Vietnamese": "ẵ ề ỡ ự ỳ đ Ơ Ư",
		"Turkish": "ğışçöü İĞŞ", "Icelandic": "þæðöáý Þ", "Maltese": "ħġżċ", "Latvian": "ģķļņšžāēīū", "Welsh": "ŵŷ", "Hungarian": "őű", "Azeri": "əğışç", "Hausa": "ɓɗƙƴ", "Yoruba": "ẹọṣ",
		"Igbo": "ị ọ ụ ṅ", "Sami": "čđŋšŧž", "Livonian": "ȭȯț", "German": "Äöüß ẞ", "Catalan": "l·l ç", "Skolt": "ʒ ǯ ǥ ǧ ǩ",
		"Russian": "Съешь же ещё этих мягких французских булок", "Ukrainian": "ґєії Ґ", "Belarusian": "ўі", "Serbian": "ђјљњћџ", "Macedonian": "ѓѕќ",
		"Kazakh": "әғқңөұүһі", "Tatar": "әөүҗңһ", "Tajik": "ғӣқӯҳҷ", "Bashkir": "ғҙҡңөҫүһә", "Chuvash": "ӑӗҫӳ", "Abkhaz": "ҕӡқԥҭҳҵҽҿҩџә", "Udmurt": "ӝӟӥӧӵ", "Mari": "ҥӧӱӓӹ",
		"Komi": "іӧ", "Yakut": "ҕҥөһү", "Mongolian": "өү", "Ossetian": "ӕ", "Kurdish": "ԛԝ", "Khanty": "ӄӆӈӊ", "Nenets": "ӈ", "Chukchi": "ԓӄӈ", "Khanty of Kazym": "ԯ",
	} {
		if got := readable(text); strings.ContainsRune(got, missingSign) {
			t.Errorf("%s: %q is shown as %q", language, text, got)
		}
	}
	for from, to := range map[rune]rune{0x20: 0x7e, 0xa0: 0x24f, 0x1e00: 0x1e9b, 0x1ea0: 0x1ef9, 0x400: 0x513} {
		for r := from; r <= to; r++ {
			if r != 0xad && unicode.IsPrint(r) && !has(r) { // 0xad, the soft hyphen, is not shown
				t.Errorf("%q (%04X) has no sign", r, r)
			}
		}
	}
	if has('漢') || has('☐') {
		t.Error("the test would not see a letter that is missing")
	}
}

// TestReadable: what is not shown as it is written.
func TestReadable(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"plain", "oak 40", "oak 40"},
		{"blanks", "  oak \t 40\n", "oak 40"},
		{"letter and accent apart", "e\u0301tude", "étude"},
		{"no sign", "漢", "□"},
		{"beyond two bytes", "a😀b", "a□b"},
		{"bell", "a\ab", "ab"},
		{"not UTF-8", "a\xffb", "a□b"},
		{"empty", "", ""},
		{"the letter it was before", "ԥ", "ҧ"},
	} {
		if got := readable(c.text); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// TestFit: names are cut short to their room, never beyond it, and only when they must be.
func TestFit(t *testing.T) {
	const size = 9 * point
	for _, text := range []string{"Weißgold Hohlkehle 55", "Багет дубовый классический", "WWWWWWWWWWWWWWWW", "iiiiiiiiiiiiii", "a b c d e f g h"} {
		whole := widthOf(text, size, false)
		for room := 0.0; room < whole+5; room += 0.37 {
			got := fit(text, room, size, false)
			if w := widthOf(got, size, false); w > room {
				t.Errorf("%q in %.2f mm: %q takes %.2f mm", text, room, got, w)
			}
			if room >= whole && got != text {
				t.Errorf("%q has room in %.2f mm but is cut to %q", text, room, got)
			}
			if room < whole && got != "" && !strings.HasSuffix(got, "…") {
				t.Errorf("%q is cut to %q without saying so", text, got)
			}
			if kept := strings.TrimSuffix(got, "…"); !strings.HasPrefix(text, kept) {
				t.Errorf("%q is not the beginning of %q", kept, text)
			}
		}
	}
}

// TestWrap: no line is wider than the room, and no word is lost.
func TestWrap(t *testing.T) {
	const size, room = 9 * point, 40.0
	text := strings.Repeat("mitre guillotines and saws cut fingers as easily as moulding ", 5)
	lines := wrap(text, room, size, false)
	for _, line := range lines {
		if w := widthOf(line, size, false); w > room {
			t.Errorf("%q takes %.2f mm of %.0f", line, w, room)
		}
	}
	if got := strings.Join(lines, " "); got != strings.TrimSpace(text) {
		t.Errorf("wrapped to %q", got)
	}
	if len(wrap("", room, size, false)) != 1 {
		t.Error("nothing takes no line")
	}
}

// TestFrameKeepsWhichItIs: of a long name the end is cut off, and not which of several alike it is.
func TestFrameKeepsWhichItIs(t *testing.T) {
	for text, end := range map[string]string{
		"hexagonal mirror in the hall of the old mill no 12":                  "… no 12",
		"hexagonal mirror in the hall of the old mill no 2, ring 3":           "… no 2, ring 3",
		"hexagonal mirror in the hall of the old mill, ring 2":                "…, ring 2",
		"Frame hexagonal mirror in the hall of the old mill, 2 alike · alder": "…, 2 alike · alder",
		"hexagonal mirror in the hall of the old mill":                        "…",
	} {
		got := fitFrame(text, 50, 3, false)
		if !strings.HasSuffix(got, end) || widthOf(got, 3, false) > 50 || !strings.HasPrefix(text, got[:5]) {
			t.Errorf("%q is shown as %q", text, got)
		}
	}
	if got := fitFrame("print no 1", 50, 3, false); got != "print no 1" {
		t.Errorf("what has room is cut: %q", got)
	}
}
