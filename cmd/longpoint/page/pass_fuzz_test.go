package page

import "testing"

// FuzzParsePass reads any text as the file of a pass phrase. Nothing may panic, and what is read is written and read as the same again.
func FuzzParsePass(f *testing.F) {
	f.Add(passForm + "AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA")
	f.Add(passForm)
	f.Add("$argon2id$")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := ParsePass(text)
		if err != nil {
			return
		}
		if again, err := ParsePass(p.String()); err != nil || again.String() != p.String() {
			t.Errorf("%q is written %q: %v", text, p.String(), err)
		}
	})
}
