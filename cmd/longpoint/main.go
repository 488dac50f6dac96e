package main

import "os"

func main() {
	os.Exit(runAs(typedName(os.Args[0]), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
