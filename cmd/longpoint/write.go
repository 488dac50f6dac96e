package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"longpoint/model"
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

// writeWhole writes a file so that it is there whole or, after an error or a power cut, as it was before: into a new
// file beside it, which is flushed to the disk and only then given the name.
func writeWhole(name string, data []byte) (err error) {
	defer func() {
		if err != nil {
			err = outputError(name, err)
		}
	}()
	if at, err := os.Stat(name); err == nil && !at.Mode().IsRegular() {
		return errors.New("that is not a file")
	}
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close() // a second Close does nothing
			os.Remove(f.Name())
		}
	}()
	if _, err := f.Write(data); err != nil {
		return err
	}
	if err := f.Chmod(0o644); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
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
