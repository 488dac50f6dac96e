package main

import "testing"

// TestShellWord quotes names for the shells of a system.
func TestShellWord(t *testing.T) {
	for _, c := range []struct{ system, name, want string }{
		{"linux", "shop.book", "shop.book"},
		{"linux", "my shop/shop.book", "'my shop/shop.book'"},
		{"linux", "Ada's", `'Ada'\''s'`},
		{"linux", `D:\shop.book`, `'D:\shop.book'`},
		{"windows", `D:\shop.book`, `D:\shop.book`},
		{"windows", `D:\my shop\shop.book`, `"D:\my shop\shop.book"`},
		{"windows", "Ada's", `"Ada's"`},
	} {
		if got := shellWordOn(c.system, c.name); got != c.want {
			t.Errorf("%s, %s: %s, not %s", c.system, c.name, got, c.want)
		}
	}
}
