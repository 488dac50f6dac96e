package main

const (
	sizeExample  = ``
	planExample  = ``
	buyExample   = ``
	checkExample = ``
	demoExample  = ``
)
