package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// asJSON gives a value as indented JSON with a newline at its end. HTML's characters are left as they are.
func asJSON(v any) (string, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return "", &model.Error{Kind: model.Fault, What: "a result could not be written as JSON", Err: err}
	}
	return b.String(), nil
}

// mayReplace says that a file is there which is no plan: a slip in the name of --out must not cost somebody their jobs.
// A file that is not there, is empty, or holds a plan may be written over.
func mayReplace(name string) error {
	const enough = 200 // bytes: a plan says in the first line what it is
	at, err := os.Stat(name)
	if err != nil || !at.Mode().IsRegular() {
		return nil // whether it can be written there, writing says
	}
	f, err := os.Open(name)
	if err != nil {
		return outputError(name, err)
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, enough))
	if err != nil {
		return outputError(name, err)
	}
	kind, _, _ := strings.Cut(plan.Format, "/") // of any version
	if len(head) == 0 || bytes.Contains(head, []byte(`"`+kind+"/")) {
		return nil
	}
	return &model.Error{
		Kind:  model.BadUsage,
		What:  "this file is there already and is no plan, so it is not written over",
		Where: model.Place{File: name},
		Do:    "give --out another name, or take the file away first",
	}
}

// staged is a file that is written and on the disk, but does not have its name yet.
type staged struct{ name, temp string }

// stage writes a file beside the one that is named, and flushes it to the disk. With keep it is then there whole or, after
// an error or a power cut, the named file is as it was before. No library does that here: github.com/google/renameio does not run on
// Windows, and github.com/moby/sys/atomicwriter cannot give up a file that is written but whose result could not be shown.
func stage(name string, data []byte) (s *staged, err error) {
	defer func() {
		if err != nil {
			err = outputError(name, err)
		}
	}()
	if at, err := os.Stat(name); err == nil && !at.Mode().IsRegular() {
		return nil, errors.New("that is not a file")
	}
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return nil, err
	}
	s = &staged{name: name, temp: f.Name()}
	defer func() {
		if err != nil {
			f.Close() // a second Close does nothing
			s.drop()
		}
	}()
	if _, err := f.Write(data); err != nil {
		return nil, err
	}
	if err := f.Chmod(0o644); err != nil {
		return nil, err
	}
	if err := f.Sync(); err != nil {
		return nil, err
	}
	return s, f.Close()
}

// keep gives the file its name. After that drop does nothing.
func (s *staged) keep() error {
	if err := os.Rename(s.temp, s.name); err != nil {
		return outputError(s.name, err)
	}
	return nil
}

// drop takes the file away.
func (s *staged) drop() { os.Remove(s.temp) }

// outputError says that a file could not be written, without the name of the temporary one.
func outputError(name string, err error) error {
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		err = e.Err
	} else if e, ok := errors.AsType[*os.LinkError](err); ok {
		err = e.Err
	}
	return &model.Error{
		Kind:  model.BadUsage,
		What:  fmt.Sprintf("the file could not be written: %v", err),
		Where: model.Place{File: name},
		Do:    "name a file in a folder that exists and that you may write to",
	}
}
