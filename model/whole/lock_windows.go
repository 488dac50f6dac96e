package whole

// Lock locks a folder; Windows has no such thing, and a file in it that is in use cannot be taken away there.
func Lock(string) (unlock func() error, free bool) {
	return func() error { return nil }, true
}
