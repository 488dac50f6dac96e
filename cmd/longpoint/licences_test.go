package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// licence is one that may be linked into a program under GPL-3.0-or-later: which ones may is from the Free Software Foundation's list "Various
// Licenses and Comments about Them" (https://www.gnu.org/licenses/license-list.html; from memory).
type licence struct {
	name string
	says []string // all of it, with blanks and line ends alike
}

// allowed are those licences, each known by what only it says; the first that fits counts.
var allowed = []licence{
	{"GPL-2.0-or-later or FTL", []string{"your choice of exactly one of the following two licenses", "GNU General Public License (GPL), version 2 or later"}},
	{"Apache-2.0", []string{"Apache License", "Version 2.0, January 2004", "TERMS AND CONDITIONS FOR USE, REPRODUCTION, AND DISTRIBUTION"}},
	{"CC-BY-4.0", []string{"Creative Commons Attribution 4.0 International Public License"}},
	{"OFL-1.1", []string{"SIL Open Font License, Version 1.1"}},
	{"MIT", []string{"Permission is hereby granted, free of charge, to any person obtaining a copy of this software", "The above copyright notice and this permission notice shall be included"}},
	{"BSD-3-Clause", []string{"Redistribution and use in source and binary forms, with or without modification, are permitted", "may be used to endorse or promote products derived from this software without specific prior written permission"}},
	{"BSD-2-Clause", []string{"Redistribution and use in source and binary forms, with or without modification, are permitted", "IN NO EVENT SHALL THE COPYRIGHT"}},
	{"public domain", []string{"All of the code and documentation in SQLite has been dedicated to the public domain"}},
}

// beside are files beside a licence that grant nothing: what they tell of.
var beside = map[string]string{
	"github.com/ajstarks/svgo/LICENSE-link.txt": "the address of the licence beside it",
	"modernc.org/memory/LICENSE-LOGO":           "the address of a picture that is not linked",
	"modernc.org/libc/LICENSE-3RD-PARTY.md":     "notices: musl and others, under MIT and BSD licences, in full",
	"modernc.org/sqlite/LICENSE-3RD-PARTY.md":   "notices: what its other licence files say",
}

var blanks = regexp.MustCompile(`\s+`)

// licenceOf names the licence that a text is, or none.
func licenceOf(text string) string {
	plain := strings.ToLower(blanks.ReplaceAllString(text, " "))
next:
	for _, l := range allowed {
		for _, words := range l.says {
			if !strings.Contains(plain, strings.ToLower(words)) {
				continue next
			}
		}
		return l.name
	}
	return ""
}

// TestLicences reads the licences of all modules that are linked into the program, as they were downloaded. Each must have one, and
// each must be one that this program's own allows.
func TestLicences(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Dir}}{{end}}{{end}}", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	modules := map[string]string{}
	for line := range strings.Lines(string(out)) {
		if path, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
			modules[path] = dir
		}
	}
	if len(modules) < 20 || modules["modernc.org/sqlite"] == "" {
		t.Fatalf("only %d modules are linked: %v", len(modules), modules)
	}
	found := map[string]int{}
	for module, dir := range modules {
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		known := 0
		for _, e := range entries {
			name := strings.ToLower(e.Name())
			if e.IsDir() || !strings.HasPrefix(name, "licen") && !strings.HasPrefix(name, "copying") && !strings.HasPrefix(name, "unlicen") || beside[module+"/"+e.Name()] != "" {
				continue
			}
			text, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			l := licenceOf(string(text))
			if l == "" {
				t.Errorf("%s: %s is no licence that is known to go with GPL-3.0-or-later; read it, and add it to the list or do without the module", module, e.Name())
				continue
			}
			known++
			found[l]++
		}
		if known == 0 {
			t.Errorf("%s has no licence", module)
		}
	}
	t.Logf("%d modules: %v", len(modules), found)
}

// TestLicencesCanFail shows texts that are not allowed.
func TestLicencesCanFail(t *testing.T) {
	for name, text := range map[string]string{
		"none":                   "",
		"all rights reserved":    "Copyright 2027 Somebody. All rights reserved.",
		"version 2 and no other": "GNU GENERAL PUBLIC LICENSE Version 2, June 1991",
		"not for trade":          "Creative Commons Attribution-NonCommercial 4.0 International Public License",
		"for some only":          "Permission is hereby granted, free of charge, to any person who is not a competitor",
	} {
		if l := licenceOf(text); l != "" {
			t.Errorf("%s is taken for %s", name, l)
		}
	}
}
