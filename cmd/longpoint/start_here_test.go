package main

import (
	"bufio"
	"bytes"
	"strings"
	"testing"

	"longpoint/cmd/longpoint/text"
)

// TestAskedAgain types a wrong answer at a terminal, where the same question is asked again, and puts it into a file, where the answers end.
func TestAskedAgain(t *testing.T) {
	saw := text.Answer{Key: "machine.type", Label: "Machine"}
	for _, at := range []string{"terminal", "file"} {
		var said bytes.Buffer
		p := &program{stdin: strings.NewReader(""), stderr: &said}
		if at == "terminal" {
			p.stdin = terminal(t)
		}
		in := &answerLines{from: bufio.NewReader(strings.NewReader("sew\nsaw\n"))}
		answers := map[string]string{"units": "mm", "currency": "EUR"}
		err := p.askOne(t.Context(), in, saw, answers)
		switch {
		case at == "terminal" && (err != nil || answers["machine.type"] != "saw" || strings.Count(said.String(), "> ") != 2):
			t.Errorf("at a terminal: %v, %v\n%s", err, answers, said.String())
		case at == "file" && (err == nil || !strings.Contains(err.Error(), "line 1 of the answers") || in.read != 1):
			t.Errorf("from a file: %v, %v", err, answers)
		}
	}
}
