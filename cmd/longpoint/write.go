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
	"longpoint/model/whole"
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
type staged struct {
	name, temp string
	drop       func() // takes the file away; after keep it does nothing
}

// stage writes a file beside the one that is named, and flushes it to the disk. With keep it is then there whole or, after
// an error or a power cut, the named file is as it was before. No library does that here: github.com/google/renameio does not run on
// Windows, and github.com/moby/sys/atomicwriter cannot give up a file that is written but whose result could not be shown.
func stage(name string, data []byte) (s *staged, err error) { return stageFor(name, data, 0o666) }

// stageFor does so with the rights that a new file has, less what the user takes away from all.
func stageFor(name string, data []byte, mode os.FileMode) (s *staged, err error) {
	defer func() {
		if err != nil {
			err = outputError(name, err)
		}
	}()
	at, err := os.Stat(name)
	if err == nil && !at.Mode().IsRegular() {
		return nil, errors.New("that is not a file")
	}
	there := err == nil
	dir, remove, err := whole.Apart(filepath.Dir(name))
	if err != nil {
		return nil, err
	}
	temp := filepath.Join(dir, filepath.Base(name))
	f, err := os.OpenFile(temp, os.O_CREATE|os.O_EXCL|os.O_WRONLY, mode)
	if err == nil {
		_, err = f.Write(data)
		if there { // who may read the file stays as it was
			err = errors.Join(err, f.Chmod(at.Mode().Perm()))
		}
		err = errors.Join(err, f.Sync(), f.Close())
	}
	if err != nil {
		remove()
		return nil, err
	}
	return &staged{name, temp, remove}, nil
}

// keep gives the file its name. After that drop does nothing.
func (s *staged) keep() error {
	if err := whole.Put(s.temp, s.name); err != nil {
		return outputError(s.name, err)
	}
	s.drop()
	return nil
}

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
