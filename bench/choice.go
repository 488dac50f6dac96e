package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/bench/instances"
)

// choice is which instances to run on.
type choice struct {
	names []string // classes, folders, files; empty: every class
	each  int      // of every name so many, evenly spread; 0: all
}

// flags adds the flags that make a choice.
func (c *choice) flags(cmd *cobra.Command) {
	cmd.Flags().StringSliceVar(&c.names, "instances", nil, "classes, folders or files, parted by commas (default every class)")
	cmd.Flags().IntVar(&c.each, "each", c.each, "of every class, folder or file only so many, evenly spread; 0 for all")
}

// load gives the instances chosen. Without names, a class that is not on this machine is left out, and notes say so.
func (c choice) load(notes io.Writer) ([]instances.Instance, error) {
	names, every := c.names, len(c.names) == 0
	if every {
		for _, class := range instances.Classes() {
			names = append(names, class.Name)
		}
	}
	var all []instances.Instance
	seen := map[string]bool{}
	for _, name := range names {
		ins, err := instances.Open(name)
		if every && errors.Is(err, instances.ErrAbsent) {
			fmt.Fprintf(notes, "bench: %s left out: %v\n", name, err)
			continue
		}
		if err != nil {
			return nil, err
		}
		for _, in := range instances.Spread(ins, c.each) {
			if seen[in.Name] {
				return nil, fmt.Errorf("two instances are called %s; name fewer at a time", in.Name)
			}
			if strings.Contains("/"+in.Name+"/", "/../") {
				return nil, fmt.Errorf("instance name %s leads out of its folder", in.Name)
			}
			seen[in.Name] = true
			all = append(all, in)
		}
	}
	return all, nil
}
